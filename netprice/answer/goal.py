"""What a price must leave, as something that can be held against an order: a measure, an amount, and a case.

Section 7 of the money model. A price meets the goal when, worked out exactly, the measure is at least the amount.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.book.kinds import Target
from netprice.book.product import Case
from netprice.ledger.arithmetic import Number
from netprice.ledger.measures import labour_hours, machine_hours
from netprice.ledger.terms import Terms


class Goal(NamedTuple):
    """A target held in a case, for one order. `divisor` is what profit is divided by; None stands for net sales.

    `wanted` is a ratio (margin, markup) or minor units (money for each unit, hour or order).
    """

    target: Target
    case: Case
    wanted: Fraction
    divisor: Fraction | None

    @classmethod
    def of(cls, target: Target, case: Case, terms: Terms) -> Goal:
        """Return the goal for an order on these terms."""
        scale = 1 if target.kind in ("margin", "markup") else 10**terms.digits
        return cls(target=target, case=case, wanted=target.amount * scale, divisor=_divisor(target.kind, terms))

    @property
    def undefined(self) -> bool:
        """Whether the measure has no meaning whatever the price is: there is nothing to divide by."""
        return self.divisor is not None and self.divisor <= 0

    def surplus(self, net_sales: Number, profit: Number, at: Fraction | None = None) -> Number:
        """Return by how much the profit is above what the goal (or the measure `at`) wants it to be."""
        wanted = self.wanted if at is None else at
        if wanted == 0:
            return profit
        return profit - (net_sales * wanted if self.divisor is None else wanted * self.divisor)

    def measure(self, net_sales: Fraction, profit: Fraction) -> Fraction | None:
        """Return the measure itself, or None where its divisor is not positive."""
        divisor = Fraction(net_sales) if self.divisor is None else self.divisor
        return Fraction(profit) / divisor if divisor > 0 else None


def _divisor(kind: str, terms: Terms) -> Fraction | None:
    match kind:
        case "margin":
            return None
        case "markup":
            return terms.goods_cost + terms.order_cost
        case "profit":
            return Fraction(terms.quantity)
        case "machine-hour":
            return machine_hours(terms)
        case "labour-hour":
            return labour_hours(terms)
        case _:
            return Fraction(1)
