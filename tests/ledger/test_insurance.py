"""Insurance by steps of declared value, and the cheapest service, worked out by hand. Amounts are in cents."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.book.rate_card import Insurance
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.freight import Cover, Quote, label, premium, worth_having
from tests.build import cover, quoted
from tests.build_book import card
from tests.ledger.test_freight import label as quoted_by


def due(insured: Cover, declared: int | Fraction) -> int:
    amount: int = premium(insured, declared, EXACT)
    return amount


# Free up to 100.00, then 1.15 for each started 50.00.
@pytest.mark.parametrize(
    ("declared", "premium_due"),
    [
        (0, 0), (9999, 0), (10000, 0), (10001, 115),
        (14999, 115), (15000, 115), (15001, 230), (19999, 230), (20000, 230), (20001, 345),
    ],
)  # fmt: skip
def test_each_started_step_above_the_free_cover_is_paid(declared: int, premium_due: int) -> None:
    assert due(cover(free=10000, step=5000, price=115), declared) == premium_due


def test_without_free_cover_the_first_cent_starts_a_step_and_nothing_costs_nothing() -> None:
    insured = cover(step=5000, price=115)
    assert [due(insured, declared) for declared in (0, 1, 5000, 5001)] == [0, 115, 115, 230]


# Minimum 2.50: two steps are 2.30, three are 3.45. Where nothing is due the minimum is not either.
@pytest.mark.parametrize(("declared", "premium_due"), [(10000, 0), (10001, 250), (20000, 250), (20001, 345)])
def test_the_minimum_is_due_only_where_insurance_is_due_at_all(declared: int, premium_due: int) -> None:
    assert due(cover(free=10000, step=5000, price=115, minimum=250), declared) == premium_due


@pytest.mark.parametrize(("fixed", "premium_due"), [(10000, 0), (10001, 250), (20001, 345)])
def test_a_fixed_value_is_insured_whatever_the_goods_cost(fixed: int, premium_due: int) -> None:
    insured = cover(free=10000, step=5000, price=115, minimum=250, fixed_value=fixed)
    assert [due(insured, declared) for declared in (0, 10**6)] == [premium_due, premium_due]
    assert not quoted(500, insured=insured).depends_on_price


def test_the_premium_is_rounded_once_on_all_its_steps() -> None:
    assert due(cover(step=5000, price="33.4"), 15000) == 100  # 3 × 0.334 = 1.002; step by step it would be 0.99


def test_a_share_of_the_goods_is_declared_exactly() -> None:
    insured = cover(step=1, price=1)
    assert due(insured, Fraction(100, 3)) == 34


def test_a_cards_insurance_is_in_whole_units_and_rounded_by_its_rule() -> None:
    insurance = Insurance(
        free_cover=Fraction(100), step=Fraction(50), price_per_step=Fraction("1.151"), minimum=Fraction("1.001")
    )
    found = quoted_by(card(insurance=insurance, rounding="up")).cover
    assert found is not None
    assert due(found, 15000) == 116
    assert found.minimum == 101


def chosen(*offers: Quote, goods: int = 0) -> tuple[str, int | Fraction]:
    found = label(offers, goods, EXACT)
    assert found.quote is not None
    return found.quote.service, found.cost


def test_the_cheapest_service_is_taken_and_of_equal_ones_the_first() -> None:
    assert chosen(quoted(700, service="van"), quoted(650, service="post")) == ("post", 650)
    assert chosen(quoted(650, service="van"), quoted(650, service="post")) == ("van", 650)


# The post takes 6.00 + 1.00 for each started 50.00 of goods, the van 8.00 flat: at 100.00 both take 8.00, at 100.01
# the van is cheaper.
@pytest.mark.parametrize(
    ("goods", "first"), [(5000, ("post", 700)), (10000, ("post", 800)), (10001, ("van", 800)), (20000, ("van", 800))]
)
def test_insurance_counts_when_services_are_compared(goods: int, first: tuple[str, int]) -> None:
    post = quoted(600, service="post", insured=cover(step=5000, price=100))
    assert chosen(post, quoted(800, service="van"), goods=goods) == first


def test_the_declared_value_is_converted_to_the_cards_currency() -> None:
    # One of the card's cents is worth 2: goods of 100.00 are declared as 50.00, the premium of 1.00 counts as 2.00.
    insured = quoted(300, insured=cover(step=5000, price=100), worth=2)
    assert label((insured,), 10000, EXACT).cost == 600 + 200
    assert label((insured,), 10001, EXACT).cost == 600 + 400


def test_a_service_that_can_never_be_cheapest_is_left_out() -> None:
    insured = cover(step=5000, price=100)
    flat, dear = quoted(800, service="flat"), quoted(900, service="dear")
    low = quoted(600, service="low", insured=insured)
    high = quoted(801, service="high", insured=insured)
    assert worth_having([dear, flat, low, high]) == (flat, low)


# Goods of nothing are not insured, so an insured service at the same bare price wins there only if it stands first.
def test_a_service_as_dear_bare_as_the_flat_one_stays_only_before_it() -> None:
    same = quoted(800, service="same", insured=cover(step=5000, price=100))
    flat = quoted(800, service="flat")
    assert worth_having([same, flat]) == (same, flat)
    assert worth_having([flat, same]) == (flat,)
    assert chosen(same, flat) == ("same", 800)
