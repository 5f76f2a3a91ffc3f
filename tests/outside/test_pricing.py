"""Markup, margin, gross-up, target cost, discounts and returns, against textbooks."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.product import Overhead
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.measures import measures
from netprice.ledger.order import expected, order_ledger
from netprice.ledger.sale import goods_of
from netprice.ledger.terms import DiscountTerms, Terms
from tests.build import ends, fee, ledger, off, priced, terms
from tests.build_book import book, bought, product, settled


def cents(amount: str) -> int:
    return int(Fraction(amount) * 100)


def lowest(cost: str, target: str, **more: Any) -> int | None:
    return priced(terms(cost=cents(cost), **more), target).lowest_price


def goods_after(price: str, *discounts: DiscountTerms) -> Fraction:
    return Fraction(goods_of(terms(discounts=discounts), cents(price), EXACT).goods, 100)


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read).
@pytest.mark.parametrize(("cost", "markup", "price"), [("62.00", "15 %", "71.30"), ("750.00", "45 %", "1087.50")])
def test_a_markup_on_cost_gives_the_price(cost: str, markup: str, price: str) -> None:
    assert lowest(cost, f"markup {markup}") == cents(price)


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read); to a hundredth of a point.
@pytest.mark.parametrize(
    ("cost", "price", "markup"), [("90.00", "103.50", "15"), ("5.20", "9.90", "90.38"), ("480", "840", "75")]
)
def test_a_price_shows_its_markup_on_cost(cost: str, price: str, markup: str) -> None:
    order = ledger(cents(price), cost=cents(cost))
    found = measures(order).markup
    assert found is not None
    assert abs(found * 100 - Fraction(markup)) < Fraction("0.005")


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read). The last one is printed with a factor of 3.25 for a
# markup of 125 %; the factor is 2.25, and with it the printed cost of 11.80 is right.
@pytest.mark.parametrize(
    ("price", "markup", "cost"), [("10.62", "20 %", "8.85"), ("29.50", "18 %", "25.00"), ("26.55", "125 %", "11.80")]
)
def test_the_cost_behind_a_marked_up_price_gives_that_price_again(price: str, markup: str, cost: str) -> None:
    assert lowest(cost, f"markup {markup}") == cents(price)


# Principles of Marketing, chapter on pricing, OpenStax, 2023 (doubling read; that it is half of the price is
# derived).
def test_doubling_the_cost_leaves_half_of_the_price() -> None:
    assert lowest("35.00", "markup 100 %") == cents("70.00")
    assert lowest("35.00", "margin 50 %") == cents("70.00")


# Kotler and Keller, Marketing Management, markup pricing, Pearson (read as a quotation; the break-even of 30,000
# units is from memory). Unit cost 10 + 300,000 / 50,000 = 16; price 16 / (1 - 0.20) = 20; 300,000 / (20 - 10) =
# 30,000 units.
def test_the_base_formula_is_unit_cost_over_one_less_the_wanted_share_of_sales() -> None:
    fixed = {"fixed costs": Overhead(per_month=Fraction(300_000), planned_units=Fraction(50_000))}
    order = settled(book(product(bought={"variable": bought(10)}, overhead=fixed)))
    assert order.goods_cost == cents("16.00")
    answer = priced(order, "margin 20 %")
    assert (answer.lowest_price, answer.safe_floor) == (cents("20.00"), cents("20.00"))
    without_overhead = order_ledger(settled(book(product(bought={"variable": bought(10)}))), cents("20.00"))
    assert Fraction(300_000 * 100) / expected(without_overhead).profit == 30_000


# Kotler and Armstrong, Principles of Marketing, appendix Marketing by the Numbers, Pearson (read as a quotation).
def test_each_member_of_a_channel_keeps_its_share_of_its_own_price() -> None:
    to_retailer = expected(ledger(cents("60.00"), fees=fee("20 %"))).profit
    assert to_retailer == cents("48.00")
    assert expected(ledger(int(to_retailer), fees=fee("15 %"))).profit == cents("40.80")


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read).
@pytest.mark.parametrize(("price", "percent", "left"), [("75.80", "25 %", "56.85"), ("168.90", "30 %", "118.23")])
def test_a_discount_comes_off_the_list_price(price: str, percent: str, left: str) -> None:
    assert goods_after(price, off(percent)) == Fraction(left)


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read). The list prices 500, 360 and 210 bring exactly what
# is printed. With the discount rounded to the cent, 359.99 brings 90.00 as well: 75 % of it is 269.9925, charged as
# 269.99.
@pytest.mark.parametrize(
    ("sale_price", "percent", "list_price", "found"),
    [("450", "10 %", "500", "500.00"), ("90", "75 %", "360", "359.99"), ("189", "10 %", "210", "210.00")],
)
def test_the_list_price_is_found_from_the_price_after_the_discount(
    sale_price: str, percent: str, list_price: str, found: str
) -> None:
    assert goods_after(list_price, off(percent)) == Fraction(sale_price)
    assert lowest(sale_price, "break-even", discounts=[off(percent)]) == cents(found)


# Principles of Marketing, cost-plus pricing, OpenStax, 2023 (read).
def test_cost_plus_ten_percent_of_cost() -> None:
    assert lowest("3000", "markup 10 %") == cents("3300")


# Target costing: exercise 8-1 of a managerial accounting textbook's chapter 8 and Horngren's Accounting, 6th
# edition, 19-3, Pearson (both read as quotations on study pages): price less the wanted share of the price is the
# highest cost that can be paid.
@pytest.mark.parametrize(("price", "margin", "target_cost"), [("20.00", "30 %", "14.00"), ("12.50", "20 %", "10.00")])
def test_the_target_cost_is_the_highest_that_a_market_price_bears(price: str, margin: str, target_cost: str) -> None:
    assert lowest(target_cost, f"margin {margin}") == cents(price)
    dearer = lowest(str(Fraction(target_cost) + Fraction(1, 100)), f"margin {margin}")
    assert dearer is not None
    assert dearer > cents(price)


def gross_up(net: str, *percents: str) -> tuple[Terms, list[int]]:
    """Return an order whose break-even price is the gross of `net`, and the fees at that price."""
    order = terms(cost=cents(net), fees=[fee(each, name=each) for each in percents])
    gross = priced(order, "break-even").lowest_price
    assert gross is not None
    return order, [gross, *(line.in_full.amount for line in order_ledger(order, gross).zones[0].fees)]


# Employer-Paid Taxes: Gross-Up Calculations, slides of a payroll course (read): 7,000 / (1 - 0.3415), each part
# half up.
def test_several_percents_of_the_gross_are_grossed_up_and_proved_line_by_line() -> None:
    order, found = gross_up("7000.00", "22 %", "4.5 %", "6.2 %", "1.45 %")
    assert found == [cents(each) for each in ("10630.22", "2338.65", "478.36", "659.07", "154.14")]
    assert found[0] - sum(found[1:]) == order.goods_cost


# Exercise sheet PS 3.4-11 on gross-up of a payroll course (read): 6,000 / (1 - 0.2965).
def test_a_second_net_sum_is_grossed_up() -> None:
    order, found = gross_up("6000.00", "22 %", "6.2 %", "1.45 %")
    assert found == [cents(each) for each in ("8528.78", "1876.33", "528.78", "123.67")]
    assert found[0] - sum(found[1:]) == order.goods_cost


# Principles of Accounting, Volume 1: Financial Accounting, sections 6.1 to 6.4, OpenStax, 2019 (read): terms 2/10,
# and 5 % after a return of 1,500 and an allowance of 120.
@pytest.mark.parametrize(
    ("price", "before", "percent", "taken", "paid"),
    [("1600", (), "2 %", 32, 1568), ("16800", (), "2 %", 336, 16464), ("8000", (1500, 120), "5 %", 319, 6061)],
)
def test_a_cash_discount_is_taken_on_what_earlier_reductions_left(
    price: str, before: tuple[int, ...], percent: str, taken: int, paid: int
) -> None:
    order = terms(discounts=[*(off(amount=each * 100) for each in before), off(percent)])
    found = goods_of(order, cents(price), EXACT)
    assert found.discounts[-1] == taken * 100
    assert found.goods == paid * 100


# Principles of Accounting, Volume 1: Financial Accounting, section 6.1, OpenStax, 2019 (read; the lost 1,800 is
# derived): a sale of 3,000 that cost 1,200, all sent back and fit to be sold again.
def test_a_return_in_sellable_state_costs_the_margin_and_no_more() -> None:
    order = ledger(cents("3000"), cost=cents("1200"), outcomes=ends(return_rate="1/2", resellable=1))
    delivered, returned = order.zones[0].outcomes
    assert returned.net_sales - delivered.net_sales == -cents("3000")
    assert returned.recoveries == cents("1200")
    assert delivered.profit - returned.profit == cents("1800")
    assert expected(order).profit == cents("1800") / 2


# Contemporary Mathematics, section 7.11, OpenStax, 2023 (read): win 10 with 1/6 and lose 1 with 5/6; win 2 with 1/4
# and lose 1 with 3/4. Here the win is an order that stays sold and the loss the label of one that comes back.
@pytest.mark.parametrize(
    ("win", "lost_with", "value"), [("10.00", "5/6", Fraction(5, 6)), ("2.00", "3/4", Fraction(-1, 4))]
)
def test_an_expected_value_weighs_each_outcome_by_its_chance(win: str, lost_with: str, value: Fraction) -> None:
    order = ledger(cents(win), outcomes=ends(return_rate=lost_with, return_label=100))
    assert expected(order).profit == value * 100
