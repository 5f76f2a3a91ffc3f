"""Margin, markup, profit per unit and hour, and contribution, by hand. Amounts are in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from netprice.ledger.cost import CostLine
from netprice.ledger.measures import contribution, labour_hours, machine_hours, measures, month_fees
from netprice.ledger.order import OrderLedger, expected, order_ledger
from tests.build import ends, fee, ledger, set_aside, terms, zone


def line(share: str, *, per: Any = "unit", overhead: bool = False, **hours: str) -> CostLine:
    kind: Any = "overhead" if overhead else "bought"
    exact: dict[str, Any] = {key: Fraction(value) for key, value in hours.items()}
    return CostLine(name="line", kind=kind, per=per, share=Fraction(share), **exact)


# Two units at 30.00, cost 10.00 each and 4.00 the order: 60 − 24 = 36.00 profit, in 1.5 machine and 2.25 labour
# hours.
HOURS = (
    line("10", machine_hours="0.75", labour_hours="1"),
    line("4", per="order", labour_hours="0.25"),
)


def test_measures_divide_the_profit_of_the_order() -> None:
    order = ledger(3000, quantity=2, lines=HOURS)
    found = measures(order)
    assert found.profit == 3600
    assert found.margin == Fraction(3600, 6000)
    assert found.markup == Fraction(3600, 2400)
    assert found.profit_per_unit == 1800
    assert found.profit_per_machine_hour == 2400
    assert found.profit_per_labour_hour == 1600


def test_measures_without_a_divisor_are_undefined() -> None:
    order = ledger(0)
    found = measures(order)
    assert (found.margin, found.markup) == (None, None)
    assert (found.profit_per_machine_hour, found.profit_per_labour_hour) == (None, None)
    assert found.profit_per_unit == 0


def test_a_loss_is_a_negative_margin() -> None:
    order = ledger(1000, cost=1500)
    assert measures(order).margin == Fraction(-1, 2)


def test_hours_of_replacements_count_and_those_of_refunds_do_not() -> None:
    replaced = terms(quantity=2, lines=HOURS, outcomes=ends(damage_rate="1/10", replaces=True))
    assert machine_hours(replaced) == Fraction("1.5") * Fraction("1.1")
    assert labour_hours(order_ledger(replaced, 0)) == Fraction("2.25") * Fraction("1.1")
    refunded = terms(quantity=2, lines=HOURS, outcomes=ends(damage_rate="1/10", return_rate="1/10"))
    assert machine_hours(refunded) == Fraction("1.5")
    assert labour_hours(order_ledger(refunded, 0)) == Fraction("2.25")


def test_at_worst_the_hours_are_the_expected_ones() -> None:
    order = ledger(3000, quantity=2, lines=HOURS, outcomes=ends(damage_rate="1/10", replaces=True))
    assert measures(order, "worst").profit_per_machine_hour == 3600 / Fraction("1.65")


# Unit cost 10.00, of which 2.00 is overhead; the order costs 3.00, of which 0.50 is overhead.
COSTS = (
    line("8"),
    line("2", per="good", overhead=True),
    line("2.5", per="order"),
    line("0.5", per="order", overhead=True),
)
PLAIN = (line("8"), line("2.5", per="order"))


def sold(**more: Any) -> OrderLedger:
    return ledger(5000, quantity=2, label=600, **{"lines": COSTS, **more})


# 100.00 − 6.00 − 23.00 = 71.00 profit, and 2 × 2.00 + 0.50 of overhead back.
def test_contribution_leaves_overhead_out_of_the_goods_and_the_order() -> None:
    assert expected(sold()).profit == 7100
    assert contribution(sold()) == 7100 + 450


def test_contribution_leaves_out_fees_per_month_with_their_tax() -> None:
    monthly = fee(fixed=700, per="month", spread="1/10", tax="20 %")
    assert contribution(sold(fees=[monthly, fee(fixed=100)])) == 7550 - 100
    assert month_fees(sold(fees=[monthly, fee(fixed=100)])) == 84


# 3 % of 100.00 is overhead taken on sales, 2 % is a reserve; the reserve stays.
def test_contribution_leaves_out_overhead_on_sales_and_not_reserves() -> None:
    both = [set_aside("3 %", overhead=True), set_aside("2 %")]
    assert expected(sold(set_asides=both)).profit == 7100 - 500
    assert contribution(sold(set_asides=both)) == 7550 - 200


# A tenth comes back and half of it is sold again: 0.1 × 0.5 × 20.00 = 1.00 comes back, 0.80 of it without overhead.
def test_goods_that_come_back_come_back_without_their_overhead() -> None:
    found = sold(outcomes=ends(return_rate="1/10", resellable="1/2", shop_pays=False))
    assert expected(found).profit == Fraction("0.9") * 10000 - 600 - 2300 + 100
    assert contribution(found) == Fraction("0.9") * 10000 - 600 - (2300 - 450) + 80


# With all its overhead taken out beforehand, an order's profit is its contribution, whatever happens to it.
def test_contribution_is_the_profit_of_an_order_that_bears_no_overhead() -> None:
    zones = (zone(600, name="near", share="1/4"), zone(850, name="far", share="3/4"))
    for outcome in (
        ends(return_rate="1/10", resellable="3/4", refurbish=120, damage_rate="1/20", replaces=True, recovered="4/5"),
        ends(return_rate="1/5", resellable="1/4", damage_rate="1/10", recovered="1/3", refund_shipping=True),
    ):
        month, once = fee(fixed=700, per="month", spread="1/9"), fee("5 %", kept="partly", kept_fixed=30)
        full = {"outcomes": outcome, "zones": zones, "set_asides": [set_aside("3 %", overhead=True), set_aside("1 %")]}
        bare = {"outcomes": outcome, "zones": zones, "set_asides": [set_aside("1 %")]}
        loaded = contribution(sold(fees=[month, once], **full))
        assert loaded == expected(sold(lines=PLAIN, fees=[once], **bare)).profit
