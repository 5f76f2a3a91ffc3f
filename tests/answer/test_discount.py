"""How far a price can come down, and what a sale takes, by hand. Amounts in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.ask import PriceAsk
from netprice.answer.discount import (
    DiscountAnswer,
    ListPrice,
    Wanted,
    discount,
    price_said,
    wanted_said,
)
from netprice.answer.reach import Reach
from netprice.book.fee_profile import Fee
from netprice.book.product import Overhead, Product
from netprice.book.readers import read_target
from netprice.book.shop import Book, Channel, Delivery, Discount, Shipping
from netprice.errors import QuestionError
from netprice.ledger.settle import Ask
from tests.build import frac
from tests.build_book import DAY, book, bought, card, packing, product, profile

# A vase costs 10.00 to make.
VASE = product(bought={"blank": bought(10)})
# It is sent in one parcel for 9.00; its order is sent free from 60.00 of goods, below that the buyer pays 9.80.
FREE_FROM_60 = Channel(
    delivery=Delivery(label_cost=Fraction(9)),
    shipping=Shipping(policy="free-from", threshold=Fraction(60), first=Fraction("9.80")),
)


def asked(target: str = "break-even", **more: Any) -> PriceAsk:
    return PriceAsk(Ask(product="vase", channel="fair", on=DAY), read_target(target), **more)


def answered(
    price: int | Fraction,
    target: str = "break-even",
    *,
    made: Product = VASE,
    channel: Channel | None = None,
    wanted: Wanted | None = None,
    whole: Book | None = None,
    **more: Any,
) -> DiscountAnswer:
    whole = whole or book(made, channel, **more)
    return discount(whole, asked(target), ListPrice(price, "asked"), wanted or Wanted())


# Of no type, so that fractions can be held against whole cents in one line.
def order(price: int | Fraction, target: str = "break-even", **more: Any) -> Any:
    found = answered(price, target, **more).order
    assert found is not None
    return found


def sale(price: int, off: str, *, share: str = "1", **more: Any) -> Any:
    return order(price, wanted=Wanted(off=Discount(percent=frac(off)), share=frac(share)), **more).sale


# 10 / (1 - 0.30) = 14.2857 has to be left: at 20.00 that is 28.571 % or 5.7142 off. Break-even leaves 10.00.
def test_the_greatest_discount_leaves_just_the_target() -> None:
    found = order(2000, "margin 30 %")
    assert (found.target.percent.greatest, found.target.amount.greatest) == (frac("28.5 %"), 571)
    assert (found.break_even.percent.greatest, found.break_even.amount.greatest) == (frac("50 %"), 1000)
    assert (found.target.left.goods, found.target.left.profit, found.now.profit) == (1430, 430, 1000)


# 28.57 % of 20.00 is 5.714, charged as 5.71, and leaves 14.29; 28.58 % is 5.716, charged as 5.72, and leaves 14.28.
@pytest.mark.parametrize(("step", "greatest"), [("1 %", "28 %"), ("0.01 %", "28.57 %"), ("3 %", "27 %")])
def test_the_step_is_the_askers(step: str, greatest: str) -> None:
    assert order(2000, "margin 30 %", wanted=Wanted(frac(step))).target.percent.greatest == frac(greatest)


# The channel's 10 % leave 18.00: 14.2857 of them are 20.635 % less, or 3.7142.
def test_a_discount_comes_after_those_of_the_channel() -> None:
    found = order(2000, "margin 30 %", channel=Channel(discounts=(Discount(percent=frac("10 %")),)))
    assert (found.target.percent.greatest, found.target.amount.greatest) == (frac("20.6 %"), 371)


# Three vases at 20.00 are 60.00; 42.857 have to be left, 17.142 less.
def test_an_amount_is_an_orders() -> None:
    found = order(2000, "margin 30 %", channel=Channel(quantity=3))
    assert (found.target.percent.greatest, found.target.amount.greatest) == (frac("28.5 %"), 1714)


# 40.00 to make, 9.00 to send. At 61.00 an order is sent free and leaves 12.00. From 59.99 down it brings 9.80 more, so
# that 11.50 are left down to 50.70, but not between 60.49 and 60.00 (11.49 to 11.00).
def test_a_threshold_breaks_it_in_between() -> None:
    found = order(6100, "profit 11.50", made=product(bought={"blank": bought(40)}), channel=FREE_FROM_60)
    assert found.target.amount == Reach(Fraction(1030), Fraction(50), ((Fraction(51), Fraction(100)),))
    # 0.8 % is 0.49 and 0.9 % is 0.55; 1.6 % is 0.98 and 1.7 % is 1.04; 16.8 % is 10.25 and 16.9 % is 10.31.
    gap = (frac("0.9 %"), frac("1.6 %"))
    assert found.target.percent == Reach(frac("16.8 %"), frac("0.8 %"), (gap,))


# The same with a target of 12.50: the list price itself misses it, and from 1.01 to 9.30 off it is met.
def test_a_discount_may_meet_what_the_full_price_misses() -> None:
    made = product(bought={"blank": bought(40)})
    found = order(6100, "profit 12.50", made=made, channel=FREE_FROM_60)
    assert found.target.amount == Reach(Fraction(930), None, ((Fraction(0), Fraction(100)),))
    assert not found.now.meets
    assert answered(6100, "profit 12.50", made=made, channel=FREE_FROM_60).possible


@pytest.mark.parametrize(("price", "possible", "greatest"), [(999, False, None), (1000, False, 0), (1001, True, 1)])
def test_no_discount_above_zero_is_no_discount(price: int, possible: bool, greatest: int | None) -> None:
    found = answered(price)
    assert found.possible == possible
    assert found.order is not None
    assert found.order.target.amount.greatest == greatest


# 30.00005 of goods break even at 10.00: 20.00 off are the last whole cent, though the price is finer than a cent.
def test_a_price_that_somebody_types_is_taken_as_it_is() -> None:
    assert order(Fraction("3000.5")).target.amount.greatest == 2000


# 30,000.01 of goods are 3,000,001 cents: they go in steps of ten, so that 20,000.01 are found as 20,000.00.
def test_large_amounts_go_in_coarser_steps() -> None:
    found = answered(3_000_001, made=product(bought={"blank": bought(10_000)}))
    assert found.amount_step == 10
    assert found.order is not None
    assert found.order.target.amount.greatest == 2_000_000


# Near 5.00, far 9.00: the average order breaks even at 17.00, the one to the far zone at 19.00.
def test_the_worst_case_has_less_room() -> None:
    half = Fraction(1, 2)
    whole = book(
        product(bought={"blank": bought(10)}, packing={"box": packing("20 cm", "20 cm", "20 cm")}),
        Channel(delivery=Delivery(rate_cards=("van",)), zones={"near": half, "far": half}),
        cards={"van": card({"near": [(50, 5)], "far": [(50, 9)]})},
    )
    found = {}
    for case in ("expected", "worst"):
        answer = discount(whole, asked(case=case), ListPrice(2000, "asked"), Wanted())
        assert answer.order is not None
        found[case] = answer.order.target.amount.greatest
    assert found == {"expected": 300, "worst": 100}


def test_an_order_that_nobody_carries_has_no_answer() -> None:
    whole = book(VASE, Channel(delivery=Delivery(rate_cards=("van",))), cards={"van": card()})
    found = answered(2000, whole=whole)
    assert (found.order, found.possible) == (None, False)


# At 58.00, below the threshold, free shipping gives away 9.80; so do 16.9 % of 58.00, which are charged as 9.80.
def test_free_shipping_costs_what_the_buyer_no_longer_pays() -> None:
    found = order(5800, "profit 5", made=product(bought={"blank": bought(40)}), channel=FREE_FROM_60).sent_free
    assert (found.cost, found.like, found.left.profit) == (980, frac("16.9 %"), 900)
    assert (found.left.meets, found.left.breaks_even) == (True, True)


def test_free_shipping_costs_nothing_where_the_order_is_sent_free_anyway() -> None:
    assert order(6100, made=product(bought={"blank": bought(40)}), channel=FREE_FROM_60).sent_free.cost == 0


# --- a sale ----------------------------------------------------------------------------------------------------------

# 55.00 to make and 5.00 of rent: at 100.00 an order contributes 45.00 and leaves 40.00; 10 % off takes 10.00 of both.
RENT = {"rent": Overhead(per_month=Fraction(500), planned_units=Fraction(100))}
WITH_RENT = product(bought={"blank": bought(55)}, overhead=RENT)
THIRTY = Channel(orders_per_month=Fraction(30))


# 10 / 35 and 10 / 30 more orders: 8.57 and 10 of thirty.
def test_further_orders_make_up_for_the_discount() -> None:
    found = sale(10_000, "10 %", made=WITH_RENT, channel=THIRTY)
    assert (found.contribution.before, found.contribution.after) == (4500, 3500)
    assert (found.contribution.more, found.contribution.orders) == (Fraction(2, 7), 9)
    assert (found.profit.before, found.profit.after) == (4000, 3000)
    assert (found.profit.more, found.profit.orders) == (Fraction(1, 3), 10)
    assert (found.profit.month_before, found.profit.month_after) == (120_000, 90_000)


# Only a third of the orders use it: 100.00 less a month, made up by four orders that bring 30.00 (3.33).
def test_a_coupon_on_a_share_of_the_orders() -> None:
    found = sale(10_000, "10 %", share="1/3", made=WITH_RENT, channel=THIRTY)
    assert (found.profit.month_before, found.profit.month_after) == (120_000, 110_000)
    assert (found.profit.more, found.profit.orders) == (Fraction(1, 9), 4)


# 60.00 a month over thirty orders is 2.00 an order, and still 60.00 with more orders: they bring 30.00 each as before.
def test_fees_per_month_are_due_once() -> None:
    stall = profile(Fee(name="stall", per="month", fixed=Fraction(60)))
    channel = Channel(orders_per_month=Fraction(30), fee_profile="profile")
    found = sale(10_000, "10 %", made=WITH_RENT, channel=channel, profile=stall)
    assert (found.fees_per_month, found.profit.before, found.profit.after) == (6_000, 4000, 3000)
    assert (found.profit.month_before, found.profit.month_after) == (114_000, 84_000)
    assert (found.contribution.month_before, found.profit.orders) == (135_000, 10)


# 45 % off brings what an order costs, with the rent 5.00 less: no number of them pays for anything.
def test_no_number_of_orders_pays_for_too_great_a_discount() -> None:
    found = sale(10_000, "45 %", made=WITH_RENT, channel=THIRTY)
    assert (found.contribution.after, found.contribution.more, found.contribution.orders) == (0, None, None)
    assert (found.profit.after, found.profit.more, found.profit.orders) == (-500, None, None)


def test_without_orders_a_month_only_the_share_is_known() -> None:
    found = sale(10_000, "10 %", made=WITH_RENT)
    assert (found.profit.more, found.profit.orders, found.profit.month_before) == (Fraction(1, 3), None, None)


def test_a_coupon_that_the_storefront_pays_for_costs_nothing() -> None:
    off = Discount(percent=frac("10 %"), paid_by="storefront")
    found = order(10_000, made=WITH_RENT, channel=THIRTY, wanted=Wanted(off=off)).sale
    assert (found.contribution.more, found.profit.orders, found.profit.after) == (0, 0, 4000)


# An amount goes off an order, in whole units of the currency: 5.00 of 20.00.
def test_a_stated_amount_is_off_the_order() -> None:
    found = order(2000, wanted=Wanted(off=Discount(amount=Fraction(5)))).sale
    assert (found.left.goods, found.left.profit) == (1500, 500)


# --- what is said ----------------------------------------------------------------------------------------------------


# 10 / (1 - 0.30) = 14.2857; up to 12.00 the best margin is 2 / 12.
@pytest.mark.parametrize(
    ("in_use", "highest", "found"),
    [(2000, None, (2000, "in use")), (None, None, (1429, "solved")), (None, 12, (1200, "best"))],
)
def test_the_list_price_is_the_one_in_use_else_the_one_that_meets_the_target(
    in_use: int | None, highest: int | None, found: tuple[int, str]
) -> None:
    prices = Product(name="Vase").prices
    if highest is not None:
        prices = type(prices)(highest=Fraction(highest))
    made = product(bought={"blank": bought(10)}, prices=prices)
    assert price_said(book(made), asked("margin 30 %"), None, in_use) == found


def test_a_target_without_meaning_gives_no_price_to_start_from() -> None:
    with pytest.raises(QuestionError, match="no price on fair"):
        price_said(book(VASE), asked("machine-hour 20"), None, None)


def test_what_is_said_is_read() -> None:
    assert wanted_said("0.5 %", "20 %", "1/3") == Wanted(frac("0.5 %"), Discount(percent=frac("20 %")), Fraction(1, 3))
    assert wanted_said("0.1 %", None, "100 %") == Wanted()


@pytest.mark.parametrize(
    ("step", "off", "share", "said"),
    [("0 %", None, "1", "the step"), ("0.0001 %", None, "1", "the step"), ("1 %", None, "30 %", "--off")],
)
def test_what_cannot_be_meant_is_told(step: str, off: str | None, share: str, said: str) -> None:
    with pytest.raises(QuestionError, match=said):
        wanted_said(step, off, share)
