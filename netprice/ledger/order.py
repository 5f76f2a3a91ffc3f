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
from netprice.ledger.freight import Label, label
from netprice.ledger.outcome import Outcome, outcomes_of, sum_of
from netprice.ledger.sale import Sale, goods_of, sale
from netprice.ledger.terms import PackingTerms, Terms, ZoneTerms


class ZoneLedger(NamedTuple):
    """One order to one zone: its labels, what the buyer pays, the fees, and every way it can end."""

    zone: ZoneTerms
    labels: tuple[Label, ...]
    label_cost: Number
    sale: Sale
    fees: tuple[FeeLine, ...]
    outcomes: tuple[Outcome, ...]


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
    premiums: list[dict[int, Number]] = [{} for _ in terms.zones[0].packing.parcels]
    for zone in terms.zones:
        labels = labels_of(zone.packing, bought.goods, m, premiums)
        cost = sum_of(bought_label.cost for bought_label in labels)
        # Only where the buyer pays by the label do the sale and the fees differ from zone to zone.
        if sold is None or terms.shipping.follows_label:
            sold = sale(terms, bought, cost, m)
            fees = fees_of(terms, sold, m)
        bare = sum_of(bought_label.bare for bought_label in labels)
        ends = tuple(outcomes_of(terms, sold, fees, cost, bare, m))
        zones.append(ZoneLedger(zone=zone, labels=labels, label_cost=cost, sale=sold, fees=fees, outcomes=ends))
    return OrderLedger(terms=terms, price=price, zones=tuple(zones))


def labels_of(
    packing: PackingTerms, goods: Number, m: Arithmetic, premiums: list[dict[int, Number]]
) -> tuple[Label, ...]:
    """Return the label of every parcel of the order; a parcel's declared value is its units' share of the goods."""
    return tuple(
        label(quotes, goods * share if share != 1 else goods, m, paid)
        for (share, quotes), paid in zip(packing.parcels, premiums, strict=True)
    )


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
        goods=ledger.terms.goods_cost + ledger.terms.order_cost,
        recoveries=0,
        set_asides=_set_asides(ledger.terms, zone.sale.net_sales, m),
    )


def worst(ledger: OrderLedger) -> tuple[ZoneLedger, Totals]:
    """Return the zone with the lowest profit and what the order comes to there; of equal zones the first."""
    cases = [(zone, in_zone_at_worst(ledger, zone)) for zone in ledger.zones if zone.zone.share]
    return min(cases, key=lambda case: case[1].profit)


def bottom_line(ledger: OrderLedger, case: Case, m: Arithmetic = EXACT) -> tuple[Number, Number]:
    """Return net sales kept and profit, in the expected or in the worst case."""
    if case == "expected":
        totals = expected(ledger, m)
        return totals.net_sales, totals.profit
    best: tuple[Number, Number] | None = None
    for zone in ledger.zones:
        if not zone.zone.share:
            continue
        totals = in_zone_at_worst(ledger, zone, m)
        net, profit = totals.net_sales, totals.profit
        if best is None:
            best = net, profit
        elif ledger.terms.shipping.follows_label:
            lower = m.is_over(best[1], profit)
            best = m.choose(lower, net, best[0]), m.choose(lower, profit, best[1])
        else:  # the sale is the same in every zone, so only the profit differs
            best = net, m.least(best[1], profit)
    assert best is not None  # shares add up to 1, so one zone at least has orders
    return best


def _set_asides(terms: Terms, net_sales: Number, m: Arithmetic) -> Number:
    percent = sum((laid_by.percent for laid_by in terms.set_asides), Fraction(0))
    return m.most(net_sales, 0) * percent if percent else 0
