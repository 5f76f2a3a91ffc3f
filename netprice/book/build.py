"""From a table to a frozen model, with every mistake in it.

What is wrong is cut out and the rest is built all the same, so that the rules that go beyond single values can look
at the rest at once: whoever mends a file should not meet its second mistake only after mending the first.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from netprice.book.keys import keys_of, table_at
from netprice.book.mistakes import Mistake, Path
from netprice.book.toml_text import Table
from netprice.book.words import told

if TYPE_CHECKING:
    from pydantic import TypeAdapter

MOST_MISTAKES: Final = 200
"""How many mistakes of one file are told: nobody reads more, and a hostile file could have a hundred thousand."""

# What stands in for a key that a file must have and has not, or has wrong, while the rest of the file is looked at.
_STAND_INS: Final[dict[str, Any]] = {
    "name": "-",
    "currency": "USD",
    "target": "break-even",
    "channels": {},
    "length_unit": "mm",
    "weight_unit": "g",
}


class Built(NamedTuple):
    """What became of a table: the model without what was wrong, the mistakes, and the paths that were wrong."""

    model: Any
    mistakes: tuple[Mistake, ...] = ()
    flawed: tuple[Path, ...] = ()

    def sound(self, mistakes: Iterable[Mistake]) -> Iterable[Mistake]:
        """Leave out mistakes that may only be there because of something else in their table that was wrong."""
        if not self.flawed:
            return mistakes
        tables = {path[:-1] for path in self.flawed}
        inner = {path[:end] for path in self.flawed for end in range(1, len(path))}
        whole = set(self.flawed)
        return (
            each
            for each in mistakes
            if tables.isdisjoint(each.lacks)
            and each.path not in inner
            and not any(each.path[:end] in whole for end in range(len(each.path) + 1))
        )


@lru_cache(maxsize=8)
def adapter(model: type) -> TypeAdapter[Any]:
    """Return what checks tables against a model."""
    from pydantic import TypeAdapter

    return TypeAdapter(model)


def build(model: type, table: Table, currency: str) -> Built:
    """Build the model from a table; amounts of money are in `currency` ('' if it is not known)."""
    from pydantic import ValidationError

    try:
        return Built(adapter(model).validate_python(table, context={"currency": currency}))
    except ValidationError as error:
        errors = error.errors(include_url=False)
    mistakes = [told(each, model) for each in errors[: MOST_MISTAKES + 1]]
    flawed = {each["loc"] for each in errors}
    rest = copy.deepcopy(table)
    for path in tuple(flawed):
        flawed.add(_cut(rest, path, model))
    try:
        built = adapter(model).validate_python(rest, context={"currency": currency})
    except ValidationError:
        built = None
    return Built(built, tuple(mistakes), tuple(flawed))


def _cut(table: Table, path: Path, model: type) -> Path:
    """Take out what stands at the path, with its table where that cannot be without it; return what was taken out.

    Places in lists stay as they are, since mistakes are told by place: a whole list goes before one of its places does.
    """
    while path and (isinstance(path[-1], int) or _required(model, path)):
        if len(path) == 1:
            table[str(path[0])] = copy.deepcopy(_STAND_INS[str(path[0])])
            return path
        path = path[:-1]
    inside: Any = table
    for part in path[:-1]:
        if not isinstance(inside, (dict, list)) or (isinstance(inside, dict) and part not in inside):
            return path
        inside = inside[part]  # type: ignore[index]
    if path and isinstance(inside, dict):
        inside.pop(path[-1], None)
    return path


def _required(model: type, path: Path) -> bool:
    table = table_at(model, path[:-1])
    key = keys_of(table).get(str(path[-1])) if table else None
    return key is not None and key.required
