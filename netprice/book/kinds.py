"""The kinds of value that stand in a shop's files, each with how it is read and how it looks in a JSON Schema.

A model's field is annotated with one of these, so the model, the reader and the schema cannot disagree:

    length: Millimetres      # written "12 in" or "30 cm", kept as an exact number of millimetres

`Kind` is a plain marker: the models import no validator. pydantic calls it when the reader builds one.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any

from netprice.book.ranges import ranged, ranged_measure
from netprice.book.readers import (
    MOST_ORDERS,
    MOST_TEXT,
    Ending,
    Purchase,
    Target,
    money_in_range,
    percent_reader,
    quantity_reader,
    read_above_zero,
    read_charged,
    read_currency,
    read_date,
    read_ending,
    read_money,
    read_name,
    read_orders,
    read_plain,
    read_purchase_or_range,
    read_stuff,
    read_target,
    read_whole,
    read_yes_no,
)
from netprice.errors import QuantityError
from netprice.quantity import Measure

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic_core.core_schema import CoreSchema, ValidationInfo

JsonSchema = dict[str, Any]


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


def _number(**more: object) -> JsonSchema:
    return {"anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}], **more}


def _string(*examples: str, **more: object) -> JsonSchema:
    return {"type": "string", "examples": list(examples), **more}


_RANGE = r"(\s*(\.\.|±|\+-|\+/-)\s*\d+(\.\d+)?){0,2}"
_PERCENT = rf"^\s*\d+(\.\d+)?{_RANGE}\s*%\s*$"
_SHARE = rf"^\s*\d+(\.\d+)?{_RANGE}\s*(%|/\s*\d+)\s*$"

Money = Annotated[
    Fraction, Kind(ranged(read_money, money_in_range), _number(examples=[31.5, "31.50 USD", "28..35 USD"]), "money")
]
Charged = Annotated[Fraction, Kind(read_charged, {"type": "number", "minimum": 0, "examples": [5.5]}, "charged")]
Plain = Annotated[Fraction, Kind(ranged(read_plain), _number(examples=[1.25, "1/3"]), "plain")]
AboveZero = Annotated[Fraction, Kind(ranged(read_above_zero), _number(examples=[1]), "plain")]
Whole = Annotated[int, Kind(read_whole, {"type": "integer", "minimum": 1, "maximum": 1000}, "whole")]
Orders = Annotated[int, Kind(read_orders, {"type": "integer", "minimum": 0, "maximum": MOST_ORDERS})]
YesNo = Annotated[bool, Kind(read_yes_no, {"type": "boolean"})]
Percent = Annotated[
    Fraction, Kind(ranged(percent_reader(most=1)), _string("6.5 %", "5..8 %", pattern=_PERCENT), "share")
]
Markup = Annotated[
    Fraction, Kind(ranged(percent_reader(most=None)), _string("120 %", "5..8 %", pattern=_PERCENT), "share")
]
Share = Annotated[
    Fraction, Kind(ranged(percent_reader(most=1)), _string("45 %", "1/3", "2..5 %", pattern=_SHARE), "share")
]


def _in_units(dimension: str, *examples: str) -> Kind:
    return Kind(ranged(quantity_reader(dimension)), _string(*examples), dimension)


Hours = Annotated[Fraction, _in_units("time", "45 min", "1.5 hour", "35..50 min", "35..40..50 min", "40 +- 4 min")]
Millimetres = Annotated[Fraction, _in_units("length", "12 in", "30 cm")]
Grams = Annotated[Fraction, _in_units("mass", "0.95 kg", "2 lb")]
Kilowatts = Annotated[Fraction, _in_units("power", "6.5 kW")]
MoneyPerHour = Annotated[Fraction, _in_units("money per time", "24 USD/hour")]
MoneyPerKwh = Annotated[Fraction, _in_units("money per energy", "0.31 USD/kWh")]
Quantity = Annotated[Measure, Kind(ranged_measure(read_stuff), _string("0.95 kg", "40 cm", "3 pieces"), "measure")]
PurchasePrice = Annotated[
    Purchase, Kind(read_purchase_or_range, _number(examples=["31.50 USD / 12.5 kg", 3.6]), "purchase")
]
PriceEnding = Annotated[Ending, Kind(read_ending, _string(".95", ".00", "80", pattern=r"^\d*(\.\d+)?$"))]
TargetText = Annotated[Target, Kind(read_target, _string("margin 30 %", "break-even"))]
Currency = Annotated[str, Kind(read_currency, _string("USD", "EUR", pattern="^[A-Z]{3}$"))]
Day = Annotated[dt.date, Kind(read_date, {"description": "a date, written without quotes: 2026-03-31"})]
Name = Annotated[str, Kind(read_name, {"type": "string", "minLength": 1, "maxLength": MOST_TEXT})]
