"""`netprice risk` at a terminal."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.cli.test_answers import DAY, document, run

DOUBT = ("--range", "labour.throwing.time=8..14 min", "--range", "returns.rate=1..4 %", "--draws", "1024")


def test_the_answer_comes_first_and_fits_a_narrow_terminal() -> None:
    done = run("risk", "mug", "--channel", "web", *DOUBT, *DAY, columns=80)
    assert done.stdout.startswith("mug on web at 42.00 USD: in nine of ten cases the average order leaves a")
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert done.returncode == 0


def test_json_is_the_same_for_the_same_seed() -> None:
    words = ("risk", "mug", "--channel", "web", *DOUBT, "--seed", "5")
    first, second = document(*words), document(*words)
    assert first == second
    (result,) = first["results"]
    found = result["in_doubt"]
    assert {each["path"] for each in found["drivers"]} == {"labour.throwing.time", "returns.rate"}
    assert Decimal(found["profit"]["p5"]) < Decimal(found["profit"]["p50"]) < Decimal(found["profit"]["p95"])
    assert sum(Decimal(way["chance"]) for way in result["one_order"]["ways"]) == 1


def test_without_any_range_the_ways_of_one_order_are_counted() -> None:
    done = run("risk", "mug", "--channel", "fair", *DAY)
    assert done.stdout.startswith("mug on fair at 42.00 USD: no order loses money, however it turns out.")
    assert "'35..50 min'" in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--range", "labour.throwing.time"), "no range (got 'labour.throwing.time')"),
        (("--range", "labour.throwing.time=14..8 min"), "a range that does not rise"),
        (("--range", "labour.trowing.time=8..14 min"), "did you mean 'labour.throwing.time'"),
        (("--chance", "120 %"), "the chance: outside 0 to 100 %"),
        (("--chance", "0 %"), "the chance: nothing is certain"),
        (("--draws", "2"), "2 draws"),
    ],
)
def test_a_question_that_makes_no_sense_is_told(words: tuple[str, ...], said: str) -> None:
    done = run("risk", "mug", "--channel", "web", *words, *DAY)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in " ".join(done.stderr.split())
