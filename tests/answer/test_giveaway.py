"""Giveaways by hand. A vase costs 10.00 and 2.00 of overhead, its order 1.00, its label 5.00; it sells at 30.00 less a
fee of 10 %:

    an order leaves       30 − 3 − 12 − 1 − 5 = 9.00; with overhead left out 11.00
    one given away costs       12 + 1 + 5     = 18.00; with overhead left out 16.00
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.at_price import AtPrice
from netprice.answer.chance import Binomial, Poisson
from netprice.answer.giveaway import Gift, Giveaway, Odds, Way, gift_said, give_away, giveaway
from netprice.answer.opened import Opened
from netprice.book.shop import Channel, Delivery
from netprice.errors import QuestionError
from netprice.ledger.cost import CostLine
from netprice.ledger.terms import Terms
from tests.build import cover, ends, fee, goal, quoted, set_aside, shipping, terms, zone
from tests.build_book import DAY, book, bought, card, packing, product

LINES = (
    CostLine("made", "bought", "unit", Fraction(10)),
    CostLine("rent", "overhead", "good", Fraction(2)),
    CostLine("wrapped", "bought", "order", Fraction(1)),
)


def order(**more: Any) -> Terms:
    given: dict[str, Any] = {"lines": LINES, "label": 500, "fees": fee("10 %"), **more}
    return terms(**given)


def given(sold: Terms | None = None, one: Terms | None = None, *, price: int = 3000, **gift: Any) -> Giveaway:
    of = sold or order()
    return give_away(AtPrice(of, goal(of, "break-even"), price, "asked"), one or of, Gift(**gift))


def ways(found: Giveaway) -> tuple[Way, Way]:
    return found.by_contribution, found.by_profit


def odds(one: Odds | None) -> Odds:
    assert one is not None
    return one


# 3 × 16 + 20 = 68 and 68 / 11 = 6.2; with overhead 3 × 18 + 20 = 74 and 74 / 9 = 8.2.
def test_extra_orders_pay_for_what_is_given_away_and_made_known() -> None:
    found = given(units=3, promotion_cost=Fraction(20))
    assert [way.one_given for way in ways(found)] == [16, 18]
    assert [way.cost for way in ways(found)] == [68, 74]
    assert [way.per_order for way in ways(found)] == [11, 9]
    assert [way.extra_sales for way in ways(found)] == [7, 9]
    assert [found.unit_cost, found.order_cost, found.label] == [12, 1, 5]


# 2 × 18 = 36 = 4 × 9.
def test_just_enough_is_enough() -> None:
    assert given(units=2).by_profit.extra_sales == 4


# The sale of 30.00 is lost, the fee is kept, the vase and the label are gone either way; the same in both ways.
def test_a_refunded_winner_costs_what_the_sale_brought_in() -> None:
    found = given(units=0, refunded=2)
    assert found.one_refunded == 30
    assert [way.cost for way in ways(found)] == [60, 60]


@pytest.mark.parametrize(
    ("more", "lost"),
    [
        ({"fees": fee("10 %", kept="returned")}, "27"),
        ({"fees": fee("10 %", fixed=50, kept="partly", kept_fixed=50)}, "27"),
        ({"set_asides": [set_aside("2 %")]}, "29.40"),  # 0.60 is not set aside
        ({"set_asides": [set_aside("2 %", overhead=True)]}, "29.40"),
        ({"shipping": shipping("flat", flat=490)}, "34.90"),  # all of the money, though returns keep the shipping
        ({"outcomes": ends(return_rate="1/10", resellable=1, damage_rate="1/10", recovered=1)}, "30"),
    ],
)
def test_a_refunded_winner_gets_all_of_the_money_and_keeps_the_goods(more: dict[str, Any], lost: str) -> None:
    assert given(order(**more), refunded=1).one_refunded == Fraction(lost)


# Orders of two: 60 − 6 − 24 − 1 − 5 = 24.00, but each winner gets one vase in a parcel of its own.
def test_each_unit_is_sent_as_an_order_of_its_own() -> None:
    found = given(order(quantity=2), order(), units=2)
    assert [found.by_profit.per_order, found.by_profit.cost] == [24, 36]


# A quarter of the buyers at 4.00, three quarters at 8.00; the parcels of winners go where buyers live.
def test_the_label_is_the_average_over_the_zones() -> None:
    found = given(order(zones=[zone(400, name="near", share="1/4"), zone(800, name="far", share="3/4")]))
    assert [found.label, found.by_profit.one_given] == [7, 20]


# 30.00 are three started steps of 10.00 at 0.50 each.
def test_a_label_that_insures_the_goods_insures_what_is_given_away() -> None:
    insured = zone(quoted(500, insured=cover(step=1000, price=50)))
    assert given(order(zones=[insured])).label == Fraction("6.50")


def test_a_giveaway_is_sent_once_whatever_is_returned_or_broken_and_pays_no_fees() -> None:
    rough = order(outcomes=ends(return_rate="1/5", damage_rate="1/5", replaces=True), set_asides=[set_aside("10 %")])
    assert [way.one_given for way in ways(given(rough))] == [16, 18]


# One unit of the shop's currency is 0.91 of the channel's.
def test_the_promotion_is_paid_in_the_shops_currency() -> None:
    abroad = replace(order(lines=(), label=0), worth=Fraction(91))
    assert given(abroad, units=0, promotion_cost=Fraction(20)).by_profit.cost == Fraction("18.20")


def test_no_extra_orders_are_needed_where_nothing_is_spent() -> None:
    found = given(units=0, poisson=Poisson(Fraction(0)))
    assert [way.extra_sales for way in ways(found)] == [0, 0]
    assert [odds(way.poisson).chance for way in ways(found)] == [1, 1]


# At 20.00 an order leaves 20 − 2 − 18 = 0.00, or 2.00 with overhead left out.
def test_no_number_is_enough_where_an_order_leaves_nothing() -> None:
    found = given(price=2000, poisson=Poisson(Fraction(50)), chance=Fraction(1, 2))
    assert [way.extra_sales for way in ways(found)] == [8, None]
    assert odds(found.by_profit.poisson) == Odds(Fraction(0), 0, any_number=False)
    assert found.breaks_even


# One given away takes two orders either way, 16 / 11 and 18 / 9. Of three people with a chance of 1/2 each at least two
# buy with 3/8 + 1/8 = 1/2, and all three with 1/8: then 33 / 16 and 27 / 18 can be given away.
@pytest.mark.parametrize(("chance", "greatest"), [("1/2", [1, 1]), ("1/8", [2, 1]), ("7/8", [0, 0])])
def test_the_most_to_give_away_is_what_so_many_orders_pay_for(chance: str, greatest: list[int]) -> None:
    found = given(binomial=Binomial(3, Fraction(1, 2)), chance=Fraction(chance))
    assert [odds(way.binomial).chance for way in ways(found)] == [Fraction(1, 2)] * 2
    assert [odds(way.binomial).greatest for way in ways(found)] == greatest
    assert found.breaks_even == (Fraction(chance) <= Fraction(1, 2))


# The promotion alone takes 40 / 11 and 40 / 9 orders, of which there are never more than three.
def test_where_even_the_promotion_is_not_paid_for_there_is_no_most() -> None:
    found = given(promotion_cost=Fraction(40), binomial=Binomial(3, Fraction(1, 2)), chance=Fraction(1, 8))
    assert [odds(way.binomial).greatest for way in ways(found)] == [None, None]
    assert not found.breaks_even


def test_what_costs_nothing_can_be_given_away_in_any_number() -> None:
    free = order(lines=(), label=0)
    found = given(free, units=7, binomial=Binomial(3, Fraction(1, 2)), chance=Fraction(1, 8))
    assert odds(found.by_profit.binomial) == Odds(Fraction(1), None, any_number=True)
    # 120 of promotion against three orders of 27.00, which come with 1/8.
    dear = given(free, promotion_cost=Fraction(120), binomial=Binomial(3, Fraction(1, 2)), chance=Fraction(1, 8))
    assert odds(dear.by_profit.binomial) == Odds(Fraction(0), None, any_number=False)


# --- what is said ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"units": -1}, "-1 units to give away"),
        ({"refunded": 10**7}, "10000000 winners to refund"),
        ({"promotion_cost": "-5"}, "the promotion cost: below zero"),
        ({"people": 5}, "the people reached without the conversion"),
        ({"conversion": "2 %"}, "the conversion without the people reached"),
        ({"people": -1, "conversion": "2 %"}, "-1 people reached"),
        ({"people": 10**9, "conversion": "50 %"}, "more than 100000 extra sales expected"),
        ({"people": 5, "conversion": "120 %"}, "the conversion: outside 0 to 100 %"),
        ({"expected_sales": "some"}, "the extra sales expected: no number"),
        ({"expected_sales": "1e9"}, "more than 100000 extra sales expected"),
        ({"chance": "90 %"}, "a chance, but of how many extra sales?"),
        ({"chance": "0 %", "expected_sales": "5"}, "a chance of 0 %, which any giveaway has"),
    ],
)
def test_a_giveaway_that_makes_no_sense_is_told(said: Any, told: str) -> None:
    with pytest.raises(QuestionError) as error:
        gift_said(said)
    assert str(error.value).startswith(told)


def test_what_is_said_is_read_exactly() -> None:
    assert gift_said(
        {"units": 2, "refunded": 1, "promotion_cost": "12.50", "people": 900, "conversion": "1.8 %", "chance": "1/3"}
    ) == Gift(2, 1, Fraction("12.5"), None, Binomial(900, Fraction(18, 1000)), Fraction(1, 3))
    assert gift_said({}) == Gift(units=1)
    assert gift_said({"refunded": 2}) == Gift(units=0, refunded=2)


# --- through a shop's book -------------------------------------------------------------------------------------------


# The pair's box costs 3.00, the single one 2.00. Orders of two leave 2 × 20 − 2 × 10 − 3 = 17.00; one given away costs
# 10 + 2 = 12.00.
def test_the_shops_packings_are_chosen_for_one_unit() -> None:
    boxes = {
        "single": packing("10 cm", "10 cm", "10 cm", holds=1, cost=Fraction(2)),
        "pair": packing("20 cm", "10 cm", "10 cm", holds=2, cost=Fraction(3)),
    }
    shop = Opened(book(product(bought={"blank": bought(10)}, packing=boxes)))
    found = giveaway(shop.book, shop.asked("vase", "fair", {"on": DAY, "quantity": 2}), {"units": 5, "price": "20"})
    assert found.quantity == 2
    assert [found.by_profit.per_order, found.by_profit.cost] == [17, 60]


def test_a_unit_that_no_packing_takes_alone_is_told() -> None:
    boxes = {"pair": packing("20 cm", "10 cm", "10 cm", holds=2, at_least=2)}
    sent = Channel(delivery=Delivery(rate_cards=("van",)), zones={"near": Fraction(1)})
    shop = Opened(book(product(bought={"blank": bought(10)}, packing=boxes), sent, cards={"van": card()}))
    with pytest.raises(QuestionError, match="vase cannot be sent from fair: no packing takes an order of 1"):
        giveaway(shop.book, shop.asked("vase", "fair", {"on": DAY, "quantity": 2}), {"price": "20"})


# Without a price: 10 / (1 − 0.5) = 20.00 leaves 10.00, half of it.
def test_without_a_price_the_one_that_meets_the_target_is_taken() -> None:
    shop = Opened(book(product(bought={"blank": bought(10)})))
    found = giveaway(shop.book, shop.asked("vase", "fair", {"on": DAY, "target": "margin 50 %"}), {})
    assert (str(found.price), found.source) == ("20.00", "solved")
    assert found.by_profit.per_order == 10
