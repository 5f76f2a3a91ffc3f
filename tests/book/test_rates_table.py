"""Rates from a table beside the card: exactly what it says, safely, and fast enough for a carrier's whole list."""

from __future__ import annotations

import datetime as dt
import os
import re
import sys
import time
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from netprice.book import rates_table
from netprice.book.editions import card_on
from netprice.book.rate_card import RateCard
from netprice.book.rates_table import read_rates
from netprice.book.read import open_book, read_book

CARD = 'name = "Van"\nlength_unit = "in"\nweight_unit = "lb"\nweight_step = 1\n'
NEAR = ((Fraction(1), Fraction("6.2")), (Fraction(5), Fraction("9.8")))


def write(shop: Path, table: bytes, card: str = f'{CARD}rates_table = "van.csv"\n') -> None:
    (shop / "rate_cards" / "van.toml").write_text(card, encoding="utf-8")
    (shop / "rate_cards" / "van.csv").write_bytes(table)


def van(shop: Path) -> RateCard:
    return open_book(shop).rate_cards["van"]


def told(shop: Path) -> list[str]:
    return [str(problem).removeprefix(f"{shop}/") for problem in read_book(shop).problems]


TABLES = {
    "plain": b"weight,near\n1,6.20\n5,9.80\n",
    "a byte order mark": b"\xef\xbb\xbfweight,near\n1,6.20\n5,9.80\n",
    "Windows": b"weight,near\r\n1,6.20\r\n5,9.80\r\n",
    "an old Macintosh": b"weight,near\r1,6.20\r5,9.80\r",
    "no last line break": b"weight,near\n1,6.20\n5,9.80",
    "empty lines": b"\nweight,near\n\n1,6.20\n5,9.80\n\n\n",
    "quotes": b'"weight","near"\n"1","6.20"\n5,"9.80"\n',
    "spaces": b" weight , near \n 1, 6.20 \n5 ,9.80\n",
    "other ways to write a number": b"weight,near\n+1.0,62e-1\n05,9.8000000000\n",
}


@pytest.mark.parametrize("table", TABLES.values(), ids=TABLES)
def test_a_table_is_read_however_it_was_saved(table: bytes, shop: Path) -> None:
    write(shop, table)

    assert van(shop).rates == {"near": NEAR}


def test_a_price_is_exact_and_may_be_nothing(shop: Path) -> None:
    write(shop, b"weight,near\n0.1,0\n0.2,0.30\n1234567890.5,1234567890.123456\n")

    assert van(shop).rates["near"] == (
        (Fraction(1, 10), Fraction(0)),
        (Fraction(1, 5), Fraction(3, 10)),
        (Fraction(2469135781, 2), Fraction(1234567890123456, 10**6)),
    )


def test_names_of_zones_are_kept_as_they_are_everywhere(shop: Path) -> None:
    write(shop, 'weight,"near, far",cafe\u0301\n1,6,7\n'.encode())

    assert list(van(shop).rates) == ["near, far", "caf\u00e9"]


def test_an_edition_has_a_table_of_its_own(shop: Path) -> None:
    editions = '[[editions]]\nfrom = 2027-02-01\nrates_table = "newer.csv"\n'
    write(shop, b"weight,near\n1,6.20\n5,9.80\n", f'{CARD}rates_table = "van.csv"\n{editions}')
    (shop / "rate_cards" / "newer.csv").write_text("weight,near,far\n1,6.40,7\n")

    assert card_on(van(shop), dt.date(2027, 1, 31)).rates == {"near": NEAR}
    assert card_on(van(shop), dt.date(2027, 2, 1)).rates == {
        "near": ((Fraction(1), Fraction("6.4")),),
        "far": ((Fraction(1), Fraction(7)),),
    }


def test_an_edition_may_have_a_table_over_rates_and_the_other_way_round(shop: Path) -> None:
    write(shop, b"weight,near\n1,6.20\n5,9.80\n", f"{CARD}rates.near = [[1, 6.10]]\n{EDITION}rates_table = 'van.csv'\n")
    assert card_on(van(shop), dt.date(2027, 2, 1)).rates == {"near": NEAR}

    write(shop, b"weight,near\n1,6.20\n5,9.80\n", f"{CARD}rates_table = 'van.csv'\n{EDITION}rates.near = [[1, 6.10]]\n")
    assert card_on(van(shop), dt.date(2027, 1, 31)).rates == {"near": NEAR}
    assert card_on(van(shop), dt.date(2027, 2, 1)).rates == {"near": ((Fraction(1), Fraction("6.1")),)}


EDITION = "[[editions]]\nfrom = 2027-02-01\n"


def test_rates_by_volume_may_say_volume(shop: Path) -> None:
    card = 'name = "Van"\nlength_unit = "in"\nweight_unit = "lb"\npriced_by = "volume"\nvolume_unit = 1728\n'
    write(shop, b"volume,near\n1,6.20\n5,9.80\n", f'{card}rates_table = "van.csv"\n')

    assert van(shop).rates == {"near": NEAR}


BYTES = {
    "a NUL byte": (b"weight,near\n1,6.20\n5,\0\n", r"3: a NUL byte (got '\x00'); save the file as plain text in UTF-8"),
    "Latin-1": (
        "weight,café\n1,6.20\n".encode("latin-1"),
        "1: text in another encoding (got byte 0xe9); save it as UTF-8",
    ),
    "UTF-16": (
        "weight,near\n1,6.20\n".encode("utf-16"),
        "1: text in another encoding (got UTF-16); save the file as UTF-8",
    ),
    "over a megabyte": (
        b"weight,near\n" + b"1,6.20\n" * 200_000,
        "1: a file too large (got more than 1 MiB); keep each file under 1 MiB",
    ),
    "a million cells": (
        b"weight,near\n" + b"," * 1_000_000,
        "2: too much for one file (got over 100,000 cells); split it up",
    ),
    "one endless cell": (
        b"weight,near\n1," + b"7" * 1_000_000,
        "2: a quote out of place, or a cell that never ends (got '1,77777777777777777777777777777777777777');"
        " close the quotes, or take them out",
    ),
    "a quote within a cell": (
        b'weight,near\n1,"6"20\n',
        "2: a quote out of place, or a cell that never ends (got '1,\"6\"20'); close the quotes, or take them out",
    ),
    "a zone that is invisible": (
        "weight,near\u200b\n1,6.20\n".encode(),
        '1: "column 2": a name with invisible characters in it; type the name again by hand',
    ),
    "a number that would take for ever": (
        b"weight,near\n1,1e999\n",
        "2: near: a number out of range (got 1E+999); use at most 18 digits and an exponent within ±12",
    ),
}


@pytest.mark.parametrize(("table", "expected"), BYTES.values(), ids=BYTES)
def test_a_broken_table_is_one_line(table: bytes, expected: str, shop: Path) -> None:
    write(shop, table)

    assert told(shop) == [f"rate_cards/van.csv:{expected}"]


def test_every_mistake_of_a_table_is_told_at_once(shop: Path) -> None:
    write(shop, b"weight,near,far\n1,6.20,\n2,x,7.80\n3,6\n2.5,7,8\n")

    assert [line.split(": ")[:2] for line in told(shop)] == [
        ["rate_cards/van.csv:2", "far"],
        ["rate_cards/van.csv:3", "near"],
        ["rate_cards/van.csv:4", "far"],
    ]


def test_no_more_mistakes_are_told_than_anybody_reads(shop: Path) -> None:
    write(shop, b"weight,near\n" + b"1,x\n" * 40_000)

    problems = told(shop)

    assert len(problems) == 201
    assert sum("mend these first" in problem for problem in problems) == 1


def test_a_table_counts_among_what_is_read_in_all(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from netprice.book import files

    write(shop, b"weight,near\n1,6.20\n")
    original = files.Found.__init__
    room = sum(path.stat().st_size for path in shop.rglob("*.toml")) + 10
    monkeypatch.setattr(files.Found, "__init__", lambda self: original(self, bytes_left=room))

    assert told(shop) == [
        "rate_cards/van.csv:1: too many large files (got more than 64 MiB in all); split the shop into several"
    ]


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo, lambda path: path.symlink_to("/dev/zero")])
def test_what_is_no_plain_file_is_no_table(make: object, shop: Path) -> None:
    write(shop, b"")
    table = shop / "rate_cards" / "van.csv"
    table.unlink()
    make(table)  # type: ignore[operator]

    problems = told(shop)

    assert len(problems) == 1
    assert problems[0].startswith("rate_cards/van.csv:1: no plain file (got a")


@pytest.mark.parametrize("name", ["../van.csv", "/etc/passwd", "a/van.csv", "a\\\\van.csv", ".van.csv", "..", "van"])
def test_a_table_is_a_name_and_never_a_path(name: str, shop: Path) -> None:
    (shop / "van.csv").write_text("weight,near\n1,6.20\n")
    write(shop, b"weight,near\n1,6.20\n", f'{CARD}rates_table = "{name}"\n')

    problems = told(shop)

    assert len(problems) == 1
    assert problems[0].startswith("rate_cards/van.toml:5: rates_table: no name of a table")


def test_a_table_that_nobody_names_is_left_alone(shop: Path) -> None:
    (shop / "rate_cards" / "old.csv").write_bytes(b"\0")

    assert told(shop) == []


def test_a_table_is_read_once_for_all_that_name_it(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from netprice.book import rates_tables

    editions = "".join(f'[[editions]]\nfrom = {year}-01-01\nuntil = {year}-12-31\nrates_table = "van.csv"\n'
                       for year in range(2030, 2040))  # fmt: skip
    write(shop, b"weight,near\n1,6.20\n", f'{CARD}rates_table = "van.csv"\n{editions}')
    reads: list[bytes] = []

    def reading(data: bytes, first: tuple[str, ...]) -> rates_table.RatesRead:
        reads.append(data)
        return read_rates(data, first)

    monkeypatch.setattr(rates_tables, "read_rates", reading)

    assert len(van(shop).editions) == 10
    assert len(reads) == 1


cells = st.text(st.sampled_from('0123456789.,;"\n\r\t eE+-\u0663\u202e\0wnf'), max_size=12)


@settings(max_examples=500, deadline=None)
@given(st.lists(st.lists(cells, max_size=4).map(",".join), max_size=6).map("\n".join), st.booleans())
def test_any_text_is_rates_or_flaws_of_one_line_each(text: str, headed: bool) -> None:
    text = f"weight,near,far\n{text}" if headed else text

    read = read_rates(text.encode())

    assert bool(read.rates) != bool(read.flaws)
    for flaw in read.flaws:
        assert flaw.what.isprintable()
        assert flaw.mend.isprintable()
        assert 1 <= flaw.line <= len(re.split("\r\n|\r|\n", text)) + 1
    for breaks in read.rates.values():
        weights = [weight for weight, _ in breaks]
        assert weights == sorted(set(weights))


@given(st.binary(max_size=200))
def test_any_bytes_are_rates_or_flaws(data: bytes) -> None:
    read = read_rates(data)

    assert bool(read.rates) != bool(read.flaws)


def test_a_carrier_s_whole_list_is_read_before_anybody_notices(shop: Path) -> None:
    """150 weights, 9 zones and 4 editions: well under 50 ms, so that a card in CSV costs a command nothing."""
    zones = ",".join(f"zone{zone}" for zone in range(2, 11))
    folder, card = shop / "rate_cards", CARD + 'rates_table = "list0.csv"\n'
    for edition in range(4):
        rows = [[f"{weight * zone + edition}.{zone}5" for zone in range(9)] for weight in range(1, 151)]
        table = "\n".join(f"{weight},{','.join(row)}" for weight, row in enumerate(rows, start=1))
        (folder / f"list{edition}.csv").write_text(f"weight,{zones}\n{table}\n")
        if edition:
            card += f"[[editions]]\nfrom = {2030 + edition}-01-01\nuntil = {2030 + edition}-12-31\n"
            card += f'rates_table = "list{edition}.csv"\n'
    (folder / "van.toml").write_text(card)
    assert len(van(shop).editions[2].rates or ()) == 9

    took = []
    for _ in range(5):
        start = time.process_time()
        read_book(shop)
        took.append(time.process_time() - start)

    assert min(took) < 0.05 * (1 if sys.gettrace() is None else 10)
