"""What a fee comes to: base, tiers, fixed part, minimum, cap and rounding, worked out by hand. Amounts are in cents."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.ledger.arithmetic import EXACT
from netprice.ledger.fees import FeeLine, charge, fees_of
from netprice.ledger.terms import FeeTerms, Terms
from netprice.money import Rounding
from tests.build import extra, fee, off, shipping, sold, tax, terms, tiers


def due(rate: FeeTerms, base: int, **more: object) -> int | Fraction:
    amount: int | Fraction = charge(terms(**more), rate, base, EXACT).amount  # type: ignore[arg-type]
    return amount


def lines(order: Terms, price: int) -> tuple[FeeLine, ...]:
    return fees_of(order, sold(order, price), EXACT)


# Gross 100.00, 10 % off, goods 90.00; shipping 7.00; wrap 3.00. Tax of 10 % on the goods: on top 9.00, and the
# buyer pays 109.00; inside 8.18 (8.1818), and of 100.00 it leaves 91.82.
@pytest.mark.parametrize(
    ("base", "on_top", "inside"),
    [
        ("goods", 9000, 9000),
        ("gross", 10000, 10000),
        ("goods+shipping", 9700, 9700),
        ("order", 10000, 10000),
        ("buyer_total", 10900, 10000),
        ("net_sales", 10000, 9182),
        ("payout", 10900, 10000),
    ],
)
def test_a_percent_is_taken_of_its_base(base: str, on_top: int, inside: int) -> None:
    for mode, amount in (("on-top", on_top), ("inside", inside)):  # 10 % of 91.82 is 9.182
        order = terms(
            discounts=[off("10 %")],
            shipping=shipping("flat", flat=700),
            extras=[extra(300)],
            tax=tax("10 %", mode),
            fees=fee("10 %", base=base),
        )
        (line,) = lines(order, 10000)
        assert line.base == amount
        assert line.in_full.amount == amount // 10


def test_a_fixed_fee_needs_no_base() -> None:
    (line,) = lines(terms(fees=fee(fixed=45)), 10000)
    assert line.in_full.amount == 45


# 10 % up to 50.00 and 4 % above, by slice: 5.00 at the edge; 4.999 -> 5.00 one cent below; 5.0004 -> 5.00 one cent
# above.
@pytest.mark.parametrize(("base", "amount"), [(4990, 499), (4999, 500), (5000, 500), (5001, 500), (5100, 504), (0, 0)])
def test_brackets_change_at_the_edge_without_a_jump(base: int, amount: int) -> None:
    assert due(fee(tiers=tiers((5000, "10 %"), (None, "4 %"))), base) == amount


# 10 % + 0.10 up to 50.00 and 4 % + 0.20 above, on the whole: 49.99 -> 4.999 + 0.10; 50.00 -> 5.10; 50.01 -> 2.0004
# + 0.20.
@pytest.mark.parametrize(("base", "amount"), [(4999, 510), (5000, 510), (5001, 220), (0, 10)])
def test_whole_tiers_jump_just_above_the_edge(base: int, amount: int) -> None:
    steps = tiers((5000, "10 %", 10), (None, "4 %", 20))
    assert due(fee(tiers=steps, whole=True), base) == amount


# Three tiers by slice: 100.00 at 10 %, 100.00 at 5 %, the rest at 1 %. 250.00 -> 10.00 + 5.00 + 0.50.
@pytest.mark.parametrize(("base", "amount"), [(9999, 1000), (20000, 1500), (20001, 1500), (25000, 1550)])
def test_each_of_three_brackets_takes_its_own_slice(base: int, amount: int) -> None:
    assert due(fee(tiers=tiers((10000, "10 %"), (20000, "5 %"), (None, "1 %"))), base) == amount


def test_the_fees_fixed_part_comes_on_top_of_the_tiers_own() -> None:
    assert due(fee(fixed=30, tiers=tiers((5000, "10 %", 5), (None, "4 %")), whole=True), 1000) == 30 + 5 + 100


# 5 % but at least 1.00: 19.99 and 20.01 both round to 1.00; 20.20 is the first that rounds to 1.01 from 1.01.
@pytest.mark.parametrize(("base", "amount"), [(0, 100), (1999, 100), (2000, 100), (2001, 100), (2020, 101)])
def test_the_minimum_holds_below_its_edge_and_also_on_nothing(base: int, amount: int) -> None:
    assert due(fee("5 %", minimum=100), base) == amount


# 5 % but at most 5.00: 99.80 is 4.99; 99.99 is 4.9995 -> 5.00.
@pytest.mark.parametrize(("base", "amount"), [(9980, 499), (9999, 500), (10000, 500), (10001, 500), (10**6, 500)])
def test_the_cap_holds_above_its_edge(base: int, amount: int) -> None:
    assert due(fee("5 %", cap=500), base) == amount


def test_minimum_and_cap_hold_the_percent_and_the_fixed_part_together() -> None:
    rate = fee("5 %", fixed=40, minimum=50, cap=60)
    assert [due(rate, base) for base in (100, 300, 1000)] == [50, 55, 60]  # 0.45, 0.55, 0.90


def test_percent_and_fixed_part_are_rounded_together_once() -> None:
    # 0.5 % of 0.90 is 0.0045 and 0.0045 fixed: together 0.009 -> 0.01, apart they would be nothing.
    assert due(fee("0.5 %", fixed="0.45"), 90) == 1


@pytest.mark.parametrize(
    ("rule", "amount"), [("half-up", 13), ("half-even", 12), ("half-down", 12), ("up", 13), ("down", 12)]
)
def test_a_fee_is_rounded_by_the_profiles_rule(rule: Rounding, amount: int) -> None:
    assert due(fee("12.5 %"), 100, rounding=rule) == amount


# 3 × 10.99 at 6.25 %: 0.686875 -> 0.69 a unit, 2.07 an order; of the whole it would be 2.060625 -> 2.06.
def test_a_fee_per_unit_is_rounded_for_one_unit_and_then_multiplied() -> None:
    assert due(fee("6.25 %", per="unit"), 3297, quantity=3) == 207
    assert due(fee("6.25 %"), 3297, quantity=3) == 206


def test_every_amount_of_a_fee_per_unit_is_meant_per_unit() -> None:
    rate = fee("10 %", per="unit", fixed=10, minimum=50, cap=80)
    assert [due(rate, base, quantity=2) for base in (200, 1000, 4000)] == [100, 120, 160]


def test_tiers_of_a_fee_per_unit_look_at_one_unit() -> None:
    rate = fee(per="unit", tiers=tiers((5000, "10 %"), (None, "4 %")), whole=True)
    assert due(rate, 10000, quantity=2) == 2 * 500
    assert due(rate, 10002, quantity=2) == 2 * 200  # 4 % of 50.01 is 2.0004


def test_a_fee_per_listing_is_multiplied_by_the_listings_and_not_rounded_again() -> None:
    found = charge(terms(), fee(fixed=35, per="listing", spread="1/3", tax="20 %"), 0, EXACT)
    assert found.amount == Fraction(35, 3)
    assert found.tax == Fraction(7, 3)  # 20 % of 0.35 is 0.07 a listing


def test_a_fee_per_month_is_spread_over_the_orders_and_not_rounded_again() -> None:
    found = charge(terms(), fee(fixed=2900, per="month", spread="1/7", tax="19 %"), 0, EXACT)
    assert (found.amount, found.tax) == (Fraction(2900, 7), Fraction(551, 7))


def test_a_fee_on_a_share_of_the_orders_counts_by_that_share() -> None:
    order = terms(fees=fee("12 %", share="1/3", tax="21 %"))
    (line,) = lines(order, 1501)  # 12 % of 15.01 is 1.8012 -> 1.80; 21 % of it is 0.378 -> 0.38
    assert (line.in_full.amount, line.in_full.tax) == (180, 38)
    assert (line.expected.amount, line.expected.tax) == (60, Fraction(38, 3))


# 5 % of 9.90 is 0.495 -> 0.50, and 19 % of 0.50 is 0.095 -> 0.10; of the unrounded 0.495 it would be 0.094 -> 0.09.
def test_tax_on_a_fee_is_rounded_on_the_fee_as_charged() -> None:
    found = charge(terms(), fee("5 %", tax="19 %"), 990, EXACT)
    assert (found.amount, found.tax) == (50, 10)


def test_tax_on_a_fee_per_unit_is_rounded_on_the_orders_amount() -> None:
    # 0.13 a unit, 3 units: 0.39, 19 % of it 0.0741 -> 0.07; unit by unit it would be 3 × 0.02.
    found = charge(terms(quantity=3), fee(fixed=13, per="unit", tax="19 %"), 3000, EXACT)
    assert (found.amount, found.tax) == (39, 7)


def test_a_base_below_zero_counts_as_zero() -> None:
    assert due(fee("5 %", fixed=10), -5000) == 10
    assert due(fee(tiers=tiers((None, "4 %", 7)), whole=True), -5000) == 7
