"""How an order travels: parcels, zones and refusals, from a shop's book. Labels are in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.product import Product, Returns
from netprice.book.rate_card import Insurance
from netprice.book.shop import Channel, Delivery, Labour
from netprice.ledger.order import order_ledger
from netprice.ledger.terms import Terms
from tests.build_book import book, card, packing, product, profile, settled

HALF = Fraction(1, 2)


def boxed(holds: int = 1, **more: Any) -> Product:
    box = packing("30 cm", "20 cm", "10 cm", holds=holds, empty_weight=Fraction(200), **more)
    return product(weight=Fraction(700), packing={"box": box})


def sent(made: Product, quantity: int = 1, zones: dict[str, Fraction] | None = None, **cards: Any) -> Terms:
    channel = Channel(delivery=Delivery(rate_cards=tuple(cards)), zones=zones)
    return settled(book(made, channel, cards=cards), quantity=quantity)


def label_costs(order: Terms, price: int = 1000) -> list[Fraction]:
    return [Fraction(zone.label_cost) for zone in order_ledger(order, price).zones]


def test_the_shops_flat_label_cost_holds_in_every_zone() -> None:
    channel = Channel(delivery=Delivery(label_cost=Fraction("6.45")), zones={"near": HALF, "far": HALF})
    assert label_costs(settled(book(product(), channel))) == [645, 645]


# A carrier charges labels, so the storefront's rule (all upwards, here) does not hold: 6.861 -> 6.86, 4.121 -> 4.12.
def test_labels_without_a_rate_card_are_rounded_half_up_whatever_the_storefront_does() -> None:
    channel = Channel(
        fee_profile="profile",
        delivery=Delivery(label_cost=Fraction("6.861")),
        returns=Returns(label_cost=Fraction("4.121")),
    )
    order = settled(book(product(), channel, profile=profile(rounding="up")))
    assert label_costs(order) == [686]
    assert order.outcomes.return_label == 412


# One unit weighs 0.2 + 0.7 kg -> 1 kg, 5.00; two in one box 1.6 -> 2 kg, 8.00; three in boxes of two: 8.00 + 5.00.
@pytest.mark.parametrize(("quantity", "cost"), [(1, 500), (2, 800), (3, 1300), (4, 1600)])
def test_an_order_goes_into_as_many_parcels_as_it_needs(quantity: int, cost: int) -> None:
    rates = card({"near": ((1, 5), (2, 8))})
    assert label_costs(sent(boxed(holds=2), quantity, {"near": Fraction(1)}, van=rates)) == [cost]


# Three units in boxes of two, goods of 60.00: declared 40.00 and 20.00, at 1.00 for each started 15.00: 3 + 2 steps.
def test_a_parcels_declared_value_is_its_units_share_of_the_goods() -> None:
    insurance = Insurance(step=Fraction(15), price_per_step=Fraction(1))
    rates = card({"near": ((2, 5),)}, insurance=insurance)
    order = sent(boxed(holds=2), 3, {"near": Fraction(1)}, van=rates)
    assert label_costs(order, 2000) == [2 * 500 + 5 * 100]


def test_packing_cost_and_time_of_every_parcel_are_costs_of_the_order() -> None:
    whole = book(boxed(cost=Fraction("1.20"), time=Fraction(1, 10)), labour={"packing": Labour(rate=Fraction(20))})
    order = settled(whole, quantity=3)
    assert order.zones[0].packing.order_cost == 3 * (120 + 200)
    assert order.zones[0].packing.labour_hours == Fraction(3, 10)


def test_the_cheapest_card_is_taken_zone_by_zone() -> None:
    van = card({"near": ((5, 6),), "far": ((5, 14),)})
    post = card({"near": ((5, 7),), "far": ((5, 9),)}, name="Post")
    assert label_costs(sent(boxed(), 1, {"near": HALF, "far": HALF}, van=van, post=post)) == [600, 900]


def test_a_named_service_is_taken_though_it_is_dearer() -> None:
    cards = {"van": card({"near": ((5, 6),)}), "post": card({"near": ((5, 7),)}, name="Post")}
    channel = Channel(delivery=Delivery(rate_cards=("van", "post"), service="post"), zones={"near": Fraction(1)})
    assert label_costs(settled(book(boxed(), channel, cards=cards))) == [700]


def test_each_refusal_is_named_and_a_zone_that_another_carries_to_is_reached() -> None:
    van, post = card({"near": ((5, 6),)}), card({"near": ((5, 7),), "far": ((5, 9),)}, name="Post")
    order = sent(boxed(), 1, {"near": HALF, "far": HALF}, van=van, post=post)
    assert [(refusal.service, refusal.zone) for refusal in order.refusals] == [("Van", "far")]
    assert order.unreached == ()
    assert label_costs(order) == [600, 900]


def test_a_zone_with_orders_that_nobody_carries_to_is_unreached() -> None:
    order = sent(boxed(), 1, {"near": HALF, "far": HALF}, van=card({"near": ((5, 6),)}))
    assert order.unreached == ("far",)


def test_what_is_too_heavy_for_two_parcels_goes_in_three() -> None:
    order = sent(boxed(holds=2), 3, {"near": Fraction(1)}, van=card({"near": ((1, 6),)}))  # two weigh 1.6 kg, one 0.9
    assert order.unreached == ()
    assert len(order.zones[0].packing.parcels) == 3


def test_a_zone_without_orders_that_nobody_carries_to_does_not_matter() -> None:
    order = sent(boxed(), 1, {"near": Fraction(1), "far": Fraction(0)}, van=card({"near": ((5, 6),)}))
    assert order.unreached == ()
    assert label_costs(order)[0] == 600


# With a flat label of 6.00 for the order, the envelope at 0.30 beats the chest at 2.00 wherever it stands in the
# file.
def test_an_order_goes_into_the_packing_that_costs_least() -> None:
    chest = packing("30 cm", "20 cm", "10 cm", holds=4, cost=Fraction(2))
    envelope = packing("30 cm", "20 cm", "5 cm", holds=1, cost=Fraction("0.30"))
    made = product(packing={"chest": chest, "envelope": envelope})
    assert settled(book(made, Channel(delivery=Delivery(label_cost=Fraction(6))))).zones[0].packing.order_cost == 30
