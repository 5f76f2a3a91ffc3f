"""Days on which fees or rate cards change, and the prices in use that then stand otherwise, by hand. In cents."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.dated import DatedChange, changes_on
from netprice.book.fee_profile import Fee, Tier
from netprice.book.rate_card import Edition
from netprice.book.shop import Channel, Delivery
from tests.answer.listed import BEFORE, CHANGE, DATED, DAY, TODAY, held, vase, whole
from tests.build_book import card, packing, profile


# At 15.80 the fee becomes 1.0902 → 1.09 and leaves 4.71 of the 4.74 that are wanted. At 15.84 it is 1.09296 → 1.09 and
# 4.75 is left, under 30 % (4.752); at 15.85 it is 1.09365 → 1.09 and 4.76 is left, over 30 % (4.755).
def test_the_day_a_price_begins_to_fall_short_is_found_with_the_fee_and_the_new_price() -> None:
    (turn,) = held(whole(vase("15.80"), DATED)).turns
    assert turn.on == CHANGE
    assert turn.changes == (DatedChange("fee", "fair", "sale", "6.5 % → 6.9 %"),)
    ((before, after),) = turn.prices
    assert (before.stand, after.stand) == ("holds", "short")
    assert [after.profit, after.to_spare, after.new_price] == [471, -3, 1585]


def test_a_change_that_no_price_minds_is_named_all_the_same() -> None:
    (turn,) = held(whole(vase("20"), DATED)).turns
    assert (turn.on, turn.prices) == (CHANGE, ())


def test_a_price_that_is_short_already_may_need_yet_another() -> None:
    ((before, after),) = held(whole(vase("15.00"), DATED)).turns[0].prices
    assert (before.new_price, after.new_price) == (1575, 1585)


# 51 days after 25 November comes 15 January.
@pytest.mark.parametrize(
    ("on", "ahead", "seen"), [(TODAY, 51, 1), (TODAY, 50, 0), (CHANGE - DAY, 1, 1), (CHANGE, 365, 0)]
)
def test_the_last_day_looked_at_is_looked_at_and_the_first_is_today(on: dt.date, ahead: int, seen: int) -> None:
    answer = held(whole(vase("15.80"), DATED), on, ahead=ahead)
    assert len(answer.turns) == seen
    assert answer.until == on + dt.timedelta(days=ahead)


# A fee that ends is gone on the day after its last: 15.00 then leaves 5.00, a third.
def test_a_fee_that_ends_lets_a_price_come_right() -> None:
    ended = profile(BEFORE)
    (turn,) = held(whole(vase("15.00"), ended)).turns
    assert (turn.on, turn.changes[0].what) == (CHANGE, "ends, was 6.5 % of goods")
    ((_, after),) = turn.prices
    assert [after.stand, after.to_spare, after.new_price] == ["holds", 50, None]


# A box of 8000 cm³ weighs 1 kg bare; divided by 4000 it is billed as 2 kg, for 9.00 instead of 6.00.
def test_a_new_edition_of_a_rate_card_is_a_change_too() -> None:
    van = card({"near": ((1, 6), (5, 9))}, editions=(Edition(from_=CHANGE, volumetric_divisor=Fraction(4000)),))
    sent = Channel(delivery=Delivery(rate_cards=("van",)), zones={"near": Fraction(1)})
    pot = vase("18", weight=Fraction(1000), packing={"box": packing("20 cm", "20 cm", "20 cm")})
    answer = held(whole(pot, profile(), fair=sent, cards={"van": van}, target="profit 2"))
    assert answer.prices[0].to_spare == 0  # 18 − 10 − 6 = 2
    (turn,) = answer.turns
    assert turn.changes == (DatedChange("rate card", "van", "Van", "volumetric divisor none → 4000"),)
    assert [(after.stand, after.new_price) for _, after in turn.prices] == [("short", 2100)]


def test_a_change_that_several_channels_share_is_named_once() -> None:
    both: dict[str, Any] = {"web": Channel(fee_profile="fair")}
    (turn,) = held(whole(vase("15.80"), DATED, DATED, **both)).turns
    assert len(turn.changes) == 1
    assert [after.terms.channel for _, after in turn.prices] == ["fair", "web"]


def test_the_last_day_of_all_ends_nothing() -> None:
    last = profile(Fee(name="sale", base="goods", percent=Fraction("0.065"), until=dt.date.max))
    answer = held(whole(vase("15.80"), last), dt.date.max - DAY, ahead=180)
    assert (answer.until, answer.turns) == (dt.date.max, ())


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ({"fixed": Fraction("0.2")}, {"fixed": Fraction("0.25")}, "fixed 0.2 → 0.25"),
        ({"fixed": Fraction("0.2")}, {"fixed": Fraction("0.2"), "cap": Fraction(5)}, "cap none → 5"),
        ({"share": Fraction("0.12")}, {"share": Fraction("0.15")}, "share 12 % → 15 %"),
        ({"base": "goods"}, {"base": "order", "percent": Fraction("0.07")}, "base goods → order, 6.5 % → 7 %"),
        ({}, {"percent": None, "tiers": (Tier(percent=Fraction("0.07")),)}, "6.5 % → none, other tiers"),
        (None, {"fixed": Fraction("0.3")}, "begins, 6.5 % of goods + 0.3"),
        (None, {"percent": None, "base": None, "fixed": Fraction("0.3"), "per": "listing"}, "begins, 0.3 a listing"),
    ],
)  # fmt: skip
def test_changes_are_told_by_the_keys_of_the_file(old: dict[str, Any] | None, new: dict[str, Any], told: str) -> None:
    usual: dict[str, Any] = {"name": "sale", "base": "goods", "percent": Fraction("0.065")}
    fees = [] if old is None else [Fee(**{**usual, **old, "until": CHANGE - DAY})]
    book = whole(vase(), profile(*fees, Fee(**{**usual, **new, "from_": CHANGE})))
    assert [change.what for change in changes_on(book, "fair", CHANGE)] == [told]


def test_a_fee_that_is_only_dated_anew_is_no_change() -> None:
    again = Fee(name="sale", base="goods", percent=Fraction("0.065"), from_=CHANGE)
    assert held(whole(vase("15.80"), profile(BEFORE, again))).turns == ()
