"""The few operations in which the money rules need more than plus, minus and times.

The rules of an order are written once, on these operations. What a ledger is made of is `EXACT`: whole minor units and
fractions. A search runs the very same rules on other numbers (many prices at once, or straight lines between break
points) by handing in another `Arithmetic`; it cannot have rules of its own.

    >>> EXACT.rounded(Fraction(5, 2), "half-up"), EXACT.started_steps(Fraction(101), 50)
    (3, 3)
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any, Protocol, TypeAlias

from netprice.money import Rounding, round_to_whole

# `int | Fraction` in a ledger; in a search whatever the search's own arithmetic works on.
Number: TypeAlias = Any
Condition: TypeAlias = Any


class Arithmetic(Protocol):
    """Rounding, comparing and choosing on one kind of number."""

    in_full: bool
    """Whether also to work out what no total needs, for showing it."""

    def rounded(self, amount: Number, rule: Rounding) -> Number:
        """Return a charged amount in whole minor units."""

    def least(self, left: Number, right: Number) -> Number:
        """Return the smaller of the two."""

    def most(self, left: Number, right: Number) -> Number:
        """Return the larger of the two."""

    def is_over(self, left: Number, right: Number) -> Condition:
        """Return where `left` is strictly more than `right`."""

    def choose(self, where: Condition, then: Number, otherwise: Number) -> Number:
        """Return `then` where the condition holds and `otherwise` elsewhere."""

    def started_steps(self, amount: Number, step: Number) -> Number:
        """Return how many steps of size `step` have been started: 0 where `amount` is not above 0."""


class Exact:
    """Whole minor units and fractions: the arithmetic of a ledger. `rounds=False` leaves every charge unrounded."""

    in_full = True

    def __init__(self, *, rounds: bool = True) -> None:
        self._rounds = rounds

    def rounded(self, amount: Number, rule: Rounding) -> Number:
        """Return a charged amount in whole minor units."""
        return round_to_whole(amount, rule) if self._rounds else amount

    def least(self, left: Number, right: Number) -> Number:
        """Return the smaller of the two."""
        return min(left, right)

    def most(self, left: Number, right: Number) -> Number:
        """Return the larger of the two."""
        return max(left, right)

    def is_over(self, left: Number, right: Number) -> Condition:
        """Return whether `left` is strictly more than `right`."""
        return left > right

    def choose(self, where: Condition, then: Number, otherwise: Number) -> Number:
        """Return `then` if the condition holds, else `otherwise`."""
        return then if where else otherwise

    def started_steps(self, amount: Number, step: Number) -> Number:
        """Return how many steps of size `step` have been started."""
        return max(math.ceil(Fraction(amount) / step), 0)


EXACT = Exact()
UNROUNDED = Exact(rounds=False)
