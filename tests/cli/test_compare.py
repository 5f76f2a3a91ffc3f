"""`netprice compare`: what it prints, its JSON, and how it ends."""

from __future__ import annotations

import json
import shutil
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tests.cli.test_answers import DAY, ROOT, document, run


def comparison(*words: str) -> dict[str, Any]:
    (result,) = document("compare", *words)["results"]
    found: dict[str, Any] = result
    return found


def test_own_prices_are_those_of_solve() -> None:
    found = comparison("mug")
    solved = document("solve", "mug")["results"]
    own = {each["channel"]: each["lowest_price"] for each in solved}
    assert {each["channel"]: each["price"] for each in found["own_prices"]["channels"]} == own
    assert {each["channel"]: each["lowest_price"] for each in found["channels"]} == own


def test_json_has_the_shape_that_scripts_rely_on() -> None:
    found = comparison("mug", "--at", "40", "--monthly-profit", "500")
    group = found["one_price"][0]
    assert (group["common_price"], group["channels"]) == ("40.00", ["handmade", "large", "web", "fair", "gallery"])
    assert set(found["own_prices"]) == {"channels", "best", "best_with_few_orders", "changes_of_best_channel"}
    assert found["own_prices"]["best"].keys() == {"order", "labour_hour", "machine_hour", "month"}
    channel = group["at_common_price"]["channels"][0]
    shares = channel["shares_of_what_buyers_pay"]
    assert set(shares) == {"fees", "labels", "making", "returns", "set_aside", "profit"}
    assert sum(map(Decimal, shares.values())) == pytest.approx(1, abs=1e-11)
    needed = channel["orders_to_cover"]
    assert needed["fees"] <= needed["overhead"] <= needed["profit"]
    assert (found["overhead_per_month"], found["monthly_profit"]) == ("940", "500")


# What the ledger of each channel says at that price, times the orders of shop.toml.
def test_a_month_is_the_ledgers_profit_times_the_orders() -> None:
    at = comparison("mug", "--at", "40")["one_price"][0]["at_common_price"]
    for each in at["channels"]:
        ledger = document("ledger", "mug", "--channel", each["channel"], "--price", "40")["results"][0]["ledger"]
        month = Decimal(ledger["profit"]) * Decimal(each["orders_per_month"])
        assert Decimal(each["profit_per_month"]) == pytest.approx(month, abs=Decimal("1e-8"))


def test_the_lowest_single_price_meets_everywhere_and_one_step_less_does_not() -> None:
    price = comparison("mug")["one_price"][0]["lowest_single_price"]
    below = str(Decimal(price) - 1)  # the stall and the gallery price in whole dollars
    for at, every in ((price, True), (below, False)):
        found = comparison("mug", "--at", at)["one_price"][0]["at_common_price"]["channels"]
        assert all(each["meets_target"] for each in found) == every


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize(
    "words",
    [
        ("mug",),
        ("mug", "--channel", "web"),
        ("pasta-bowl", "--at", "49.95", "--monthly-profit", "1500"),
        ("mug", "bud-vase", "large-planter", "serving-platter", "--brief"),
    ],
)
def test_text_fits_the_terminal(words: tuple[str, ...], columns: int) -> None:
    done = run("compare", *words, *DAY, columns=columns)
    assert (done.returncode, done.stderr) == (0, "")
    assert max(map(len, done.stdout.splitlines())) <= columns


def test_several_products_begin_with_an_overview_and_brief_is_only_that() -> None:
    brief = run("compare", "mug", "bud-vase", *DAY, "--brief").stdout
    full = run("compare", "mug", "bud-vase", *DAY).stdout
    assert full.startswith(brief.rstrip("\n"))
    assert "mug on 5 channels" in full
    assert "mug on 5 channels" not in brief


def test_a_channel_out_of_reach_is_named_and_the_exit_is_1() -> None:
    done = run("compare", "mug", *DAY, "--target", "margin 60 %")
    assert done.returncode == 1
    assert "No one price meets the target on every channel: gallery cannot reach it" in done.stdout
    assert "mug on gallery: no price up to 200.00 USD" in done.stdout


def test_nothing_in_reach_is_told_without_tables() -> None:
    words = ("compare", "bud-vase", *DAY, "--channel", "gallery", "--target", "margin 90 %")
    done = run(*words)
    assert done.returncode == 1
    assert done.stdout.startswith("bud-vase on gallery: the target is out of reach.")
    assert "----" not in done.stdout


MORE_CHANNELS = """
[channels.overseas]
fee_profile = "overseas-marketplace"
exchange_rate = 0.91
orders_per_month = 6
delivery = { label_cost = 27.50 }

[channels."Saturday market in the old town hall"]
prices = { step = 1.00 }
"""


@pytest.fixture
def abroad(tmp_path: Path) -> Path:
    """Return the demo shop with a channel in euros, and one with a long name."""
    folder = tmp_path / "shop"
    shutil.copytree(ROOT / "examples/pottery", folder)
    with (folder / "shop.toml").open("a", encoding="utf-8") as file:
        file.write(MORE_CHANNELS)
    return folder


def test_another_currency_is_compared_in_the_shops_and_priced_apart(abroad: Path) -> None:
    words = ("--shop", str(abroad), "--on", "2026-11-25")
    done = run("compare", "mug", *words, "--at", "50")
    assert done.returncode == 0
    assert "All at 50.00 USD\n" in done.stdout
    assert "All at 50.00 EUR\n" in done.stdout
    assert "Amounts are in USD, those in EUR at the rates that the shop states." in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80
    found = json.loads(run("compare", "mug", *words, "--json").stdout)["results"][0]
    assert [group["currency"] for group in found["one_price"]] == ["USD", "EUR"]
    overview = run("compare", "mug", "bud-vase", *words, "--brief").stdout
    assert max(map(len, overview.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("mug", "--at", "ten"), "the price: no number (got 'ten')"),
        (("mug", "--at=-1"), "the price: below zero"),
        (("mug", "--monthly-profit", "much"), "the profit a month: no number (got 'much')"),
        (("mugg",), "no product is called 'mugg'"),
        (("mug", "--channel", "webb"), "no channel is called 'webb'"),
    ],
)
def test_a_question_that_cannot_be_asked_gets_one_line_and_exit_2(words: tuple[str, ...], said: str) -> None:
    done = run("compare", *words, *DAY)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(said)
    assert len(done.stderr.splitlines()) == 1


def test_a_channel_that_is_named_twice_is_compared_once() -> None:
    assert len(comparison("mug", "--channel", "web", "--channel", "web")["channels"]) == 1
