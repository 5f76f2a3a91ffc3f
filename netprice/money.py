"""Money: exact amounts, the minor units of a currency, and the five ways to round to them.

Amounts are `Fraction` or `int`, never `float`. A charged amount is a whole number of minor units (cents, yen, fils).

    >>> round_to_whole(Fraction(5, 2), "half-up"), round_to_whole(Fraction(5, 2), "half-even")
    (3, 2)
    >>> minor_digits("USD"), minor_digits("JPY"), minor_digits("KWD")
    (2, 0, 3)
    >>> show_money(Fraction("6437.5"), 2)
    '64.38'
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal, get_args

from netprice.errors import QuantityError

Rounding = Literal["half-up", "half-even", "half-down", "up", "down"]
USUAL_ROUNDING: Final[Rounding] = "half-up"  # of whoever charges something and states no rule
ROUNDINGS: Final[tuple[Rounding, ...]] = get_args(Rounding)

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_MOST_DIGITS = 18
_MOST_EXPONENT = 12


def round_to_whole(amount: Fraction | int, rule: Rounding) -> int:
    """Round `amount` to a whole number by `rule`; "half-up" sends ties away from zero, "up" is away from zero.

    >>> [round_to_whole(Fraction(-5, 2), rule) for rule in ROUNDINGS]
    [-3, -2, -2, -3, -2]
    """
    if isinstance(amount, int):
        return amount
    top, bottom = abs(amount.numerator), amount.denominator
    whole, rest = divmod(top, bottom)
    if _goes_up(rule, 2 * rest - bottom, rest, whole):
        whole += 1
    return whole if amount.numerator >= 0 else -whole


def _goes_up(rule: Rounding, past_half: int, rest: int, whole: int) -> bool:
    if rule == "half-up":
        return past_half >= 0
    if rule == "up":
        return rest > 0
    if rule == "down":
        return False
    if past_half == 0 and rule == "half-even":
        return whole % 2 == 1
    return past_half > 0


@lru_cache(maxsize=64)
def minor_digits(currency: str) -> int:
    """Return the number of minor-unit digits of an ISO 4217 code.

    Source: ISO 4217 list one, as shipped in the `iso4217` data package.
    Raises `QuantityError` for a code that the list does not have or that has no minor unit (gold, test codes).
    """
    digits = _iso_4217().get(currency)
    if digits is None:
        raise QuantityError(
            f"unknown currency (got {currency[:20]!r})", "use an ISO 4217 code such as 'USD', 'EUR' or 'JPY'"
        )
    return int(digits)


@lru_cache(maxsize=1)
def _iso_4217() -> dict[str, int]:
    """Return the minor-unit digits of every currency that has a minor unit.

    The package's own table is read as it is: importing the package builds far more of it than is needed here, and costs
    a command on the terminal a noticeable part of its time.
    """
    from importlib.util import find_spec

    spec = find_spec("iso4217")
    places = spec.submodule_search_locations if spec else None
    assert places, "the iso4217 package is a dependency"
    table = (Path(places[0]) / "table.xml").read_text(encoding="utf-8")
    found = re.findall(r"<Ccy>([A-Z]{3})</Ccy>\s*<CcyNbr>\d+</CcyNbr>\s*<CcyMnrUnts>(\d+)</CcyMnrUnts>", table)
    return {code: int(digits) for code, digits in found}


def parse_number(text: str) -> Fraction:
    """Read a plain number exactly: ASCII digits, a point, at most 18 digits, an exponent within ±12.

    The limits are checked before any conversion, since a huge exponent takes seconds to turn into digits.

    >>> parse_number("31.50")
    Fraction(63, 2)
    """
    text = text.strip(" ")
    if "," in text:
        raise QuantityError(f"no number (got {text[:40]!r})", "write a decimal point, and no commas between thousands")
    if len(text) > 60 or not _NUMBER.fullmatch(text):
        raise QuantityError(f"no number (got {text[:40]!r})", "write a plain number such as 31.50")
    return exact(Decimal(text))


def exact(value: Decimal | int) -> Fraction:
    """Turn a number as read from a file into an exact fraction, within the limits of `parse_number`."""
    number = Decimal(value) if not isinstance(value, int) or abs(value) < 10**_MOST_DIGITS else None
    if number is None or not number.is_finite():
        shown = "a number of too many digits" if number is None else str(value)
        raise QuantityError(f"no amount (got {shown})", "write a plain number such as 31.50")
    digits, exponent = len(number.as_tuple().digits), int(number.as_tuple().exponent)
    if digits > _MOST_DIGITS or not -_MOST_EXPONENT <= exponent <= _MOST_EXPONENT:
        raise QuantityError(
            f"a number out of range (got {str(value)[:40]})",
            f"use at most {_MOST_DIGITS} digits and an exponent within ±{_MOST_EXPONENT}",
        )
    return Fraction(number)


def in_minor(amount: Fraction, digits: int) -> Fraction | int:
    """Return an amount of whole units in minor ones: a whole number, or a fraction where somebody wrote a finer one.

    >>> in_minor(Fraction("31.50"), 2), in_minor(Fraction("0.125"), 2)
    (3150, Fraction(25, 2))
    """
    minor = amount * 10**digits
    return int(minor) if minor.denominator == 1 else minor


def show_money(minor: Fraction | int, digits: int) -> str:
    """Show an amount in minor units as whole units with the currency's digits; only the display is rounded.

    >>> show_money(-1234, 2), show_money(1500, 0), show_money(Fraction(1, 3), 3)
    ('-12.34', '1500', '0.000')
    """
    whole = round_to_whole(minor, "half-up")
    sign = "-" if whole < 0 else ""
    if digits == 0:
        return f"{sign}{abs(whole)}"
    units, rest = divmod(abs(whole), 10**digits)
    return f"{sign}{units}.{rest:0{digits}d}"


def show_exact(value: Fraction | int, places: int = 12) -> str:
    """Show a number as a decimal: exact if it ends within `places`, otherwise rounded half up to them.

    >>> show_exact(Fraction(3, 10)), show_exact(Fraction(1, 3)), show_exact(1500)
    ('0.3', '0.333333333333', '1500')
    """
    text = show_money(Fraction(value) * 10**places, places)
    return text.rstrip("0").rstrip(".") if "." in text else text
