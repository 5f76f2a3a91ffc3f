"""Values of a case as they stand in shop files."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from tests.toml import number

JsonDict = dict[str, Any]


def percent(value: str) -> str:
    """Return a percent of the case as it stands in a file."""
    return f"{number(value)} %"


def share(value: str) -> str:
    """Return a share of the case, a decimal or a fraction, as it stands in a file."""
    return value if "/" in value else f"{number(value)}/1" if "." not in value else _as_percent(value)


def _as_percent(value: str) -> str:
    return f"{number(Fraction(value) * 100)} %"


def money_of(table: JsonDict, *keys: str) -> JsonDict:
    """Return those of the keys that a table has, with plain numbers as they stand in a file."""
    return {key: number(table[key]) for key in keys if key in table}
