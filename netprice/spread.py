"""A number in doubt: what somebody wrote as a range, which counts as its mean wherever one number is wanted.

    "35..50 min"          anywhere between, all equally likely                       (uniform)
    "35..40..50 min"      lowest, most likely, highest                               (triangular)
    "40 +- 4 min"         about 40, in two of three cases no further off than 4      (normal), cut off at zero

A `Spread` is a `Fraction`, so every rule works on it as on any other number, exactly, and what comes out of a sum is a
plain number again. Only a question about doubt looks at its ends.

    >>> kiln = Spread.triangular(Fraction(35), Fraction(40), Fraction(51))
    >>> kiln == 42, kiln + 1, kiln.shape
    (True, Fraction(43, 1), 'triangular')
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Final, Literal, NamedTuple, Self

from netprice.errors import QuantityError

Shape = Literal["uniform", "triangular", "normal"]


class Ends(NamedTuple):
    """What a spread lies between. Of a normal one `low` and `high` are one standard deviation off the mean."""

    shape: Shape
    low: Fraction
    likely: Fraction
    high: Fraction


class Spread(Fraction):
    """A number in doubt, equal to its mean; `shape`, `low`, `likely` and `high` say how it is spread."""

    __slots__ = ("ends",)
    ends: Ends

    @classmethod
    def _of(cls, mean: Fraction, ends: Ends) -> Self:
        made: Self = super().__new__(cls, mean)
        made.ends = ends
        return made

    @classmethod
    def uniform(cls, low: Fraction, high: Fraction) -> Self:
        """Return a number anywhere between two ends, all equally likely."""
        middle = (low + high) / 2
        return cls._of(middle, Ends("uniform", low, middle, high))

    @classmethod
    def triangular(cls, low: Fraction, likely: Fraction, high: Fraction) -> Self:
        """Return a number with a lowest, a most likely and a highest value."""
        return cls._of((low + likely + high) / 3, Ends("triangular", low, likely, high))

    @classmethod
    def normal(cls, mean: Fraction, deviation: Fraction) -> Self:
        """Return a number with a mean and a standard deviation."""
        return cls._of(mean, Ends("normal", mean - deviation, mean, mean + deviation))

    @property
    def shape(self) -> Shape:
        """Return how it is spread."""
        return self.ends.shape

    def __copy__(self) -> Self:
        return self

    def __deepcopy__(self, memo: object) -> Self:
        return self

    def __reduce__(self) -> tuple[Callable[..., Spread], tuple[Fraction, Ends]]:
        """Pickle with the ends."""
        return _spread, (Fraction(self), self.ends)


def _spread(mean: Fraction, ends: Ends) -> Spread:
    return Spread._of(mean, ends)  # noqa: SLF001  # what __reduce__ names has to stand outside the class


_NUMBER: Final = r"\d+(?:\.\d+)?(?!\d)|\.\d+"
_UNIT: Final = r"(?P<unit>(\s*[^\d\s.].*)?)"
_BETWEEN: Final = re.compile(
    rf"\s*(?P<low>{_NUMBER})\s*\.\.\s*((?P<likely>{_NUMBER})\s*\.\.\s*)?(?P<high>{_NUMBER}){_UNIT}", re.ASCII
)
_ABOUT: Final = re.compile(rf"\s*(?P<mean>{_NUMBER})\s*(\+-|\+/-|±)\s*(?P<off>{_NUMBER}){_UNIT}", re.ASCII)


def is_range(text: str) -> bool:
    """Whether a text is written as a range.

    >>> is_range("35..50 min"), is_range("40 +- 4 min"), is_range("40 min")
    (True, True, False)
    """
    return ".." in text or "±" in text or "+-" in text or "+/-" in text


def read_range(text: str, read: Callable[[str], Fraction]) -> Spread:
    """Read a range whose numbers are each read by `read`, with the unit that stands behind the last.

    >>> read_range("2..4 %", lambda part: Fraction(part.rstrip(" %")) / 100)
    Spread(3, 100)
    """
    mend = "write '35..50 min', '35..40..50 min' (lowest, likely, highest) or '40 +- 4 min'"
    found = _BETWEEN.fullmatch(text) if len(text) <= 100 else None
    if found:
        low, high = read(found["low"] + found["unit"]), read(found["high"] + found["unit"])
        likely = read(found["likely"] + found["unit"]) if found["likely"] else None
        if not low < high or not (likely is None or low <= likely <= high):
            raise QuantityError(f"a range that does not rise (got {text[:40]!r})", mend)
        return Spread.uniform(low, high) if likely is None else Spread.triangular(low, likely, high)
    about = _ABOUT.fullmatch(text) if len(text) <= 100 else None
    if about is None:
        raise QuantityError(f"no range (got {text[:40]!r})", mend)
    mean, off = read(about["mean"] + about["unit"]), read(about["off"] + about["unit"])
    if not 0 < off < mean:
        raise QuantityError(f"a deviation of zero, or one that is not below the number (got {text[:40]!r})", mend)
    return Spread.normal(mean, off)
