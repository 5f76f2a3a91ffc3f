"""A parcel as a rate card measures it, worked out by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.rate_card import SizeRounding
from netprice.ledger.parcel import Measured, Parcel, measure, round_side
from netprice.quantity import read_quantity
from tests.build_book import card


def parcel(sides: str, weight: str = "1 kg") -> Parcel:
    """Return a parcel from sides such as "30 x 20 x 10 cm"."""
    *numbers, unit = sides.replace(" x ", " ").split()
    length, width, height = (read_quantity(f"{number} {unit}", "length") for number in numbers)
    return Parcel(sides_mm=(length, width, height), weight_g=read_quantity(weight, "mass"))


def measured(sides: str, weight: str = "1 kg", **rules: Any) -> Measured:
    return measure(parcel(sides, weight), card(**rules))


SIDES = ("10.9", "11", "11.01", "11.5")


@pytest.mark.parametrize(
    ("rule", "found"),
    [("up", (11, 11, 12, 12)), ("nearest", (11, 11, 11, 12)), ("down", (10, 11, 11, 11))],
)
def test_a_side_is_rounded_to_whole_units(rule: SizeRounding, found: tuple[int, ...]) -> None:
    assert tuple(round_side(Fraction(side), rule) for side in SIDES) == found


@pytest.mark.parametrize(("rule", "found"), [("up", "11.5"), ("nearest", "11.25"), ("down", "11.25"), ("none", "11.3")])
def test_a_side_is_rounded_to_a_step_of_its_own(rule: SizeRounding, found: str) -> None:
    assert round_side(Fraction("11.3"), rule, Fraction(1, 4)) == Fraction(found)


def test_sides_are_sorted_after_rounding() -> None:
    found = measured("10 x 30.2 x 20 cm", size_rounding="up")
    assert [found.length, found.width, found.height] == [31, 20, 10]


def test_girth_is_twice_the_two_shorter_sides() -> None:
    found = measured("10 x 30 x 20 cm")
    assert found.girth == 60
    assert found.length_plus_girth == 90


def test_sides_and_weight_are_converted_exactly() -> None:
    found = measured("12 x 10 x 8 in", "5 lb", length_unit="in", weight_unit="lb")
    assert [found.length, found.width, found.height, found.actual_weight] == [12, 10, 8, 5]
    assert measured("12 x 10 x 8 in", "5 lb").length == Fraction("30.48")
    assert measured("12 x 10 x 8 in", "5 lb").actual_weight == Fraction("2.26796185")


def test_volume_is_that_of_the_rounded_sides() -> None:
    assert measured("10.2 x 10.2 x 10.2 cm", size_rounding="up").volume == 11**3


# 40 × 30 × 20 cm is 24,000 cm³; at 5,000 it is 4.8 kg, charged as 5 kg, or as 4.8 by steps of 100 g.
@pytest.mark.parametrize(("step", "billable"), [("1", "5"), ("0.5", "5"), ("0.1", "4.8")])
def test_the_greater_weight_is_rounded_up_to_the_weight_step(step: str, billable: str) -> None:
    found = measured("40 x 30 x 20 cm", "3 kg", volumetric_divisor=Fraction(5000), weight_step=Fraction(step))
    assert found.volumetric_weight == Fraction("4.8")
    assert found.billable_weight == Fraction(billable)


@pytest.mark.parametrize(("weight", "billable"), [("2.999 kg", 3), ("3 kg", 3), ("3.001 kg", 4), ("7 kg", 7)])
def test_the_actual_weight_decides_where_it_is_greater(weight: str, billable: int) -> None:
    found = measured("30 x 20 x 10 cm", weight, volumetric_divisor=Fraction(5000))  # 6,000 cm³: 1.2 kg
    assert found.billable_weight == billable


def test_without_a_divisor_only_the_actual_weight_counts() -> None:
    found = measured("80 x 60 x 40 cm", "2 kg")
    assert [found.volumetric_weight, found.billable_weight] == [0, 2]


# The gate is 6,000 cm³: 30 × 20 × 10 is at it, and so by its actual weight; 30 × 20 × 10.1 is over.
@pytest.mark.parametrize(("height", "volumetric"), [("9.9", "0"), ("10", "0"), ("10.1", "1.212")])
def test_the_volume_must_be_over_the_threshold(height: str, volumetric: str) -> None:
    found = measured(f"30 x 20 x {height} cm", volumetric_divisor=Fraction(5000), volumetric_above=Fraction(6000))
    assert found.volumetric_weight == Fraction(volumetric)


def test_the_threshold_looks_at_the_rounded_sides() -> None:
    rules: dict[str, Any] = {"volumetric_divisor": Fraction(5000), "volumetric_above": Fraction(6000)}
    assert measured("30 x 20 x 10.1 cm", size_rounding="down", **rules).volumetric_weight == 0
    assert measured("30 x 20 x 9.9 cm", size_rounding="up", **rules).volumetric_weight == 0
    assert measured(
        "30 x 20 x 9.9 cm", size_rounding="up", size_step=Fraction(4), **rules
    ).volumetric_weight == Fraction(32 * 20 * 12, 5000)
