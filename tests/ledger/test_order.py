"""What an order comes to: averages over outcomes and zones, and the worst case, by hand. Amounts are in cents.

The order of `test_outcome`, to two zones: a third of the orders near for a label of 6.00, two thirds far for 9.00. A
tenth comes back (half of it is sold again, less 1.50; shipping stays), a twentieth breaks and is replaced, 80 % paid
back.

    delivered   107 − 5 − L − 23              = 79 − L          × 0.85
    returned      5 − 5 − 2 L − 23 + 8.50     = −14.50 − 2 L    × 0.10
    damaged     107 − 5 − 2 L − 46 + 0.8 × (23 + L) = 74.40 − 1.2 L  × 0.05
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from netprice.ledger.arithmetic import EXACT, UNROUNDED
from netprice.ledger.order import (
    OrderLedger,
    Totals,
    bottom_line,
    expected,
    in_zone_at_worst,
    order_ledger,
    worst,
)
from tests.build import cover, ends, extra, fee, ledger, quoted, set_aside, shipping, tax, terms, zone

NEAR_AND_FAR = (zone(600, name="near", share="1/3"), zone(900, name="far", share="2/3"))
OUTCOMES = ends(return_rate="1/10", resellable="1/2", refurbish=150, damage_rate="1/20", replaces=True, recovered="4/5")


def order(**more: Any) -> OrderLedger:
    given: dict[str, Any] = {
        "quantity": 2,
        "cost": 1000,
        "order_cost": 300,
        "shipping": shipping("flat", flat=500),
        "extras": [extra(200)],
        "tax": tax("10 %"),
        "fees": fee("5 %"),
        "zones": NEAR_AND_FAR,
        "outcomes": OUTCOMES,
        **more,
    }
    return ledger(5000, **given)


def totals(found: Totals) -> dict[str, Fraction]:
    return {**{key: Fraction(value) for key, value in found._asdict().items()}, "profit": Fraction(found.profit)}


# L is 8.00 on average. Profit 0.85 × 79 − 1.45 + 3.72 − 8 × (0.85 + 0.2 + 0.06) = 69.42 − 8.88 = 60.54.
def test_expected_sums_weigh_outcomes_and_zones() -> None:
    assert totals(expected(order())) == {
        "net_sales": Fraction("0.9") * 10700 + 50,  # 96.80
        "fees": Fraction(500),
        "labels": 800 * Fraction("1.15"),  # one more for each return and each replacement
        "goods": 2300 * Fraction("1.05"),
        "recoveries": Fraction("0.1") * 850 + Fraction("0.05") * Fraction("0.8") * 3100,
        "set_asides": Fraction(0),
        "profit": Fraction(6054),
    }


# 2 % and 3 % of 96.80 are 4.84.
def test_set_asides_are_a_percent_of_net_sales_kept() -> None:
    found = expected(order(set_asides=[set_aside("2 %"), set_aside("3 %", overhead=True)]))
    assert found.set_asides == 484
    assert found.profit == 6054 - 484


def test_averages_are_never_rounded() -> None:
    assert expected(ledger(1000, zones=(zone(100, share="1/3"), zone(200, share="2/3")))).labels == Fraction(500, 3)


# A label of 6.00 or 9.00 is what the buyer pays, so sales and fees differ: 10 % of goods and shipping is 2.60 or
# 2.90.
def test_where_the_buyer_pays_the_label_every_figure_is_worked_out_zone_by_zone() -> None:
    found = ledger(2000, shipping=shipping("label"), fees=fee("10 %", base="goods+shipping"), zones=NEAR_AND_FAR)
    assert [each.sale.net_sales for each in found.zones] == [2600, 2900]
    assert [each.fees[0].in_full.amount for each in found.zones] == [260, 290]
    assert expected(found).net_sales == 2800
    assert expected(found).fees == 280


# Far and delivered: 107 − 5 − 9 − 23 = 70.
def test_the_worst_case_is_the_dearest_zone_delivered() -> None:
    where, found = worst(order())
    assert where.zone.name == "far"
    assert totals(found) == {
        "net_sales": 10700, "fees": 500, "labels": 900, "goods": 2300, "recoveries": 0, "set_asides": 0, "profit": 7000,
    }  # fmt: skip


# An advertising fee of 12 % on a quarter of the orders is 3.00 on average and 12.00 at worst; 2 % of 107.00 set
# aside is 2.14.
def test_the_worst_case_has_every_shared_fee_in_full_and_sets_aside_of_its_own_sales() -> None:
    found = order(fees=[fee("5 %"), fee("12 %", share="1/4", tax="10 %")], set_asides=[set_aside("2 %")])
    assert expected(found).fees == 500 + Fraction(1200 + 120, 4)
    assert worst(found)[1].fees == 500 + 1200 + 120
    assert worst(found)[1].profit == 7000 - 1320 - 214


def test_the_worst_zone_is_the_one_with_the_lowest_profit_and_of_equal_ones_the_first() -> None:
    same = (zone(900, name="one", share="1/2"), zone(900, name="other", share="1/2"))
    assert worst(order(zones=same))[0].zone.name == "one"


def test_a_zone_without_orders_is_never_the_worst() -> None:
    zones = (*NEAR_AND_FAR, zone(5000, name="moon", share=0))
    assert worst(order(zones=zones))[0].zone.name == "far"
    assert bottom_line(order(zones=zones), "worst") == (10700, 7000)
    assert expected(order(zones=zones)).profit == 6054


def test_the_bottom_line_is_net_sales_and_profit_of_the_case() -> None:
    assert bottom_line(order(), "expected") == (Fraction(9680), Fraction(6054))
    assert bottom_line(order(), "worst") == (10700, 7000)


# Where the buyer pays the whole label both zones leave 20.00 - 0.01 - 5.00, and the first counts: net sales are
# 26.00. Where the buyer pays half of it, far is the worse one: 20.00 + 4.50 - 9.00.
def test_the_bottom_line_at_worst_follows_the_zone_where_the_buyer_pays_the_label() -> None:
    found = ledger(2000, cost=500, shipping=shipping("label"), zones=NEAR_AND_FAR, fees=fee(fixed=1))
    assert bottom_line(found, "worst") == (2600, 2000 - 1 - 500)
    dearer_far = ledger(2000, shipping=shipping("label-share", share="1/2"), zones=NEAR_AND_FAR)
    assert bottom_line(dearer_far, "worst") == (2450, 2450 - 900)


def test_each_zone_takes_its_own_cheapest_label_with_insurance() -> None:
    insured = cover(step=1000, price=100)
    near = zone(quoted(600, insured=insured), quoted(750), name="near", share="1/2")
    far = zone(quoted(900, insured=insured), quoted(1200), name="far", share="1/2")
    found = ledger(2500, zones=(near, far))  # three steps: 9.00 against 7.50, 12.00 against 12.00
    assert [each.label_cost for each in found.zones] == [750, 1200]
    assert [each.labels[0].quote.service for each in found.zones if each.labels[0].quote] == ["post", "post"]
    assert [each.labels[0].premium for each in found.zones] == [0, 300]


def test_a_price_that_somebody_types_in_is_worked_out_as_it_is() -> None:
    found = order_ledger(terms(cost=500, fees=fee("10 %")), Fraction("1000.5"))
    assert expected(found).net_sales == Fraction("1000.5")
    assert expected(found).fees == 100  # 1.0005


def test_without_rounding_every_charge_stays_as_it_is() -> None:
    found = order_ledger(terms(fees=fee("6.25 %", tax="19 %")), Fraction(1099), UNROUNDED)
    assert in_zone_at_worst(found, found.zones[0]).fees == Fraction(1099, 16) * Fraction("1.19")
    assert bottom_line(order_ledger(terms(fees=fee("6.25 %")), 1099, EXACT), "expected")[1] == 1099 - 69
