"""Single values changed in a file: what stands there afterwards is written out by hand, byte for byte."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from netprice.book.rewrite import Change, Value, change_all, files_in, rewritten
from netprice.book.toml_text import UnreadableError
from netprice.errors import InputError

PRICE = Decimal("44.10")
LISTED = ("list_prices", "web")
MUG = b'name = "Mug"\n\n[prices]\nlist_price = 42.00   # on the ticket\n'


def after(text: str, path: tuple[str | int, ...], value: Value = PRICE) -> str:
    return rewritten(text.encode(), {path: value}).decode()


# --- a value that is there is exchanged where it stands ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "before", "then"),
    [
        (("a",), "a = 1\n", "a = 44.10\n"),
        (("a",), "a=1#one\n", "a=44.10#one\n"),
        (
            ("a", "b"),
            "[a]   # first\n\tb   =   7.5   # seven\nc = 2\n",
            "[a]   # first\n\tb   =   44.10   # seven\nc = 2\n",
        ),
        (("a", "b"), "a.b = 7\n", "a.b = 44.10\n"),
        (("a", "b"), "a = {  b = 7  , c = 2}  # c\n", "a = {  b = 44.10  , c = 2}  # c\n"),
        (("a", "b", "c"), "[a]\nb = { c = 1 }\n", "[a]\nb = { c = 44.10 }\n"),
        (("a b", "é"), '["a b"]\n"\\u00e9" = 1\n', '["a b"]\n"\\u00e9" = 44.10\n'),
        (("a", 1, "b"), "[[a]]\nb = 1\n\n[[a]]\nb = 2\n", "[[a]]\nb = 1\n\n[[a]]\nb = 44.10\n"),
        (("a", 1), "a = [1, 2, 3]\n", "a = [1, 44.10, 3]\n"),
        (("a", 0, "b"), "a = [\n  { b = 1 },  # one\n]\n", "a = [\n  { b = 44.10 },  # one\n]\n"),
        (("a", "c"), "[a]\nb = '''\nc = 1\n'''\nc = 2\n", "[a]\nb = '''\nc = 1\n'''\nc = 44.10\n"),
        (("a",), 'a = """x"""  # long\nb = 1\n', "a = 44.10  # long\nb = 1\n"),
        (("a",), "\ufeffa = 1\r\nb = 2\r\n", "\ufeffa = 44.10\r\nb = 2\r\n"),
        (("a", "x"), "[a.b]\nx = 1\n[a]\nx = 2", "[a.b]\nx = 1\n[a]\nx = 44.10"),
    ],
)
def test_only_the_value_changes(path: tuple[str | int, ...], before: str, then: str) -> None:
    assert after(before, path) == then


# Written e + accent in the file, é by the reader, which composes names.
def test_a_name_is_found_in_whichever_form_it_is_written() -> None:
    assert after('"e\u0301" = 1\n', ("\u00e9",)) == '"e\u0301" = 44.10\n'


# --- a value that is not there is added -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "then"),
    [
        # below the last key of its table, not below comments that belong to the next one
        (
            "[list_prices]\nfair = 40   # each\n\n# next\n[prices]\nstep = 1\n",
            "[list_prices]\nfair = 40   # each\nweb = 44.10\n\n# next\n[prices]\nstep = 1\n",
        ),
        # as far in as the key above it
        ("[list_prices]\n  fair = 40\n", "[list_prices]\n  fair = 40\n  web = 44.10\n"),
        # below the header of an empty table
        ("[list_prices]  # none yet\n# fair = 40\n", "[list_prices]  # none yet\nweb = 44.10\n# fair = 40\n"),
        # in braces
        ("list_prices = { fair = 40 }  # each\n[a]\n", "list_prices = { fair = 40, web = 44.10 }  # each\n[a]\n"),
        ("list_prices = {}\n", "list_prices = { web = 44.10 }\n"),
        # beside dotted keys
        ("list_prices.fair = 40\nlist_prices.shop = 41 # c\nabout = 'x'\n[prices]\n",
         "list_prices.fair = 40\nlist_prices.shop = 41 # c\nlist_prices.web = 44.10\nabout = 'x'\n[prices]\n"),
        # in a table of its own at the end
        ('name = "M"\n[prices]\nstep = 1\n', 'name = "M"\n[prices]\nstep = 1\n\n[list_prices]\nweb = 44.10\n'),
        ('name = "M"\n[prices]\nstep = 1\n\n', 'name = "M"\n[prices]\nstep = 1\n\n[list_prices]\nweb = 44.10\n'),
        ('name = "M"', 'name = "M"\n\n[list_prices]\nweb = 44.10\n'),
        ("", "[list_prices]\nweb = 44.10\n"),
        # with the line ends of the file
        ("[list_prices]\r\nfair = 40\r\n\r\n[a]\r\n", "[list_prices]\r\nfair = 40\r\nweb = 44.10\r\n\r\n[a]\r\n"),
        ("[a]\r\nb = 1", "[a]\r\nb = 1\r\n\r\n[list_prices]\r\nweb = 44.10\r\n"),
        # where the file's last line has no end
        ("[list_prices]\nfair = 40", "[list_prices]\nfair = 40\nweb = 44.10"),
        ("[list_prices]", "[list_prices]\nweb = 44.10"),
        # behind a byte order mark
        ("\ufefflist_prices = {a = 1}\n", "\ufefflist_prices = {a = 1, web = 44.10}\n"),
    ],
)  # fmt: skip
def test_a_price_is_added_to_its_table_however_that_is_written(before: str, then: str) -> None:
    assert after(before, LISTED) == then


@pytest.mark.parametrize(
    ("path", "before", "then"),
    [
        # a key of the file itself stands above all tables
        (("target",), 'name = "M"  # m\n\n[prices]\n', 'name = "M"  # m\ntarget = 44.10\n\n[prices]\n'),
        (("target",), "# only tables\n[prices]\n", "target = 44.10\n# only tables\n[prices]\n"),
        # a table that is only there through the tables in it
        (("a", "x"), "[a.b]\nc = 1\n", "[a.b]\nc = 1\n\n[a]\nx = 44.10\n"),
        # names that need quotes
        (("a b", 'say "é"'), "c = 1\n", 'c = 1\n\n["a b"]\n"say \\"é\\"" = 44.10\n'),
        # a table within a table
        (("a", "new", "x"), "[a.old]\nx = 1\n", "[a.old]\nx = 1\n\n[a.new]\nx = 44.10\n"),
        (("a", "b", "c"), "a = { x = 1 }\n", "a = { x = 1, b.c = 44.10 }\n"),
        (("a", "b", "d"), "a = { b.c = 1, e = 2 }\n", "a = { b.c = 1, b.d = 44.10, e = 2 }\n"),
        (("t", "a", "c"), "[t]\na.b = 1\nd = 2\n", "[t]\na.b = 1\na.c = 44.10\nd = 2\n"),
        # in a list of tables, where a header would speak of the last one
        (("fees", 0, "cap"), "[[fees]]\nfixed = 1\n# two\n[[fees]]\nfixed = 2\n",
         "[[fees]]\nfixed = 1\ncap = 44.10\n# two\n[[fees]]\nfixed = 2\n"),
        (("fees", 0, "x", "cap"), "[[fees]]\nfixed = 1\n[[fees]]\nfixed = 2\n",
         "[[fees]]\nfixed = 1\nx.cap = 44.10\n[[fees]]\nfixed = 2\n"),
    ],
)  # fmt: skip
def test_any_key_is_added_where_it_belongs(path: tuple[str | int, ...], before: str, then: str) -> None:
    assert after(before, path) == then


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (Decimal("44.10"), "44.10"),
        (Decimal(5700), "5700"),
        (Decimal("1E+2"), "100"),
        (3, "3"),
        (False, "false"),
        (dt.date(2027, 1, 15), "2027-01-15"),
        ("6.5 %", '"6.5 %"'),
        ('say "so" \\ \x7f\n', '"say \\"so\\" \\\\ \\u007f\\n"'),
    ],
)
def test_values_of_each_kind_are_written_as_toml_has_them(value: Value, written: str) -> None:
    assert after("a = 1  # c\n", ("a",), value) == f"a = {written}  # c\n"


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("a",), "[a]\nb = 1\n"),  # a table
        (("a",), "a = [1, 2]\n"),  # a list
        (("a", "b"), "a = 1\n"),  # below a value
        (("a", 7), "a = [1]\n"),  # past the end
        (("a", 1, "b"), "[[a]]\nb = 1\n"),
    ],
)
def test_what_is_no_single_value_is_left_alone(path: tuple[str | int, ...], text: str) -> None:
    with pytest.raises(UnreadableError, match="cannot be changed here"):
        rewritten(text.encode(), {path: PRICE})


def test_a_number_that_toml_cannot_hold_is_refused() -> None:
    with pytest.raises(UnreadableError, match="cannot be changed here"):
        rewritten(b"a = 1\n", {("a",): Decimal("NaN")})


def test_several_values_are_changed_one_after_the_other() -> None:
    new = rewritten(
        MUG, {("prices", "list_price"): PRICE, LISTED: Decimal("47.00"), ("list_prices", "fair"): Decimal(40)}
    )
    assert new == (
        b'name = "Mug"\n\n[prices]\nlist_price = 44.10   # on the ticket\n\n[list_prices]\nweb = 47.00\nfair = 40\n'
    )


NAMES = st.sampled_from(["a", "b", "c d", "é", "x.y"])
VALUES = st.one_of(st.integers(-9, 9), st.booleans(), st.text(max_size=4, alphabet="a#'\"\\ \n="))
TABLES = st.recursive(VALUES, lambda inner: st.dictionaries(NAMES, inner, max_size=3), max_leaves=8)


def quoted(name: str) -> str:
    return "'" + name + "'" if name != "é" else '"\\u00E9"'


def inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + " , ".join(f"{quoted(name)}={inline(each)}" for name, each in value.items()) + "}"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value)
    return '"' + str(value).replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def written_out(table: dict[str, Any], at: tuple[str, ...], how: Callable[[], int]) -> list[str]:
    """Write a table as lines: tables in it in braces, by dotted keys, or below headers of their own."""
    lines, below = [], []
    for name, value in table.items():
        way = how() if isinstance(value, dict) and value else 0
        if way == 0:
            lines.append(f"{quoted(name)} = {inline(value)} # {name} = 1")
        elif way == 1:
            lines += [f"{quoted(name)} . {quoted(inner)} = {inline(each)}" for inner, each in value.items()]
        else:
            header = ".".join(map(quoted, (*at, name)))
            below += ["", f"[ {header} ] # of {name}", *written_out(value, (*at, name), how)]
    return lines + below


@given(st.data(), st.dictionaries(NAMES, TABLES, max_size=4), st.lists(NAMES, min_size=1, max_size=3))
def test_whatever_the_text_one_stretch_changes_and_all_else_means_the_same(
    data: st.DataObject, table: dict[str, Any], path: list[str]
) -> None:
    lines = written_out(table, (), lambda: data.draw(st.integers(0, 2)))
    end = data.draw(st.sampled_from(["\n", "\r\n"]))
    text = (end.join(lines) + data.draw(st.sampled_from(["", end]))).encode()
    assert tomllib.loads(text.decode()) == table

    try:
        new = rewritten(text, {tuple(path): 77})
    except UnreadableError:
        inside: Any = table
        for part in path:  # then the way leads through a value, or to a table
            if not isinstance(inside, dict):
                return
            inside = inside.get(part)
        assert isinstance(inside, dict)
        return
    wanted = table
    for part in path[:-1]:
        wanted = wanted.setdefault(part, {})
    old = wanted.get(path[-1])
    wanted[path[-1]] = 77
    assert tomllib.loads(new.decode()) == table
    same = next((place for place, (was, now) in enumerate(zip(text, new, strict=False)) if was != now), len(text))
    # What was taken out is no longer than the old value, or the empty braces that a key was put into.
    left = text[same:]
    kept = next(count for count in range(len(left), -1, -1) if new.endswith(left[len(left) - count :]))
    assert len(left) - kept <= (2 if old is None else len(inline(old)))


# --- files ------------------------------------------------------------------------------------------------------------


def test_one_value_that_cannot_be_changed_keeps_every_file_as_it_is(tmp_path: Path) -> None:
    cup, mug = tmp_path / "cup.toml", tmp_path / "mug.toml"
    cup.write_bytes(MUG)
    mug.write_bytes(b"prices = 3\n")
    changes = [
        Change(cup, {("prices", "list_price"): PRICE}, MUG),
        Change(mug, {("prices", "list_price"): PRICE}, b"prices = 3\n"),
    ]
    with pytest.raises(InputError) as error:
        change_all(changes)
    assert str(error.value) == (
        f"{mug}:1: prices.list_price cannot be changed here without touching more;"
        " write by hand: prices.list_price = 44.10"
    )
    assert cup.read_bytes() == MUG


def test_the_files_of_a_folder_are_taken_as_the_shop_names_them(tmp_path: Path) -> None:
    for name in ("mug.toml", ".mug.toml", "notes.txt", "cafe\u0301.toml"):
        (tmp_path / name).write_bytes(MUG)
    (tmp_path / "folder.toml").mkdir()
    assert files_in(tmp_path) == {
        "mug": (tmp_path / "mug.toml", MUG),
        "caf\u00e9": (tmp_path / "cafe\u0301.toml", MUG),
    }
    assert files_in(tmp_path / "nowhere") == {}
