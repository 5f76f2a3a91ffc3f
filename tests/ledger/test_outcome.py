"""How an order ends, with each outcome's sums worked out by hand. Amounts are in cents.

Two units at 50.00, cost 10.00 each and 3.00 the order; the buyer pays 5.00 shipping, 2.00 for the wrap and 10 % tax on
the goods; the label is 6.00 and the storefront takes 5 %:

    goods 100.00 + 5.00 + 2.00 = 107.00 net sales; fee 5.00; label 6.00; goods and order costs 2 × 10.00 + 3.00 = 23.00
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.ledger.order import OrderLedger
from netprice.ledger.outcome import Outcome
from tests.build import cover, ends, extra, fee, ledger, quoted, shipping, tax, zone


def order(**more: Any) -> OrderLedger:
    outcomes = ends(**{key: more.pop(key) for key in tuple(more) if key not in ("fees", "zones", "tax")})
    given: dict[str, Any] = {"fees": fee("5 %"), "label": 600, "tax": tax("10 %"), **more}
    return ledger(
        5000,
        quantity=2,
        cost=1000,
        order_cost=300,
        shipping=shipping("flat", flat=500),
        extras=[extra(200)],
        outcomes=outcomes,
        **given,
    )


def ended(name: str, **more: Any) -> Outcome:
    return next(outcome for outcome in order(**more).zones[0].outcomes if outcome.name == name)


def sums(outcome: Outcome) -> list[Fraction]:
    parts = (outcome.net_sales, outcome.fees, outcome.labels, outcome.goods, outcome.recoveries, outcome.profit)
    return [Fraction(part) for part in parts]


def test_a_delivered_order_keeps_its_sale() -> None:
    outcome = ended("delivered")
    assert outcome.chance == 1
    assert sums(outcome) == [10700, 500, 600, 2300, 0, 10700 - 500 - 600 - 2300]


def test_only_outcomes_with_a_chance_are_there_and_chances_add_up() -> None:
    outcomes = order(return_rate="1/10", damage_rate="1/20").zones[0].outcomes
    assert [(outcome.name, outcome.chance) for outcome in outcomes] == [
        ("delivered", Fraction(17, 20)),
        ("returned", Fraction(1, 10)),
        ("damaged", Fraction(1, 20)),
    ]
    assert [outcome.name for outcome in order(damage_rate="1/20").zones[0].outcomes] == ["delivered", "damaged"]


# 102.00 goes back, shipping stays: net 5.00; the fee is kept; the label home costs as much as the label there; half
# of the units are sold again: 10.00 less 1.50 for refurbishing.
def test_a_returned_order_keeps_only_the_shipping() -> None:
    outcome = ended("returned", return_rate="1/10", resellable="1/2", refurbish=150)
    assert sums(outcome) == [500, 500, 1200, 2300, 850, 500 - 500 - 1200 - 2300 + 850]


def test_shipping_goes_back_too_where_the_shop_says_so() -> None:
    assert ended("returned", return_rate="1/10", refund_shipping=True).net_sales == 0


# Shipping taxed as well: of 105.00 the tax is 10.50. On a return without shipping 100.00 + 2.00 go back, and tax of
# 10.00.
def test_refunds_are_counted_without_their_tax() -> None:
    outcome = ended("returned", return_rate="1/10", tax=tax("10 %", on_shipping=True))
    assert outcome.net_sales == 500


@pytest.mark.parametrize(
    ("who", "labels"),
    [({}, 1200), ({"shop_pays": False}, 600), ({"return_label": 450}, 1050), ({"return_label": 0}, 600)],
)
def test_the_label_home_is_the_zones_own_or_a_stated_one_or_paid_by_the_buyer(who: dict[str, Any], labels: int) -> None:
    assert ended("returned", return_rate="1/10", **who).labels == labels


# The label there costs 6.00 + 3 steps of 0.40; the one home goes without insurance.
def test_the_label_home_is_not_insured() -> None:
    insured = zone(quoted(600, insured=cover(step=4000, price=40)))
    assert ended("delivered", zones=[insured]).labels == 720
    assert ended("returned", return_rate="1/10", zones=[insured]).labels == 720 + 600


def test_without_resale_nothing_comes_back_and_nothing_is_refurbished() -> None:
    assert ended("returned", return_rate="1/10", refurbish=150).recoveries == 0


def test_refurbishing_may_cost_more_than_it_brings() -> None:
    assert ended("returned", return_rate="1/10", resellable="1/20", refurbish=150).recoveries == 100 - 150


@pytest.mark.parametrize(
    ("refund", "fees"),
    [({}, 500), ({"kept": "returned"}, 0), ({"kept": "partly", "kept_fixed": 30, "kept_percent": "10 %"}, 80)],
)
def test_a_refund_leaves_the_fees_that_are_kept(refund: dict[str, Any], fees: int) -> None:
    outcome = ended("returned", return_rate="1/10", fees=fee("5 %", **refund))
    assert outcome.fees == fees
    assert ended("damaged", damage_rate="1/10", fees=fee("5 %", **refund)).fees == fees
    assert ended("damaged", damage_rate="1/10", replaces=True, fees=fee("5 %", **refund)).fees == 500


def test_a_kept_fee_keeps_its_tax() -> None:
    assert ended("returned", return_rate="1/10", fees=fee("5 %", tax="20 %")).fees == 600


# A replacement takes another 23.00 of goods and another label; 80 % of 23.00 + 6.00 is paid back.
def test_a_replaced_order_keeps_its_sale_and_costs_twice() -> None:
    outcome = ended("damaged", damage_rate="1/20", replaces=True, recovered="4/5")
    assert sums(outcome) == [10700, 500, 1200, 4600, 2320, 10700 - 500 - 1200 - 4600 + 2320]


# A refund gives everything back, shipping too; there is no label home, and 80 % of 23.00 + 6.00 is paid back all
# the same.
def test_a_damaged_order_that_is_refunded_loses_the_whole_sale() -> None:
    outcome = ended("damaged", damage_rate="1/20", recovered="4/5", resellable=1, return_label=450)
    assert sums(outcome) == [0, 500, 600, 2300, 2320, -500 - 600 - 2300 + 2320]


def test_insurance_is_part_of_what_is_paid_back() -> None:
    insured = zone(quoted(600, insured=cover(step=4000, price=40)))
    assert ended("damaged", damage_rate="1/20", recovered=1, zones=[insured]).recoveries == 2300 + 720


def test_a_recovery_is_not_rounded() -> None:
    assert ended("damaged", damage_rate="1/20", recovered="1/3").recoveries == Fraction(2900, 3)
