"""Scarce hours, product mix and special orders, against textbooks: what to make, and what one more hour is worth."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import linprog

from netprice.book.product import Demand, Overhead
from netprice.book.shop import Channel
from tests.answer.months import best, made, month, orders, told, use
from tests.build_book import bought


# Principles of Accounting, Volume 2: Managerial Accounting, section 10.6, OpenStax, 2019 (plan read): three products
# leave 185, 55 and 45 and take 1, half and a quarter of a machine hour; 60,000, 48,000 and 40,000 could be sold, and
# there are 80,000 hours. The book's table prints 48 for the third; its own price and costs give 175 − 35 − 50 − 45, 45.
# The plan is the same, but only with 45 does the first product (185 an hour) go before the third (180).
def test_scarce_machine_hours_go_to_what_leaves_most_an_hour() -> None:
    bookcase = {"material": bought(35), "labour": bought(50), "overhead": bought(45)}
    opened = month(
        {
            "desk": made(185, Demand(most=60_000), hours={"saw": 1}),
            "chair": made(55, Demand(most=48_000), hours={"saw": "1/2"}),
            "bookcase": made(175, Demand(most=40_000), hours={"saw": "1/4"}, bought=bookcase),
        },
        {"saw": 80_000},
    )
    found = best(opened)
    saw = use(found, "saw")
    assert [told(offer.product, offer.an_hour(saw.resource)) for offer in found.offers] == [
        ("desk", 185), ("bookcase", 180), ("chair", 110),
    ]  # fmt: skip
    assert orders(found) == {"desk": 60_000, "bookcase": 40_000, "chair": 20_000}
    assert found.contribution == 14_000_000
    assert told(saw.worth, saw.one_more) == (110, 110)
    assert saw.wanted == 94_000


# Principles of Accounting, Volume 2: Managerial Accounting, section 10.6, OpenStax, 2019 (a listed option, read): a
# batch leaves 450 and takes 25 set-ups, another leaves 340 and takes 20; 12,000 set-ups.
def test_scarce_set_ups_go_to_the_batch_that_leaves_most_a_set_up() -> None:
    opened = month(
        {"one": made(450, hours={"set-up": 25}), "other": made(340, hours={"set-up": 20})}, {"set-up": 12_000}
    )
    assert best(opened, "one").contribution == 216_000
    assert best(opened, "other").contribution == 204_000
    both = best(opened)
    assert told(orders(both), both.contribution) == ({"one": 480, "other": 0}, 216_000)


# Principles of Accounting, Volume 2: Managerial Accounting, section 10.6, OpenStax, 2019 (exercise read without its
# solution): 15 minutes for 15, 20 minutes for 35, 5,000 hours, and at least 4,000 of each.
def test_promised_orders_come_first_and_the_rest_goes_to_what_leaves_most_an_hour() -> None:
    opened = month(
        {
            "short": made(15, Demand(at_least=4_000), hours={"lathe": "1/4"}),
            "long": made(35, Demand(at_least=4_000), hours={"lathe": "1/3"}),
        },
        {"lathe": 5_000},
    )
    found = best(opened)
    lathe = use(found, "lathe")
    assert {offer.product: offer.an_hour(lathe.resource) for offer in found.offers} == {"short": 60, "long": 105}
    assert orders(found) == {"short": 4_000, "long": 12_000}
    assert lathe.used == 5_000  # every one of them, to the second
    assert told(lathe.worth, lathe.one_more) == (105, 105)
    assert found.contribution == 4_000 * 15 + 12_000 * 35
    more = best(opened, hours={"lathe": "5200 hours"}).contribution
    assert more is not None
    assert more - found.contribution == 21_000
    # The 4,000 short ones take 1,000 hours, in which 3,000 long ones could be made.
    assert found.promises_cost == 3_000 * 35 - 4_000 * 15


# Contemporary Mathematics, section 5.11, OpenStax, 2023 (read): the most of 8x + 10y with x + y ≤ 8 and 3x + 4y ≤ 27 is
# 70 at (5, 3); the corners (0, 6.75) and (8, 0) give 67.5 and 64. What one more is worth by hand: u + 3v = 8 and
# u + 4v = 10, so that u = v = 2.
def test_two_scarce_machines_are_shared_out() -> None:
    opened = month(
        {"x": made(8, hours={"press": 1, "oven": 3}), "y": made(10, hours={"press": 1, "oven": 4})},
        {"press": 8, "oven": 27},
    )
    found = best(opened)
    assert told(orders(found), found.contribution) == ({"x": 5, "y": 3}, 70)
    assert told(use(found, "press").worth, use(found, "oven").worth) == (2, 2)
    referee = linprog([-8, -10], A_ub=np.array([[1, 1], [3, 4]]), b_ub=[8, 27])
    assert referee.fun is not None
    assert found.contribution == pytest.approx(-referee.fun, abs=1e-9)
    assert [-float(use(found, name).worth) for name in ("press", "oven")] == pytest.approx(
        list(referee.ineqlin.marginals)
    )
    assert best(opened, "x").contribution == 64
    assert best(opened, "y").contribution == 60  # 6 whole ones of the 6.75


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.1, OpenStax, 2019 (exercise read without its
# solution): one order is for 500 units that leave 60 each, the other for 1,000 units at 140 of which 40 % is left.
# There are hours for one of the two.
def test_of_two_orders_the_one_that_leaves_more_in_all_is_taken() -> None:
    opened = month(
        {
            "a": made(60, Demand(most=1), on="small", channels=("small",), hours={"line": "1/500"}),
            "b": made(
                140,
                Demand(most=1),
                on="large",
                channels=("large",),
                hours={"line": "1/1000"},
                bought={"all": bought(84)},
            ),
        },
        {"line": 1},
        {"small": Channel(quantity=500), "large": Channel(quantity=1000)},
    )
    found = best(opened)
    assert {offer.product: offer.leaves for offer in found.offers} == {"a": 30_000, "b": 56_000}
    assert told(orders(found), found.contribution) == ({"a": 0, "b": 1}, 56_000)


# Principles of Accounting, Volume 2: Managerial Accounting, section 10.2, OpenStax, 2019 (read): 800 pieces at 1,800
# with a variable cost of 1,650 add 120,000 while there are hours to spare; where the order brings 160,000 of cost with
# it, 50 are lost on each, and 1,850 is the least that can be accepted.
@pytest.mark.parametrize(
    ("price", "extra", "leaves", "taken"),
    [(1800, 0, 120_000, 1), (1800, 160_000, -40_000, 0), (1850, 160_000, 0, 0), ("1850.01", 160_000, 8, 1)],
)
def test_a_special_order_is_taken_if_it_leaves_anything(price: str, extra: int, leaves: int, taken: int) -> None:
    costs = {"variable": bought(1650), "for the order": bought(extra, per="order")}
    opened = month({"special": made(price, Demand(most=1), bought=costs)}, {}, {"fair": Channel(quantity=800)})
    found = best(opened)
    assert [told(offer.leaves, offer.orders) for offer in found.offers] == [(leaves, taken)]
    assert found.contribution == max(leaves, 0)


# Principles of Accounting, Volume 2: Managerial Accounting, section 10.2, OpenStax, 2019 (exercise read without its
# solution): materials 14, labour 20 and 2, overhead 3 of which a third is fixed; 38 is the least to accept.
@pytest.mark.parametrize(("price", "leaves", "taken"), [("38.01", "0.01", 1), ("38.00", "0", 0), ("37.99", "-0.01", 0)])
def test_fixed_overhead_does_not_count_for_the_least_price_of_a_special_order(
    price: str, leaves: str, taken: int
) -> None:
    costs = {"materials": bought(14), "labour": bought(20), "finishing": bought(2), "variable overhead": bought(2)}
    fixed = {"fixed overhead": Overhead(per_month=Fraction(500), planned_units=Fraction(500))}
    found = best(month({"special": made(price, Demand(most=1), bought=costs, overhead=fixed)}, {}))
    assert [told(offer.leaves, offer.orders) for offer in found.offers] == [(Fraction(leaves), taken)]
