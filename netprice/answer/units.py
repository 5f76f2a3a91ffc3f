"""In which unit a number of the files is shown and changed: the one it was written in, step by step."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.errors import QuantityError, QuestionError
from netprice.money import minor_digits, parse_number, show_exact
from netprice.quantity import DIMENSIONS, size_of_unit

_WRITTEN: Final = re.compile(r"\s*(?P<numbers>[\d.+±/ -]*\d\.?)\s*(?P<unit>[^\d\s.].*)?", re.ASCII)
# What a number that no file states yet is shown in.
_USUAL: Final = {"time": "min", "length": "cm", "mass": "g", "power": "kW", "share": "%"}


class Unit(NamedTuple):
    """A unit: its name, what one of it is in the base unit of its dimension, and the step to try values in (base)."""

    name: str
    size: Fraction
    step: Fraction

    def shown(self, value: Fraction) -> str:
        """Return a value, in base units, in this unit: at most three places finer than the step.

        >>> Unit("min", Fraction(1, 60), Fraction(1, 600)).shown(Fraction(3, 4))
        '45 min'
        """
        text = show_exact(value / self.size, self.places)
        if self.name[:3].isupper() and "." in text:  # money has all its digits
            text = text.ljust(text.index(".") + 1 + self.places, "0")
        return f"{text} {self.name}".rstrip()

    @property
    def is_charge(self) -> bool:
        """Whether it counts money or percents."""
        return self.name == "%" or self.name[:3].isupper()

    @property
    def places(self) -> int:
        """Return how many places the step takes when it is written in this unit, and at least two."""
        return max(2, len(show_exact(self.step / self.size).partition(".")[2]))

    def read(self, text: str, what: str) -> Fraction:
        """Return an amount written in this unit, or in another one of its dimension, in base units."""
        found = _WRITTEN.fullmatch(text)
        name = ((found and found["unit"]) or self.name).strip()
        try:
            number = parse_number(found["numbers"] if found else text)
            size, dimension = (self.size, "") if name == self.name else size_of_unit(name)
            fits = not dimension or dimension == size_of_unit(self.name)[1]
        except QuantityError as error:
            raise QuestionError(f"{what}: {error}") from None
        if not fits:
            raise QuestionError(f"{what}: no amount in {self.name} (got {text[:40]!r}); write it in {self.name}")
        return number * size


def unit_of(measures: str, written: object, currency: str, value: Fraction | None) -> Unit:
    """Return the unit of a number as it was written in the file, or the usual one for what it measures.

    The step is a tenth of the last digit that was written; of money the minor unit of the currency, of plain whole
    numbers 1.
    """
    if measures in ("money", "charged", "purchase"):
        return Unit(currency, Fraction(1), Fraction(1, 10 ** minor_digits(currency)))
    if measures.startswith("money"):
        name = _unit_in(written) or DIMENSIONS[measures].unit.format(currency=currency).replace(" ", "")
        return Unit(name.replace("kilowatt_hour", "kWh"), _size(name), Fraction(1, 10 ** minor_digits(currency)))
    if measures == "share":
        return Unit("%", Fraction(1, 100), Fraction(1, 100) * (_last_digit(written) or Fraction(1)) / 10)
    if measures in ("plain", "whole"):
        whole = value is None or Fraction(value).denominator == 1
        return Unit("", Fraction(1), Fraction(1) if whole else (_last_digit(written) or Fraction(1, 10)) / 10)
    name = _unit_in(written) or _USUAL.get(measures, "pieces")
    return Unit(name, _size(name), _size(name) * (_last_digit(written) or Fraction(1)) / 10)


def _size(name: str) -> Fraction:
    return size_of_unit(name)[0]


def _unit_in(written: object) -> str:
    found = _WRITTEN.fullmatch(written) if isinstance(written, str) else None
    return (found["unit"] or "").strip() if found else ""


def _last_digit(written: object) -> Fraction | None:
    """Return what one in the last digit that was written is worth.

    >>> _last_digit("6.5 %"), _last_digit("35..50 min"), _last_digit(None)
    (Fraction(1, 10), Fraction(1, 1), None)
    """
    if written is None or isinstance(written, (dict, list, bool)):
        return None
    numbers = re.findall(r"\d+(?:\.\d+)?", str(written).replace("..", " "))
    places = [len(number.partition(".")[2]) for number in numbers]
    return Fraction(1, 10 ** max(places, default=0)) if numbers and "/" not in str(written) else None
