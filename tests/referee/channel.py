"""A channel read once, and everything that follows from a list price in it: zones, outcomes, totals, measures."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from .cost import Cost
from .exact import ONE, ZERO, JsonDict, Money, field, number, optional, percent
from .fees import Billed, Fee, bill_fees, read_fees
from .order import Bill, Terms, read_terms
from .outcomes import Goods, Outcome, Rules, outcomes, read_rules
from .parcel import Currencies, Label, Zone, cheapest, read_delivery


class ZoneView(NamedTuple):
    """One zone at one price."""

    zone: Zone
    label: Label
    bill: Bill
    fees: list[Billed]
    outcomes: list[Outcome]


class Totals(NamedTuple):
    """The money of an order, expected or in the worst case; `zone` names the worst zone."""

    zone: str
    net_sales: Fraction
    fees: Fraction
    labels: Fraction
    goods: Fraction
    recoveries: Fraction
    set_asides: Fraction
    profit: Fraction


@dataclass(frozen=True)
class Channel:
    """All that is known of a channel before a price is named."""

    name: str
    currency: str
    exchange_rate: Fraction
    quantity: int
    orders_per_month: Fraction | None
    money: Money
    terms: Terms
    fees: list[Fee]
    zones: list[Zone]
    refused: list[JsonDict]
    goods: Goods
    goods_without_overhead: Goods
    rules: Rules
    reserves: Fraction
    overhead_on_sales: Fraction
    machine_hours: Fraction
    labour_hours: Fraction
    target: JsonDict
    prices: JsonDict
    evaluate_at: list[str]

    @property
    def carried(self) -> bool:
        """Whether every zone with orders has a service."""
        return all(zone.offers for zone in self.zones if zone.share > 0)

    def zones_at(self, price: Fraction) -> list[ZoneView]:
        """Every zone at a price; zones with equal shipping share their bill and fees."""
        basket = self.terms.basket(price)
        bills: dict[Fraction, tuple[Bill, list[Billed]]] = {}
        views = []
        for zone in self.zones:
            if not zone.offers:
                continue
            label = cheapest(zone.offers, basket.goods)
            shipping = self.terms.shipping_charge(basket.goods, label.cost)
            if shipping not in bills:
                bill = self.terms.bill(basket, shipping)
                storefront = self.terms.tax_remitted_by_storefront
                bills[shipping] = (bill, bill_fees(self.fees, bill, self.quantity, self.money, storefront))
            bill, fees = bills[shipping]
            views.append(ZoneView(zone, label, bill, fees, outcomes(self.rules, bill, fees, label, self.goods)))
        return views

    def expected(self, views: list[ZoneView]) -> Totals:
        """The sums weighted by zone share and probability."""
        sums = [ZERO] * 5
        for view in views:
            for outcome in view.outcomes:
                weight = view.zone.share * outcome.probability
                figures = (outcome.net_sales, outcome.fees, outcome.labels, outcome.goods, outcome.recoveries)
                sums = [
                    total + weight * figure if figure else total for total, figure in zip(sums, figures, strict=True)
                ]
        return self._totals("", *sums)

    def worst(self, views: list[ZoneView]) -> Totals:
        """The zone with the lowest profit (the first of equals), every fee in full, delivered."""
        worst: Totals | None = None
        for view in views:
            fees = sum((billed.in_full for billed in view.fees), ZERO)
            totals = self._totals(
                view.zone.name, view.bill.net_sales, fees, view.label.cost, self.goods.units + self.goods.order, ZERO
            )
            if worst is None or totals.profit < worst.profit:
                worst = totals
        assert worst is not None
        return worst

    def contribution(self, views: list[ZoneView]) -> Fraction:
        """Expected profit with overhead and monthly fees left out; reserves stay."""
        bare = []
        for view in views:
            rows = outcomes(self.rules, view.bill, view.fees, view.label, self.goods_without_overhead)
            bare.append(view._replace(outcomes=rows))
        totals = self.expected(bare)
        return totals.profit + self.monthly_fees(views) + self.overhead_on_sales * max(totals.net_sales, ZERO)

    def monthly_fees(self, views: list[ZoneView]) -> Fraction:
        """An order's part of the fees per month; it is the same at every price, in every zone and in every outcome."""
        charges = [billed.expected for billed in views[0].fees if billed.fee.per == "month"]
        return sum((charge.amount + charge.tax for charge in charges), ZERO)

    def measure(self, name: str, totals: Totals) -> Fraction | None:
        """A measure of a profit; None where its divisor is not positive."""
        divisor = {
            "margin": totals.net_sales,
            "markup": self.goods.units + self.goods.order,
            "profit_per_unit": Fraction(self.quantity),
            "profit_per_machine_hour": self.machine_hours,
            "profit_per_labour_hour": self.labour_hours,
            "break_even": ONE,
        }[name]
        return totals.profit / divisor if divisor > 0 else None

    def target_totals(self, views: list[ZoneView]) -> Totals:
        """The totals in which the target is held."""
        return self.worst(views) if self.target.get("case", "expected") == "worst" else self.expected(views)

    def _totals(
        self, zone: str, net: Fraction, fees: Fraction, labels: Fraction, goods: Fraction, recoveries: Fraction
    ) -> Totals:
        set_asides = (self.reserves + self.overhead_on_sales) * max(net, ZERO)
        profit = net - fees - labels - goods + recoveries - set_asides
        return Totals(zone, net, fees, labels, goods, recoveries, set_asides, profit)


def read_channel(case: JsonDict, source: JsonDict, cost: Cost) -> Channel:
    """Read one channel of a case; what it does not say itself is taken from the case."""
    both = {**case, **source}
    quantity = int(both.get("quantity", 1))
    digits = int(both["minor_digits"])
    rate = field(source, "exchange_rate", "1")
    currency = str(both["currency"])
    currencies = Currencies(case["currency"], case["minor_digits"], currency, digits, rate)
    money = Money(digits, source.get("rounding", "half_up"))
    zones, refused = read_delivery(both.get("delivery", {}), currencies)
    rules = read_rules(source.get("outcomes", {}), currencies)
    orders_started = 1 + (rules.damage_rate if rules.replace else ZERO)
    set_asides = source.get("set_asides", [])
    return Channel(
        name=source["name"],
        currency=currency,
        exchange_rate=rate,
        quantity=quantity,
        orders_per_month=optional(both, "orders_per_month"),
        money=money,
        terms=read_terms(source, money, quantity),
        fees=read_fees(source, date.fromisoformat(case["date"])),
        zones=zones,
        refused=refused,
        goods=Goods(cost.unit * quantity * rate, cost.order * rate),
        goods_without_overhead=Goods(
            (cost.unit - cost.unit_overhead) * quantity * rate, (cost.order - cost.order_overhead) * rate
        ),
        rules=rules,
        reserves=sum((percent(entry) for entry in set_asides if entry["kind"] == "reserve"), ZERO),
        overhead_on_sales=sum((percent(entry) for entry in set_asides if entry["kind"] == "overhead"), ZERO),
        machine_hours=(quantity * cost.hours("machine", False) + cost.hours("machine", True)) * orders_started,
        labour_hours=(quantity * cost.hours("labour", False) + cost.hours("labour", True)) * orders_started,
        target=both["target"],
        prices=both["prices"],
        evaluate_at=both.get("evaluate_at", []),
    )


def wanted(target: JsonDict) -> Fraction:
    """The value that the measure must not fall below."""
    if target["measure"] == "break_even":
        return ZERO
    return number(target["amount"]) if "amount" in target else percent(target)


def allowed_prices(channel: Channel) -> list[Fraction]:
    """Every multiple of the step within the bounds that has one of the endings."""
    prices = channel.prices
    step = optional(prices, "step") or Fraction(1, 10**channel.money.digits)
    lowest, highest = field(prices, "lowest", str(step)), number(prices["highest"])
    first = -((-lowest) // step)
    found = [step * count for count in range(first, highest // step + 1)]
    if "endings" not in prices:
        return found
    endings = [(number(text), 10 ** len(text.partition(".")[0])) for text in prices["endings"]]
    return [price for price in found if any(price % modulus == ending for ending, modulus in endings)]
