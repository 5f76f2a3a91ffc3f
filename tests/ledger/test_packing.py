"""Which parcels an order can go in, and the cheapest way, against trying every way."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations_with_replacement

import pytest
from hypothesis import given
from hypothesis import strategies as st

from netprice.ledger.packing import TRIED_ONE_BY_ONE, Box, Way, boxes_of, cheapest_way, every_way, way_name
from netprice.ledger.parcel import Parcel
from tests.build_book import packing

PARCEL = Parcel(sides_mm=(Fraction(1), Fraction(1), Fraction(1)), weight_g=Fraction(1))


def boxes(*units: int) -> list[Box]:
    return [Box(f"box {place}", each, PARCEL) for place, each in enumerate(units)]


def all_ways(offered: Sequence[Box], quantity: int, usable: Sequence[bool]) -> list[Way]:
    """Return every multiset of usable boxes that holds the order, by trying all of up to so many boxes."""
    places = [place for place, use in enumerate(usable) if use]
    return [
        way
        for parcels in range(1, quantity + 1)
        for way in combinations_with_replacement(places, parcels)
        if sum(offered[place].units for place in way) == quantity
    ]


units = st.lists(st.integers(1, 5), min_size=1, max_size=6)
# Few different costs, so that ties are common.
costs = st.none() | st.integers(0, 6).map(Fraction) | st.fractions(0, 3, max_denominator=3)
quantities = st.integers(1, 8)


@given(units, quantities, st.data())
def test_the_cheapest_way_is_the_cheapest_of_every_way(sizes: list[int], quantity: int, data: st.DataObject) -> None:
    offered = boxes(*sizes)
    prices = data.draw(st.lists(costs, min_size=len(sizes), max_size=len(sizes)))
    tried = [
        (sum((prices[place] or Fraction(0) for place in way), Fraction(0)), len(way), way)
        for way in all_ways(offered, quantity, [price is not None for price in prices])
    ]
    assert cheapest_way(offered, quantity, prices) == (min(tried)[2] if tried else None)


@given(units, quantities, st.data())
def test_every_way_is_complete_and_in_order(sizes: list[int], quantity: int, data: st.DataObject) -> None:
    offered = boxes(*sizes)
    usable = data.draw(st.lists(st.booleans(), min_size=len(sizes), max_size=len(sizes)))
    tried = all_ways(offered, quantity, usable)
    assert every_way(offered, quantity, usable, 10**6) == sorted(tried, key=lambda way: (len(way), way))


@given(units, quantities, st.integers(1, 40))
def test_every_way_ends_with_a_whole_number_of_parcels(sizes: list[int], quantity: int, most: int) -> None:
    offered = boxes(*sizes)
    usable = [True] * len(sizes)
    found, full = every_way(offered, quantity, usable, most), every_way(offered, quantity, usable, 10**6)
    assert found == full[: len(found)]
    if len(found) < len(full):
        assert len(found) >= most
        assert len(full[len(found)]) > len(found[-1])


@pytest.mark.parametrize(
    ("prices", "way"),
    [
        ([4, 9, 11], (2,)),
        ([4, 7, 12], (0, 1)),
        ([4, 9, 13], (0, 0, 0)),
        ([4, 9, 12], (2,)),  # 12 as three singles or as one box: fewer parcels
        ([4, 8, 13], (0, 1)),  # 12 as a single and a pair or as three singles
        ([4, 8, 12], (2,)),  # 12 in every way
    ],
)
def test_three_units_in_boxes_of_one_two_and_three(prices: list[int], way: Way) -> None:
    assert cheapest_way(boxes(1, 2, 3), 3, [Fraction(price) for price in prices]) == way


def test_of_equal_ways_with_as_many_parcels_the_first_in_the_file_is_taken() -> None:
    same = [Fraction(5)] * 4
    assert cheapest_way(boxes(1, 2, 2, 1), 3, same) == (0, 1)
    assert cheapest_way(boxes(1, 3, 2, 2), 4, same) == (0, 1)
    assert cheapest_way(boxes(2, 3, 1, 2), 4, same) == (0, 0)


def test_an_order_that_cannot_be_packed_has_no_way() -> None:
    assert cheapest_way(boxes(2, 4), 3, [Fraction(1), Fraction(1)]) is None
    assert cheapest_way(boxes(1, 3), 3, [None, None]) is None
    assert every_way(boxes(2, 4), 3, [True, True], 10) == []
    assert every_way(boxes(1, 3), 3, [False, True], 10) == [(1,)]


def test_every_packing_is_tried_with_every_number_of_units_that_it_holds() -> None:
    packings = {
        "small": packing("20 cm", "10 cm", "10 cm", holds=1, empty_weight=Fraction(50)),
        "large": packing("30 cm", "20 cm", "10 cm", holds=4, shape="irregular", girth=Fraction(700)),
    }
    found = boxes_of(packings, Fraction(300), 3)
    assert [(box.name, box.units, box.parcel.weight_g) for box in found] == [
        ("small", 1, Fraction(350)), ("large", 1, Fraction(300)), ("large", 2, Fraction(600)),
        ("large", 3, Fraction(900)),
    ]  # fmt: skip
    assert found[0].parcel == Parcel((Fraction(200), Fraction(100), Fraction(100)), Fraction(350))
    assert (found[1].parcel.shape, found[1].parcel.girth_mm) == ("irregular", Fraction(700))


# A chest that holds 200 is tried with 1 to 60 units, full, and with what is left over: 50 of 250, 70 of 270.
def test_a_chest_is_tried_full_and_with_what_is_left_over() -> None:
    chest = {"chest": packing("90 cm", "60 cm", "60 cm", holds=200)}
    assert [box.units for box in boxes_of(chest, Fraction(0), 250)] == [*range(1, TRIED_ONE_BY_ONE + 1), 200]
    assert [box.units for box in boxes_of(chest, Fraction(0), 270)] == [*range(1, TRIED_ONE_BY_ONE + 1), 70, 200]


def test_nobody_sends_fewer_units_in_a_packing_than_it_says() -> None:
    four = {"four": packing("30 cm", "20 cm", "10 cm", holds=4, at_least=3)}
    assert [box.units for box in boxes_of(four, Fraction(0), 9)] == [3, 4]


def test_a_way_in_words() -> None:
    offered = [Box("single", 1, PARCEL), Box("four", 2, PARCEL), Box("four", 4, PARCEL)]
    assert way_name(offered, (0,)) == "single"
    assert way_name(offered, (0, 0, 2)) == "2 × single + four"
    assert way_name(offered, (1, 2)) == "2 × four"
