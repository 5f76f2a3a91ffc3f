"""Discounts, coupons and the least price of a special order, against textbooks and a tax office."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.ask import PriceAsk
from netprice.answer.discount import ListPrice, Wanted, discount
from netprice.book.product import Overhead, Product
from netprice.book.readers import read_target
from netprice.book.shop import Channel, Discount, Tax
from netprice.ledger.settle import Ask
from tests.build import frac
from tests.build_book import DAY, book, bought, product


# Of no type, so that fractions can be held against whole cents in one line.
def order(price: str, made: Product, off: Discount | None = None, quantity: int = 1, **channel: Any) -> Any:
    """Return what can be taken off an order at a list price, held against break-even."""
    asked = PriceAsk(Ask(product="vase", channel="fair", on=DAY, quantity=quantity), read_target("break-even"))
    listed = ListPrice(Fraction(price) * 100, "asked")
    return discount(book(made, Channel(**channel)), asked, listed, Wanted(off=off)).order


def costing(amount: str) -> Product:
    return product(bought={"blank": bought(amount)})


def percent_off(percent: str) -> Discount:
    return Discount(percent=frac(percent))


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read): 75.80 less 25 % and 168.90 less 30 %; 500, 360 and 210
# are the list prices of 450, 90 and 189 after 10 %, 75 % and 10 %.
MARKED_DOWN = [
    ("75.80", "25 %", "56.85"),
    ("168.90", "30 %", "118.23"),
    ("500", "10 %", "450"),
    ("360", "75 %", "90"),
    ("210", "10 %", "189"),
]


@pytest.mark.parametrize(("listed", "percent", "sale_price"), MARKED_DOWN)
def test_a_sale_marks_the_list_price_down(listed: str, percent: str, sale_price: str) -> None:
    assert order(listed, product(), percent_off(percent)).sale.left.goods == Fraction(sale_price) * 100


# The same figures the other way round: what costs the sale price can be marked down so far and no further.
@pytest.mark.parametrize(("listed", "percent", "sale_price"), MARKED_DOWN)
def test_the_greatest_markdown_is_down_to_what_it_costs(listed: str, percent: str, sale_price: str) -> None:
    found = order(listed, costing(sale_price)).break_even
    assert found.percent.greatest == frac(percent)
    assert found.amount.greatest == (Fraction(listed) - Fraction(sale_price)) * 100


# Principles of Accounting, Volume 1: Financial Accounting, sections 6.1-6.4, OpenStax, 2019 (read): 2 % off 1,600 and
# 16,800; 5 % off 8,000 is taken after a return of 1,500 and an allowance of 120.
@pytest.mark.parametrize(
    ("listed", "before", "percent", "left"),
    [("1600", (), "2 %", 1568), ("16800", (), "2 %", 16_464), ("8000", (1500, 120), "5 %", 6061)],
)
def test_a_further_discount_is_taken_off_what_earlier_ones_left(
    listed: str, before: tuple[int, ...], percent: str, left: int
) -> None:
    earlier = tuple(Discount(amount=Fraction(amount)) for amount in before)
    found = order(listed, costing(str(left)), percent_off(percent), discounts=earlier)
    assert found.sale.left.goods == left * 100
    assert found.break_even.percent.greatest == frac(percent)


# Principles of Accounting, Volume 2: Managerial Accounting, section 10.2, OpenStax, 2019 (read): 800 units at a
# variable cost of 1,650 leave 150 each at 1,800; with 160,000 of costs for the order the least price is 1,850, so
# that 1,800 loses 50 each. The list price of 2,000 is made up.
def test_a_special_order_can_come_down_to_its_variable_cost_and_its_own_costs() -> None:
    at_1800 = Discount(amount=Fraction(200 * 800))
    spare = order("2000", product(bought={"variable": bought(1650)}), at_1800, quantity=800)
    assert (spare.sale.left.profit, spare.break_even.amount.greatest) == (120_000 * 100, 350 * 800 * 100)
    own = {"variable": bought(1650), "for this order": bought(160_000, per="order")}
    costly = order("2000", product(bought=own), at_1800, quantity=800)
    assert costly.sale.left.profit == -50 * 800 * 100
    assert costly.break_even.amount.greatest == (2000 - 1850) * 800 * 100


# Principles of Accounting, Volume 2: Managerial Accounting, section 10.2, exercise, OpenStax, 2019 (read; the answer
# is computed): materials 14, labour 20 + 2, overhead 3 of which a third is fixed: the least price is 38. The list
# price of 50 is made up: at 12 off an order contributes nothing, and the fixed part of 1 is what it loses.
def test_the_least_price_leaves_fixed_overhead_out() -> None:
    made = product(
        bought={"materials": bought(14), "labour": bought(22), "variable overhead": bought(2)},
        overhead={"fixed": Overhead(per_month=Fraction(100), planned_units=Fraction(100))},
    )
    found = order("50", made, Discount(amount=Fraction(12))).sale
    assert (found.contribution.after, found.profit.after) == (0, -100)


# Coupons, Discounts and Rebates, Publication 113, California CDTFA (rule read; the figures from a 2015 note on the
# older edition): a coupon of 1 on an item of 10. The shop's own lowers the taxable amount to 9, the maker's leaves it
# at 10; at a rate of 100 % the tax is the taxable amount itself. What somebody else pays for costs the shop nothing.
@pytest.mark.parametrize(("payer", "taxable", "cost"), [("shop", 9, 1), ("storefront", 10, 0)])
def test_who_pays_for_a_coupon_decides_what_it_costs(payer: Any, taxable: int, cost: int) -> None:
    coupon = Discount(amount=Fraction(1), paid_by=payer)
    found = order("10", product(), coupon, tax=Tax(mode="on-top", rate=Fraction(1)))
    left = found.sale.left
    assert left.buyer_pays - left.goods == taxable * 100
    assert found.now.profit - left.profit == cost * 100


# Principles of Accounting, Volume 2: Managerial Accounting, section 3.2, OpenStax, 2019 (read): a price of 100, 20 of
# it variable, contributes 80. Derived: 20 % off leaves 60, so that a third more orders bring the same.
def test_volume_makes_up_for_a_discount_by_the_contribution_that_is_left() -> None:
    found = order("100", costing("20"), percent_off("20 %"), orders_per_month=Fraction(225)).sale
    assert (found.contribution.before, found.contribution.after) == (8000, 6000)
    assert found.contribution.month_before == 18_000 * 100  # what its fixed costs are, at the break-even of 225 units
    assert (found.contribution.more, found.contribution.orders) == (Fraction(1, 3), 75)
