"""Exact numbers: reading them, rounding a charge to minor units, writing them as fraction and decimal."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

JsonDict = dict[str, Any]

ZERO = Fraction(0)
ONE = Fraction(1)
DECIMAL_PLACES = 12


@lru_cache(maxsize=None, typed=True)  # the same few strings are read again at every price
def number(value: object) -> Fraction:
    """Read a decimal string, a fraction string or an integer; a float is refused because it is not exact."""
    if isinstance(value, bool) or not isinstance(value, (str, int, Fraction)):
        raise TypeError(f"not an exact number: {value!r}")
    return Fraction(value)


def field(source: JsonDict, key: str, default: str = "0") -> Fraction:
    """Read an optional exact number of a JSON object."""
    return number(source.get(key, default))


def optional(source: JsonDict, key: str) -> Fraction | None:
    """Read an exact number that may be missing altogether."""
    return number(source[key]) if key in source else None


def percent(source: JsonDict, key: str = "percent") -> Fraction:
    """Read a percent as a share: "7.25" becomes 0.0725."""
    return _hundredth(source.get(key, "0"))


@lru_cache(maxsize=None, typed=True)
def _hundredth(value: object) -> Fraction:
    return number(value) / 100


def ceiling(value: Fraction) -> int:
    """The smallest integer that is not below the value."""
    return -((-value.numerator) // value.denominator)


def round_to_integer(numerator: int, denominator: int, rule: str) -> int:
    """Round a rational number to an integer by one of the five rules."""
    whole, rest = divmod(numerator, denominator)  # floors, so 0 <= rest < denominator also below zero
    if rest == 0 or rule == "down":
        return whole
    if rule == "up":
        return whole + 1
    if 2 * rest != denominator:
        return whole + (2 * rest > denominator)
    if rule == "half_even":
        return whole + whole % 2
    if rule == "half_up":
        return whole + (numerator > 0)
    if rule == "half_down":
        return whole + (numerator < 0)
    raise ValueError(f"unknown rounding rule {rule!r}")


@dataclass(frozen=True)
class Money:
    """A currency's minor unit together with the rule by which charges are rounded to it."""

    digits: int
    rule: str

    def charge(self, amount: Fraction) -> Fraction:
        """Round an amount that somebody charges, pays or refunds."""
        scale: int = 10**self.digits
        return Fraction(round_to_integer(amount.numerator * scale, amount.denominator, self.rule), scale)


def decimal_text(value: Fraction) -> str:
    """The value as a decimal: exact where it ends within twelve places, else rounded to them."""
    scale = 10**DECIMAL_PLACES
    units = round_to_integer(value.numerator * scale, value.denominator, "half_up")
    whole, rest = divmod(abs(units), scale)
    tail = f"{rest:0{DECIMAL_PLACES}d}".rstrip("0")
    return ("-" if units < 0 else "") + str(whole) + ("." + tail if tail else "")


def amount(value: Fraction) -> JsonDict:
    """An amount as it stands in a result."""
    return {"fraction": str(value), "decimal": decimal_text(value)}


def amount_or_none(value: Fraction | None) -> JsonDict | None:
    """An amount that may be undefined."""
    return None if value is None else amount(value)
