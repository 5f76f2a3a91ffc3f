"""The line of a key, however TOML lets it be written. The lines are counted by hand."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from netprice.book.mistakes import Path
from netprice.book.positions import Positions

TEXT = '''# a comment
a.b."c d" = 1
'x y' = {p = 2, q.r = [ {z=1},
 # between
 {z=2}]}
[t."u\\u0041".v]   # the header
k = """several
lines"""
[[arr]]
n = 1
[[arr.sub]]
m = 3
[[arr]]

n = 2
[[arr.sub]]
m = 4
[[arr.sub]]
m = 5
[t]
last.one = 1
last.two = [
  1,
  2,
]
["é"]
value = 1
'''

LINES: list[tuple[Path, int]] = [
    (("a",), 2),
    (("a", "b"), 2),
    (("a", "b", "c d"), 2),
    (("x y",), 3),
    (("x y", "p"), 3),
    (("x y", "q", "r", 0, "z"), 3),
    (("x y", "q", "r", 1), 5),
    (("x y", "q", "r", 1, "z"), 5),
    (("t", "uA"), 6),
    (("t", "uA", "v", "k"), 7),
    (("arr",), 9),
    (("arr", 0, "n"), 10),
    (("arr", 0, "sub", 0, "m"), 12),
    (("arr", 1), 13),
    (("arr", 1, "n"), 15),
    (("arr", 1, "sub"), 16),
    (("arr", 1, "sub", 0, "m"), 17),
    (("arr", 1, "sub", 1, "m"), 19),
    (("t",), 20),
    (("t", "last"), 21),
    (("t", "last", "two"), 22),
    (("t", "last", "two", 1), 24),
    (("e\u0301", "value"), 27),
]
NEAREST: list[tuple[Path, int]] = [
    ((), 1),
    (("nothing",), 1),
    (("t", "uA", "v", "missing"), 6),
    (("t", "last", "three"), 21),
    (("arr", 1, "missing"), 13),
    (("arr", 0, "sub", 5, "m"), 11),
    (("x y", "q", "r", 1, "missing"), 5),
    (("a", "b", "c d", "deeper"), 2),
]


@pytest.mark.parametrize("ending", ["\n", "\r\n"], ids=["unix", "windows"])
@pytest.mark.parametrize(("path", "line"), LINES + NEAREST, ids=str)
def test_the_line_of_a_key_or_of_the_table_around_it(path: Path, line: int, ending: str) -> None:
    assert Positions(TEXT.replace("\n", ending)).line(path) == line


def test_the_text_is_one_that_tomllib_reads() -> None:
    assert tomllib.loads(TEXT)["x y"]["q"]["r"][1] == {"z": 2}


names = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=4)
tables = st.recursive(
    st.integers(0, 9),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(names, tables, max_size=4))
def test_every_key_of_any_document_is_found_where_it_was_written(document: dict[str, Any]) -> None:
    """Each key is written on a line of its own, which is noted; the parser's own tree must find it there again."""
    lines: list[str] = []
    noted: dict[Path, int] = {}
    for key, value in document.items():
        noted[key,] = len(lines) + 1
        lines.append(f"{_quoted(key)} =")
        _write(value, (key,), lines, noted)
    found = Positions("\n".join(lines))

    # Names that Unicode composes to one and the same are one name to the reader; whichever line it takes is right.
    for path, line in noted.items():
        assert found.line(path) == line or not all(part.isascii() for part in path if isinstance(part, str))


def _write(value: Any, path: Path, lines: list[str], noted: dict[Path, int]) -> None:
    if isinstance(value, list):
        lines[-1] += " ["
        for place, inner in enumerate(value):
            lines.append("")
            noted[*path, place] = len(lines)
            _write(inner, (*path, place), lines, noted)
            lines[-1] += ","
        lines[-1] += "]"
    elif isinstance(value, dict):  # an inline table stays on its line, but for the lists in it
        lines[-1] += " {"
        for number, (key, inner) in enumerate(value.items()):
            lines[-1] += ("," if number else "") + f"{_quoted(key)} ="
            noted[*path, key] = len(lines)
            _write(inner, (*path, key), lines, noted)
        lines[-1] += "}"
    else:
        lines[-1] += f" {value}"


def _quoted(key: str) -> str:
    return '"' + "".join(f"\\U{ord(mark):08X}" if mark in '"\\\x7f' else mark for mark in key) + '"'
