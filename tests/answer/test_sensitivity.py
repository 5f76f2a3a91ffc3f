"""What moves the profit and the price, worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.answer.ask import PriceAsk
from netprice.answer.sensitivity import Moved, Sensitivity, sensitivity
from netprice.book.fee_profile import Fee
from netprice.book.product import BoughtLine
from netprice.book.readers import read_target
from netprice.book.shop import Channel
from netprice.errors import QuestionError
from netprice.ledger.settle import Ask
from netprice.spread import Spread
from tests.build import frac
from tests.build_book import DAY, book, labour, product, profile

TEN = Fraction(1, 10)


def answer(by: Fraction = TEN, part: Fraction = Fraction(10)) -> Sensitivity:
    made = product(bought={"part": BoughtLine(price=part)}, labour={"idle": labour("1 hour", rate=0)})
    fees = profile(Fee(name="sale", base="goods", percent=TEN))
    whole = book(made, Channel(fee_profile="profile"), profile=fees)
    asked = PriceAsk(Ask("vase", "fair", DAY), target=read_target("margin 30 %"))
    return sensitivity(whole, asked, 2000, by)


def of(*numbers: object) -> tuple[object, ...]:
    return numbers


def moved(found: Sensitivity, name: str) -> Moved:
    return next(each for each in found.moved if each.input.name == name)


def test_a_tenth_more_and_less_of_the_cost() -> None:
    found = answer()
    # 20.00 − 2.00 fee − 10.00 = 8.00. A price p needs 0.6 p for the part, but for what rounding the fee spares:
    # 16.68 for 10.00 (16.67 misses: fee 1.67), 15.00 for 9.00, 18.33 for 11.00 (fee 1.83, 5.50 of 18.33 is 30.005 %).
    part = moved(found, "bought.part.price")
    assert of(found.profit, found.now.lowest_price) == (800, 1668)
    assert of(part.less.value, part.less.profit, part.less.price) == (9, 900, 1500)
    assert of(part.more.value, part.more.profit, part.more.price) == (11, 700, 1833)
    assert part.break_even == Fraction("18.01")  # 18.00 leaves nothing, a cent more loses


def test_the_largest_effect_comes_first_and_what_moves_nothing_is_named() -> None:
    found = answer()
    # The fee of 2.00 moves by 0.20, the part by 1.00; its count is the same as its price.
    swings = [each.swing(found.profit) for each in found.moved]
    assert swings == sorted(swings, reverse=True)
    assert moved(found, "fees.sale.percent").less.profit == 820
    assert {"labour.idle.time", "labour.idle.rate"} <= set(found.unmoved)


def test_a_fee_may_go_up_to_half_before_an_order_loses_money() -> None:
    # 20.00 − 10.00 for the part: half is left for the fee, which at 50.03 % comes to 10.006, charged as 10.01.
    assert moved(answer(), "fees.sale.percent").break_even == frac("50.1 %")


def test_a_range_is_tried_at_its_ends() -> None:
    found = answer(part=Spread.uniform(Fraction(8), Fraction(14)))
    part = moved(found, "bought.part.price")
    # Its mean of 11.00 is what counts everywhere else: 20 − 2 − 11 = 7.00.
    assert of(found.profit, part.less.profit, part.more.profit) == (700, 1000, 400)


def test_a_change_of_nothing_is_no_question() -> None:
    with pytest.raises(QuestionError, match="nothing to change by"):
        answer(by=Fraction(0))
