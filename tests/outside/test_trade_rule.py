"""A rule of thumb of the trade, both ways round: common practice, no source.

Add up materials, machine time at 25 an hour and labour at 50 an hour, then put 30 % on the sum. That is 30 % of the
cost, which is 3/13 of the price, 23.08 %, and less once the storefront has taken its fees.

    12.00 + 1.5 h × 25 + 24 min × 50 / h = 12.00 + 37.50 + 20.00 = 69.50        × 1.30 = 90.35
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from netprice.answer.price import PriceAnswer
from netprice.ledger.measures import Measures, measures
from netprice.ledger.order import order_ledger
from netprice.ledger.terms import Terms
from tests.build import fee, priced
from tests.build_book import book, bought, labour, machine_time, product, settled

FEES = (fee("6.5 %", name="commission"), fee("3 %", name="payment", fixed=25))


def order(*, with_fees: bool = False) -> Terms:
    made = product(
        bought={"materials": bought(12)},
        machine={"kiln": machine_time("1.5 hour", 25)},
        labour={"glazing": labour("24 min", 50)},
    )
    plain = settled(book(made))
    return replace(plain, fees=FEES) if with_fees else plain


def at(price: int, terms: Terms) -> Measures:
    return measures(order_ledger(terms, price))


def solved(target: str, terms: Terms) -> PriceAnswer:
    return priced(terms, target)


# Common practice, no source.
def test_the_rule_is_a_markup_of_30_percent() -> None:
    assert order().goods_cost == 6950
    assert solved("markup 30 %", order()).lowest_price == 9035


# Common practice, no source: 0.30 / 1.30 = 3/13.
def test_30_percent_on_the_cost_is_23_percent_of_the_price() -> None:
    found = at(9035, order())
    assert found.markup == Fraction(30, 100)
    assert found.margin == Fraction(3, 13)
    assert f"{float(found.margin or 0):.2%}" == "23.08%"


# Common practice, no source: 69.50 / (1 - 0.30) = 99.2857, and 99.28 leaves 29.78 of it, 29.996 %.
def test_30_percent_of_the_price_takes_a_higher_price() -> None:
    assert solved("margin 30 %", order()).lowest_price == 9929


# Common practice, no source. At 90.35: 6.5 % is 5.87275, charged 5.87; 3 % + 0.25 is 2.9605, charged 2.96; 20.85 -
# 8.83 = 12.02 is left, 13.30 % of the price and 17.29 % of the cost.
def test_after_fees_the_rule_leaves_13_percent() -> None:
    found = at(9035, order(with_fees=True))
    assert found.profit == 9035 - 6950 - 587 - 296 == 1202
    assert found.margin == Fraction(1202, 9035)
    assert found.markup == Fraction(1202, 6950)


def left_at(price: int) -> Fraction:
    """Return what is left at a price, worked out here: 6.5 %, and 3 % + 0.25, each half up to the cent."""
    commission = (price * 65 + 500) // 1000
    payment = (price * 3 + 25 * 100 + 50) // 100
    return Fraction(price - 6950 - commission - payment)


# Common practice, no source: (69.50 + 0.25) / (1 - 0.095 - 0.30) = 115.289; with its fees rounded, the first cent
# that does it.
def test_after_fees_30_percent_of_the_price_is_reached_above_115() -> None:
    by_trying = next(price for price in range(1, 20_000) if left_at(price) >= Fraction(30, 100) * price)
    assert 11528 <= by_trying <= 11530
    assert solved("margin 30 %", order(with_fees=True)).lowest_price == by_trying


# Common practice, no source: the same 30 % on the cost after fees takes (69.50 x 1.30 + 0.25) / (1 - 0.095) = 100.11.
def test_after_fees_30_percent_on_the_cost_is_reached_at_100() -> None:
    by_trying = next(price for price in range(1, 20_000) if left_at(price) >= Fraction(30, 100) * 6950)
    assert 10010 <= by_trying <= 10012
    assert solved("markup 30 %", order(with_fees=True)).lowest_price == by_trying
