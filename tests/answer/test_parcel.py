"""How an order travels, by hand. Amounts in dollars, sides in millimetres."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

from netprice.answer.parcel import ParcelAnswer, parcel_of
from netprice.book.product import Box, Product, Size
from netprice.book.rate_card import RateCard
from netprice.book.shop import Channel, Delivery
from netprice.ledger.settle import Ask
from tests.build_book import book, packing, product

HALF = Fraction(1, 2)


def card(**more: Any) -> RateCard:
    """A card in centimetres and kilograms: divisor 5000, whole kilograms, sides rounded up."""
    rates = {
        "near": tuple((Fraction(kg), Fraction(3 + kg)) for kg in range(1, 11)),
        "far": tuple((Fraction(kg), Fraction(5 + 2 * kg)) for kg in range(1, 11)),
    }
    given: dict[str, Any] = {
        "name": "Van",
        "length_unit": "cm",
        "weight_unit": "kg",
        "size_rounding": "up",
        "volumetric_divisor": Fraction(5000),
        "weight_step": Fraction(1),
        "rates": rates,
        **more,
    }
    return RateCard(**given)


def asked(made: Product, quantity: int = 1, shelf: dict[str, Box] | None = None, **more: Any) -> ParcelAnswer:
    channel = Channel(delivery=Delivery(rate_cards=("van",)), zones={"near": HALF, "far": HALF})
    whole = book(made, channel, cards={"van": card(**more)})
    if shelf:
        from dataclasses import replace

        whole = replace(whole, shop=replace(whole.shop, boxes=shelf))
    name = next(iter(whole.products))
    ask = Ask(product=name, channel=next(iter(whole.shop.channels)), on=dt.date(2026, 11, 25), quantity=quantity)
    return parcel_of(whole, ask, Fraction(50))


# 30.5 × 20 × 20 cm counts as 31 × 20 × 20 = 12,400 cm3: 2.48 kg, charged as 3 kg: 6.00 near, 11.00 far.
BULKY = product(weight=Fraction(900), packing={"box": packing("30.5 cm", "20 cm", "20 cm", empty_weight=Fraction(100))})


def test_a_parcel_is_shown_as_the_card_measures_it() -> None:
    (view,) = asked(BULKY).parcels
    (seen,) = view.cards
    assert [int(side) for side in seen.measured[:3]] == [31, 20, 20]
    assert seen.weight == 1
    assert seen.measured.volumetric_weight == Fraction("2.48")
    assert seen.measured.billable_weight == 3
    assert [(label.zone, int(label.total)) for label in seen.labels] == [("near", 6), ("far", 11)]


def test_the_average_is_over_the_zones() -> None:
    found = asked(BULKY)
    assert found.average == Fraction("8.50")
    assert [(sent.zone, int(sent.label_cost)) for sent in found.sent] == [("near", 6), ("far", 11)]


# 10,000 cm3 is 2 kg: 31 × 20 × 16 = 9,920 does it, so 4 cm of height; 25 × 20 × 20 does it too: from 30.5 cm to 25 cm
# are 55 mm; a width or height of 16 cm is the same.
def test_trimming_finds_the_first_millimetre_that_drops_a_step() -> None:
    trims = {trim.side: (trim.off_mm, trim.saves) for trim in asked(BULKY).trims}
    assert trims == {"height": (40, Fraction("1.5")), "width": (40, Fraction("1.5")), "length": (55, Fraction("1.5"))}


def test_the_ladder_marks_the_break_the_parcel_falls_in() -> None:
    ladder = asked(BULKY).parcels[0].cards[0].ladder
    assert [(int(rung.up_to), rung.here) for rung in ladder] == [
        (1, False), (2, False), (3, True), (4, False), (5, False), (6, False),
    ]  # fmt: skip
    assert dict(ladder[2].prices) == {"near": 6, "far": 11}


def test_what_nobody_carries_is_named_with_the_limit() -> None:
    heavy = product(weight=Fraction(11_000), packing={"box": packing("20 cm", "20 cm", "20 cm")})
    found = asked(heavy)
    assert found.average is None
    assert found.refused == (
        "Van does not carry it to near: billable weight 11 kg is over the limit of 10 kg",
        "Van does not carry it to far: billable weight 11 kg is over the limit of 10 kg",
    )


def shelf_box(length: str, width: str, height: str, **more: Any) -> Box:
    sides = packing(length, width, height)
    return Box(length=sides.length, width=sides.width, height=sides.height, **more)


# The unit is 18 × 12 × 9 cm. It does not fit in the flat box; the small one (2,736 cm3) is charged by the 1 kg that it
# weighs,
# the large one (27,000 cm3) as 6 kg.
def test_a_product_with_a_size_goes_into_the_box_on_the_shelf_that_costs_least() -> None:
    made = product(weight=Fraction(950), size=Size(length=Fraction(180), width=Fraction(120), height=Fraction(90)))
    boxes = {
        "flat": shelf_box("40 cm", "30 cm", "8 cm"),
        "large": shelf_box("30 cm", "30 cm", "30 cm"),
        "small": shelf_box("19 cm", "12 cm", "12 cm"),
    }
    found = asked(made, shelf=boxes)
    assert [sent.way for sent in found.sent] == ["small", "small"]
    assert [view.packing for view in found.parcels] == ["large", "small"]
    assert found.average == (4 + 7) * HALF


# In the large box 1 × 2 × 3 = 6 lie in straight rows; four of them weigh 3.8 kg and are charged as the 6 kg of the
# box: 9.00 near and 17.00 far, against 16.00 and 28.00 for four small parcels of 1 kg.
def test_more_units_share_a_box_when_that_costs_less() -> None:
    made = product(weight=Fraction(950), size=Size(length=Fraction(180), width=Fraction(120), height=Fraction(90)))
    boxes = {"large": shelf_box("30 cm", "30 cm", "30 cm"), "small": shelf_box("19 cm", "12 cm", "12 cm")}
    found = asked(made, 4, shelf=boxes)
    assert [sent.way for sent in found.sent] == ["large", "large"]
    assert [sent.label_cost for sent in found.sent] == [9, 17]
