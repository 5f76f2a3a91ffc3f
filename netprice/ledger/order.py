"""What one order comes to: the one function that every answer, report and test goes through.

Section 6 of the money model. `order_ledger` works the order out zone by zone, then averages over zones and outcomes
(expected) and finds the zone with the lowest profit (worst). Nothing is rounded when averaging.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.book.product import Case
from netprice.ledger.arithmetic import EXACT, Arithmetic, Number
from netprice.ledger.fees import FeeLine, fees_of
from netprice.ledger.freight import Label
from netprice.ledger.outcome import Outcome, outcomes_of, sum_of
from netprice.ledger.sale import Sale, goods_of, sale
from netprice.ledger.send import Premiums, send
from netprice.ledger.terms import PackingTerms, Terms, ZoneTerms


class ZoneLedger(NamedTuple):
    """One order to one zone: how it is packed, its labels, what the buyer pays, the fees, and every way it can end.

    `packing` and `labels` are those chosen where there is one price; in a search over many they are the first.
    `order_cost` is C_order with the packing.
    """

    zone: ZoneTerms
    packing: PackingTerms
    labels: tuple[Label, ...]
    label_cost: Number
    order_cost: Number
    sale: Sale
    fees: tuple[FeeLine, ...]
    outcomes: tuple[Outcome, ...]
    packing_hours: Number


class Totals(NamedTuple):
    """What an order comes to, in minor units of the channel's currency. Money out stands here as a positive number."""

    net_sales: Number
    fees: Number
    labels: Number
    goods: Number
    recoveries: Number
    set_asides: Number

    @property
    def profit(self) -> Number:
        """Return what is left after every deduction."""
        return self.net_sales - self.fees - self.labels - self.set_asides + (self.recoveries - self.goods)


class OrderLedger(NamedTuple):
    """One order at one price."""

    terms: Terms
    price: Number
    zones: tuple[ZoneLedger, ...]

    @property
    def currency(self) -> str:
        """Return the ISO code of the channel's currency."""
        return self.terms.currency


def order_ledger(terms: Terms, price: Number, m: Arithmetic = EXACT) -> OrderLedger:
    """Work out one order at `price`, in minor units of the channel's currency for one unit of the product.

    With the default arithmetic every charge is a whole number of minor units and every average an exact fraction.
    """
    bought = goods_of(terms, price, m)
    zones: list[ZoneLedger] = []
    sold: Sale | None = None
    fees: tuple[FeeLine, ...] = ()
    premiums: Premiums = {}
    for zone in terms.zones:
        sent = send(zone, bought.goods, m, premiums)
        # Only where the buyer pays by the label do the sale and the fees differ from zone to zone.
        if sold is None or terms.shipping.follows_label:
            sold = sale(terms, bought, sent.cost, m)
            fees = fees_of(terms, sold, m)
        order_cost = sent.order_cost + terms.order_cost
        ends = tuple(outcomes_of(terms, sold, fees, sent.cost, sent.bare, m, order_cost=order_cost))
        zones.append(
            ZoneLedger(
                zone=zone, packing=sent.packing, labels=sent.labels, label_cost=sent.cost, order_cost=order_cost,
                sale=sold, fees=fees, outcomes=ends, packing_hours=sent.hours,
            )
        )  # fmt: skip
    return OrderLedger(terms=terms, price=price, zones=tuple(zones))


def expected(ledger: OrderLedger, m: Arithmetic = EXACT) -> Totals:
    """Return the sums over zones and outcomes, each weighted by its share and chance."""
    weighted = [
        (zone.zone.share * outcome.chance, outcome)
        for zone in ledger.zones
        for outcome in zone.outcomes
        if outcome.chance
    ]

    def average(of: str) -> Number:
        return _weighted([(weight, getattr(outcome, of)) for weight, outcome in weighted])

    net = average("net_sales")
    return Totals(
        net_sales=net,
        fees=average("fees"),
        labels=average("labels"),
        goods=average("goods"),
        recoveries=average("recoveries"),
        set_asides=_set_asides(ledger.terms, net, m),
    )


def _weighted(pairs: list[tuple[Fraction, Number]]) -> Number:
    """Return the weighted sum; a number that several outcomes have in common is multiplied once, by all its weights."""
    together: dict[int, tuple[Fraction, Number]] = {}
    for weight, number in pairs:
        known = together.get(id(number))
        together[id(number)] = (weight if known is None else known[0] + weight, number)
    return sum_of(number if weight == 1 else number * weight for weight, number in together.values())


def in_zone_at_worst(ledger: OrderLedger, zone: ZoneLedger, m: Arithmetic = EXACT) -> Totals:
    """Return an order delivered to this zone with every fee that has a share charged in full."""
    return Totals(
        net_sales=zone.sale.net_sales,
        fees=sum_of(line.in_full.amount + line.in_full.tax for line in zone.fees),
        labels=zone.label_cost,
        goods=zone.order_cost + ledger.terms.goods_cost,
        recoveries=0,
        set_asides=_set_asides(ledger.terms, zone.sale.net_sales, m),
    )


def worst(ledger: OrderLedger) -> tuple[ZoneLedger, Totals]:
    """Return the zone with the lowest profit and what the order comes to there; of equal zones the first."""
    cases = [(zone, in_zone_at_worst(ledger, zone)) for zone in ledger.zones if zone.zone.share]
    return min(cases, key=lambda case: case[1].profit)


class Bottom(NamedTuple):
    """What measures are made of: net sales kept, profit, q·C + C_order, and the hours of work on an order."""

    net_sales: Number
    profit: Number
    cost: Number
    labour_hours: Number


def bottom_line(ledger: OrderLedger, case: Case, m: Arithmetic = EXACT) -> tuple[Number, Number]:
    """Return net sales kept and profit, in the expected or in the worst case."""
    found = bottom(ledger, case, m)
    return found.net_sales, found.profit


def bottom(ledger: OrderLedger, case: Case, m: Arithmetic = EXACT) -> Bottom:
    """Return what every measure is made of; hours are those expected in either case, without replacements."""
    terms, stack = ledger.terms, ledger.terms.stack
    hours = _weighted([(zone.zone.share, zone.packing_hours) for zone in ledger.zones])
    hours += terms.quantity * stack.labour_hours(per_order=False) + stack.labour_hours(per_order=True)
    if case == "expected":
        totals = expected(ledger, m)
        cost = _weighted([(zone.zone.share, zone.order_cost) for zone in ledger.zones]) + terms.goods_cost
        return Bottom(totals.net_sales, totals.profit, cost, hours)
    best: Bottom | None = None
    for zone in ledger.zones:
        if not zone.zone.share:
            continue
        totals = in_zone_at_worst(ledger, zone, m)
        this = Bottom(totals.net_sales, totals.profit, totals.goods, hours)
        best = this if best is None else _lower(best, this, m)
    assert best is not None  # shares add up to 1, so one zone at least has orders
    return best


def _lower(best: Bottom, this: Bottom, m: Arithmetic) -> Bottom:
    """Return the one with the lower profit at each price; of equal ones the first."""
    if best.net_sales == this.net_sales and best.cost == this.cost:  # only the labels differ
        return best._replace(profit=m.least(best.profit, this.profit))
    lower = m.is_over(best.profit, this.profit)
    return best._replace(
        net_sales=m.choose(lower, this.net_sales, best.net_sales),
        profit=m.choose(lower, this.profit, best.profit),
        cost=m.choose(lower, this.cost, best.cost),
    )


def _set_asides(terms: Terms, net_sales: Number, m: Arithmetic) -> Number:
    percent = sum((laid_by.percent for laid_by in terms.set_asides), Fraction(0))
    return m.most(net_sales, 0) * percent if percent else 0
