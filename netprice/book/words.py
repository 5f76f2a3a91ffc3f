"""What is wrong with a table's keys and values, in our own words: pydantic's errors told as mistakes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final, get_args, get_origin

from netprice.book.keys import Key, annotation_at, choices, example, keys_of, table_at
from netprice.book.kinds import AboveZero, Markup, Millimetres, Money, Plain
from netprice.book.mistakes import Mistake, Path, dotted, nearest, quoted
from netprice.book.readers import shown

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_KEY_ITSELF: Final = "[key]"
_ROWS: Final[Mapping[tuple[Any, ...], tuple[str, str]]] = {
    (AboveZero, Money): ("a weight and a price", "write each break as [weight, price], such as [2.5, 8.40]"),
    (Plain, Markup): ("an index and a percent", "write each row as [index, percent], such as [3.50, '9 %']"),
    (Millimetres,) * 3: ("three sides", "write them like ['60 cm', '40 cm', '30 cm']"),
}


def told(error: ErrorDetails, model: type) -> Mistake:
    """Tell one error of pydantic as a mistake in a table of `model`."""
    path: Path = error["loc"]
    if path and (path[-1] == _KEY_ITSELF or (error["type"] == "missing" and isinstance(path[-1], int))):
        path = path[:-1]
    tell = _TELLERS.get(error["type"], _anything_else)
    what, mend = tell(error, path, model)
    return Mistake(path, what, mend)


def _as_the_kind_says(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:  # noqa: ARG001
    said = error["ctx"]
    return str(said["what"]), str(said["mend"])


def _unknown_key(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:  # noqa: ARG001
    known = keys_of(table_at(model, path[:-1]) or model)
    key = str(path[-1])
    return f"unknown key (got {key[:60]!r})", nearest(key, known, "take it out")


def _missing(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:
    annotation = annotation_at(model, path)
    if not path or isinstance(error["loc"][-1], int):
        return _wrong_row(error, path, model)
    if words := choices(annotation):
        return "missing key", f"write {path[-1]} = {quoted(words)}"
    if get_origin(annotation) is dict:
        return "missing table", f"add a table such as [{dotted((*path, 'NAME'))}]"
    return "missing key", f"add a line such as {path[-1]} = {_as_toml(example(annotation))}"


def _as_toml(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value)


def _wrong_word(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:
    words = choices(annotation_at(model, path))
    got = error["input"]
    mend = nearest(got, words, "take it out") if isinstance(got, str) else f"use {quoted(words)}"
    return f"expected {quoted(words)} (got {shown(got)})", mend


def _no_table(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:
    got = error["input"]
    if path and isinstance(path[-1], int):
        return f"expected a table (got {shown(got)})", "write {key = value} for each one in the list"
    known: Mapping[str, Key] = keys_of(table) if (table := table_at(model, path)) else {}
    inside = next(iter(known), "NAME")
    return f"expected a table (got {shown(got)})", f"write [{dotted(path)}] and below it lines such as {inside} = ..."


def _no_list(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:
    if _wanted(path, model) or (path and isinstance(path[-1], int)):
        return _wrong_row(error, path, model)
    element = (get_args(annotation_at(model, path)) or (None,))[0]
    mend = f"write [[{dotted(path)}]]" if isinstance(element, type) and is_dataclass(element) else "use square brackets"
    return f"expected a list (got {shown(error['input'])})", mend


def _no_text(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:  # noqa: ARG001
    return f"expected a text (got {shown(error['input'])})", "put it in quotes"


def _wanted(path: Path, model: type) -> tuple[str, str] | None:
    """Return what a list of so many values each of its own kind holds, and how to write it."""
    return _ROWS.get(get_args(annotation_at(model, path)))


def _wrong_row(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:
    got = error["input"]
    count = f"{len(got)} value{'' if len(got) == 1 else 's'}" if isinstance(got, (list, tuple)) else shown(got)
    wanted, mend = _wanted(path, model) or _ROWS[AboveZero, Money]
    return f"expected {wanted} (got {count})", mend


def _anything_else(error: ErrorDetails, path: Path, model: type) -> tuple[str, str]:  # noqa: ARG001
    got: Any = error["input"]
    number = isinstance(got, (int, Decimal))
    return f"not understood (got {shown(got)})", "write a plain number" if number else "see the schema of this file"


_Teller = Callable[["ErrorDetails", Path, type], tuple[str, str]]
_TELLERS: Final[dict[str, _Teller]] = {
    "quantity": _as_the_kind_says,
    "unexpected_keyword_argument": _unknown_key,
    "missing": _missing,
    "literal_error": _wrong_word,
    "dataclass_type": _no_table,
    "dict_type": _no_table,
    "tuple_type": _no_list,
    "too_long": _wrong_row,
    "string_type": _no_text,
}
