"""Paths into the models of a shop's files: where a number stands, what stands there, and the model with another one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from fractions import Fraction
from typing import Any, Final

from netprice.book.mistakes import Path
from netprice.book.readers import Purchase
from netprice.quantity import Measure

# Tables of many numbers, and numbers that are looked for rather than given: they can be asked for, but are not listed.
_NOT_LISTED: Final = frozenset(
    {"rates", "editions", "fuel_table", "prices", "list_prices", "values", "demand", "hours_per_month"}
)


def numbers_below(value: Any, path: Path) -> Iterator[Path]:
    """Yield the paths of all numbers below a path, named as the file names them."""
    for part in path:
        value = inside(value, part)
    yield from _below(value, path)


def _below(value: Any, path: Path) -> Iterator[Path]:
    if isinstance(value, (Fraction, Measure, Purchase)):
        yield path
    elif is_dataclass(value):
        for each in fields(value):
            # Other channels are not asked about.
            if each.name not in _NOT_LISTED and (path or each.name != "channels"):
                yield from _below(getattr(value, each.name), (*path, each.name.rstrip("_")))
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _below(inner, (*path, key))
    elif isinstance(value, tuple) and not hasattr(value, "_fields"):
        for place, inner in enumerate(value):
            yield from _below(inner, (*path, getattr(inner, "name", None) or place))


def with_places(model: Any, path: Path) -> Path | None:
    """Return the path with places instead of names in lists; None where it leads nowhere."""
    found: list[str | int] = []
    value = model
    for at, part in enumerate(path):
        if isinstance(value, tuple) and not hasattr(value, "_fields"):
            names = [getattr(each, "name", None) for each in value]
            place = names.index(part) if part in names else int(part) if str(part).isdigit() else -1
            if not 0 <= place < len(value):
                return None
            found.append(place)
            value = value[place]
            continue
        if isinstance(value, Mapping) and part not in value:
            return None
        found.append(part)
        value = inside(value, part)
        if value is None and at < len(path) - 1:
            return (*found, *path[at + 1 :])
    return tuple(found)


def inside(value: Any, part: str | int) -> Any:
    """Return what stands below one part of a path; None where nothing does."""
    if isinstance(value, Mapping):
        return value.get(part)
    if isinstance(value, tuple) and isinstance(part, int):
        return value[part]
    name = part if not hasattr(value, f"{part}_") else f"{part}_"
    return getattr(value, str(name), None) if is_dataclass(value) else None


def value_at(model: Any, path: Path) -> Any:
    """Return what stands at a path with places; None where nothing does."""
    for part in path:
        model = inside(model, part)
    return model


def with_value_at(model: Any, path: Path, value: Any) -> Any:
    """Return a frozen model with another value at a path."""
    if not path:
        if isinstance(model, Purchase):
            return Purchase(value, model.brings)
        return Measure(value, model.dimension) if isinstance(model, Measure) else value
    part, rest = path[0], path[1:]
    if isinstance(model, Mapping):
        return {**model, part: with_value_at(model.get(str(part)), rest, value)}
    if isinstance(model, tuple):
        place = int(part)
        return (*model[:place], with_value_at(model[place], rest, value), *model[place + 1 :])
    name = str(part) if not hasattr(model, f"{part}_") else f"{part}_"
    return replace(model, **{name: with_value_at(getattr(model, name), rest, value)})


def written_at(table: Any, path: Path) -> object:
    """Return what the file itself has at a path, as it is written; None where it has nothing."""
    for part in path:
        if isinstance(table, Mapping):
            table = table.get(part)
        elif isinstance(table, list) and isinstance(part, int) and part < len(table):
            table = table[part]
        else:
            return None
    return table


def split_path(name: str) -> Path:
    """Split a path at its dots; a key with a dot in it stands in quotes, as in the file.

    >>> split_path('material."no. 5 glaze".quantity')
    ('material', 'no. 5 glaze', 'quantity')
    """
    parts, quoted, part = [], "", ""
    for mark in name.strip():
        if mark == quoted:
            quoted = ""
        elif mark in "\"'" and not part and not quoted:
            quoted = mark
        elif mark == "." and not quoted:
            parts.append(part.strip())
            part = ""
        else:
            part += mark
    return (*parts, part.strip())
