"""`netprice risk` at a terminal, and the example shop whose files have ranges in them."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from pathlib import Path

import pytest

import netprice
from tests.cli.test_answers import DAY, ROOT, document, run

DOUBT = ("--shop", str(ROOT / "examples/doubt"), "--on", "2026-11-25")
TIME = ("--range", "labour.throwing.time=8..10..16 min")


def test_the_example_shop_has_no_mistakes_and_solves() -> None:
    assert run("check", str(ROOT / "examples/doubt")).returncode == 0
    assert run("solve", "vase", *DOUBT).returncode == 0


def test_ranges_in_the_files_are_in_doubt() -> None:
    (result,) = json.loads(run("risk", "vase", *DOUBT, "--json").stdout)["results"]
    found = result["in_doubt"]
    assert {each["path"] for each in found["drivers"]} >= {"machines.kiln.rate", "labour.throwing.time", "returns.rate"}
    ranks = [abs(Decimal(each["rank_correlation"])) for each in found["drivers"]]
    assert ranks == sorted(ranks, reverse=True)
    assert Decimal(found["margin"]["p5"]["value"]) < Decimal(found["margin"]["p95"]["value"])
    assert Decimal(found["holding"]["share_there"]) >= Decimal("0.9")


def test_the_price_that_holds_put_in_has_the_chance_that_was_asked_for() -> None:
    (first,) = document("risk", "mug", "--channel", "web", *TIME, "--chance", "80 %")["results"]
    price = first["in_doubt"]["holding"]["price"]
    (again,) = document("risk", "mug", "--channel", "web", *TIME, "--price", price)["results"]
    assert Decimal(again["in_doubt"]["chance_to_meet"]["value"]) >= Decimal("0.8")
    assert again["in_doubt"]["chance_to_meet"]["value"] == first["in_doubt"]["holding"]["share_there"]


def test_the_chances_of_a_single_order_add_up() -> None:
    (result,) = document("risk", "mug", "--channel", "web")["results"]
    assert result["in_doubt"] is None
    ways = result["one_order"]["ways"]
    assert sum(Decimal(way["chance"]) for way in ways) == 1
    mean = sum(Decimal(way["chance"]) * Decimal(way["profit"]) for way in ways)
    assert mean == pytest.approx(Decimal(result["at_means"]["profit"]), abs=Decimal("1e-9"))


@pytest.mark.parametrize("columns", [80, 120])
def test_the_text_fits_and_answers_first(columns: int) -> None:
    done = run("risk", "mug", "--channel", "handmade", *TIME, *DAY, columns=columns)
    assert done.returncode == 0
    assert max(map(len, done.stdout.splitlines())) <= columns
    said = " ".join(done.stdout.split())
    assert said.startswith("mug on handmade at 37.50 USD: in 9 of 10 cases the average order leaves a margin between ")
    assert "8..10..16 min" in said


def test_without_any_doubt_it_says_how_to_write_a_range() -> None:
    done = run("risk", "mug", "--channel", "web", *DAY)
    assert done.returncode == 0
    said = " ".join(done.stdout.split())
    assert "no input is in doubt" in said
    assert "'35..40..50 min' (lowest, most likely, highest)" in said


def test_a_price_out_of_reach_ends_with_one() -> None:
    done = run("risk", "mug", "--channel", "web", *TIME, "--target", "margin 99 %", *DAY)
    assert done.returncode == 1
    assert "No price leaves it with a chance of 90 %" in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--range", "labour.throwing.time"), "no range"),
        (("--range", "labour.trowing.time=8..10 min"), "did you mean 'labour.throwing.time'"),
        (("--range", "labour.throwing.time=16..8 min"), "does not rise"),
        (("--range", "labour.throwing.time=8..10 kg"), "no amount in min"),
        (("--range", "packing.single.holds=1..3"), "counted"),
        (("--chance", "0 %"), "a chance of nothing"),
        (("--chance", "120 %"), "the chance"),
        (("--draws", "0"), "0 draws"),
    ],
)
def test_a_question_that_makes_no_sense_is_told(words: tuple[str, ...], said: str) -> None:
    done = run("risk", "mug", *words, *DAY)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_python_and_the_command_give_the_same() -> None:
    shop = netprice.open_shop(Path(DOUBT[1]))
    answer = shop.risk("vase", channel="web", on=dt.date(2026, 11, 25), seed=3)
    assert answer.with_doubt is not None
    assert answer.with_doubt.holding is not None
    (result,) = json.loads(run("risk", "vase", *DOUBT, "--seed", "3", "--json").stdout)["results"]
    assert Decimal(result["in_doubt"]["holding"]["price"]) * 100 == answer.with_doubt.holding.price
