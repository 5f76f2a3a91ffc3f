"""What a price must leave, held against what an order leaves. Amounts are in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.ledger.cost import CostLine
from netprice.ledger.order import Bottom, bottom, order_ledger
from tests.build import ends, goal, terms


def line(kind: Any, per: Any, share: int, **hours: Fraction) -> CostLine:
    return CostLine(name=kind, kind=kind, per=per, share=Fraction(share), **hours)  # type: ignore[arg-type]


# Two units, 10.00 each and 4.00 the order; 1.5 machine hours and 2.25 labour hours in all.
MADE = [
    line("machine", "unit", 10, machine_hours=Fraction(3, 4), labour_hours=Fraction(1)),
    line("labour", "order", 4, labour_hours=Fraction(1, 4)),
]
ORDER = terms(quantity=2, lines=MADE)


def at(price: int) -> Bottom:
    return bottom(order_ledger(ORDER, price), "expected")


# At 30.00 each: 60.00 − 24.00 = 36.00 profit, 60 % of sales, 150 % of the cost, 18.00 a unit, 24.00 and 16.00 an
# hour.
AT_30 = {
    "margin 60 %": Fraction(3, 5),
    "markup 150 %": Fraction(3, 2),
    "profit 18": Fraction(1800),
    "machine-hour 24": Fraction(2400),
    "labour-hour 16": Fraction(1600),
    "break-even": Fraction(3600),
}


@pytest.mark.parametrize("target", AT_30)
def test_each_kind_of_target_measures_the_profit_in_its_own_way(target: str) -> None:
    assert goal(ORDER, target).measure(at(3000)) == AT_30[target]


@pytest.mark.parametrize("target", [each for each in AT_30 if each != "break-even"])
def test_the_surplus_is_nothing_where_the_target_is_just_met(target: str) -> None:
    wanted = goal(ORDER, target)
    assert wanted.surplus(at(3000)) == 0
    assert wanted.surplus(at(3001)) > 0
    assert wanted.surplus(at(2999)) < 0


def test_break_even_wants_no_profit_and_no_loss() -> None:
    wanted = goal(ORDER, "break-even")
    assert [wanted.surplus(at(price)) for price in (1199, 1200)] == [-2, 0]


def test_the_surplus_over_another_measure_can_be_asked_for() -> None:
    assert goal(ORDER, "margin 60 %").surplus(at(3000), Fraction(1, 2)) == 600
    assert goal(ORDER, "profit 18").surplus(at(3000), Fraction(1000)) == 1600


def test_a_measure_without_anything_to_divide_by_is_undefined() -> None:
    nothing = terms()
    found = bottom(order_ledger(nothing, 1000), "expected")
    without = ("markup 10 %", "machine-hour 1", "labour-hour 1")
    assert [goal(nothing, target).measure(found) for target in without] == [None, None, None]
    assert None not in [goal(nothing, target).measure(found) for target in ("margin 10 %", "profit 1", "break-even")]


def test_a_margin_of_no_sales_is_undefined() -> None:
    nothing, less = at(3000)._replace(net_sales=0), at(3000)._replace(net_sales=-1)
    assert [goal(ORDER, "margin 10 %").measure(found) for found in (nothing, less)] == [None, None]


def test_hours_of_replacements_are_paid_for_as_well() -> None:
    order = terms(lines=MADE, outcomes=ends(damage_rate="1/10", replaces=True))
    found = bottom(order_ledger(order, 3000), "expected")
    assert goal(order, "machine-hour 10").divisor(found) == Fraction(3, 4) * Fraction(11, 10)


def test_money_is_in_the_minor_units_of_the_channel() -> None:
    assert goal(terms(digits=0, currency="JPY"), "profit 500").wanted == 500
    assert goal(terms(digits=3, currency="KWD"), "profit 1.25").wanted == 1250
    assert goal(terms(digits=3, currency="KWD"), "margin 25 %").wanted == Fraction(1, 4)
