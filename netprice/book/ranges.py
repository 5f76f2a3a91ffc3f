"""Values that may be written as a range: readers that take one number, made to take a range of them as well."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any, TypeAlias

from netprice.quantity import Measure
from netprice.spread import is_range, read_range

Read: TypeAlias = Callable[[Any, str], Fraction]


def ranged(read: Read, in_range: Read | None = None) -> Read:
    """Return a reader that also takes a range, whose numbers are read by `in_range`, the same reader unless given."""
    of_range = in_range or read

    def either(value: Any, currency: str) -> Fraction:
        if not isinstance(value, str) or not is_range(value):
            return read(value, currency)
        return read_range(value, lambda part: of_range(part, currency))

    return either


def ranged_measure(read: Callable[[Any, str], Measure]) -> Callable[[Any, str], Measure]:
    """Return a reader of amounts of stuff that also takes a range of them."""

    def either(value: Any, currency: str) -> Measure:
        if not isinstance(value, str) or not is_range(value):
            return read(value, currency)
        parts: list[Measure] = []

        def amount(part: str) -> Fraction:
            parts.append(read(part, currency))
            return parts[-1].amount

        spread = read_range(value, amount)
        return Measure(spread, parts[-1].dimension)

    return either
