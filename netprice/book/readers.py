"""Reading the values that stand in a shop's files: from what TOML has to an exact value, or what is wrong with it.

Each reader takes the value and the currency that bare amounts are in, and raises `QuantityError` saying what it got and
how to mend it. `kinds.py` says which reader a key is read by.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

from netprice.errors import QuantityError
from netprice.money import exact, minor_digits, parse_number
from netprice.quantity import DIMENSIONS, Measure, read_measure, read_purchase, read_quantity, read_ratio, read_share
from netprice.spread import is_range, read_range

MOST_TEXT = 200
MOST_ORDERS = 1_000_000
_ENDING = re.compile(r"\d{1,6}(\.\d{1,6})?|\.\d{1,6}", re.ASCII)


def shown(value: object) -> str:
    r"""Show a value in a message, in a few words and on one line, whatever a file may hold.

    >>> shown(True), shown({"a": 1}), shown("45\nmin"), shown(3)
    ('true', 'a table', "'45\\nmin'", '3')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (dict, list)):
        return "a table" if isinstance(value, dict) else "a list"
    return repr(value[:40]) if isinstance(value, str) else str(value)[:40]


def _text(value: object, wanted: str) -> str:
    if not isinstance(value, str):
        raise QuantityError(f"expected {wanted} (got {shown(value)})", f"write {wanted} in quotes")
    return value


def _not_negative(number: Fraction, value: object) -> Fraction:
    if number < 0:
        raise QuantityError(f"below zero (got {shown(value)})", "write an amount of zero or more")
    return number


def _is_number(value: object) -> bool:
    return isinstance(value, (int, Decimal)) and not isinstance(value, bool)


def read_money(value: Any, currency: str) -> Fraction:
    """Read an amount of money: a bare number in the currency, or a text with its unit."""
    if isinstance(value, str):
        return _not_negative(read_quantity(value, "money", currency), value)
    if not _is_number(value):
        raise QuantityError(f"expected an amount of money (got {shown(value)})", "write a plain number such as 31.50")
    return _not_negative(exact(value), value)


def read_charged(value: Any, currency: str) -> Fraction:  # noqa: ARG001
    """Read an amount that a channel charges: a bare number in the currency of the channel."""
    if not _is_number(value):
        raise QuantityError(
            f"expected a plain number (got {shown(value)})", "write it like 31.50: it is in the currency of the channel"
        )
    return _not_negative(exact(value), value)


def read_plain(value: Any, currency: str) -> Fraction:  # noqa: ARG001
    """Read a number of zero or more; a text may be a fraction such as '1/3'."""
    if isinstance(value, str):
        return _not_negative(read_ratio(value), value)
    if not _is_number(value):
        raise QuantityError(f"expected a number (got {shown(value)})", "write a plain number such as 1.25")
    return _not_negative(exact(value), value)


def read_above_zero(value: Any, currency: str) -> Fraction:
    """Read a number above zero."""
    number = read_plain(value, currency)
    if number == 0:
        raise QuantityError(f"zero (got {shown(value)})", "write a number above zero")
    return number


def read_whole(value: Any, currency: str) -> int:  # noqa: ARG001
    """Read a whole number from 1 to 1000."""
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= 1000:
        raise QuantityError(f"expected a whole number from 1 (got {shown(value)})", "write a number such as 3")
    return value


def read_orders(value: Any, currency: str) -> int:  # noqa: ARG001
    """Read a whole number of orders, which may be none."""
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= MOST_ORDERS:
        what = f"expected a whole number of orders (got {shown(value)})"
        raise QuantityError(what, f"write a number from 0 to {MOST_ORDERS}")
    return value


def read_yes_no(value: Any, currency: str) -> bool:  # noqa: ARG001
    """Read true or false."""
    if not isinstance(value, bool):
        raise QuantityError(f"expected true or false (got {shown(value)})", "write true or false, without quotes")
    return value


def percent_reader(*, most: int | None) -> Callable[[Any, str], Fraction]:
    """Return a reader of percents and shares, up to `most` where there is an end."""

    def read(value: Any, currency: str) -> Fraction:  # noqa: ARG001
        text = _text(value, "a percent such as '6.5 %'")
        number = _not_negative(read_share(text), value)
        if most is not None and number > most:
            raise QuantityError(f"over 100 % (got {text[:40]!r})", "write a percent from 0 to 100")
        return number

    return read


def quantity_reader(dimension: str) -> Callable[[Any, str], Fraction]:
    """Return a reader of quantities of one dimension, in that dimension's unit."""

    def read(value: Any, currency: str) -> Fraction:
        example = DIMENSIONS[dimension].example.format(currency=currency or "USD")
        text = _text(value, f"{DIMENSIONS[dimension].called} such as {example}")
        return _not_negative(read_quantity(text, dimension, currency), value)

    return read


def read_stuff(value: Any, currency: str) -> Measure:  # noqa: ARG001
    """Read an amount of stuff such as '0.95 kg'."""
    measure = read_measure(_text(value, "a quantity such as '0.95 kg'"))
    _not_negative(measure.amount, value)
    return measure


class Purchase(NamedTuple):
    """What a purchase costs and the measure it brings; without a measure it is the price of one piece."""

    price: Fraction
    brings: Measure | None


def _read_purchase(value: Any, currency: str) -> Purchase:
    if not isinstance(value, str) or "/" not in value:
        return Purchase(read_money(value, currency), None)
    price, brings = read_purchase(value, currency)
    _not_negative(price, value)
    if brings.amount <= 0:
        raise QuantityError(f"a purchase of nothing (got {value[:40]!r})", "write a quantity above zero")
    return Purchase(price, brings)


class Ending(NamedTuple):
    """The last digits of a price: it leaves `rest` when divided by `modulus`."""

    rest: Fraction
    modulus: int


def read_ending(value: Any, currency: str) -> Ending:  # noqa: ARG001
    """Read the last digits of a price, such as '.95'."""
    text = _text(value, "the last digits of a price such as '.95'")
    if not _ENDING.fullmatch(text):
        raise QuantityError(f"no last digits of a price (got {shown(value)})", "write them like '.95', '9.00' or '80'")
    return Ending(parse_number(text), 10 ** len(text.partition(".")[0]))


MEASURES_OF_SUCCESS = ("margin", "markup", "profit", "machine-hour", "labour-hour", "break-even")


class Target(NamedTuple):
    """What a price must leave: one of `MEASURES_OF_SUCCESS` and how much (0.30 is 30 %; money in whole units)."""

    kind: str
    amount: Fraction


def read_target(value: Any, currency: str = "") -> Target:  # noqa: ARG001
    """Read a target: "margin 30 %", "markup 50 %", "profit 12.00", "machine-hour 40", "labour-hour 25", "break-even".

    Amounts of money are plain numbers in the currency of the channel.

    >>> read_target("margin 30 %")
    Target(kind='margin', amount=Fraction(3, 10))
    """
    text = _text(value, "a target such as 'margin 30 %'").strip()
    kind, _, amount = text.partition(" ")
    mend = "use 'margin 30 %', 'markup 50 %', 'profit 12.00', 'machine-hour 40', 'labour-hour 25' or 'break-even'"
    if len(text) > MOST_TEXT or kind not in MEASURES_OF_SUCCESS or (kind == "break-even") == bool(amount.strip()):
        raise QuantityError(f"no target (got {text[:40]!r})", mend)
    if kind == "break-even":
        return Target(kind, Fraction(0))
    try:
        if kind in ("margin", "markup"):
            return Target(kind, read_share(amount))
        return Target(kind, _not_negative(parse_number(amount), amount))
    except QuantityError as error:
        raise QuantityError(error.what, mend) from None


def read_currency(value: Any, currency: str) -> str:  # noqa: ARG001
    """Read an ISO 4217 code."""
    text = _text(value, "an ISO 4217 code such as 'USD'")
    minor_digits(text)
    return text


def read_date(value: Any, currency: str) -> dt.date:  # noqa: ARG001
    """Read a date, which TOML has without quotes."""
    if not isinstance(value, dt.date) or isinstance(value, dt.datetime):
        raise QuantityError(f"expected a date (got {shown(value)})", "write it as 2026-03-31, without quotes")
    return value


def read_name(value: Any, currency: str = "") -> str:  # noqa: ARG001
    """Read a name in Unicode's composed form: not empty, not endless, nothing invisible in it."""
    text = _text(value, "a name")
    if not text.strip() or len(text) > MOST_TEXT:
        raise QuantityError("an empty or endless name", f"write a name of 1 to {MOST_TEXT} characters")
    if any(unicodedata.category(mark) in ("Cc", "Cf", "Zl", "Zp") for mark in text):
        raise QuantityError("a name with invisible characters in it", "type the name again by hand")
    return unicodedata.normalize("NFC", text)


def money_in_range(part: str, currency: str) -> Fraction:
    """Read a number of a range, which may stand without its currency."""
    return read_money(part, currency) if any(mark.isalpha() for mark in part) else read_plain(part, currency)


def read_purchase_or_range(value: Any, currency: str) -> Purchase:
    """Read what a purchase costs, or between what, and the measure it brings."""
    if not isinstance(value, str) or not is_range(value):
        return _read_purchase(value, currency)
    price, slash, stuff = value.rpartition("/") if "/" in value.replace("+/-", "") else (value, "", "")
    spread = read_range(price, lambda part: money_in_range(part, currency))
    return Purchase(spread, _read_purchase(f"1 {currency} / {stuff}", currency).brings if slash else None)
