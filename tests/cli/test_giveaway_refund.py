"""`netprice giveaway` and `netprice refund`: what they print, their JSON, and how they end."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from typing import Any

import pytest

import netprice
from tests.cli.test_answers import DAY, ROOT, document, run

WEB = ("mug", "--channel", "web")
GIFT: tuple[str, ...] = ("giveaway", *WEB, "--units", "5", "--refunded", "1", "--promotion-cost", "35")
GIFT += ("--people", "900", "--conversion", "1.8 %", "--expected-sales", "14")


def only(*words: str) -> dict[str, Any]:
    (result,) = document(*words)["results"]
    found: dict[str, Any] = result
    return found


def ledger_at(price: str) -> dict[str, Any]:
    found: dict[str, Any] = only("ledger", *WEB, "--price", price)["ledger"]
    return found


def test_a_giveaway_costs_its_units_its_winners_and_its_promotion() -> None:
    found = only(*GIFT)
    sums = {key: Decimal(found[key]) for key in ("unit_cost", "order_cost", "label", "lost_profit_of_one_refunded")}
    one = sums["unit_cost"] + sums["order_cost"] + sums["label"]
    way = found["by_profit"]
    assert Decimal(way["cost_of_one_given"]) == pytest.approx(one, abs=Decimal("1e-11"))
    assert Decimal(way["cost"]) == pytest.approx(
        5 * one + sums["lost_profit_of_one_refunded"] + 35, abs=Decimal("1e-10")
    )
    assert Decimal(found["by_contribution"]["cost"]) < Decimal(way["cost"])


def test_an_extra_order_leaves_what_its_ledger_says() -> None:
    found = only(*GIFT)
    ledger = ledger_at(found["price"])
    assert found["by_profit"]["per_order"] == ledger["profit"]
    assert found["by_contribution"]["per_order"] == ledger["contribution"]
    assert (found["unit_cost"], found["order_cost"]) == (ledger["unit_cost"], ledger["order_cost"])


@pytest.mark.parametrize("by", ["by_profit", "by_contribution"])
def test_one_extra_order_fewer_would_not_break_even(by: str) -> None:
    way = only(*GIFT)[by]
    cost, each = Decimal(way["cost"]), Decimal(way["per_order"])
    assert (way["extra_sales_to_break_even"] - 1) * each < cost <= way["extra_sales_to_break_even"] * each


def test_the_most_to_give_away_has_the_chance_and_one_more_has_not() -> None:
    most = only(*GIFT, "--chance", "80 %")["by_profit"]["binomial"]["greatest_units"]
    for units, enough in ((most, True), (most + 1, False)):
        way = only(*GIFT, "--units", str(units))["by_profit"]
        assert (Decimal(way["binomial"]["chance"]) >= Decimal("0.8")) == enough


def test_a_giveaway_ends_with_1_where_the_chance_is_missed() -> None:
    assert [run(*GIFT, "--chance", chance, *DAY).returncode for chance in ("75 %", "99 %")] == [0, 1]


def test_what_was_not_asked_is_null() -> None:
    found = only("giveaway", *WEB)
    assert (found["units"], found["expected_extra_sales"], found["people_reached"]) == (1, None, None)
    assert (found["by_profit"]["poisson"], found["by_profit"]["binomial"]) == (None, None)
    assert found["breaks_even"] is True


def test_a_refund_is_the_order_delivered_less_its_changes() -> None:
    found = only("refund", *WEB)
    changes = sum(Decimal(change) for change in found["changes"].values())
    delivered, refunded = (Decimal(found["left"][each]["profit"]) for each in ("delivered", "refunded"))
    assert delivered + changes == pytest.approx(refunded, abs=Decimal("1e-10"))
    assert Decimal(found["cost"]["profit"]) == pytest.approx(-changes, abs=Decimal("1e-10"))
    assert found["left"]["on_average"]["profit"] == ledger_at(found["price"])["profit"]


# At the price that solve gives the target holds with the returns that the shop has, and hardly with any more.
def test_the_price_that_meets_the_target_bears_the_returns_of_the_shop() -> None:
    found = only("refund", *WEB, "--step", "0.01 %")
    assert Decimal(found["rate"]) <= Decimal(found["target"]["greatest"]) < Decimal(found["break_even"]["greatest"])


def test_options_say_how_it_is_refunded() -> None:
    found = only("refund", *WEB, "--price", "40", "--back", "10", "--goods-kept", "--label-paid-by", "shop")
    assert found["refund"] == {
        "share": "0.25",
        "goods_back": False,
        "label_paid_by": None,
        "resellable": "0",
        "shipping_refunded": False,
        "buyer_gets": "10.72",  # 7.2 % tax on top
    }
    assert (found["changes"]["paid_back"], found["changes"]["resold"]) == ("-10", "0")
    how = only(
        "refund", *WEB, "--price", "40", "--refund-shipping", "--resellable", "100 %", "--label-paid-by", "shop"
    )["refund"]
    assert how["buyer_gets"] == "52.68"  # 42.88 and 9.80 shipping
    assert (how["resellable"], how["label_paid_by"]) == ("1", "shop")


# At 20.00 the margin is far off 30 %, with returns and without.
def test_a_refund_ends_with_1_where_the_target_is_out_of_reach() -> None:
    done = run("refund", *WEB, "--price", "20", *DAY)
    assert done.returncode == 1
    assert "for a margin of 30 % none" in " ".join(done.stdout.split())


def test_without_a_price_within_reach_the_best_one_is_taken_and_said() -> None:
    for command in ("giveaway", "refund"):
        done = run(command, "mug", "--channel", "gallery", "--target", "margin 60 %", *DAY)
        assert done.returncode == 1
        assert done.stdout.startswith("mug on gallery at 200.00 USD: ")
        assert "No price meets the target; this is the one that gets nearest." in done.stdout


def test_both_point_to_the_law_and_to_advice() -> None:
    for command, law in (("giveaway", "Giveaway and sweepstakes law"), ("refund", "right to a refund")):
        said = " ".join(run(command, *WEB, *DAY).stdout.split())
        assert law in said
        assert "ask a licensed adviser" in said


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("words", [(*GIFT, "--chance", "90 %"), ("refund", "pasta-bowl"), ("giveaway", "mug")])
def test_text_fits_the_terminal(words: tuple[str, ...], columns: int) -> None:
    done = run(*words, *DAY, columns=columns)
    assert done.stdout
    assert max(map(len, done.stdout.splitlines())) <= columns


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("giveaway", "mugg"), "no product is called 'mugg'; did you mean 'mug'?"),
        (("giveaway", *WEB, "--units", "-1"), "-1 units to give away"),
        (("giveaway", *WEB, "--chance", "90 %"), "a chance, but of how many extra sales?"),
        (("giveaway", *WEB, "--people", "900"), "the people reached without the conversion"),
        (("giveaway", *WEB, "--price", "1e400"), "the price: a number out of range"),
        (("refund", *WEB, "--back", "1000"), "what is paid back: 1000 is more than goods and extras come to"),
        (("refund", *WEB, "--label-paid-by", "me"), "a return label paid by 'me'"),
        (("refund", *WEB, "--step", "0"), "a step of 0"),
    ],
)
def test_a_question_that_cannot_be_asked_gets_one_line_and_exit_2(words: tuple[str, ...], said: str) -> None:
    done = run(*words, *DAY)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(said)
    assert len(done.stderr.splitlines()) == 1


def test_what_the_commands_do_the_package_does() -> None:
    shop, on = netprice.open_shop(ROOT / "examples/pottery"), dt.date(2026, 11, 25)
    given = shop.giveaway("mug", channel="web", units=5, refunded=1, promotion_cost=35, on=on)
    assert given.by_profit.extra_sales == only(*GIFT)["by_profit"]["extra_sales_to_break_even"]
    refunded = shop.refund("mug", channel="web", back="50 %", on=on)
    printed = only("refund", *WEB, "--back", "50 %")
    assert str(float(refunded.cost.profit))[:12] == str(float(printed["cost"]["profit"]))[:12]


def test_the_json_is_one_document() -> None:
    found = json.loads(run("refund", "mug", *DAY, "--json").stdout)
    assert (found["netprice"], found["version"], found["on"]) == ("refund", 1, "2026-11-25")
    assert [result["channel"] for result in found["results"]] == ["handmade", "large", "web", "fair", "gallery"]
