"""With what chance at least so many extra sales come: as a Poisson or as a binomial number of them.

Section 8 of the money model. Chances are not searched for with floats: a binomial chance is an exact fraction, that of
many people and a Poisson one are worked out to more than 45 places.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from decimal import MAX_EMAX, MIN_EMIN, Context, Decimal
from fractions import Fraction
from typing import Final, NamedTuple, TypeAlias

MOST_EXPECTED: Final = 100_000
MOST_PEOPLE: Final = 10**9
# Up to so many people the sum of a binomial chance is kept as a fraction.
_EXACTLY: Final = 5_000
_CONTEXT: Final = Context(prec=60, Emax=MAX_EMAX, Emin=MIN_EMIN)


class Poisson(NamedTuple):
    """Sales that come independently of one another, `expected` of them on average (at most `MOST_EXPECTED`)."""

    expected: Fraction

    @property
    def mean(self) -> Fraction:
        """Return how many sales come on average."""
        return self.expected

    def at_least(self, sales: int) -> Fraction:
        """Return the chance of so many sales or more, with an error below 1e-50.

        >>> float(Poisson(Fraction(14)).at_least(13))
        0.6415415830336589
        """
        if sales <= 0 or not self.expected:
            return Fraction(sales <= 0)
        expected = _decimal(self.expected)
        none = _CONTEXT.exp(_CONTEXT.minus(expected))
        return _unless_fewer(sales, none, lambda k: _CONTEXT.divide(expected, Decimal(k)), self.mean)


class Binomial(NamedTuple):
    """Each of `people` (at most `MOST_PEOPLE`) buys with the chance `conversion`, independently of the others."""

    people: int
    conversion: Fraction

    @property
    def mean(self) -> Fraction:
        """Return how many sales come on average."""
        return self.people * self.conversion

    def at_least(self, sales: int) -> Fraction:
        """Return the chance of so many sales or more: exact up to 5,000 people, else with an error below 1e-45.

        >>> Binomial(3, Fraction(1, 2)).at_least(2)
        Fraction(1, 2)
        """
        if sales <= 0 or sales > self.people or self.conversion in {0, 1}:
            return Fraction(sales <= 0 or (self.conversion == 1 and sales <= self.people))
        return self._exactly(sales) if self.people <= _EXACTLY else self._nearly(sales)

    def _exactly(self, sales: int) -> Fraction:
        """Sum the chances of fewer sales over their common denominator, each term from the one before."""
        buys, out_of = self.conversion.as_integer_ratio()
        leaves = out_of - buys
        term = fewer = 1
        for k in range(1, sales):
            term = term * (self.people - k + 1) * buys // k
            fewer = fewer * leaves + term
        return 1 - Fraction(fewer * leaves ** (self.people - sales + 1), out_of**self.people)

    def _nearly(self, sales: int) -> Fraction:
        odds = _decimal(self.conversion / (1 - self.conversion))
        none = _CONTEXT.power(_decimal(1 - self.conversion), self.people)

        def ratio(k: int) -> Decimal:
            return _CONTEXT.divide(_CONTEXT.multiply(odds, Decimal(self.people - k + 1)), Decimal(k))

        return _unless_fewer(sales, none, ratio, self.mean)


ExtraSales: TypeAlias = Poisson | Binomial


def most_sales(extra: ExtraSales, chance: Fraction) -> int:
    """Return the greatest number of sales that come with at least this chance, which must be above zero.

    >>> most_sales(Binomial(3, Fraction(1, 2)), Fraction(1, 2))
    2
    """
    beyond = int(extra.mean) + 1
    while extra.at_least(beyond) >= chance:
        beyond *= 2
    return bisect_left(range(beyond), True, key=lambda sales: extra.at_least(sales + 1) < chance)


def _decimal(number: Fraction) -> Decimal:
    return _CONTEXT.divide(Decimal(number.numerator), Decimal(number.denominator))


def _unless_fewer(sales: int, none: Decimal, ratio: Callable[[int], Decimal], mean: Fraction) -> Fraction:
    """Return 1 less the chances of 0, 1 … sales − 1, the first being `none` and each `ratio(k)` times the one before.

    All of them are positive, so nothing cancels. Far above the mean they become too small to matter, and the sum ends.
    """
    fewer = term = none
    for k in range(1, sales):
        term = _CONTEXT.multiply(term, ratio(k))
        more = _CONTEXT.add(fewer, term)
        if more == fewer and k > mean:
            break
        fewer = more
    return max(1 - Fraction(fewer), Fraction(0))
