"""The lines of an order: they add up to the profit, and they say how each came about. Amounts are in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.ledger.explain import Line, average, by_zone, lines_of
from netprice.ledger.order import OrderLedger, expected
from tests.build import (
    cover,
    ends,
    extra,
    fee,
    ledger,
    off,
    quoted,
    set_aside,
    shipping,
    tax,
    tiers,
    zone,
)

ZONES = (
    zone(quoted(600, insured=cover(step=4000, price=40)), name="near", share="1/3"),
    zone(900, name="far", share="2/3"),
)
FEES = [
    fee("6.5 %", name="commission", base="goods+shipping", tax="20 %", kept="partly", kept_fixed=30, kept_cap=200),
    fee("3 %", name="payment", base="payout", fixed=25),
    fee("12 %", name="ads", share="1/7", kept="returned"),
    fee(fixed=20, name="listing", per="listing", spread="4/3"),
    fee(fixed=1900, name="shop window", per="month", spread="1/11", tax="20 %"),
]


def rich(**more: Any) -> OrderLedger:
    given: dict[str, Any] = {
        "quantity": 3,
        "cost": "1234.5",
        "order_cost": 321,
        "discounts": [off("10 %"), off(amount=150)],
        "shipping": shipping("label", handling=125),
        "extras": [extra(250, times=3, taxed=True)],
        "tax": tax("8.25 %", on_shipping=True),
        "fees": FEES,
        "zones": ZONES,
        "set_asides": [set_aside("3 %", overhead=True), set_aside("2 %")],
        "outcomes": ends(
            return_rate="1/13", resellable="2/3", refurbish=111, damage_rate="1/31", recovered="4/5", return_label=555
        ),
        **more,
    }
    return ledger(4999, **given)


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"tax": tax("19 %", "inside", rounded_per="unit")},
        {"tax": tax("8.25 %", remitted=True), "shipping": shipping("free-from", flat=590, threshold=20000)},
        {"outcomes": ends(damage_rate="1/31", replaces=True, recovered="4/5")},
        {"outcomes": ends(return_rate=1, refund_shipping=True)},
        {"outcomes": ends(), "fees": [], "set_asides": []},
        {"digits": 0, "currency": "JPY"},
    ],
)
def test_the_lines_add_up_to_the_expected_profit_exactly(more: dict[str, Any]) -> None:
    order = rich(**more)
    assert sum((line.amount for line in lines_of(order)), Fraction(0)) == expected(order).profit


def found(order: OrderLedger) -> dict[str, Line]:
    return {line.name: line for line in lines_of(order)}


# 20.00 − 1.00 − 1.30 commission − 6.00 label − 8.00 cost.
def test_a_plain_order_has_its_few_lines_in_order() -> None:
    order = ledger(
        2000, cost=800, label=600, discounts=[off(amount=100)], fees=fee("6.5 %", name="commission", base="gross")
    )
    rows: list[tuple[str, str, Fraction | int]] = [(line.group, line.name, line.amount) for line in lines_of(order)]
    assert rows == [
        ("sale", "goods at list price", 2000),
        ("sale", "discount", -100),
        ("fee", "commission", -130),
        ("shipping", "label", -600),
        ("cost", "made", -800),
    ]


def test_tax_comes_in_and_is_passed_on() -> None:
    lines = found(ledger(2000, tax=tax("10 %")))
    assert lines["tax on top"].amount == 200
    assert lines["tax passed on"].amount == -200
    inside = found(ledger(2200, tax=tax("10 %", "inside", remitted=True)))
    assert inside["tax passed on"].amount == -200
    assert "tax on top" not in inside
    assert "remitted by the storefront" in inside["tax passed on"].how


def test_a_shared_fee_shows_its_average_and_its_share() -> None:
    line = found(ledger(2000, fees=fee("12 %", name="ads", share="1/4")))["ads"]
    assert line.amount == -60
    assert line.how == "on 25 % of orders: 12 % of goods 20.00"


def test_tax_on_a_fee_is_a_line_of_its_own() -> None:
    line = found(ledger(2000, fees=fee("10 %", name="commission", tax="19 %")))["tax on commission"]
    assert line.amount == -38
    assert line.group == "fee"


# 5 % of 100.00 is 5.00, capped at 3.00; of 10.00 it is 0.50, at least 1.00.
def test_a_fee_says_when_its_cap_or_minimum_decides() -> None:
    bounded = fee("5 %", minimum=100, cap=300)
    assert found(ledger(10000, fees=bounded))["fee"].how.endswith(", capped at 3.00")
    assert found(ledger(1000, fees=bounded))["fee"].how.endswith(", at least 1.00")
    assert found(ledger(4000, fees=bounded))["fee"].how == "5 % of goods 40.00"


def test_fees_per_listing_and_per_month_say_how_they_are_spread() -> None:
    lines = found(rich())
    assert lines["listing"].how == "1.3333 × 0.20 a listing"
    assert lines["listing"].amount == -Fraction(80, 3)
    assert lines["shop window"].how == "19.00 a month over 11 orders"
    assert lines["tax on shop window"].amount == -Fraction(380, 11)


def test_tiers_are_told_one_by_one() -> None:
    steps = tiers((5000, "10 %"), (None, "4 %", 20))
    assert found(ledger(2000, fees=fee(tiers=steps, whole=True)))["fee"].how == (
        "10 % up to 50.00, 4 % + 0.20 above, each on the whole, of goods 20.00"
    )


# Near 6.00 + 0.40 × 2 steps of 50.00 goods, far 9.00; the buyer pays 1.25 more: 8.05 and 10.25.
def test_a_label_that_differs_by_zone_is_shown_zone_by_zone() -> None:
    order = ledger(5000, shipping=shipping("label", handling=125), zones=ZONES)
    assert by_zone(order, "shipping") == "near 8.05, far 10.25"
    assert average(order, "shipping") == Fraction(805 + 2 * 1025, 3)
    lines = found(order)
    assert lines["label"].amount == -Fraction(680 + 2 * 900, 3)
    assert lines["label"].how == "near 6.80 by post, far 9.00 by post"


# A tenth of 20.00 goes back with half of the 1.00 fee; each return costs a label of 4.00 and brings 8.00 of goods
# back.
def test_returns_show_what_goes_back_and_what_comes_back() -> None:
    outcome = ends(return_rate="1/10", resellable=1, return_label=400)
    half = fee("5 %", kept="partly", kept_percent="50 %")
    lines = found(ledger(2000, cost=800, label=600, fees=half, outcomes=outcome))
    assert lines["refunded sales"].amount == -200
    assert lines["fees given back"].amount == 5
    assert lines["return labels"].amount == -40
    assert lines["goods resold"].amount == 80


def test_refunds_name_only_what_happens() -> None:
    lines = found(ledger(2000, outcomes=ends(return_rate="1/10")))
    assert lines["refunded sales"].how == "10 % of orders returned"


# A twentieth is made again for 8.00 and sent again for 6.00; half of the 14.00 is paid back.
def test_replacements_show_new_goods_new_labels_and_what_is_paid_back() -> None:
    outcome = ends(damage_rate="1/20", replaces=True, recovered="1/2")
    lines = found(ledger(2000, cost=800, label=600, outcomes=outcome))
    assert lines["replacement goods"].amount == -40
    assert lines["replacement labels"].amount == -30
    assert lines["paid back for breakage"].amount == 35
    assert "refunded sales" not in lines


def test_the_cost_of_a_unit_is_multiplied_by_the_quantity() -> None:
    assert found(ledger(2000, quantity=3, cost=800))["made"].amount == -2400


def test_set_asides_are_shown_of_net_sales_kept() -> None:
    line = found(ledger(2000, set_asides=[set_aside("5 %")]))["laid by"]
    assert line.group == "set_aside"
    assert line.amount == -100
    assert line.how == "5 % of net sales kept 20.00"
