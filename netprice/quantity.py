"""Quantities with units, read from text by pint on a small registry of our own, exactly.

The registry knows the units that makers, parcels and electricity meters use, and each currency as a dimension of its
own. Numbers are fractions throughout: an inch is 25.4 mm to the last digit.

    >>> read_quantity("45 min", "time")
    Fraction(3, 4)
    >>> read_quantity("12 in", "length")
    Fraction(1524, 5)
    >>> read_percent("6.5 %")
    Fraction(13, 200)
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from netprice.errors import QuantityError
from netprice.money import minor_digits, parse_number, show_exact

if TYPE_CHECKING:
    from pint import UnitRegistry

# Exact by definition: inch and pound from 16 CFR 500.19; US gallon = 231 cubic inches, NIST Handbook 44, appendix C.
_UNITS: Final = (
    "meter = [length] = m = metre",
    "centimeter = 0.01 meter = cm",
    "millimeter = 0.001 meter = mm",
    "inch = 0.0254 meter = in",
    "foot = 12 inch = ft",
    "yard = 36 inch = yd",
    "kilogram = [mass] = kg",
    "gram = 0.001 kilogram = g",
    "pound = 0.45359237 kilogram = lb",
    "ounce = 0.0625 pound = oz",
    "hour = [time] = h = hours",
    "minute = hour / 60 = min = minutes",
    "second = minute / 60 = s = seconds",
    "day = 24 hour = d = days",
    "liter = 0.001 meter ** 3 = L = l = litre",
    "milliliter = 0.001 liter = ml = mL",
    "gallon = 231 inch ** 3 = gal",
    "fluid_ounce = gallon / 128 = fl_oz",
    "board_foot = 144 inch ** 3 = bf",
    "kilowatt = [power] = kW",
    "watt = 0.001 kilowatt = W",
    "kilowatt_hour = kilowatt * hour = kWh",
    "piece = [count] = pc = pieces",
)


class Dimension(NamedTuple):
    """A kind of quantity: the unit that its numbers are kept in, what to call it, and an example to follow."""

    unit: str
    called: str
    example: str


DIMENSIONS: Final[dict[str, Dimension]] = {
    "time": Dimension("hour", "a duration", "'45 min'"),
    "length": Dimension("millimeter", "a length", "'12 in'"),
    "mass": Dimension("gram", "a weight", "'0.95 kg'"),
    "volume": Dimension("millimeter ** 3", "a volume", "'1728 in^3'"),
    "area": Dimension("millimeter ** 2", "an area", "'0.5 m^2'"),
    "power": Dimension("kilowatt", "a power", "'6.5 kW'"),
    "count": Dimension("piece", "a count", "'3 pieces'"),
    "money": Dimension("{currency}", "money", "'31.50 {currency}'"),
    "money per time": Dimension("{currency} / hour", "money per time", "'24 {currency}/hour'"),
    "money per energy": Dimension("{currency} / kilowatt_hour", "money per energy", "'0.31 {currency}/kWh'"),
}
_MEASURES: Final = ("mass", "length", "area", "volume", "count", "time")

_QUANTITY = re.compile(
    r"\s*(?P<number>[+-]?[\d.,]+(?:[eE][+-]?\d+)?(?:\s*/\s*\d+(?=\s))?)\s*(?P<unit>[^\d\s/^*].*)?", re.ASCII
)
_UNIT = re.compile(r"[A-Za-z_]+(\s?(\^|\*\*)\s?[23])?(\s*/\s*[A-Za-z_]+)?", re.ASCII)
_LONGEST = 80


class Measure(NamedTuple):
    """An amount of stuff: a number in the base unit of its dimension (grams, millimetres, pieces, hours …)."""

    amount: Fraction
    dimension: str


_SHOWN: Final = {
    "mass": (("kg", Fraction(1000)), ("g", Fraction(1))),
    "length": (("m", Fraction(1000)), ("cm", Fraction(10)), ("mm", Fraction(1))),
    "area": (("m²", Fraction(10**6)), ("cm²", Fraction(100))),
    "volume": (("L", Fraction(10**6)), ("ml", Fraction(1000))),
    "time": (("h", Fraction(1)), ("min", Fraction(1, 60))),
    "count": (("pieces", Fraction(1)),),
}


def show_measure(measure: Measure | None) -> str:
    """Return an amount of stuff in a unit that suits its size; without one it is a piece.

    >>> show_measure(read_measure("950 g")), show_measure(read_measure("12.5 kg"))
    ('950 g', '12.5 kg')
    """
    if measure is None:
        return "a piece"
    units = _SHOWN[measure.dimension]
    unit, size = next(((unit, size) for unit, size in units if measure.amount >= size), units[-1])
    shown = show_exact(measure.amount / size, 4)
    return "1 piece" if (shown, unit) == ("1", "pieces") else f"{shown} {unit}"


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[Any]:
    import pint

    registry: UnitRegistry[Any] = pint.UnitRegistry(None, non_int_type=Fraction)
    for line in _UNITS:
        registry.define(line)
    return registry


@lru_cache(maxsize=512)
def _factor(unit: str) -> tuple[Fraction, str, str]:
    """Return the size of `unit` in base units, its dimension's name, and its currency ('' if it is no money)."""
    import pint

    if not _UNIT.fullmatch(unit):
        raise QuantityError(f"no unit that is known (got {unit[:40]!r})", "use units such as kg, cm, in, lb, min, hour")
    currency = _currency_in(unit)
    registry = _registry()
    if currency and currency not in registry:
        registry.define(f"{currency} = [{currency}]")
    try:
        quantity = registry.Quantity(Fraction(1), registry.parse_units(unit.replace("^", "**")))
    except (pint.PintError, ValueError):
        raise QuantityError(f"an unknown unit (got {unit[:40]!r})", _nearest_unit(unit)) from None
    for name, dimension in DIMENSIONS.items():
        base = registry.parse_units(dimension.unit.format(currency=currency or "hour"))
        if quantity.is_compatible_with(base) and ("currency" not in dimension.unit or currency):
            return Fraction(quantity.m_as(base)), name, currency
    raise QuantityError(f"a unit of no use here (got {unit[:40]!r})", "use units such as kg, cm, in, lb, min, hour")


def _currency_in(unit: str) -> str:
    for word in re.findall(r"[A-Za-z_]+", unit):
        if len(word) == 3 and word.isupper():
            minor_digits(word)
            return str(word)
    return ""


def _nearest_unit(unit: str) -> str:
    import difflib

    names = [name for line in _UNITS for name in (line.split(" = ")[0], *line.split(" = ")[2:])]
    near = difflib.get_close_matches(unit.split("/", maxsplit=1)[0].strip(), names, n=1)
    return f"did you mean {near[0]!r}?" if near else "use units such as kg, cm, in, lb, min, hour"


def _split(text: str, wanted: str) -> tuple[Fraction, str]:
    match = _QUANTITY.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None or match["unit"] is None:
        raise QuantityError(f"expected {wanted} (got {text[:40]!r})", "write a number and its unit")
    return read_ratio(match["number"]), match["unit"].strip()


def read_ratio(text: str) -> Fraction:
    """Read a number or a fraction of two whole numbers.

    >>> read_ratio("1/3"), read_ratio("0.25")
    (Fraction(1, 3), Fraction(1, 4))
    """
    top, slash, bottom = text.partition("/")
    value = parse_number(top)
    if not slash:
        return value
    divisor = parse_number(bottom)
    if divisor == 0:
        raise QuantityError(f"a fraction over zero (got {text[:40]!r})", "write a divisor above zero, such as '1/3'")
    return value / divisor


def read_quantity(text: str, dimension: str, currency: str = "") -> Fraction:
    """Read `text` as a quantity of `dimension`, in the dimension's unit (hours, millimetres, grams …), exactly.

    Raises `QuantityError` with what was expected where the text has no unit, an unknown one, or one of another
    dimension, or a currency other than `currency`.

    >>> read_quantity("24 USD/hour", "money per time", "USD")
    Fraction(24, 1)
    >>> read_quantity("0.95 kg", "time")
    Traceback (most recent call last):
    netprice.errors.QuantityError: expected a duration such as '45 min', got a weight ('0.95 kg'); write a duration
    """
    wanted = DIMENSIONS[dimension]
    example = f"{wanted.called} such as {wanted.example.format(currency=currency or 'USD')}"
    number, unit = _split(text, example)
    factor, found, money = _factor(unit)
    if found != dimension:
        got = DIMENSIONS[found].called
        raise QuantityError(f"expected {example}, got {got} ({text[:40]!r})", f"write {wanted.called}")
    if money and currency and money != currency:
        raise QuantityError(f"another currency than {currency} (got {text[:40]!r})", f"write the amount in {currency}")
    return number * factor


def read_measure(text: str) -> Measure:
    """Read an amount of stuff: a weight, length, area, volume, count or time.

    >>> read_measure("12.5 kg")
    Measure(amount=Fraction(12500, 1), dimension='mass')
    """
    number, unit = _split(text, "a quantity such as '0.95 kg'")
    factor, found, _ = _factor(unit)
    if found not in _MEASURES:
        called = DIMENSIONS[found].called
        raise QuantityError(f"expected a quantity such as '0.95 kg', got {called} ({text[:40]!r})", "write a quantity")
    return Measure(number * factor, found)


def read_percent(text: str) -> Fraction:
    """Read a percent as a plain fraction of one.

    >>> read_percent("12.5 %")
    Fraction(1, 8)
    """
    body, mark, after = text.partition("%")
    if len(text) > _LONGEST or not mark or after.strip():
        raise QuantityError(f"expected a percent such as '6.5 %' (got {text[:40]!r})", "write a number and a % sign")
    return parse_number(body) / 100


def read_share(text: str) -> Fraction:
    """Read a share of a whole: a percent, or a fraction such as '1/3'.

    >>> read_share("45 %"), read_share("1/3")
    (Fraction(9, 20), Fraction(1, 3))
    """
    if "/" in text and "%" not in text and len(text) <= _LONGEST:
        return read_ratio(text)
    return read_percent(text)


def read_purchase(text: str, currency: str) -> tuple[Fraction, Measure]:
    """Read what a purchase costs and how much it brings: `31.50 USD / 12.5 kg`.

    Returns the money, in whole units of `currency`, and the measure bought.

    >>> read_purchase("31.50 USD / 12.5 kg", "USD")
    (Fraction(63, 2), Measure(amount=Fraction(12500, 1), dimension='mass'))
    """
    money, slash, stuff = text.partition("/")
    if len(text) > _LONGEST or not slash:
        example = f"'31.50 {currency} / 12.5 kg'"
        raise QuantityError(f"expected a price for a quantity such as {example} (got {text[:40]!r})", "write both")
    stuff = stuff.strip()
    if stuff and stuff[0].isalpha():
        stuff = f"1 {stuff}"
    return read_quantity(money, "money", currency), read_measure(stuff)


def size_of_unit(unit: str) -> tuple[Fraction, str]:
    """Return what one of a unit is in the base unit of its dimension, and the dimension.

    >>> size_of_unit("min")
    (Fraction(1, 60), 'time')
    """
    size, dimension, _ = _factor(unit)
    return size, dimension
