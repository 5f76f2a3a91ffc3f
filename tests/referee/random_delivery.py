"""Random parcels, zones and rate cards."""

from fractions import Fraction

from .exact import JsonDict
from .random_dice import Coin, Dice

ZONE_NAMES = ("near", "middle", "far")
ZONE_SHARES = {
    1: (("1",),),
    2: (("1/3", "2/3"), ("0.45", "0.55"), ("0.7", "0.3"), ("1/7", "6/7")),
    3: (("1/3", "1/2", "1/6"), ("0.45", "0.35", "0.2"), ("1/3", "1/3", "1/3"), ("0.6", "1/5", "0.2")),
}
# Length and weight unit of a card, its usual volumetric divisor, and how much of the weight unit is a kilogram.
UNITS = (("cm", "kg", 5000, 1.0), ("in", "lb", 160, 2.2), ("cm", "g", 5, 1000.0), ("mm", "kg", 5000000, 1.0))


def random_delivery(dice: Dice, shop: Coin, channel: Coin, goods: Fraction) -> JsonDict | None:
    """A delivery, or None where labels cost nothing; `goods` is a likely goods total in the shop's currency."""
    if not dice.feature(1.1):
        return None if dice.seldom(0.4) else {"flat_label_cost": dice.money(shop, 2, 9)}
    names = ZONE_NAMES[: dice.count(1, 3)]
    shares = dice.pick(ZONE_SHARES[len(names)])
    parcel, kilograms = _parcel(dice)
    services = []
    for index in range(dice.count(1, 3)):
        # The first card carries nearly everything; the others may refuse.
        services.append(_card(dice, index, shop, list(names), kilograms, goods, shop.code))
        if channel != shop and dice.seldom(0.3):
            value = goods * Fraction(channel.worth / shop.worth).limit_denominator(1000)
            services[-1] = _card(dice, index, channel, list(names), kilograms, value, shop.code)
    delivery: JsonDict = {
        "parcel": parcel,
        "zones": [{"name": name, "share": share} for name, share in zip(names, shares, strict=True)],
        "services": services,
    }
    if dice.seldom(0.1):
        delivery["service"] = dice.pick(services)["name"]
    return delivery


def _parcel(dice: Dice) -> tuple[JsonDict, float]:
    kilograms = dice.rng.uniform(0.3, 6)
    sides = sorted((dice.rng.uniform(8, 45) for _ in range(3)), reverse=dice.seldom(0.7))
    parcel: JsonDict = {}
    unit = dice.pick(("cm", "in", "mm"))
    factor = {"cm": 1.0, "in": 1 / 2.54, "mm": 10.0}[unit]
    for name, side in zip(("length", "width", "height"), sides, strict=True):
        parcel[f"{name}_{unit}"] = dice.decimal(side * factor, side * factor, dice.pick((0, 1, 1)))
    weight = dice.pick(("kg", "lb", "oz", "g"))
    scale = {"kg": 1.0, "lb": 2.2, "oz": 35.3, "g": 1000.0}[weight]
    parcel[f"weight_{weight}"] = dice.decimal(kilograms * scale, kilograms * scale, 0 if weight == "g" else 2)
    if dice.feature():
        parcel["residential"] = dice.seldom(0.7)
    return parcel, kilograms


def _card(
    dice: Dice, index: int, coin: Coin, zones: list[str], kilograms: float, goods: Fraction, shop_code: str
) -> JsonDict:
    length_unit, weight_unit, divisor, per_kilogram = dice.pick(UNITS)
    card: JsonDict = {
        "name": f"Service {index + 1}",
        "length_unit": length_unit,
        "weight_unit": weight_unit,
        "weight_step": {"kg": "0.5", "lb": "1", "g": "100"}[weight_unit],
    }
    if coin.code != shop_code:
        card |= {"currency": coin.code, "minor_digits": coin.digits}
    if dice.feature():
        card["size_rounding"] = dice.pick(("none", "up", "nearest"))
    if dice.feature():
        card |= _volumetric(dice, divisor, per_kilogram)
    card["rates"] = _rates(dice, coin, zones, per_kilogram)
    if index == 0 or dice.seldom(0.6):
        card |= _further_steps(dice, coin, per_kilogram)
    if dice.feature():
        card["surcharges"] = [
            _surcharge(dice, coin, f"surcharge {count}", length_unit, per_kilogram) for count in range(dice.count(1, 4))
        ]
    if dice.feature():
        card["fuel_percent"] = dice.pick(("7.5", "12", "6.25", "0"))
    if dice.feature(1.0 if index else 0.3):
        card["limits"] = _limits(dice, index, kilograms * per_kilogram, length_unit)
    if dice.feature():
        card["insurance"] = _insurance(dice, coin, goods)
    if dice.feature(0.5):
        card["rounding"] = dice.pick(("half_up", "half_even", "half_down", "up", "down"))
    return card


def _rates(dice: Dice, coin: Coin, zones: list[str], per_kilogram: float) -> JsonDict:
    breaks = [str(round(kilograms * per_kilogram)) for kilograms in (1, 2, 5, 10)[: dice.count(2, 4)]]
    rates: JsonDict = {}
    start = 3.0
    for zone in zones:
        price = start = start * dice.rng.uniform(1.05, 1.5)
        rows = []
        for weight in breaks:
            rows.append([weight, dice.money(coin, price, price * 1.1)])
            price *= dice.rng.uniform(1.1, 1.5)
        rates[zone] = rows
    return rates


def _volumetric(dice: Dice, divisor: int, per_kilogram: float) -> JsonDict:
    keys = {"volumetric_divisor": str(round(divisor * dice.rng.uniform(0.8, 1.4)))}
    if dice.feature():
        typical = 12000 * divisor / 5000 * per_kilogram
        keys["volumetric_above_volume"] = str(max(1, round(typical * dice.rng.uniform(0.3, 2))))
    return keys


def _further_steps(dice: Dice, coin: Coin, per_kilogram: float) -> JsonDict:
    keys = {"further_step_price": dice.fine_money(coin, 0.1, 0.6)}
    if dice.feature(0.4):
        keys["further_step"] = str(max(1, round(per_kilogram)))
    return keys


def _surcharge(dice: Dice, coin: Coin, name: str, length_unit: str, per_kilogram: float) -> JsonDict:
    size = {"cm": 1.0, "in": 1 / 2.54, "mm": 10.0}[length_unit]
    usual = {
        "length": 30 * size,
        "second_side": 22 * size,
        "girth": 75 * size,
        "length_plus_girth": 105 * size,
        "volume": 12000 * size**3,
        "actual_weight": 3 * per_kilogram,
        "billable_weight": 3 * per_kilogram,
    }
    when = dice.pick((*usual, "residential", "always"))
    entry: JsonDict = {"name": name, "when": when}
    if when in usual:
        entry["over"] = str(max(1, round(usual[when] * dice.rng.uniform(0.5, 1.3))))
    if dice.seldom(0.4):
        entry["percent"] = dice.pick(("4", "5", "12.5"))
    else:
        entry["amount"] = dice.fine_money(coin, 0.2, 1.5)
    if dice.feature():
        entry["fuelled"] = dice.seldom(0.7)
    return entry


def _limits(dice: Dice, index: int, weight: float, length_unit: str) -> JsonDict:
    size = {"cm": 1.0, "in": 1 / 2.54, "mm": 10.0}[length_unit]
    tight = dice.rng.uniform(0.6, 1.2) if index else dice.rng.uniform(0.95, 3)
    limits = {
        "weight": str(max(1, round(weight * tight))),
        "length": str(round(45 * size * tight)),
        "length_plus_girth": str(round(150 * size * tight)),
    }
    return {name: limits[name] for name in dice.rng.sample(sorted(limits), dice.count(1, 3))}


def _insurance(dice: Dice, coin: Coin, goods: Fraction) -> JsonDict:
    insurance: JsonDict = {
        "step": dice.near(coin, goods, 0.1, 0.8),
        "price_per_step": dice.fine_money(coin, 0.3, 2.5),
    }
    if dice.feature():
        insurance["free_cover"] = dice.near(coin, goods, 0.3, 1.1)
    if dice.feature(0.6):
        insurance["minimum"] = dice.money(coin, 0.5, 2.5)
    if dice.feature(0.25):
        insurance["fixed_value"] = dice.near(coin, goods, 0.4, 1.5)
    return insurance
