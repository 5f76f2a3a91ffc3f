"""Writes TOML for tests, so that what they make up goes through the real reader."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any


class Raw(str):
    """A value that stands in the file as it is: a number, a date."""

    __slots__ = ()


def number(value: str | int | Fraction) -> Raw | str:
    """Return an exact number as TOML: a plain decimal where it has one, else a fraction in quotes."""
    exact = Fraction(value)
    digits = 0
    while exact.denominator != 1 and (exact * 10**digits).denominator != 1:
        digits += 1
        if digits > 18:
            return f"{exact.numerator}/{exact.denominator}"
    whole = exact * 10**digits
    if digits == 0:
        return Raw(whole.numerator)
    sign, text = "-" if whole < 0 else "", f"{abs(whole.numerator):0{digits + 1}d}"
    return Raw(f"{sign}{text[:-digits]}.{text[-digits:]}")


def dumps(table: Mapping[str, Any]) -> str:
    """Return the table as a TOML document; values that are None are left out."""
    return "\n".join(_table(table, ())) + "\n"


def _table(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    tables = {key: value for key, value in table.items() if isinstance(value, Mapping)}
    if path:
        yield f"[{'.'.join(map(_key, path))}]"
    for key, value in table.items():
        if key not in tables and value is not None:
            yield f"{_key(key)} = {_value(value)}"
    for key, inner in tables.items():
        yield from _table(inner, (*path, key))


def _key(key: str) -> str:
    return key if key.isidentifier() and key.isascii() else json.dumps(key)


def _value(value: Any) -> str:
    if isinstance(value, Raw):
        return str(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        inner = (f"{_key(key)} = {_value(each)}" for key, each in value.items() if each is not None)
        return f"{{{', '.join(inner)}}}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_value(each) for each in value)}]"
    return str(value) if isinstance(value, int) else json.dumps(value, ensure_ascii=False)
