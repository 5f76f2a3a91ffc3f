"""`netprice solve --unknown` and `netprice sensitivity` at a terminal."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from tests.cli.test_answers import DAY, ROOT, document, run


def test_the_greatest_time_is_put_into_the_file_and_holds() -> None:
    found = document("solve", "mug", "--channel", "web", "--price", "40", "--unknown", "labour.throwing.time")
    (result,) = found["results"]
    assert (result["direction"], result["input"]["unit"], result["price"]) == ("greatest", "min", "40.00")
    assert result["holds"] == [["0", result["value"]]]
    assert Decimal(result["value"]) > Decimal(result["input"]["value"])


def test_the_answer_stands_in_the_first_sentence() -> None:
    done = run("solve", "mug", "--channel", "web", "--price", "40", "--unknown", "labour.throwing.time", *DAY)
    assert done.stdout.startswith("mug on web at 40.00 USD: labour.throwing.time may be ")
    assert done.returncode == 0


def test_no_value_ends_with_one() -> None:
    done = run("solve", "mug", "--channel", "web", "--price", "15", "--unknown", "labour.throwing.time", *DAY)
    assert done.returncode == 1
    assert "no value of labour.throwing.time does (it is 10 min): at 0 min it reaches a margin of" in (
        " ".join(done.stdout.split())
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("solve", "mug", "--price", "40"), "--price and --step go with --unknown"),
        (("solve", "mug", "--unknown", "labour.trowing.time"), "did you mean 'labour.throwing.time'"),
        (("solve", "mug", "--unknown", "labour.throwing.time", "--step", "1 kg"), "the step: no amount in min"),
        (("solve", "mug", "--unknown", "labour.throwing.time", "--step", "0"), "give a step above zero"),
        (("sensitivity", "mug", "--by", "0 %"), "nothing to change by"),
        (("sensitivity", "mug", "--by", "lots"), "the change"),
    ],
)
def test_a_question_that_makes_no_sense_is_told(words: tuple[str, ...], said: str) -> None:
    done = run(*words, *DAY)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_sensitivity_fits_a_narrow_terminal() -> None:
    done = run("sensitivity", "pasta-bowl", "--channel", "handmade", *DAY, columns=80)
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert done.stdout.startswith("pasta-bowl on handmade at 58.00 USD, where an order leaves ")


def test_sensitivity_as_json_has_the_largest_effect_first() -> None:
    found = json.loads(run("sensitivity", "mug", "--channel", "fair", *DAY, "--json").stdout)
    (result,) = found["results"]
    profit = Decimal(result["profit"])
    swings = [
        max(abs(Decimal(each[side]["profit"]) - profit) for side in ("less", "more") if each[side]["profit"])
        for each in result["inputs"]
    ]
    assert swings == sorted(swings, reverse=True)


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        (("solve", "past"), ["pasta-bowl"]),
        (("compare", "mug", "--channel", "ha"), ["handmade"]),
        (("solve", "mug", "--unknown", "labour.th"), ["labour.throwing.time", "labour.throwing.rate"]),
        (("solve", "mug", "--channel", "handmade", "--unknown", "fees.tr"), ["fees.transaction.percent"]),
    ],
)
def test_a_shell_is_offered_names_and_paths(typed: tuple[str, ...], offered: list[str]) -> None:
    words = ("netprice", typed[0], "--shop", str(ROOT / "examples/pottery"), *typed[1:])
    asked = {"_NETPRICE_COMPLETE": "complete_bash", "COMP_WORDS": " ".join(words), "COMP_CWORD": str(len(words) - 1)}
    assert run(more=asked).stdout.split() == offered


def test_a_question_mark_lists_all_paths() -> None:
    listed = run("solve", "mug", "--channel", "web", "--unknown", "?", *DAY).stdout.splitlines()
    assert listed[0] == "discount"
    assert {"labour.throwing.time", "batch.good_share", "shipping.first", 'fees."card payment".percent'} <= set(listed)
