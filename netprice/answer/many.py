"""Exact arithmetic on many prices at once: the rules of an order, run on arrays of whole minor units.

A `Many` holds one exact number for each price: whole numerators over one common denominator, plus one exact constant
that is the same for all. Numerators are 64-bit as long as they provably fit, and Python's own whole numbers after that.

    >>> import numpy as np
    >>> prices = Many(np.array([1000, 1001]), 1, 1001)
    >>> fee = MANY.rounded(prices * Fraction(65, 1000), "half-up")
    >>> fee.at(0), fee.at(1)
    (Fraction(65, 1), Fraction(65, 1))
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any, Final, TypeAlias

import numpy as np
import numpy.typing as npt

from netprice.ledger.arithmetic import EXACT, Number
from netprice.money import Rounding

Wholes: TypeAlias = npt.NDArray[Any]
_FITS: Final = 2**61


def _wide(top: Wholes) -> Wholes:
    """Return the numbers as Python's own whole numbers, which have no largest one."""
    return top if top.dtype == object else top.astype(object)


class Many:
    """One exact number per price: `top / bottom + plus`. `most` bounds the size of every numerator."""

    __slots__ = ("bottom", "most", "plus", "top")

    def __init__(self, top: Wholes, bottom: int, most: int, plus: Fraction | int = 0) -> None:
        # The denominator meets the numerators in every division, so it has to fit as well.
        self.top = _wide(top) if most >= _FITS or bottom >= _FITS else top
        self.bottom = bottom
        self.most = most
        self.plus = plus

    def at(self, place: int) -> Fraction:
        """Return the exact number at one place."""
        return Fraction(int(self.top[place]), self.bottom) + self.plus

    def floats(self) -> npt.NDArray[np.float64]:
        """Return the nearest floats, for ranking candidates that are then compared exactly."""
        return self.top.astype(np.float64) / float(self.bottom) + float(self.plus)

    def over(self, bottom: int) -> Wholes:
        """Return the numerators over a multiple of the denominator, widened where they might not fit."""
        factor = bottom // self.bottom
        if factor == 1:
            return self.top
        return (_wide(self.top) if self.most * factor >= _FITS or factor >= _FITS else self.top) * factor

    def settled(self) -> Many:
        """Return the same numbers with the constant taken into the numerators."""
        if not self.plus:
            return self
        plus = Fraction(self.plus)
        bottom = math.lcm(self.bottom, plus.denominator)
        shift = plus.numerator * (bottom // plus.denominator)
        most = self.most * (bottom // self.bottom) + abs(shift)
        top = self.over(bottom)
        return Many((_wide(top) if most >= _FITS else top) + shift, bottom, most)

    def __neg__(self) -> Many:
        return Many(-self.top, self.bottom, self.most, -self.plus)

    def __add__(self, other: Number) -> Many:
        if not isinstance(other, Many):
            return Many(self.top, self.bottom, self.most, self.plus + other if self.plus else other)
        bottom = math.lcm(self.bottom, other.bottom)
        most = self.most * (bottom // self.bottom) + other.most * (bottom // other.bottom)
        left, right = self.over(bottom), other.over(bottom)
        if most >= _FITS:
            left, right = _wide(left), _wide(right)
        return Many(
            left + right, bottom, most, self.plus + other.plus if self.plus and other.plus else self.plus or other.plus
        )

    def __radd__(self, other: Number) -> Many:
        return self.__add__(other)

    def __sub__(self, other: Number) -> Many:
        return self.__add__(-other)

    def __rsub__(self, other: Number) -> Many:
        return (-self).__add__(other)

    def __mul__(self, factor: Fraction | int) -> Many:
        common = math.gcd(factor.numerator, self.bottom)
        times, bottom = factor.numerator // common, self.bottom // common * factor.denominator
        most = self.most * abs(times)
        top = _wide(self.top) if most >= _FITS or abs(times) >= _FITS else self.top
        return Many(top * times if times != 1 else top, bottom, most, self.plus * factor if self.plus else 0)

    __rmul__ = __mul__

    def __truediv__(self, divisor: Fraction | int) -> Many:
        return self * (1 / Fraction(divisor))

    def __gt__(self, zero: int) -> Wholes:
        limit = -self.plus * self.bottom + zero * self.bottom
        return np.asarray(self.top > math.floor(limit), dtype=bool)

    def __ge__(self, zero: int) -> Wholes:
        limit = -self.plus * self.bottom + zero * self.bottom
        return np.asarray(self.top >= math.ceil(limit), dtype=bool)


class ManyArithmetic:
    """The operations of `Arithmetic` on `Many`; where no price is involved they are those of a ledger."""

    in_full = False

    def rounded(self, amount: Number, rule: Rounding) -> Number:
        """Return charged amounts in whole minor units; amounts that are charged are never below zero."""
        if not isinstance(amount, Many):
            return EXACT.rounded(amount, rule)
        amount = amount.settled()
        if amount.bottom == 1:
            return amount
        wide = Many(amount.top, 1, 2 * (amount.most + amount.bottom))
        most = amount.most // amount.bottom + 1
        return Many(_rounded(wide.top, amount.bottom, rule), 1, most)

    def least(self, left: Number, right: Number) -> Number:
        """Return the smaller of the two at each price."""
        return self.choose(self.is_over(left, right), right, left)

    def most(self, left: Number, right: Number) -> Number:
        """Return the larger of the two at each price."""
        return self.choose(self.is_over(left, right), left, right)

    def is_over(self, left: Number, right: Number) -> Any:
        """Return where `left` is strictly more than `right`."""
        if not isinstance(left, Many) and not isinstance(right, Many):
            return left > right
        return left - right > 0

    def choose(self, where: Any, then: Number, otherwise: Number) -> Number:
        """Return `then` where the condition holds and `otherwise` elsewhere."""
        if isinstance(where, bool):
            return then if where else otherwise
        left, right = _spread(then, where), _spread(otherwise, where)
        bottom = math.lcm(left.bottom, right.bottom)
        most = max(left.most * (bottom // left.bottom), right.most * (bottom // right.bottom))
        return Many(np.where(where, left.over(bottom), right.over(bottom)), bottom, most)

    def started_steps(self, amount: Number, step: Number) -> Number:
        """Return how many steps have been started at each price."""
        if not isinstance(amount, Many):
            return EXACT.started_steps(amount, step)
        steps = (amount / step).settled()
        return Many(np.maximum(-(-steps.top // steps.bottom), 0), 1, steps.most // steps.bottom + 1)


def _spread(number: Number, like: Wholes) -> Many:
    if isinstance(number, Many):
        return number.settled()
    exact = Fraction(number)
    top = np.full(len(like), exact.numerator, dtype=np.int64 if abs(exact.numerator) < _FITS else object)
    return Many(top, exact.denominator, abs(exact.numerator))


def _rounded(top: Any, bottom: int, rule: Rounding) -> Any:
    if rule == "half-up":
        return (2 * top + bottom) // (2 * bottom)
    if rule == "down":
        return top // bottom
    if rule == "up":
        return -(-top // bottom)
    if rule == "half-down":
        return -((bottom - 2 * top) // (2 * bottom))
    whole, rest = top // bottom, top % bottom
    goes_up = (2 * rest > bottom) | ((2 * rest == bottom) & (whole % 2 == 1))
    return whole + goes_up.astype(top.dtype)


MANY: Final = ManyArithmetic()
