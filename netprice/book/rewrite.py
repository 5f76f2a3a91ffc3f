"""Changing single values in a shop's files: every other byte stays as it is, comments, order and spaces and all.

    change(Path("shop/products/mug.toml"), {("list_prices", "web"): Decimal("44.10")}, expected=bytes_that_were_read)

A value that is there is exchanged where it stands. One that is not is added to its table, wherever and however that is
written: below its header, in its braces, beside its dotted keys; a table that is not there begins at the end of the
file. The text is edited, not written anew from what it means, since no writer of TOML leaves everything as it was. What
comes out is read again and must say what the old text said and the new values, or nothing is changed.
"""

from __future__ import annotations

import codecs
import datetime as dt
import json
import re
import unicodedata
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from netprice.book.files import Found, printable
from netprice.book.mistakes import Path as KeyPath
from netprice.book.mistakes import dotted
from netprice.book.positions import Positions, Spot, composed, names_of
from netprice.book.replace import NotReplacedError, Replacement, replace_all
from netprice.book.toml_text import UnreadableError, decode, read_table
from netprice.errors import InputError, Problem

if TYPE_CHECKING:
    from tree_sitter import Node

Value = str | bool | int | Decimal | dt.date
Values = Mapping[KeyPath, Value]
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+", re.ASCII)


class Change(NamedTuple):
    """The new values of one file by the paths of their keys, and the bytes that it held when it was read."""

    path: Path
    values: Values
    expected: bytes


class _Edit(NamedTuple):
    """The bytes from `start` to `end` give way to `text`."""

    start: int
    end: int
    text: str


def change(path: Path, values: Values, expected: bytes) -> None:
    """Change values in one file; see `change_all`."""
    change_all([Change(path, values, expected)])


def change_all(changes: Sequence[Change]) -> None:
    """Change values in several files, in all of them or in none; a file is never left half-written.

    Raises `InputError` where a file has changed since it was read, cannot be written, or holds a value where it cannot
    be changed without touching more.
    """
    files = []
    for each in changes:
        try:
            files.append(Replacement(each.path, each.expected, rewritten(each.expected, each.values)))
        except UnreadableError as error:
            raise _wrong(each.path, error.what, error.mend, error.line) from None
    try:
        replace_all([file for file in files if file.new != file.old])
    except NotReplacedError as error:
        raise _wrong(error.path, error.what, "nothing was written; mend that and ask again") from None


def files_in(folder: Path) -> dict[str, tuple[Path, bytes]]:
    """Return the .toml files of a folder that can be read, by the names that the shop has for them.

    Taken before the shop is read, these are the bytes that must still be there when a file is changed.
    """
    found: dict[str, tuple[Path, bytes]] = {}
    reader = Found()
    for path in sorted(folder.glob("[!.]*.toml")):
        try:
            found[unicodedata.normalize("NFC", path.stem)] = (path, reader.bytes_of(path))
        except UnreadableError:  # whoever reads the shop is told so
            continue
    return found


def rewritten(data: bytes, values: Values) -> bytes:
    r"""Return the text of a file with these values; raise `UnreadableError` where one cannot be changed.

    >>> mug = b"[prices]  # today's\nlist_price = 42.00   # on the ticket\n"
    >>> values = {("prices", "list_price"): Decimal("44.10"), ("prices", "step"): Decimal("0.10")}
    >>> print(rewritten(mug, values).decode())
    [prices]  # today's
    list_price = 44.10   # on the ticket
    step = 0.10
    <BLANKLINE>
    """
    for path, value in values.items():
        data = _rewritten(data, path, value)
    return data


def _rewritten(data: bytes, path: KeyPath, value: Value) -> bytes:
    spots = Positions(decode(data))
    wanted = _composed(read_table(data))
    try:
        _put(wanted, path, value)
        mark = codecs.BOM_UTF8 if data.startswith(codecs.BOM_UTF8) else b""
        body = data[len(mark) :]
        edit = _edit(body, spots, path, value)
        new = mark + body[: edit.start] + edit.text.encode() + body[edit.end :]
        done = _composed(read_table(new)) == wanted
    except (LookupError, TypeError, UnreadableError):
        done = False
    if not done:
        what = f"{dotted(path)} cannot be changed here without touching more"
        raise UnreadableError(spots.line(path), what, f"write by hand: {_pair(path, value)}")
    return new


def _put(table: dict[str, Any], path: KeyPath, value: Value) -> None:
    """Put the value into a table that was read, in the place of a single value or where there is none yet."""
    inside: Any = table
    for part in path[:-1]:
        inside = inside.setdefault(composed(str(part)), {}) if isinstance(inside, dict) else inside[part]
    last = composed(path[-1]) if isinstance(path[-1], str) else path[-1]
    there = inside.get(last) if isinstance(inside, dict) else inside[last]
    if isinstance(there, (dict, list)):
        raise TypeError(path)
    inside[last] = value


def _composed(value: Any) -> Any:
    """Return what was read with all names in Unicode's composed form."""
    if isinstance(value, dict):
        return {composed(name): _composed(each) for name, each in value.items()}
    return [_composed(each) for each in value] if isinstance(value, list) else value


# --- where the text is edited ----------------------------------------------------------------------------------------


def _edit(body: bytes, spots: Positions, path: KeyPath, value: Value) -> _Edit:
    spot = spots.spot(path)
    if spot is not None and spot.node is not None:
        return _Edit(spot.node.start_byte, spot.node.end_byte, _value(value))
    outer = next(end for end in range(len(path) - 1, -1, -1) if spots.spot(path[:end]) is not None)
    around = spots.spot(path[:outer])
    assert around is not None
    return _added(body, around, path, outer, value)


def _added(body: bytes, around: Spot, path: KeyPath, outer: int, value: Value) -> _Edit:
    """Add a value to the table that stands around it, `outer` parts of the path deep."""
    rest, node = path[outer:], around.node
    if around.dotted is not None:
        pair, depth = around.dotted
        names = list(names_of(pair.named_children[0]))[:depth]
        return _behind(body, pair, _pair((*names, *rest), value))
    if node is not None and node.type == "inline_table":
        pairs = _pairs(node)
        if pairs:
            return _behind(body, pairs[-1], _pair(rest, value))
        return _Edit(node.start_byte, node.end_byte, f"{{ {_pair(rest, value)} }}")
    # Below [[so]] a header would speak of the last such table, so there the key itself is dotted.
    in_a_list = any(isinstance(part, int) for part in path)
    if node is None or (len(rest) > 1 and not in_a_list):
        return _at_the_end(body, path, value)
    pairs = _pairs(node)
    if pairs:
        return _behind(body, pairs[-1], _pair(rest, value))
    if node.type == "document":
        return _Edit(0, 0, _pair(rest, value) + _line_end(body))
    return _line_below(body, node.start_byte, _pair(rest, value))


def _pairs(table: Node) -> list[Node]:
    return [child for child in table.named_children if child.type == "pair"]


def _behind(body: bytes, pair: Node, text: str) -> _Edit:
    """Add a pair behind another one: after a comma in braces, else on a line of its own, as far in as that one."""
    if pair.parent is not None and pair.parent.type == "inline_table":
        return _Edit(pair.end_byte, pair.end_byte, f", {text}")
    begin = body.rfind(b"\n", 0, pair.start_byte) + 1
    return _line_below(body, pair.end_byte, body[begin : pair.start_byte].decode() + text)


def _line_below(body: bytes, at: int, text: str) -> _Edit:
    """Add a line below the one that the byte is in."""
    end = body.find(b"\n", at)
    if end < 0:
        return _Edit(len(body), len(body), _line_end(body) + text)
    return _Edit(end + 1, end + 1, text + _line_end(body))


def _at_the_end(body: bytes, path: KeyPath, value: Value) -> _Edit:
    """Begin a table at the end of the file, after a blank line."""
    end = _line_end(body)
    gap = end * (not body.endswith(b"\n")) + end * (not body.endswith((b"\n\n", b"\n\r\n"))) if body else ""
    return _Edit(len(body), len(body), f"{gap}[{_key(path[:-1])}]{end}{_pair(path[-1:], value)}{end}")


def _line_end(body: bytes) -> str:
    """Return how the file ends its lines."""
    first = body.find(b"\n")
    return "\r\n" if first > 0 and body[first - 1 : first] == b"\r" else "\n"


# --- how keys and values are written ---------------------------------------------------------------------------------


def _pair(path: KeyPath, value: Value) -> str:
    return f"{_key(path)} = {_value(value)}"


def _key(path: KeyPath) -> str:
    return ".".join(name if _BARE.fullmatch(name) else _quoted(name) for name in map(str, path))


def _value(value: Value) -> str:
    """Write a value as TOML; a decimal number keeps its digits.

    >>> [_value(each) for each in (Decimal("44.10"), True, 3, "6.5 %", dt.date(2026, 3, 31))]
    ['44.10', 'true', '3', '"6.5 %"', '2026-03-31']
    """
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def _quoted(text: str) -> str:
    # A text of JSON is one of TOML, but for the one mark that TOML wants escaped and JSON does not.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _wrong(path: Path, what: str, mend: str, line: int = 1) -> InputError:
    return InputError((Problem(file=printable(path), line=line, key="", what=what, mend=mend),))
