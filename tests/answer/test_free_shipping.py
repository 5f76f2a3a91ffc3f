"""Folding shipping into the price, by hand. Amounts in cents."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

from netprice.answer.ask import PriceAsk
from netprice.answer.free_shipping import FreeShipping, free_shipping
from netprice.book.rate_card import RateCard
from netprice.book.readers import read_target
from netprice.book.shop import Channel, Delivery, Shipping
from netprice.ledger.settle import Ask
from tests.build_book import book, bought, packing, product

# A vase costs 10.00; its label 5.00 near and 9.00 far, half of the orders each, whatever is in the parcel.
VASE = product(bought={"blank": bought(10)}, packing={"box": packing("20 cm", "20 cm", "20 cm", holds=30)})
CARD = RateCard(
    name="Van",
    length_unit="cm",
    weight_unit="kg",
    weight_step=Fraction(1),
    rates={"near": ((Fraction(50), Fraction(5)),), "far": ((Fraction(50), Fraction(9)),)},
)
HALF = Fraction(1, 2)


def asked(list_price: int | None = None, target: str = "break-even", **shipping: Any) -> FreeShipping:
    channel = Channel(
        delivery=Delivery(rate_cards=("van",)), zones={"near": HALF, "far": HALF}, shipping=Shipping(**shipping)
    )
    whole = book(VASE, channel, cards={"van": CARD})
    ask = Ask(product=next(iter(whole.products)), channel=next(iter(whole.shop.channels)), on=dt.date(2026, 11, 25))
    return free_shipping(whole, PriceAsk(ask=ask, target=read_target(target)), list_price)


# With 4.00 charged: 10 + 7 − 4 = 13.00. Free: 17.00; all near 15.00, all far 19.00.
def test_the_label_goes_into_the_price_zone_by_zone() -> None:
    found = asked(policy="flat", first=Fraction(4))
    assert (found.now.lowest_price, found.free.lowest_price) == (1300, 1700)
    assert [(folded.zone, folded.price) for folded in found.folded] == [("near", 1500), ("far", 1900)]


# At 12.00 each vase leaves 2.00, so that 7.00 of label take four: 48.00. At 17.00 one is enough.
def test_an_order_is_sent_free_from_the_total_that_still_leaves_the_target() -> None:
    assert (asked(1200).units, asked(1200).total) == (4, 4800)
    assert (asked(1700).units, asked(1700).total) == (1, 1700)


# At 10.00 nothing is left to pay a label with, however many there are.
def test_a_price_that_never_pays_the_label_has_no_total() -> None:
    assert (asked(1000).units, asked(1000).total) == (None, None)


def test_without_a_list_price_the_one_that_meets_the_target_now_is_taken() -> None:
    found = asked(policy="flat", first=Fraction(4))
    assert found.list_price == 1300
    assert found.units == 3  # 3 × 3.00 ≥ 7.00


# A margin of 30 %: 17 / 0.70 = 24.2857.
def test_the_target_that_is_asked_for_holds() -> None:
    assert asked(target="margin 30 %").free.lowest_price == 2429
