"""How many orders cover what is due anyway, and which channel leaves more, against textbooks.

A unit's price is the list price, its variable cost a bought-in part, fixed costs are a fee per month.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.answer.channel_at import AtPrices, ChannelAt
from netprice.answer.volumes import orders_to_cover
from tests.answer.compared import a_month, channel, compared
from tests.build import Amount, frac
from tests.build_book import bought, product


def sold(price: Amount, *, cost: Amount, fixed: Amount, units: Amount = 1, wanted: Amount | None = None) -> ChannelAt:
    """Return one channel that sells `units` a month at `price`."""
    made = product(bought={"variable": bought(cost)})
    group = compared(made, {"shop": channel(a_month(fixed), orders=units)}, at=price, monthly_profit=wanted).one_price[
        0
    ]
    assert group.at_common is not None
    return group.at_common.channels[0]


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.2, OpenStax, 2019 (read).
@pytest.mark.parametrize(
    ("price", "cost", "fixed", "units", "sales"),
    [
        (100, 20, 18_000, 225, 22_500),
        (400, 150, 14_000, 56, 22_400),
        (1_250, 850, 16_800, 42, 52_500),
        (500, 300, 100_000, 500, 250_000),
    ],
)
def test_break_even(price: int, cost: int, fixed: int, units: int, sales: int) -> None:
    found = sold(price, cost=cost, fixed=fixed)
    assert found.orders_to_cover.fees == units
    assert units * found.price == sales
    assert found.ledger.contribution == price - cost


# The same section (read): contribution of 80 %, 62.5 % and 32 % of the price.
@pytest.mark.parametrize(("price", "cost", "ratio"), [(100, 20, "80 %"), (400, 150, "62.5 %"), (1_250, 850, "32 %")])
def test_contribution_as_a_share_of_the_price(price: int, cost: int, ratio: str) -> None:
    assert sold(price, cost=cost, fixed=0).ledger.contribution / price == frac(ratio)


# The same section (read).
@pytest.mark.parametrize(
    ("price", "cost", "fixed", "profit", "units"),
    [(100, 20, 18_000, 16_000, 425), (400, 150, 14_000, 10_000, 96), (500, 300, 100_000, 50_000, 750)],
)
def test_orders_for_a_profit_that_is_wanted(price: int, cost: int, fixed: int, profit: int, units: int) -> None:
    assert sold(price, cost=cost, fixed=fixed, wanted=profit).orders_to_cover.profit == units


# The same section (read): what is left of a month's sales when its fixed costs are paid.
@pytest.mark.parametrize(
    ("price", "cost", "fixed", "units", "left"),
    [
        (100, 20, 18_000, 175, -4_000),
        (100, 20, 18_000, 300, 6_000),
        (500, 300, 100_000, 1, -99_800),
        (500, 300, 100_000, 501, 200),
    ],
)
def test_what_a_month_leaves(price: int, cost: int, fixed: int, units: int, left: int) -> None:
    assert sold(price, cost=cost, fixed=fixed, units=units).profit_per_month == left


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.3, OpenStax, 2019 (read): 1,500 units a month;
# then a higher price, a higher variable cost, higher fixed costs, each alone.
@pytest.mark.parametrize(
    ("price", "cost", "fixed", "units", "sales", "left"),
    [
        ("3.75", "1.50", 2_475, 1_100, "4125", 900),
        ("4.25", "1.50", 2_475, 900, "3825", 1_650),
        ("3.75", "1.55", 2_475, 1_125, "4218.75", 825),
        ("3.75", "1.50", 2_700, 1_200, "4500", 675),
    ],
)
def test_break_even_when_one_thing_changes(
    price: str, cost: str, fixed: int, units: int, sales: str, left: int
) -> None:
    found = sold(price, cost=cost, fixed=fixed, units=1_500)
    assert found.orders_to_cover.fees == units
    assert found.profit_per_month == left
    assert units * Fraction(price) == Fraction(sales)


def contributions(*products: tuple[str, str]) -> list[Fraction]:
    return [sold(price, cost=cost, fixed=0).ledger.contribution for price, cost in products]


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.4, OpenStax, 2019 (read): three products sold 5
# to 3 to 2. 4,715.45 sets: 4,716 leave 17.00 (worked out here), one less loses 13.75.
def test_sets_of_three_products_break_even() -> None:
    one, two, three = contributions(("6.25", "3.25"), ("7.75", "4.50"), ("9.25", "6.25"))
    one_set = 5 * one + 3 * two + 2 * three
    assert one_set == Fraction("30.75")
    assert orders_to_cover(Fraction(145_000), one_set) == 4_716
    assert 4_716 * one_set - 145_000 == 17
    assert 4_715 * one_set - 145_000 == Fraction("-13.75")


# The same section (read): two products sold 3 to 1.
def test_sets_of_two_products_break_even() -> None:
    one, two = contributions(("10", "4"), ("9", "5"))
    assert 3 * one + two == 22
    assert orders_to_cover(Fraction(220_000), 3 * one + two) == 10_000


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.5, OpenStax, 2019 (read): contribution 148,000 or
# 210,000, 85,000 left; sales 10 % up, then 20 % down. A thousand units here, so that each contributes 148 or 210. The
# text says 31.9 % and 46.9 % for the drops, its own table has what its figures give.
@pytest.mark.parametrize(
    ("adds", "up", "down"), [(148, Fraction("0.174"), Fraction("-0.348")), (210, Fraction("0.247"), Fraction("-0.494"))]
)
def test_a_change_of_volume_moves_the_profit_by_more(adds: int, up: Fraction, down: Fraction) -> None:
    fixed = adds * 1_000 - 85_000
    base, more, less = (
        sold(adds + 100, cost=100, fixed=fixed, units=units).profit_per_month for units in (1_000, 1_100, 800)
    )
    assert base is not None
    assert more is not None
    assert less is not None
    assert base == 85_000
    assert abs(more / base - 1 - up) < Fraction(5, 10_000)
    assert abs(less / base - 1 - down) < Fraction(5, 10_000)


def two_orders() -> AtPrices:
    """Return 500 units at a contribution of 60, and 1,000 at 140 with a contribution of 40 %; both cost 84 to make."""
    made = product(bought={"variable": bought(84)})
    at_144 = compared(made, {"A": channel(orders=500)}, at=144).one_price[0].at_common
    at_140 = compared(made, {"B": channel(orders=1_000)}, at=140).one_price[0].at_common
    assert at_144 is not None
    assert at_140 is not None
    return AtPrices((*at_144.channels, *at_140.channels), (), None)


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.1, OpenStax, 2019 (exercise read, worked out
# here): 30,000 or 56,000, so the second is better, though a unit of it leaves less.
def test_the_better_of_two_orders_is_the_one_that_leaves_more_in_all() -> None:
    found = two_orders()
    assert [each.profit_per_month for each in found.channels] == [30_000, 56_000]
    assert (found.best.order, found.best.month) == ("A", "B")


# Principles of Marketing, pricing chapter, "Pricing Strategies for New Products", OpenStax (read).
def test_break_even_of_a_low_price() -> None:
    assert sold("2.00", cost="1.50", fixed=20_000).orders_to_cover.fees == 40_000


# Entrepreneurship, section 9.4, OpenStax (first read, the others exercises worked out here): a contribution of 8.
@pytest.mark.parametrize(("fixed", "units"), [(2_000, 250), (5_000, 625), (10_000, 1_250)])
def test_break_even_of_a_new_shop(fixed: int, units: int) -> None:
    assert sold(10, cost=2, fixed=fixed).orders_to_cover.fees == units


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.5, OpenStax, 2019 (read), in thousands: variable
# costs 5 % down for fixed costs 10 % up. 6,250 becomes 8,437.5, 35 % more.
def test_dearer_fixed_costs_can_pay() -> None:
    before = sold(125, cost="93.75", fixed=25_000, units=1_000).profit_per_month
    after = sold(125, cost=frac("93.75") * frac("95 %"), fixed=27_500, units=1_000).profit_per_month
    assert before == 6_250
    assert after == Fraction("8437.5") == before * frac("135 %")
