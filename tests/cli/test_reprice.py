"""`netprice reprice` on a copy of the demo shop: what it finds, what it writes, and what it leaves alone."""

from __future__ import annotations

import datetime as dt
import errno
import json
import shutil
import stat
import tempfile
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import netprice
from netprice.answer import shop as shops
from netprice.book import rewrite
from netprice.book.read import read_book
from netprice.cli import main

POTTERY = Path(__file__).parents[2] / "examples" / "pottery"
DAY = ("--on", "2026-11-25")


class Ended(NamedTuple):
    """What a run left behind: its exit code and what it wrote."""

    code: int
    out: str
    err: str


Run = Callable[..., Ended]


@pytest.fixture
def pottery(tmp_path: Path) -> Path:
    folder = tmp_path / "pottery"
    shutil.copytree(POTTERY, folder)
    return folder


@pytest.fixture
def run(pottery: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("COLUMNS", "80")

    def once(*words: str) -> Ended:
        with pytest.raises(SystemExit) as end:
            main.run([*words, *(() if words[0] == "check" else ("--shop", str(pottery), *DAY))])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        assert isinstance(end.value.code, int)
        return Ended(end.value.code, out, err)

    return once


def document(ended: Ended) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(ended.out)
    return found


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


# Mugs are listed at 54.00 on `large`; the ledger there leaves less than 30 %.
def test_a_price_that_falls_short_is_found_and_the_exit_code_says_so(run: Run, pottery: Path) -> None:
    before = contents(pottery)
    done = run("reprice")
    assert done.code == 1
    assert done.out.startswith("1 of 19 list prices in use falls short of the target on 2026-11-25.\n")
    assert "--write puts 1 new price into 1 product file" in done.out
    assert "No price in use: bud-vase; butter-dish; large-planter." in done.out
    assert contents(pottery) == before


def test_what_it_says_is_what_the_ledger_says(run: Run, pottery: Path) -> None:
    shop = netprice.open_shop(pottery)
    on = dt.date(2026, 11, 25)
    for result in document(run("reprice", "--json"))["results"]:
        if result["status"] == "unpriced":
            assert result["list_price"] is None
            continue
        wanted = Fraction("0.12") if result["channel"] == "gallery" else Fraction("0.30")
        ledger = shop.ledger(result["product"], channel=result["channel"], price=result["list_price"], on=on)
        assert ledger.margin is not None
        assert (result["status"] == "holds") == (ledger.margin >= wanted)
        spare = ledger.profit - wanted * ledger.net_sales
        assert abs(Fraction(result["to_spare"]) - spare) < Fraction(1, 10**11)
        if result["new_price"] is not None:
            less = Decimal(result["new_price"]) - Decimal("0.01")
            found = [
                shop.ledger(result["product"], channel=result["channel"], price=price, on=on).margin
                for price in (less, result["new_price"])
            ]
            assert found[0] is not None
            assert found[1] is not None
            assert found[0] < wanted <= found[1]


# A mug at 37.50 with 9.80 of shipping pays the transaction fee on 47.30: 5.8 % is 2.7434, charged as 2.74; from
# 15 January 6.3 %, 2.9799, charged as 2.98. It is given back on the 2 % of orders that are returned, and on no others:
# 98 % of 0.24 is 0.2352 that an order leaves less. Nothing else changes that day.
def test_the_announced_fee_of_the_handmade_marketplace_is_seen_coming(run: Run, pottery: Path) -> None:
    found = document(run("reprice", "mug", "--channel", "handmade", "--json", "--ahead", "60"))
    (today,) = found["results"]
    (turn,) = found["changes_ahead"]
    assert (found["netprice"], found["until"], turn["on"]) == ("reprice", "2027-01-24", "2027-01-15")
    assert turn["changes"] == [
        {"kind": "fee", "file": "handmade-marketplace", "name": "transaction", "what": "5.8 % → 6.3 %"}
    ]
    (then,) = turn["results"]
    assert (today["status"], then["before"], then["status"]) == ("holds", "holds", "short")
    assert Decimal(today["to_spare"]) - Decimal(then["to_spare"]) == Decimal("0.2352")
    shop = netprice.open_shop(pottery)
    margins = [
        shop.ledger("mug", channel="handmade", price=price, on=dt.date(2027, 1, 15)).margin
        for price in (then["new_price"], Decimal(then["new_price"]) - Decimal("0.01"))
    ]
    assert margins[0] is not None
    assert margins[1] is not None
    assert margins[0] >= Fraction(3, 10) > margins[1]


def test_the_text_names_the_change_its_day_and_the_new_price(run: Run) -> None:
    said = run("reprice", "mug", "--channel", "handmade", "--ahead", "60").out
    assert "From 2027-01-15\n  - handmade-marketplace: transaction 5.8 % → 6.3 %\n" in said
    assert "All" not in said.splitlines()[0]
    assert said.startswith("The list price in use holds on 2026-11-25.")


def test_after_writing_all_prices_hold_and_the_shop_is_still_right(run: Run, pottery: Path) -> None:
    before = contents(pottery)
    done = run("reprice", "--write")
    assert done.code == 0
    mug = before["products/mug.toml"]
    assert mug.count(b"large = 54.00 ") == 1
    new = document(run("reprice", "mug", "--channel", "large", "--json"))["results"][0]["list_price"]
    assert f"mug.toml: large 54.00 → {new}" in " ".join(done.out.split())
    wanted = {**before, "products/mug.toml": mug.replace(b"large = 54.00 ", f"large = {new} ".encode())}
    assert contents(pottery) == wanted
    assert run("reprice").code == 0
    assert run("check", str(pottery)).code == 0
    assert run("reprice", "--write").out.endswith("Nothing to write.\n")
    assert contents(pottery) == wanted


# One price for all channels, too low on some of them: these get prices of their own, and the others keep theirs.
def test_a_price_in_common_is_parted_only_where_it_has_to_be(run: Run, pottery: Path) -> None:
    bowl = pottery / "products" / "pasta-bowl.toml"
    text = bowl.read_text().replace("\n[list_prices]\nlarge = 74.00\n", "")
    assert "list_prices" not in text
    bowl.write_text(text)
    done = document(run("reprice", "pasta-bowl", "--write", "--json"))
    short = [result for result in done["results"] if result["status"] == "short"]
    assert [result["channel"] for result in short] == ["large"]
    assert bowl.read_text() == f"{text}\n[list_prices]\nlarge = {short[0]['new_price']}\n"
    assert done["written"] == [
        {
            "file": str(bowl),
            "product": "pasta-bowl",
            "channels": ["large"],
            "old": "58.00",
            "new": short[0]["new_price"],
        }
    ]
    again = run("reprice", "pasta-bowl", "--json")
    assert again.code == 0
    assert {result["list_price"] for result in document(again)["results"]} == {"58.00", short[0]["new_price"]}


def test_prices_are_lowered_only_when_asked_for(run: Run, pottery: Path) -> None:
    run("reprice", "--write")
    raised = contents(pottery)
    assert run("reprice", "--write", "--raise-only").code == 0
    assert contents(pottery) == raised
    assert run("reprice", "--write", "--exact").code == 0
    assert contents(pottery) != raised
    prices = [r for r in document(run("reprice", "--json", "--exact"))["results"] if r["list_price"]]
    assert [each["list_price"] for each in prices] == [each["lowest_price"] for each in prices]
    assert read_book(pottery).problems == ()


def test_a_target_out_of_reach_is_told_and_nothing_is_written_for_it(run: Run, pottery: Path) -> None:
    before = contents(pottery)
    done = run("reprice", "mug", "--channel", "gallery", "--target", "margin 60 %", "--write")
    assert done.code == 1
    assert "mug on gallery: no price up to 200.00 USD leaves a margin of 60 %" in done.out
    assert done.out.endswith("Nothing to write.\n")
    assert contents(pottery) == before


def test_products_without_a_price_in_use_are_no_failure(run: Run) -> None:
    done = run("reprice", "bud-vase")
    assert done.code == 0
    assert done.out.startswith("No list price is in use here")


def test_a_link_to_a_product_stays_one_and_modes_are_kept(run: Run, pottery: Path, tmp_path: Path) -> None:
    mug, real = pottery / "products" / "mug.toml", tmp_path / "elsewhere.toml"
    mug.rename(real)
    real.chmod(0o604)
    mug.symlink_to(real)
    assert run("reprice", "mug", "--write").code == 0
    assert mug.is_symlink()
    assert b"large = 54.00" not in real.read_bytes()
    assert stat.S_IMODE(real.stat().st_mode) == 0o604


def test_windows_line_ends_and_marks_are_kept(run: Run, pottery: Path) -> None:
    mug = pottery / "products" / "mug.toml"
    before = b"\xef\xbb\xbf" + mug.read_bytes().replace(b"\n", b"\r\n")
    mug.write_bytes(before)
    (result,) = document(run("reprice", "mug", "--write", "--json"))["written"]
    assert mug.read_bytes() == before.replace(b"large = 54.00", f"large = {result['new']}".encode())


# --- what may go wrong while writing ----------------------------------------------------------------------------------


def meanwhile(monkeypatch: pytest.MonkeyPatch, happens: Callable[[], object]) -> None:
    """Let something happen just after the shop was read."""
    real = shops.open_shop

    def read(folder: Path) -> shops.OpenShop:
        opened = real(folder)
        happens()
        return opened

    monkeypatch.setattr(shops, "open_shop", read)


def test_a_file_that_somebody_changes_meanwhile_is_not_overwritten(
    run: Run, pottery: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mug = pottery / "products" / "mug.toml"
    meanwhile(monkeypatch, lambda: mug.write_bytes(mug.read_bytes() + b"# mine\n"))
    done = run("reprice", "--write")
    assert done == (
        2, "", f"{mug}:1: changed since it was read; nothing was written; mend that and ask again\n",
    )  # fmt: skip
    assert mug.read_bytes().endswith(b"# mine\n")
    assert b"large = 54.00" in mug.read_bytes()


def test_a_file_that_only_comes_meanwhile_is_left_alone(
    run: Run, pottery: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rewrite, "files_in", lambda _: {})
    before = contents(pottery)
    assert run("reprice", "--write") == (2, "", "the file of mug came while the shop was read; ask again\n")
    assert contents(pottery) == before


def test_a_file_that_vanishes_meanwhile_is_told(run: Run, pottery: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mug = pottery / "products" / "mug.toml"
    meanwhile(monkeypatch, mug.unlink)
    done = run("reprice", "--write")
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith(f"{mug}:1: no file that can be changed (got 'No such file or directory'); ")
    assert len(done.err.splitlines()) == 1


def test_a_folder_that_cannot_be_written_is_told(run: Run, pottery: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = contents(pottery)

    def refuse(**more: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(tempfile, "mkstemp", refuse)
    done = run("reprice", "--write")
    mug = pottery / "products" / "mug.toml"
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith(f"{mug}:1: no file that can be changed (got 'Permission denied'); ")
    assert len(done.err.splitlines()) == 1
    assert contents(pottery) == before


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("words", [(), ("--exact",), ("--target", "margin 60 %"), ("--worst",)])
def test_text_fits_the_terminal(
    run: Run, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    done = run("reprice", *words)
    assert max(map(len, done.out.splitlines())) <= columns


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("mugg",), "no product is called 'mugg'; did you mean 'mug'?\n"),
        (("--channel", "webb"), "no channel is called 'webb'; did you mean 'web'?\n"),
        (("--ahead", "-3"), "-3 days ahead; ask for 0 to 36500\n"),
        (("serving-platter", "--channel", "fair"), "nothing to hold against costs: no product is sold there\n"),
    ],
)
def test_a_question_that_cannot_be_asked_gets_one_line(run: Run, words: tuple[str, ...], said: str) -> None:
    assert run("reprice", *words) == (2, "", said)
