"""The kinds of value that stand in a shop's files, each with how it is read and how it looks in a JSON Schema.

A model's field is annotated with one of these, so the model, the reader and the schema cannot disagree:

    length: Millimetres      # written "12 in" or "30 cm", kept as an exact number of millimetres

`Kind` is a plain marker: the models import no validator. pydantic calls it when the reader builds one.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

from netprice.book.ranges import ranged, ranged_measure
from netprice.errors import QuantityError
from netprice.money import exact, minor_digits, parse_number
from netprice.quantity import DIMENSIONS, Measure, read_measure, read_purchase, read_quantity, read_ratio, read_share
from netprice.spread import is_range, read_range

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic_core.core_schema import CoreSchema, ValidationInfo

JsonSchema = dict[str, Any]
_MOST_TEXT = 200
_MOST_ORDERS = 1_000_000
_ENDING = re.compile(r"\d{1,6}(\.\d{1,6})?|\.\d{1,6}", re.ASCII)


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """How a value is read: `read(value, currency)` returns it or raises `QuantityError`; `schema` describes it.

    `measures` says what a number measures, so that it can be shown and changed in a unit: a dimension of `quantity.py`,
    or "share", "plain", "charged" (money of the channel), "measure", "purchase"; "" for what is no number in doubt.
    """

    read: Callable[[Any, str], Any]
    schema: JsonSchema
    measures: str = ""

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Tell pydantic to read the value with `read`; the currency comes from the validation context."""
        from pydantic_core import PydanticCustomError, core_schema

        def validate(value: Any, info: ValidationInfo) -> Any:
            currency = (info.context or {}).get("currency", "")
            try:
                return self.read(value, currency)
            except QuantityError as error:
                kept = {"what": error.what.replace("{", "(").replace("}", ")"), "mend": error.mend}
                raise PydanticCustomError("quantity", "{what}; {mend}", kept) from None

        return core_schema.with_info_plain_validator_function(validate)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchema:
        """Return the JSON Schema of the value as it stands in the file."""
        return dict(self.schema)


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


def _read_money(value: Any, currency: str) -> Fraction:
    if isinstance(value, str):
        return _not_negative(read_quantity(value, "money", currency), value)
    if not _is_number(value):
        raise QuantityError(f"expected an amount of money (got {shown(value)})", "write a plain number such as 31.50")
    return _not_negative(exact(value), value)


def _read_charged(value: Any, currency: str) -> Fraction:  # noqa: ARG001
    if not _is_number(value):
        raise QuantityError(
            f"expected a plain number (got {shown(value)})", "write it like 31.50: it is in the currency of the channel"
        )
    return _not_negative(exact(value), value)


def _read_plain(value: Any, currency: str) -> Fraction:  # noqa: ARG001
    if isinstance(value, str):
        return _not_negative(read_ratio(value), value)
    if not _is_number(value):
        raise QuantityError(f"expected a number (got {shown(value)})", "write a plain number such as 1.25")
    return _not_negative(exact(value), value)


def _read_above_zero(value: Any, currency: str) -> Fraction:
    number = _read_plain(value, currency)
    if number == 0:
        raise QuantityError(f"zero (got {shown(value)})", "write a number above zero")
    return number


def _read_whole(value: Any, currency: str) -> int:  # noqa: ARG001
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= 1000:
        raise QuantityError(f"expected a whole number from 1 (got {shown(value)})", "write a number such as 3")
    return value


def _read_orders(value: Any, currency: str) -> int:  # noqa: ARG001
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= _MOST_ORDERS:
        what = f"expected a whole number of orders (got {shown(value)})"
        raise QuantityError(what, f"write a number from 0 to {_MOST_ORDERS}")
    return value


def _read_yes_no(value: Any, currency: str) -> bool:  # noqa: ARG001
    if not isinstance(value, bool):
        raise QuantityError(f"expected true or false (got {shown(value)})", "write true or false, without quotes")
    return value


def _percent_reader(*, most: int | None) -> Callable[[Any, str], Fraction]:
    def read(value: Any, currency: str) -> Fraction:  # noqa: ARG001
        text = _text(value, "a percent such as '6.5 %'")
        number = _not_negative(read_share(text), value)
        if most is not None and number > most:
            raise QuantityError(f"over 100 % (got {text[:40]!r})", "write a percent from 0 to 100")
        return number

    return read


def _quantity_reader(dimension: str) -> Callable[[Any, str], Fraction]:
    def read(value: Any, currency: str) -> Fraction:
        example = DIMENSIONS[dimension].example.format(currency=currency or "USD")
        text = _text(value, f"{DIMENSIONS[dimension].called} such as {example}")
        return _not_negative(read_quantity(text, dimension, currency), value)

    return read


def _read_measure(value: Any, currency: str) -> Measure:  # noqa: ARG001
    measure = read_measure(_text(value, "a quantity such as '0.95 kg'"))
    _not_negative(measure.amount, value)
    return measure


class Purchase(NamedTuple):
    """What a purchase costs and the measure it brings; without a measure it is the price of one piece."""

    price: Fraction
    brings: Measure | None


def _read_purchase(value: Any, currency: str) -> Purchase:
    if not isinstance(value, str) or "/" not in value:
        return Purchase(_read_money(value, currency), None)
    price, brings = read_purchase(value, currency)
    _not_negative(price, value)
    if brings.amount <= 0:
        raise QuantityError(f"a purchase of nothing (got {value[:40]!r})", "write a quantity above zero")
    return Purchase(price, brings)


class Ending(NamedTuple):
    """The last digits of a price: it leaves `rest` when divided by `modulus`."""

    rest: Fraction
    modulus: int


def _read_ending(value: Any, currency: str) -> Ending:  # noqa: ARG001
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
    if len(text) > _MOST_TEXT or kind not in MEASURES_OF_SUCCESS or (kind == "break-even") == bool(amount.strip()):
        raise QuantityError(f"no target (got {text[:40]!r})", mend)
    if kind == "break-even":
        return Target(kind, Fraction(0))
    try:
        if kind in ("margin", "markup"):
            return Target(kind, read_share(amount))
        return Target(kind, _not_negative(parse_number(amount), amount))
    except QuantityError as error:
        raise QuantityError(error.what, mend) from None


def _read_currency(value: Any, currency: str) -> str:  # noqa: ARG001
    text = _text(value, "an ISO 4217 code such as 'USD'")
    minor_digits(text)
    return text


def _read_day(value: Any, currency: str) -> dt.date:  # noqa: ARG001
    if not isinstance(value, dt.date) or isinstance(value, dt.datetime):
        raise QuantityError(f"expected a date (got {shown(value)})", "write it as 2026-03-31, without quotes")
    return value


def read_name(value: Any, currency: str = "") -> str:  # noqa: ARG001
    """Read a name in Unicode's composed form: not empty, not endless, nothing invisible in it."""
    text = _text(value, "a name")
    if not text.strip() or len(text) > _MOST_TEXT:
        raise QuantityError("an empty or endless name", f"write a name of 1 to {_MOST_TEXT} characters")
    if any(unicodedata.category(mark) in ("Cc", "Cf", "Zl", "Zp") for mark in text):
        raise QuantityError("a name with invisible characters in it", "type the name again by hand")
    return unicodedata.normalize("NFC", text)


def _money_in_range(part: str, currency: str) -> Fraction:
    """Read a number of a range, which may stand without its currency."""
    return _read_money(part, currency) if any(mark.isalpha() for mark in part) else _read_plain(part, currency)


def _read_purchase_or_range(value: Any, currency: str) -> Purchase:
    if not isinstance(value, str) or not is_range(value):
        return _read_purchase(value, currency)
    price, slash, stuff = value.rpartition("/") if "/" in value.replace("+/-", "") else (value, "", "")
    spread = read_range(price, lambda part: _money_in_range(part, currency))
    return Purchase(spread, _read_purchase(f"1 {currency} / {stuff}", currency).brings if slash else None)


def _number(**more: object) -> JsonSchema:
    return {"anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}], **more}


def _string(*examples: str, **more: object) -> JsonSchema:
    return {"type": "string", "examples": list(examples), **more}


_RANGE = r"(\s*(\.\.|±|\+-|\+/-)\s*\d+(\.\d+)?){0,2}"
_PERCENT = rf"^\s*\d+(\.\d+)?{_RANGE}\s*%\s*$"
_SHARE = rf"^\s*\d+(\.\d+)?{_RANGE}\s*(%|/\s*\d+)\s*$"

Money = Annotated[
    Fraction, Kind(ranged(_read_money, _money_in_range), _number(examples=[31.5, "31.50 USD", "28..35 USD"]), "money")
]
Charged = Annotated[Fraction, Kind(_read_charged, {"type": "number", "minimum": 0, "examples": [5.5]}, "charged")]
Plain = Annotated[Fraction, Kind(ranged(_read_plain), _number(examples=[1.25, "1/3"]), "plain")]
AboveZero = Annotated[Fraction, Kind(ranged(_read_above_zero), _number(examples=[1]), "plain")]
Whole = Annotated[int, Kind(_read_whole, {"type": "integer", "minimum": 1, "maximum": 1000}, "whole")]
Orders = Annotated[int, Kind(_read_orders, {"type": "integer", "minimum": 0, "maximum": _MOST_ORDERS})]
YesNo = Annotated[bool, Kind(_read_yes_no, {"type": "boolean"})]
Percent = Annotated[
    Fraction, Kind(ranged(_percent_reader(most=1)), _string("6.5 %", "5..8 %", pattern=_PERCENT), "share")
]
Markup = Annotated[
    Fraction, Kind(ranged(_percent_reader(most=None)), _string("120 %", "5..8 %", pattern=_PERCENT), "share")
]
Share = Annotated[
    Fraction, Kind(ranged(_percent_reader(most=1)), _string("45 %", "1/3", "2..5 %", pattern=_SHARE), "share")
]


def _in_units(dimension: str, *examples: str) -> Kind:
    return Kind(ranged(_quantity_reader(dimension)), _string(*examples), dimension)


Hours = Annotated[Fraction, _in_units("time", "45 min", "1.5 hour", "35..50 min", "35..40..50 min", "40 +- 4 min")]
Millimetres = Annotated[Fraction, _in_units("length", "12 in", "30 cm")]
Grams = Annotated[Fraction, _in_units("mass", "0.95 kg", "2 lb")]
Kilowatts = Annotated[Fraction, _in_units("power", "6.5 kW")]
MoneyPerHour = Annotated[Fraction, _in_units("money per time", "24 USD/hour")]
MoneyPerKwh = Annotated[Fraction, _in_units("money per energy", "0.31 USD/kWh")]
Quantity = Annotated[Measure, Kind(ranged_measure(_read_measure), _string("0.95 kg", "40 cm", "3 pieces"), "measure")]
PurchasePrice = Annotated[
    Purchase, Kind(_read_purchase_or_range, _number(examples=["31.50 USD / 12.5 kg", 3.6]), "purchase")
]
PriceEnding = Annotated[Ending, Kind(_read_ending, _string(".95", ".00", "80", pattern=r"^\d*(\.\d+)?$"))]
TargetText = Annotated[Target, Kind(read_target, _string("margin 30 %", "break-even"))]
Currency = Annotated[str, Kind(_read_currency, _string("USD", "EUR", pattern="^[A-Z]{3}$"))]
Day = Annotated[dt.date, Kind(_read_day, {"description": "a date, written without quotes: 2026-03-31"})]
Name = Annotated[str, Kind(read_name, {"type": "string", "minLength": 1, "maxLength": _MOST_TEXT})]
