"""What refunds and returns cost, against textbooks. Amounts in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.at_price import AtPrice
from netprice.answer.refund import Refund, refund_at
from netprice.answer.refunded import refunded_as
from tests.build import ends, goal, off, terms

STEP = Fraction(1, 1000)


def refund(price: int, *, how: dict[str, Any] | None = None, target: str = "break-even", **more: Any) -> Refund:
    order = terms(**more)
    return refund_at(AtPrice(order, goal(order, target), price, "asked"), refunded_as(order, **(how or {})), STEP)


# Principles of Accounting, Volume 1: Financial Accounting, section 6.1, OpenStax, 2019 (read): a sale of 3,000 with a
# cost of 1,200 comes back in a state to be sold again: sales fall by 3,000, goods worth 1,200 are there again. The lost
# margin of 1,800 is worked out here.
def test_goods_that_come_back_whole_cost_the_margin() -> None:
    found = refund(300_000, cost=120_000, outcomes=ends(resellable=1))
    assert [found.paid_back, found.resold] == [-3000, 1200]
    assert found.cost.profit == 1800


# Principles of Accounting, Volume 1: Financial Accounting, sections 6.1 to 6.4, OpenStax, 2019 (read): a sale of 8,000
# less a return of 1,500 and an allowance of 120; a discount of 5 % is then 319, and 6,061 are received. What is given
# back is worth the same share of the discounted sale.
def test_a_discount_is_not_paid_back_with_what_comes_back() -> None:
    found = refund(800_000, how={"share": Fraction(1500 + 120, 8000)}, discounts=[off("5 %")])
    assert 8000 - Fraction(5, 100) * 8000 + found.paid_back == 6061


# Contemporary Mathematics, section 7.11, OpenStax, 2023 (read): to win 10 with a chance of 1/6 and lose 1 with 5/6 is
# worth 0.83; to win 2 with 1/4 and lose 1 with 3/4, −0.25. Here an order wins its price when it is delivered and loses
# the return label when it is not.
@pytest.mark.parametrize(("wins", "rate", "worth"), [(10, "5/6", 0.83), (2, "3/4", -0.25)])
def test_an_average_order_is_worth_its_chances(wins: int, rate: str, worth: float) -> None:
    found = refund(wins * 100, outcomes=ends(return_rate=rate, return_label=100))
    assert [found.delivered.profit, found.refunded.profit] == [wins, -1]
    assert float(found.sold.profit) == pytest.approx(worth, abs=0.005)


# The same orders break even where the chances weigh up: 10 × (1 − r) = r at 10/11 = 90.9 %, 2 × (1 − r) = r at 2/3.
@pytest.mark.parametrize(("wins", "greatest"), [(10, "0.909"), (2, "0.666")])
def test_returns_break_even_where_the_chances_weigh_up(wins: int, greatest: str) -> None:
    assert refund(wins * 100, outcomes=ends(return_label=100)).break_even.rate == Fraction(greatest)
