"""Which keys a table may have and what may stand in them, taken from the models' own annotations."""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import lru_cache
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin, get_type_hints

from netprice.book.kinds import Kind
from netprice.book.mistakes import Path


class Key(NamedTuple):
    """One key of a table: the field that it fills, what its values are, and whether it has to be there."""

    field: str
    annotation: Any
    required: bool


@lru_cache(maxsize=64)
def keys_of(model: type) -> Mapping[str, Key]:
    """Return the keys of a model's table as they are written in the file.

    >>> from netprice.book.shop import Labour
    >>> list(keys_of(Labour)), keys_of(Labour)["rate"].required
    (['rate', 'hours_per_month'], True)
    """
    hints = get_type_hints(model, include_extras=True)
    return {
        # A field named like a word of Python has an underscore behind it that the file has not.
        each.name.rstrip("_"): Key(
            each.name, _bare(hints[each.name]), each.default is MISSING and each.default_factory is MISSING
        )
        for each in fields(model)
    }


def annotation_at(model: type, path: Path) -> Any:
    """Return the annotation of what stands at a path below a model; None if the path leads out of the model."""
    found: Any = model
    for part in path:
        found = _inside(found, part)
    return found


def table_at(model: type, path: Path) -> type | None:
    """Return the model of the table that stands at a path; None if no table of fixed keys stands there."""
    found = annotation_at(model, path)
    return found if isinstance(found, type) and is_dataclass(found) else None


def choices(annotation: Any) -> tuple[str, ...]:
    """Return the words that may stand there, if only certain words may."""
    return get_args(annotation) if get_origin(annotation) is Literal else ()


def example(annotation: Any) -> object:
    """Return an example of what may stand there."""
    if words := choices(annotation):
        return words[0]
    if get_origin(annotation) is Annotated:
        for mark in annotation.__metadata__:
            if isinstance(mark, Kind):
                return next(iter(mark.schema.get("examples", ())), "...")
    return "..."


def _inside(annotation: Any, part: str | int) -> Any:
    if isinstance(annotation, type) and is_dataclass(annotation):
        key = keys_of(annotation).get(part) if isinstance(part, str) else None
        return key.annotation if key else None
    arguments = get_args(annotation)
    if get_origin(annotation) is dict:
        return _bare(arguments[1])
    if get_origin(annotation) is tuple and isinstance(part, int):
        return _bare(arguments[0] if arguments[-1] is Ellipsis else arguments[min(part, len(arguments) - 1)])
    return None


def _bare(annotation: Any) -> Any:
    """Return an annotation without its `| None`: in a file a key is there or it is not."""
    if get_origin(annotation) in (Union, types.UnionType):
        return next(each for each in get_args(annotation) if each is not type(None))
    return annotation
