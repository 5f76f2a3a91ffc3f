"""The parcel and its label: what each service takes for a zone, and which service is taken at a goods total."""

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from .exact import ONE, ZERO, JsonDict, Money, ceiling, field, number, optional, percent

# Every length in millimetres, every weight in grams: all of them exact.
LENGTHS = {"mm": ONE, "cm": Fraction(10), "in": Fraction("25.4")}
WEIGHTS = {"g": ONE, "kg": Fraction(1000), "lb": Fraction("453.59237"), "oz": Fraction("453.59237") / 16}


class Currencies(NamedTuple):
    """The shop's and the channel's currency; the rate is channel currency for one unit of the shop's."""

    shop: str
    shop_digits: int
    channel: str
    channel_digits: int
    rate: Fraction

    def of_card(self, card: JsonDict) -> tuple[int, Fraction]:
        """Minor digits of a rate card's currency and what one unit of it is in the channel's."""
        currency = card.get("currency", self.shop)
        if currency not in (self.shop, self.channel):
            raise ValueError(f"a card in {currency} can be neither the shop's nor the channel's")
        in_shop = currency == self.shop
        digits = card.get("minor_digits", self.shop_digits if in_shop else self.channel_digits)
        return digits, self.rate if in_shop else ONE


@dataclass(frozen=True)
class Label:
    """What one label costs, in the channel's currency."""

    service: str
    rate: Fraction
    surcharges: dict[str, Fraction]
    fuel: Fraction
    insurance: Fraction
    without_insurance: Fraction
    cost: Fraction


@dataclass(frozen=True)
class Offer:
    """A service that carries the parcel to a zone; only its insurance depends on the price."""

    service: str
    rate: Fraction
    surcharges: dict[str, Fraction]
    fuel: Fraction
    without_insurance: Fraction
    insurance: JsonDict | None
    money: Money
    exchange: Fraction

    def premium(self, goods: Fraction) -> Fraction:
        """The insurance premium at a goods total of the order."""
        if self.insurance is None:
            return ZERO
        value = optional(self.insurance, "fixed_value")
        if value is None:
            value = goods if self.exchange == 1 else goods / self.exchange
        over = value - field(self.insurance, "free_cover")
        if over <= 0:
            return ZERO
        steps = ceiling(over / number(self.insurance["step"]))
        due = max(steps * number(self.insurance["price_per_step"]), field(self.insurance, "minimum"))
        return self.money.charge(due) * self.exchange

    def label(self, goods: Fraction) -> Label:
        """The label at a goods total of the order."""
        premium = self.premium(goods)
        cost = self.without_insurance + premium
        return Label(self.service, self.rate, self.surcharges, self.fuel, premium, self.without_insurance, cost)


class Zone(NamedTuple):
    """A zone, its share of the orders, and the services that reach it in the order of the file."""

    name: str
    share: Fraction
    offers: list[Offer]


def cheapest(offers: list[Offer], goods: Fraction) -> Label:
    """The label of the cheapest service; of equal ones the first."""
    best = offers[0].label(goods)
    for offer in offers[1:]:
        label = offer.label(goods)
        if label.cost < best.cost:
            best = label
    return best


def read_delivery(source: JsonDict, currencies: Currencies) -> tuple[list[Zone], list[JsonDict]]:
    """All zones with the services that reach them, and the refusals."""
    if "services" not in source:
        money = Money(currencies.shop_digits, "half_up")
        cost = money.charge(field(source, "flat_label_cost")) * currencies.rate
        offer = Offer("flat", cost, {}, ZERO, cost, None, money, currencies.rate)
        return [Zone("all", ONE, [offer])], []
    zones = [Zone(zone["name"], number(zone["share"]), []) for zone in source["zones"]]
    refused: list[JsonDict] = []
    for card in source["services"]:
        if source.get("service", card["name"]) != card["name"]:
            continue
        for zone in zones:
            offer_or_why = _offer(card, zone.name, source["parcel"], currencies)
            if isinstance(offer_or_why, Offer):
                zone.offers.append(offer_or_why)
            else:
                refused.append({"service": card["name"], "zone": zone.name, "why": offer_or_why})
    return zones, refused


def _offer(card: JsonDict, zone: str, parcel: JsonDict, currencies: Currencies) -> Offer | str:
    """The offer of one card for one zone, or why it is refused."""
    sizes = _measured(card, parcel)
    for key, name in (("actual_weight", "weight"), ("length", "length"), ("length_plus_girth", "length_plus_girth")):
        limit = optional(card.get("limits", {}), name)
        if limit is not None and sizes[key] > limit:
            return f"{name} {sizes[key]} is over the limit {limit}"
    rate = _rate(card, zone, sizes["billable_weight"])
    if rate is None:
        return f"billable weight {sizes['billable_weight']} is past the last break"
    digits, exchange = currencies.of_card(card)
    money = Money(digits, card.get("rounding", "half_up"))
    rate = money.charge(rate)
    surcharges: dict[str, Fraction] = {}
    fuelled = rate
    for entry in card.get("surcharges", []):
        if _applies(entry, sizes, parcel):
            due = money.charge(number(entry["amount"]) if "amount" in entry else percent(entry) * rate)
            surcharges[entry["name"]] = due * exchange
            fuelled += due if entry.get("fuelled", False) else ZERO
    fuel = money.charge(percent(card, "fuel_percent") * fuelled) * exchange
    rate *= exchange
    without_insurance = rate + sum(surcharges.values(), ZERO) + fuel
    insurance = card.get("insurance")
    return Offer(card["name"], rate, surcharges, fuel, without_insurance, insurance, money, exchange)


def _measured(card: JsonDict, parcel: JsonDict) -> dict[str, Fraction]:
    """The parcel in the card's units: rounded sides, actual and billable weight."""
    unit = LENGTHS[card["length_unit"]]
    raw = [_read(parcel, side, LENGTHS) / unit for side in ("length", "width", "height")]
    length, width, height = sorted((_round_side(side, card.get("size_rounding", "none")) for side in raw), reverse=True)
    volume = length * width * height
    actual = _read(parcel, "weight", WEIGHTS) / WEIGHTS[card["weight_unit"]]
    billable = actual
    if "volumetric_divisor" in card and volume > field(card, "volumetric_above_volume"):
        billable = max(actual, volume / number(card["volumetric_divisor"]))
    step = number(card["weight_step"])
    girth = 2 * (width + height)
    return {
        "length": length,
        "second_side": width,
        "girth": girth,
        "length_plus_girth": length + girth,
        "volume": volume,
        "actual_weight": actual,
        "billable_weight": ceiling(billable / step) * step,
    }


def _read(parcel: JsonDict, what: str, units: dict[str, Fraction]) -> Fraction:
    for unit, factor in units.items():
        if f"{what}_{unit}" in parcel:
            return number(parcel[f"{what}_{unit}"]) * factor
    raise ValueError(f"the parcel has no {what}")


def _round_side(side: Fraction, rule: str) -> Fraction:
    if rule == "up":
        return Fraction(ceiling(side))
    if rule == "nearest":
        return Fraction((side + Fraction(1, 2)).__floor__())
    return side


def _rate(card: JsonDict, zone: str, billable: Fraction) -> Fraction | None:
    """The card's price for a zone and a billable weight; None where it is not carried."""
    rows = [(number(weight), number(price)) for weight, price in card["rates"].get(zone, [])]
    for weight, price in rows:
        if billable <= weight:
            return price
    if not rows or "further_step_price" not in card:
        return None
    step = number(card.get("further_step", card["weight_step"]))
    last, price = rows[-1]
    return price + ceiling((billable - last) / step) * number(card["further_step_price"])


def _applies(entry: JsonDict, sizes: dict[str, Fraction], parcel: JsonDict) -> bool:
    when = entry["when"]
    if when == "always":
        return True
    if when == "residential":
        return bool(parcel.get("residential", False))
    return sizes[when] > number(entry["over"])
