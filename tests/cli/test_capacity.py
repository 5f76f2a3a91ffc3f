"""`netprice capacity`: what it prints, the JSON, other hours, and how it ends."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from typing import Any

import pytest

import netprice
from tests.cli.test_answers import DAY, ROOT, run


def asked(*words: str) -> dict[str, Any]:
    """Return the JSON answer; the run must leave nothing but JSON on its output, whatever the solver prints."""
    done = run("capacity", *words, *DAY, "--json")
    found: dict[str, Any] = json.loads(done.stdout)
    (result,) = found["results"]
    assert (found["netprice"], found["version"], found["on"]) == ("capacity", 1, "2026-11-25")
    return dict(result)


def test_json_orders_and_hours_add_up_to_the_contribution_and_the_hours_used() -> None:
    result = asked()
    orders = [(line, line["orders"]) for line in result["mix"]]
    fees = sum(map(Decimal, result["fees_per_month"].values()))
    left = sum(Decimal(line["contribution"]) * count for line, count in orders) - fees
    assert abs(left - Decimal(result["contribution"])) < Decimal("1e-8")
    (kiln,) = (use for use in result["uses"] if (use["kind"], use["name"]) == ("machine", "kiln"))
    used = sum(
        Decimal(each["hours"]) * count
        for line, count in orders
        for each in line["hours"]
        if (each["kind"], each["name"]) == ("machine", "kiln")
    )
    assert abs(used - Decimal(kiln["used"])) < Decimal("1e-8")
    assert Decimal(kiln["used"]) <= Decimal(kiln["there_is"]) == 80
    assert Decimal(kiln["worth_of_one_more"]) > 0
    assert all(line["most"] is None or line["at_least"] <= count <= line["most"] for line, count in orders)


def test_the_contribution_of_an_order_is_that_of_its_ledger() -> None:
    (line,) = asked("mug", "--channel", "web")["mix"]
    done = run("ledger", "mug", "--channel", "web", "--price", line["price"], *DAY, "--json")
    assert line["contribution"] == json.loads(done.stdout)["results"][0]["ledger"]["contribution"]


def test_more_hours_never_leave_less() -> None:
    left = [Decimal(asked("--hours", f"kiln={hours} hours")["contribution"]) for hours in (40, 80, 120)]
    assert left == sorted(left)
    assert left[0] < left[1]


def test_promises_that_cannot_be_kept_end_with_1_and_say_what_is_lacking() -> None:
    done = run("capacity", "--hours", "kiln=5 hours", *DAY)
    assert done.returncode == 1
    assert done.stdout.startswith("The orders that are promised cannot all be made: kiln lacks ")
    result = asked("--hours", "kiln=5 hours")
    assert (result["status"], result["contribution"]) == ("short", None)
    assert {line["orders"] for line in result["mix"]} == {None}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("mugg",), "no product is called 'mugg'; did you mean 'mug'?"),
        (("--channel", "webb"), "no channel is called 'webb'; did you mean 'web'?"),
        (("--hours", "kiln"), "no hours of a name (got 'kiln'); write them like 'kiln=130 hours'"),
        (("--hours", "kilm=5 hours"), "no machine and no kind of work is called 'kilm'; did you mean 'kiln'?"),
        (("--hours", "kiln=5"), "the hours of kiln: expected a duration such as '45 min' (got '5')"),
        (("--hours", "kiln=5 kg"), "the hours of kiln: expected a duration such as '45 min', got a weight"),
        (("--hours", "kiln=-5 hours"), "the hours of kiln: below zero (got -5 hours)"),
    ],
)
def test_a_question_that_cannot_be_asked_gets_one_line_and_exit_2(words: tuple[str, ...], said: str) -> None:
    done = run("capacity", *words, *DAY)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(said)
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize(
    "words",
    [(), ("mug", "pasta-bowl", "--quantity", "2"), ("--hours", "kiln=80 hours", "--hours", "throwing=40 hours")],
)
def test_text_fits_the_terminal(words: tuple[str, ...], columns: int) -> None:
    done = run("capacity", *words, *DAY, columns=columns)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("The best mix leaves a contribution of ")
    assert max(map(len, done.stdout.splitlines())) <= columns


def test_what_the_command_does_the_package_does() -> None:
    shop = netprice.open_shop(ROOT / "examples/pottery")
    answer = shop.capacity("mug", "pasta-bowl", channels=["web"], hours={"kiln": 10}, on=dt.date(2026, 11, 25))
    printed = asked("mug", "pasta-bowl", "--channel", "web", "--hours", "kiln=10 hours")
    assert [offer.orders for offer in answer.offers] == [line["orders"] for line in printed["mix"]]
