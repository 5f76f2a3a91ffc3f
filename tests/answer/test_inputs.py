"""Finding a number by its path, showing it in its own unit, and trying another value for it."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from pathlib import Path

import pytest

import netprice
from netprice.answer.inputs import find_input, inputs_of, with_value
from netprice.answer.units import Unit, unit_of
from netprice.book.rate_card import Surcharge
from netprice.book.read import open_book
from netprice.book.shop import Delivery
from netprice.errors import QuestionError
from netprice.ledger.settle import Ask
from tests.build_book import book, card, product

SHOP = Path(__file__).parents[2] / "examples/pottery"
BOOK = open_book(SHOP)
ASK = Ask("pasta-bowl", "handmade", dt.date(2026, 11, 25))


@pytest.mark.parametrize(
    ("path", "name", "file"),
    [
        ("labour.throwing.time", "labour.throwing.time", "pasta-bowl"),  # the product's own file
        ("labour.throwing.rate", "labour.throwing.rate", "shop"),  # the product has the time, the shop the rate
        ("shipping.first", "shipping.first", "shop"),  # the channel's table
        ("channels.handmade.shipping.first", "shipping.first", "shop"),  # the same, as it stands in shop.toml
        ("returns.rate", "returns.rate", "shop"),  # neither product nor channel say anything
        ("fees.transaction.percent", "fees.transaction.percent", "handmade-marketplace"),  # by the fee's name
        ('fee_shares."promoted sale"', 'fee_shares."promoted sale"', "shop"),
        ("stock.stoneware clay.price", 'stock."stoneware clay".price', "shop"),
        ("rate_cards.curlew-parcel.fuel", "rate_cards.curlew-parcel.fuel", "curlew-parcel"),
    ],
)
def test_a_path_leads_to_the_number_that_an_order_takes(path: str, name: str, file: str) -> None:
    found = find_input(BOOK, ASK, path)
    assert found.place is not None
    assert (found.name, found.place.file) == (name, file)


@pytest.mark.parametrize(
    ("path", "shown", "step"),
    [
        ("labour.throwing.time", "11 min", "0.1 min"),
        ("weight", "0.78 kg", "0.001 kg"),
        ("fees.payment.fixed", "0.28 USD", "0.01 USD"),
        ("labour.throwing.rate", "26 USD/hour", "0.01 USD/hour"),
        ("batch.good_share", "93 %", "0.1 %"),
        ("batch.units_started", "24", "1"),
        ("shipping.first", "9.80 USD", "0.01 USD"),
    ],
)
def test_a_number_is_shown_in_the_unit_it_was_written_in(path: str, shown: str, step: str) -> None:
    one = find_input(BOOK, ASK, path)
    assert one.value is not None
    assert (one.shown(one.value), one.shown(one.unit.step)) == (shown, step)


def test_a_wrong_path_is_told_with_the_nearest() -> None:
    with pytest.raises(QuestionError, match=r"'labour.trowing.time'; did you mean 'labour.throwing.time'"):
        find_input(BOOK, ASK, "labour.trowing.time")


@pytest.mark.parametrize(
    "path",
    [
        "name",
        "channels",
        "packing.single",
        "labour.throwing",
        "",
        "..",
        "fees.9.percent",
        "prices.step",
        "list_prices.web",
    ],
)
def test_what_is_no_number_is_no_input(path: str) -> None:
    with pytest.raises(QuestionError, match="no number of pasta-bowl on handmade is called"):
        find_input(BOOK, ASK, path)


def test_every_listed_number_is_found_by_its_name_and_can_be_put_back() -> None:
    for one in inputs_of(BOOK, ASK):
        assert find_input(BOOK, ASK, one.name) == one
        book, ask = with_value(BOOK, ASK, one, one.value)
        assert (book.shop, book.products, book.fee_profiles) == (BOOK.shop, BOOK.products, BOOK.fee_profiles)
        assert ask == ASK


def test_a_zone_share_leaves_the_rest_to_the_others_as_before() -> None:
    one = find_input(BOOK, ASK, "buyers.zones.far")
    book, _ = with_value(BOOK, ASK, one, Fraction(1, 2))
    # near 38 % and middle 37 % of 75 % shared out over the half that is left
    assert book.shop.buyers.zones == {"near": Fraction(38, 150), "middle": Fraction(37, 150), "far": Fraction(1, 2)}


def test_all_rates_of_a_card_move_together() -> None:
    one = find_input(BOOK, ASK, "rate_cards.curlew-parcel.rates")
    book, _ = with_value(BOOK, ASK, one, Fraction(11, 10))
    before, after = BOOK.rate_cards["curlew-parcel"].rates, book.rate_cards["curlew-parcel"].rates
    assert all(
        new == (up_to, price * Fraction(11, 10))
        for zone in before
        for (up_to, price), new in zip(before[zone], after[zone], strict=True)
    )


def test_a_return_rate_leaves_room_for_breakage() -> None:
    assert find_input(BOOK, ASK, "returns.rate").most == 1 - Fraction(25, 1000)


def test_amounts_are_read_in_any_unit_of_their_dimension() -> None:
    minutes = Unit("min", Fraction(1, 60), Fraction(1, 600))
    assert minutes.read("30 s", "the step") == Fraction(1, 120)
    assert minutes.read("2.5", "the step") == Fraction(1, 24)
    with pytest.raises(QuestionError, match="the step: no amount in min"):
        minutes.read("2 kg", "the step")
    with pytest.raises(QuestionError, match="the step: no number"):
        minutes.read("soon", "the step")


def test_a_number_that_no_file_states_has_a_usual_unit() -> None:
    assert unit_of("time", None, "USD", None).name == "min"
    assert unit_of("charged", None, "JPY", None) == Unit("JPY", Fraction(1), Fraction(1))
    assert unit_of("money per time", None, "USD", None).name == "USD/hour"


def test_the_discount_is_an_input_that_no_file_has() -> None:
    shop = netprice.open_shop(SHOP)
    found = shop.unknown("mug", channel="web", name="discount", price="45", on=ASK.on)
    assert found.direction == "greatest"
    assert found.input.place is None


@pytest.mark.parametrize("path", ["quantity", "packing.four.holds"])
def test_counts_are_tried_as_whole_numbers_from_one(path: str) -> None:
    shop = netprice.open_shop(SHOP)
    found = shop.unknown("pasta-bowl", channel="handmade", name=path, price="58", on=ASK.on)
    assert (found.values.low, found.values.high, found.values.step) == (Fraction(1), Fraction(24), Fraction(1))


def test_the_limit_of_a_surcharge_is_no_count() -> None:
    heavy = Surcharge(name="heavy", when="actual_weight", at_least=Fraction(5), amount=Fraction(3))
    whole = book(product(), delivery=Delivery(rate_cards=("van",)), cards={"van": card(surcharges=(heavy,))})
    ask = Ask("vase", "fair", ASK.on)
    one = find_input(whole, ask, "surcharges.heavy.at_least")
    changed, _ = with_value(whole, ask, one, Fraction(11, 2))
    assert changed.rate_cards["van"].surcharges[0].at_least == Fraction(11, 2)
