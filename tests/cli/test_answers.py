"""The commands that answer: what they print, the JSON that scripts rely on, and how they end."""

from __future__ import annotations

import json
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

import netprice

ROOT = Path(__file__).parents[2]
DAY = ("--shop", str(ROOT / "examples/pottery"), "--on", "2026-11-25")


def run(*words: str, columns: int = 80, more: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "netprice", *words],
        cwd=ROOT,
        env={"COLUMNS": str(columns), "PATH": "", "PYTHONUTF8": "1", "PYTHONPATH": str(ROOT), **(more or {})},
        capture_output=True,
        text=True,
        check=False,
    )


def document(*words: str) -> dict[str, Any]:
    done = run(*words, *DAY, "--json")
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_solve_json_has_the_shape_that_scripts_rely_on() -> None:
    found = document("solve", "pasta-bowl", "--channel", "web")
    assert (found["netprice"], found["version"], found["on"]) == ("solve", 1, "2026-11-25")
    (result,) = found["results"]
    assert (result["product"], result["channel"], result["currency"], result["quantity"], result["status"]) == (
        "pasta-bowl", "web", "USD", 1, "met",
    )  # fmt: skip
    assert set(result["measure"]) == {"kind", "target", "reached", "case"}
    assert (result["measure"]["kind"], result["measure"]["target"], result["measure"]["case"]) == (
        "margin", "0.3", "expected",
    )  # fmt: skip
    assert Decimal(result["measure"]["reached"]) >= Decimal("0.3")
    assert result["reason"] is None
    ledger = result["ledger"]
    sums = {"lines", "buyer_pays", "tax", "net_sales", "fees", "labels", "unit_cost", "order_cost", "profit"}
    assert sums | {"margin", "markup", "contribution"} <= set(ledger)
    groups = {"sale", "fee", "shipping", "cost", "refund", "recovery", "set_aside"}
    assert {line["group"] for line in ledger["lines"]} <= groups
    assert all(set(line) == {"group", "name", "amount", "how"} for line in ledger["lines"])


@pytest.mark.parametrize("channel", ["handmade", "large", "web", "fair", "gallery"])
def test_the_printed_lines_add_up_to_the_printed_profit_exactly(channel: str) -> None:
    ledger = document("solve", "mug", "--channel", channel)["results"][0]["ledger"]
    assert sum(Decimal(line["amount"]) for line in ledger["lines"]) == Decimal(ledger["profit"])


def test_a_trap_is_a_pair_of_prices_with_the_currencys_digits() -> None:
    result = document("solve", "butter-dish", "--channel", "web")["results"][0]
    assert result["traps"] == [["60.00", "61.09"]]
    assert result["traps_from_rounding"] == []
    assert result["safe_floor"] == "61.10"


def test_out_of_reach_keeps_the_price_null_and_names_the_best_one() -> None:
    done = run("solve", "mug", "--channel", "gallery", "--target", "margin 60 %", *DAY, "--json")
    result = json.loads(done.stdout)["results"][0]
    assert done.returncode == 1
    assert (result["status"], result["lowest_price"]) == ("unreachable", None)
    assert set(result["reason"]) == {"text", "best_price", "best"}
    assert Decimal(result["reason"]["best"]) < Decimal("0.6")


def test_the_ledger_at_the_solved_price_is_the_ledger_of_the_answer() -> None:
    solved = document("solve", "mug", "--channel", "web")["results"][0]
    asked = document("ledger", "mug", "--channel", "web", "--price", solved["lowest_price"])["results"][0]
    assert asked["ledger"] == solved["ledger"]


def test_one_cent_less_than_the_lowest_price_misses_the_target() -> None:
    solved = document("solve", "mug", "--channel", "web")["results"][0]
    less = str(Decimal(solved["lowest_price"]) - Decimal("0.01"))
    below = document("ledger", "mug", "--channel", "web", "--price", less)["results"][0]["ledger"]
    assert Decimal(below["margin"]) < Decimal("0.3") <= Decimal(solved["ledger"]["margin"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("solve", "mugg"), "no product is called 'mugg'; did you mean 'mug'?"),
        (("solve", "mug", "--channel", "webb"), "no channel is called 'webb'; did you mean 'web'?"),
        (("solve", "mug", "--target", "margin"), "no target (got 'margin')"),
        (("solve", "mug", "--discount", "much"), "the discount: no number (got 'much')"),
        (("solve", "mug", "--discount", "120 %"), "a discount of '120 %'"),
        (("ledger", "mug", "--price", "1e400"), "the price: a number out of range"),
        (("ledger", "mug", "--price=-5"), "the price: below zero"),
        (("solve", "mug", "--quantity", "0"), "a quantity of 0"),
        (("parcel", "mug", "--price", "ten"), "the price: no number (got 'ten')"),
    ],
)
def test_a_question_that_cannot_be_asked_gets_one_line_and_exit_2(words: tuple[str, ...], said: str) -> None:
    done = run(*words, *DAY)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith(said)
    assert len(done.stderr.splitlines()) == 1


def test_a_day_that_is_none_is_told() -> None:
    done = run("solve", "mug", "--shop", str(ROOT / "examples/pottery"), "--on", "soon")
    assert (done.returncode, done.stderr) == (2, "no day (got 'soon'); write it as 2026-03-31\n")


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize(
    "words",
    [
        ("solve", "pasta-bowl"),
        ("solve", "mug", "serving-platter", "--worst"),
        ("ledger", "mug", "--price", "30", "--quantity", "4"),
        ("parcel", "espresso-set"),
        ("free-shipping", "pasta-bowl"),
    ],
)
def test_text_fits_the_terminal(words: tuple[str, ...], columns: int) -> None:
    done = run(*words, *DAY, columns=columns)
    assert done.stdout
    assert max(map(len, done.stdout.splitlines())) <= columns
    assert "\x1b" not in done.stdout


def test_parcel_json_is_exact_and_names_the_way_each_zone_is_served() -> None:
    result = document("parcel", "mug", "--channel", "web", "--quantity", "6")["results"][0]
    shares = sum(Decimal(zone["share"]) for zone in result["zones"])
    assert shares == 1
    average = sum(Decimal(zone["share"]) * Decimal(zone["label"]) for zone in result["zones"])
    assert Decimal(result["label_and_packing"]) > average  # packing costs something too
    for packing in result["packings"]:
        for service in packing["services"]:
            heavier = max(Decimal(service["actual_weight"]), Decimal(service["volumetric_weight"]))
            assert Decimal(service["billable_weight"]) >= heavier


# The price with shipping free is what solve gives for a shop that ships free; so the ledger at it must meet the target.
def test_free_shipping_folds_the_label_into_the_price() -> None:
    result = document("free-shipping", "pasta-bowl", "--channel", "web")["results"][0]
    now, free = Decimal(result["price_now"]), Decimal(result["price_free"])
    by_zone = [Decimal(zone["price_free"]) for zone in result["zones"]]
    assert min(by_zone) < free < max(by_zone)
    assert free > now


def test_what_a_command_does_the_package_does() -> None:
    shop = netprice.open_shop(ROOT / "examples/pottery")
    printed = document("solve", "pasta-bowl", "--channel", "web")["results"][0]
    import datetime as dt

    answer = shop.solve("pasta-bowl", channel="web", on=dt.date(2026, 11, 25))
    assert str(answer.lowest_price) == printed["lowest_price"]
    assert answer.ledger is not None
    assert sum(line.amount for line in answer.ledger.lines) == answer.ledger.profit


def test_a_broken_pipe_ends_quietly() -> None:
    command = f"{sys.executable} -m netprice solve mug --shop examples/pottery | head -n 1"
    done = subprocess.run(command, shell=True, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.stderr == ""
