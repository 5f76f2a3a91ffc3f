"""How an order ends: delivered, returned, or damaged on the way. Section 6 of the money model."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Literal, NamedTuple

from netprice.ledger.arithmetic import Arithmetic, Number
from netprice.ledger.fees import FeeLine
from netprice.ledger.sale import Sale
from netprice.ledger.terms import Terms

OutcomeName = Literal["delivered", "returned", "damaged"]


class Outcome(NamedTuple):
    """One way an order can end, its chance, and its own sums: `labels` counts every label that the shop pays."""

    name: OutcomeName
    chance: Fraction
    net_sales: Number
    fees: Number
    labels: Number
    goods: Number
    recoveries: Number

    @property
    def profit(self) -> Number:
        """Return what is left before set-asides."""
        return self.net_sales - self.fees - self.labels + (self.recoveries - self.goods)


def outcomes_of(
    terms: Terms,
    sold: Sale,
    fees: tuple[FeeLine, ...],
    cost: Number,
    bare_label: Number,
    m: Arithmetic,
    *,
    order_cost: Number,
) -> Iterator[Outcome]:
    """Yield every way in which the order can end that has a chance above zero; `cost` is the label with insurance."""
    ends = terms.outcomes
    goods = order_cost + terms.goods_cost
    taken = sum_of(line.expected.amount + line.expected.tax for line in fees)
    delivered = 1 - ends.return_rate - ends.damage_rate
    if delivered or m.in_full:
        yield Outcome(
            name="delivered", chance=delivered, net_sales=sold.net_sales, fees=taken, labels=cost, goods=goods,
            recoveries=0,
        )  # fmt: skip
    kept = sum_of(line.expected.kept + line.expected.kept_tax for line in fees) if ends.may_refund else 0
    if ends.return_rate:
        back = bare_label if ends.return_label is None else ends.return_label
        yield Outcome(
            name="returned", chance=ends.return_rate, net_sales=sold.net_sales - sold.refunded_sales, fees=kept,
            labels=cost + back if ends.shop_pays_return_label else cost, goods=goods,
            recoveries=resale(terms, terms.goods_cost),
        )  # fmt: skip
    if ends.damage_rate:
        twice = 2 if ends.replaces else 1
        yield Outcome(
            name="damaged", chance=ends.damage_rate, net_sales=sold.net_sales if ends.replaces else 0,
            fees=taken if ends.replaces else kept, labels=cost * twice, goods=goods * twice,
            recoveries=(cost + goods) * ends.recovered,
        )  # fmt: skip


def resale(terms: Terms, goods_cost: Fraction) -> Fraction:
    """Return what a returned order's units are worth again, less refurbishing once; nothing where none can be sold."""
    ends = terms.outcomes
    return ends.resellable * goods_cost - ends.refurbish if ends.resellable else Fraction(0)


def sum_of(amounts: Iterator[Number]) -> Number:
    """Return the sum of some amounts; 0 for none."""
    total: Number = None
    for amount in amounts:
        total = amount if total is None else total + amount
    return 0 if total is None else total
