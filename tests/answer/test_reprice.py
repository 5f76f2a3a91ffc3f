"""Prices in use held against costs and fees, by hand. Amounts in cents; a charge is rounded half up to a cent."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from netprice.answer import reprice as repricing
from netprice.answer.ask import list_price_of
from netprice.answer.reprice import NewPrice, new_prices, reprice, standing
from netprice.answer.result import ledger_of
from netprice.answer.shop import OpenShop
from netprice.book.fee_profile import Fee, Tier
from netprice.book.product import Prices
from netprice.book.shop import Book, Channel, Delivery, Discount
from netprice.errors import QuestionError
from netprice.ledger.order import order_ledger
from netprice.ledger.settle import settle
from tests.answer.listed import CHANGE, DATED, TODAY, asks, held, only, vase, whole
from tests.build_book import card, machine_time, packing, profile

# --- today ------------------------------------------------------------------------------------------------------------


# 15.80: fee 1.027 → 1.03, leaves 15.80 − 1.03 − 10 = 4.77; 30 % of 15.80 is 4.74, so there are 3 cents to spare.
def test_a_price_that_holds_says_by_how_much() -> None:
    stands = only(whole(vase("15.80"), DATED))
    assert [stands.stand, stands.price, stands.profit, stands.to_spare] == ["holds", 1580, 477, 3]
    assert stands.measure == Fraction(477, 1580)
    assert (stands.needed, stands.new_price) == (None, None)


# 15.00: fee 0.975 → 0.98, leaves 4.02; wanted 4.50, so 48 cents short. At 15.74 the fee is 1.0231 → 1.02 and 4.72 is
# left, under 30 % (4.722); at 15.75 it is 1.02375 → 1.02 and 4.73 is left, over 30 % (4.725).
def test_a_price_that_falls_short_says_by_how_much_and_what_to_list_instead() -> None:
    stands = only(whole(vase("15.00"), DATED))
    assert [stands.stand, stands.profit, stands.to_spare] == ["short", 402, -48]
    assert stands.measure == Fraction(402, 1500)
    assert stands.new_price == 1575
    assert stands.needed is not None
    assert stands.needed.lowest_price == 1575


def test_a_price_that_holds_takes_no_search(monkeypatch: pytest.MonkeyPatch) -> None:
    def search(*arguments: object) -> None:
        raise AssertionError

    monkeypatch.setattr(repricing, "price", search)
    assert only(whole(vase("99"), DATED)).stand == "holds"
    with pytest.raises(AssertionError):
        only(whole(vase("15"), DATED))


# 5 % of all up to 20.00, above that 10 % of all. A vase of 15.00 is to leave 4.00: at 20.00 the fee is 1.00 and it
# does, at 20.01 it is 2.00; only from 21.11 on (fee 2.11) it does again.
TIERED = profile(
    Fee(
        name="sale", base="goods", tier_kind="whole",
        tiers=(Tier(up_to=Fraction(20), percent=Fraction("0.05")), Tier(percent=Fraction("0.10"))),
    )
)  # fmt: skip


def leaves_four(price: int) -> bool:
    percent = 5 if price <= 2000 else 10
    return price - (price * percent + 50) // 100 - 1500 >= 400


@pytest.mark.parametrize("exact", [False, True])
def test_every_price_in_use_stands_as_trying_all_prices_says(exact: bool) -> None:
    lowest = next(price for price in range(1, 5000) if leaves_four(price))
    assert lowest == 2000
    for price in range(1950, 2150, 3):
        book = whole(vase(f"{price / 100:.2f}", cost="15"), TIERED, target="profit 4")
        stands = only(book, exact=exact)
        assert (stands.stand == "holds") == leaves_four(price)
        ledger = ledger_of(order_ledger(settle(book, asks(book)[0].ask), price))
        assert (ledger.profit >= 4) == leaves_four(price)
        assert stands.profit == ledger.profit * 100
        higher = next(other for other in range(price, 5000) if leaves_four(other))
        wanted = lowest if exact else higher
        assert stands.new_price == (None if wanted == price or (leaves_four(price) and not exact) else wanted)


def test_a_price_in_a_trap_goes_up_unless_the_lowest_is_asked_for() -> None:
    book = whole(vase("20.50", cost="15"), TIERED, target="profit 4")
    assert (only(book).new_price, only(book, exact=True).new_price) == (2111, 2000)


# With prices up to 21.00 only the trap is above.
def test_where_only_a_lower_price_holds_there_is_no_new_one_unless_asked_for() -> None:
    capped: dict[str, Any] = {"fair_says": {"prices": Prices(highest=Fraction(21))}}
    book = whole(vase("20.50", cost="15"), TIERED, target="profit 4", **capped)
    assert (only(book).stand, only(book).new_price) == ("short", None)
    assert only(book, exact=True).new_price == 2000


# The step is 1.00: of 15.75 and above the next allowed price is 16.00. A price off the step is held as it is.
def test_a_new_price_is_an_allowed_one() -> None:
    stepped: dict[str, Any] = {"fair_says": {"prices": Prices(step=Fraction(1))}}
    assert only(whole(vase("15.40"), DATED, **stepped)).new_price == 1600
    assert only(whole(vase("15.80"), DATED, **stepped)).stand == "holds"
    assert only(whole(vase("15.80"), DATED, **stepped), exact=True).new_price is None


def test_a_price_above_the_lowest_is_lowered_only_when_asked_for() -> None:
    book = whole(vase("22.00"), DATED)
    assert only(book).new_price is None
    lowered = only(book, exact=True)
    assert (lowered.stand, lowered.new_price) == ("holds", 1575)


# 12.50 less a discount of everything leaves no net sales, and so no margin.
def test_where_the_measure_has_no_meaning_the_price_falls_short() -> None:
    book = whole(vase("12.50"), DATED, fair_says={"discounts": (Discount(percent=Fraction(1)),)})
    stands = only(book)
    assert [stands.stand, stands.measure, stands.to_spare, stands.new_price] == ["short", None, None, None]
    hourly = whole(vase("99"), DATED, target="machine-hour 5")
    assert (only(hourly).stand, only(hourly).measure) == ("short", None)


# 15.80 leaves 4.77 and takes half an hour at no rate: 9.54 an hour.
def test_other_targets_are_held_too() -> None:
    timed = vase("15.80", machine={"wheel": machine_time("30 min", 0)})
    assert only(whole(timed, DATED, target="machine-hour 9.54")).stand == "holds"
    assert only(whole(timed, DATED, target="machine-hour 9.55")).to_spare == Fraction(-1, 2)


def test_what_nobody_carries_is_told() -> None:
    heavy = vase("99", weight=Fraction(9000), packing={"box": packing("20 cm", "20 cm", "20 cm")})
    van = Channel(delivery=Delivery(rate_cards=("van",)), zones={"near": Fraction(1)})
    book = whole(heavy, DATED, fair=van, cards={"van": card()})
    stands = only(book)
    assert (stands.stand, stands.fails, stands.new_price) == ("refused", True, None)


# --- which price is in use --------------------------------------------------------------------------------------------


def test_a_price_of_the_channel_goes_before_the_one_for_all() -> None:
    book = whole(vase("42", prices={"web": "44"}), DATED, DATED)
    assert [each.price for each in held(book).prices] == [4200, 4400]
    assert OpenShop(book).in_use(asks(book)[1].ask) == 4400


def test_what_the_product_does_not_say_its_channel_does_and_then_the_shop() -> None:
    said: dict[str, Any] = {
        "web_says": {"prices": Prices(list_price=Fraction(18))},
        "prices": Prices(list_price=Fraction(17)),
    }
    book = whole(vase(), DATED, DATED, **said)
    assert [list_price_of(book, each.ask) for each in asks(book)] == [17, 18]


def test_without_a_price_in_use_nothing_is_held() -> None:
    answer = held(whole(vase(prices={"web": "16"}), DATED, DATED))
    assert [(each.stand, each.price) for each in answer.prices] == [("unpriced", None), ("holds", 1600)]


# --- what is written --------------------------------------------------------------------------------------------------


def written(book: Book, channels: tuple[str, ...] = (), *, exact: bool = False) -> list[tuple[str, Decimal]]:
    asked = [each for each in asks(book) if not channels or each.ask.channel in channels]
    answer = reprice(book, asked, ahead=0, exact=exact)
    return [(".".join(map(str, new.path)), new.new) for new in new_prices(book, answer)]


def test_a_price_goes_back_to_the_key_that_it_came_from() -> None:
    assert written(whole(vase(prices={"fair": "15.00"}), DATED)) == [("list_prices.fair", Decimal("15.75"))]
    assert written(whole(vase("15.00"), DATED)) == [("prices.list_price", Decimal("15.75"))]
    book = whole(vase("15.00"), DATED, DATED)
    assert new_prices(book, held(book)) == (
        NewPrice("vase", ("prices", "list_price"), ("fair", "web"), Decimal("15.00"), Decimal("15.75")),
    )


# Without a fee 15.00 leaves a third, so on the web it stays.
def test_a_price_in_common_that_is_to_differ_goes_to_the_channels() -> None:
    assert written(whole(vase("15.00"), DATED, profile())) == [("list_prices.fair", Decimal("15.75"))]


# 10 / 0.6 = 16.666…: 16.67 with a fee of 10 % (1.667 → 1.67) leaves 5.00, under 30 % (5.001); 16.68 leaves 5.01.
def test_different_new_prices_go_to_a_channel_each() -> None:
    tenth = profile(Fee(name="sale", base="goods", percent=Fraction("0.1")))
    assert written(whole(vase("15.00"), DATED, tenth)) == [
        ("list_prices.fair", Decimal("15.75")),
        ("list_prices.web", Decimal("16.68")),
    ]


def test_a_channel_that_was_not_asked_about_keeps_its_price() -> None:
    assert written(whole(vase("15.00"), DATED, DATED), ("web",)) == [("list_prices.web", Decimal("15.75"))]


def test_a_channel_with_a_price_of_its_own_does_not_stand_in_the_way() -> None:
    book = whole(vase("15.00", prices={"web": "99"}), DATED, DATED)
    assert written(book) == [("prices.list_price", Decimal("15.75"))]


def test_a_price_that_the_product_does_not_say_itself_goes_to_its_channels() -> None:
    book = whole(vase(), DATED, DATED, prices=Prices(list_price=Fraction(15)))
    assert written(book) == [("list_prices.fair", Decimal("15.75")), ("list_prices.web", Decimal("15.75"))]


# A price of 1000 yen on goods of 10.00 dollars, at 100 yen a dollar: break-even without fees.
def test_a_new_price_has_the_digits_of_its_currency() -> None:
    yen: dict[str, Any] = {"fair": Channel(fee_profile="fair", exchange_rate=Fraction(100))}
    book = whole(vase("900"), profile(currency="JPY"), target="break-even", **yen)
    assert [str(price) for _, price in written(book)] == ["1000"]


def test_what_holds_is_written_only_when_the_lowest_is_asked_for() -> None:
    book = whole(vase("22.00"), DATED)
    assert written(book) == []
    assert written(book, exact=True) == [("prices.list_price", Decimal("15.75"))]


# --- the question -----------------------------------------------------------------------------------------------------


def test_all_products_are_asked_about_where_they_are_sold() -> None:
    book = whole(vase("15.80", channels=("web",)), DATED, DATED)
    answer = OpenShop(book).reprice(on=TODAY)
    assert [each.terms.channel for each in answer.prices] == ["web"]
    with pytest.raises(QuestionError, match="no product is sold there"):
        OpenShop(book).reprice(channels=["fair"])
    with pytest.raises(QuestionError, match="no channel is called 'fare'; did you mean 'fair'"):
        OpenShop(book).reprice(channels=["fare"])
    with pytest.raises(QuestionError, match="no product is called 'vose'"):
        OpenShop(book).reprice(["vose"])
    with pytest.raises(QuestionError, match="-1 days ahead"):
        OpenShop(book).reprice(ahead=-1)


def test_wishes_count_as_everywhere() -> None:
    opened = OpenShop(whole(vase("15.80"), DATED))
    assert opened.reprice(on=TODAY).prices[0].stand == "holds"
    assert opened.reprice(on=TODAY, target="margin 31 %").prices[0].stand == "short"
    assert opened.reprice(on=CHANGE).prices[0].stand == "short"
    assert opened.reprice(on=TODAY, discount="10 %").prices[0].stand == "short"


def test_one_standing_is_that_of_the_day_asked_for() -> None:
    book = whole(vase("15.80"), DATED)
    assert [standing(book, each).stand for each in (*asks(book), *asks(book, CHANGE))] == ["holds", "short"]
