"""What a price must leave, as something that can be held against an order: a measure, an amount, and a case.

Section 7 of the money model. A price meets the goal when, worked out exactly, the measure is at least the amount.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.book.product import Case
from netprice.book.readers import Target
from netprice.ledger.arithmetic import Condition, Number
from netprice.ledger.measures import machine_hours, with_replacements
from netprice.ledger.order import Bottom, OrderLedger, bottom
from netprice.ledger.terms import Terms


class Goal(NamedTuple):
    """A target held in a case, for one order. `wanted` is a ratio (margin, markup) or minor units."""

    target: Target
    case: Case
    wanted: Fraction
    terms: Terms

    @classmethod
    def of(cls, target: Target, case: Case, terms: Terms) -> Goal:
        """Return the goal for an order on these terms."""
        scale = 1 if target.kind in ("margin", "markup") else 10**terms.digits
        return cls(target=target, case=case, wanted=target.amount * scale, terms=terms)

    def divisor(self, found: Bottom) -> Number:
        """Return what the profit is divided by, in this order or at each price of a search."""
        match self.target.kind:
            case "margin":
                return found.net_sales
            case "markup":
                return found.cost
            case "profit":
                return Fraction(self.terms.quantity)
            case "machine-hour":
                return machine_hours(self.terms)
            case "labour-hour":
                return with_replacements(self.terms, found.labour_hours)
            case _:
                return Fraction(1)

    def surplus(self, found: Bottom, at: Fraction | None = None) -> Number:
        """Return by how much the profit is above what the goal (or the measure `at`) wants it to be."""
        wanted = self.wanted if at is None else at
        return found.profit - self.divisor(found) * wanted if wanted else found.profit

    def meets(self, found: Bottom) -> Condition:
        """Return whether the goal is met or, for many orders at once, where it is; without a measure it is not."""
        return (self.surplus(found) >= 0) & (self.divisor(found) > 0)

    def met_by(self, order: OrderLedger) -> bool:
        """Whether an order meets the goal, exactly."""
        return bool(self.meets(bottom(order, self.case)))

    def measure(self, found: Bottom) -> Fraction | None:
        """Return the measure itself, or None where its divisor is not positive."""
        divisor = Fraction(self.divisor(found))
        return Fraction(found.profit) / divisor if divisor > 0 else None
