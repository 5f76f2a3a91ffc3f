"""Where a key stands in a TOML text, found with tree-sitter: only used to point at a mistake or to change a value.

    >>> lines = Positions('''
    ... [channels.fair]
    ... discounts = [
    ...   {percent = "10 %"},
    ... ]
    ... ''')
    >>> lines.line(("channels", "fair", "discounts", 0, "percent")), lines.line(("channels", "fair", "about"))
    (4, 2)

A key that is missing is at the nearest table around it.
"""

from __future__ import annotations

import tomllib
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from netprice.book.mistakes import Path

if TYPE_CHECKING:
    from tree_sitter import Node

_KEYS = ("bare_key", "quoted_key", "dotted_key")


@dataclass(slots=True)
class Spot:
    """Where one key, table or place in a list stands, and what is inside it."""

    line: int
    inside: dict[str | int, Spot] = field(default_factory=dict)
    node: Node | None = None
    """Its value, or the table with its header and all below it; None for a table that only other names imply."""
    dotted: tuple[Node, int] | None = None
    """The last pair whose dotted key leads through it, and how many names of that key lead here."""
    declared: bool = False
    """Whether a header of its own has named it: that line is better than the first one that mentions it."""
    tables: bool = False
    """Whether it is a list of tables written `[[so]]`: what follows belongs to its last table."""


class Positions:
    """The lines of all keys of a text that `tomllib` has accepted.

    Names are compared in Unicode's composed form, as the reader keeps them.
    """

    def __init__(self, text: str) -> None:
        import tree_sitter
        import tree_sitter_toml

        language = tree_sitter.Language(tree_sitter_toml.language())
        # A lone surrogate cannot be in a text that was decoded, so this never fails.
        tree = tree_sitter.Parser(language).parse(text.encode())
        self._root = Spot(1, node=tree.root_node)
        self._read(tree.root_node)

    def line(self, path: Path) -> int:
        """Return the line of the key, or of the nearest table around it that the text has; lines count from 1."""
        return self._nearest(path)[0].line

    def spot(self, path: Path) -> Spot | None:
        """Return where the key stands; None if the text has it not."""
        spot, depth = self._nearest(path)
        return spot if depth == len(path) else None

    def _nearest(self, path: Path) -> tuple[Spot, int]:
        """Return the last spot on the way to a key, and how many parts of the path lead there."""
        spot = self._root
        for depth, part in enumerate(path):
            found = spot.inside.get(composed(part) if isinstance(part, str) else part)
            if found is None:
                return spot, depth
            spot = found
        return spot, len(path)

    def _read(self, document: Node) -> None:
        for node in document.named_children:
            if node.type == "pair":
                _pair(self._root, node)
            elif node.type in ("table", "table_array_element"):
                self._table(node)
            elif node.type == "ERROR":  # tree-sitter does not know all of TOML that tomllib knows
                self._read(node)

    def _table(self, node: Node) -> None:
        header, *pairs = [child for child in node.named_children if child.type != "comment"]
        line = header.start_point[0] + 1
        *outer, last = names_of(header)
        spot = self._root
        for name in outer:
            spot = _last_table(spot.inside.setdefault(name, Spot(line)))
        spot = spot.inside.setdefault(last, Spot(line))
        if node.type == "table_array_element":
            spot.tables = True
            spot = spot.inside.setdefault(len(spot.inside), Spot(line))
        elif not spot.declared:
            spot.line, spot.declared = line, True
        spot.node = node
        for pair in pairs:
            if pair.type == "pair":
                _pair(spot, pair)


def _last_table(spot: Spot) -> Spot:
    return spot.inside[len(spot.inside) - 1] if spot.tables else spot


def _pair(table: Spot, pair: Node) -> None:
    parts = [child for child in pair.named_children if child.type != "comment"]
    if len(parts) < 2 or parts[0].type not in _KEYS:
        return
    line = parts[0].start_point[0] + 1
    spot = table
    *outer, last = names_of(parts[0])
    for depth, name in enumerate(outer, 1):
        spot = spot.inside.setdefault(name, Spot(line))
        spot.dotted = (pair, depth)
    _value(spot.inside.setdefault(last, Spot(line)), parts[1])


def _value(spot: Spot, node: Node) -> None:
    spot.node = node
    if node.type == "inline_table":
        for child in node.named_children:
            if child.type == "pair":
                _pair(spot, child)
    elif node.type == "array":
        values = [child for child in node.named_children if child.type != "comment"]
        for place, child in enumerate(values):
            _value(spot.inside.setdefault(place, Spot(child.start_point[0] + 1)), child)


def names_of(key: Node) -> Iterator[str]:
    """Give the names of a key, `a."b c".d` as a, b c, d."""
    parts, rest = [], [key]
    while rest:
        node = rest.pop()
        if node.type == "dotted_key":
            rest += node.named_children
        else:
            parts.append(node)
    for node in reversed(parts):
        yield composed(_name(node))


def _name(node: Node) -> str:
    text = (node.text or b"").decode()
    if node.type != "quoted_key":
        return text
    try:
        return next(iter(tomllib.loads(f"{text} = 0")))
    except (tomllib.TOMLDecodeError, StopIteration):
        return text


def composed(name: str) -> str:
    """Return a name in Unicode's composed form, as the reader keeps it."""
    return name if name.isascii() else unicodedata.normalize("NFC", name)
