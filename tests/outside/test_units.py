"""Units against the definitions of the law and of the trade."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.quantity import read_measure, read_quantity


def metres(text: str) -> Fraction:
    return read_quantity(text, "length") / 1000


# 16 CFR 500.19, conversion of SI metric quantities to inch/pound quantities and back, US Federal Trade Commission, as
# published by Cornell's Legal Information Institute (read).
@pytest.mark.parametrize(("text", "exactly"), [("1 in", "0.0254"), ("1 ft", "0.3048"), ("1 yd", "0.9144")])
def test_inch_foot_and_yard_are_exact_parts_of_a_metre(text: str, exactly: str) -> None:
    assert metres(text) == Fraction(exactly)


# 16 CFR 500.19, US Federal Trade Commission (read); the inch is 2.54 cm, so a square inch is its square.
@pytest.mark.parametrize(("text", "square_centimetres"), [("1 in^2", "6.4516"), ("1 ft^2", "929.0304")])
def test_square_inch_and_square_foot_are_exact(text: str, square_centimetres: str) -> None:
    assert read_measure(text).amount / 100 == Fraction(square_centimetres)
    assert read_measure(text).dimension == "area"


# Exact table of capacity and mass compiled from NIST Weights and Measures (read on a web copy); 16 CFR 500.19, US
# Federal Trade Commission, gives the same to six digits (read).
def test_cubic_inch_and_cubic_foot_are_exact() -> None:
    assert read_measure("1 in^3").amount / 1000 == Fraction("16.387064")
    assert read_measure("1 ft^3").amount / 10**6 == Fraction("28.316846592")
    assert read_measure("1 ft^3") == read_measure("1728 in^3")


# NIST Handbook 44, appendix C, US National Institute of Standards and Technology: the gallon is 231 cubic inches
# (read in a copy). Fluid ounce from the exact table compiled from NIST Weights and Measures (read on a web copy).
def test_us_gallon_and_fluid_ounce_are_exact() -> None:
    assert read_measure("1 gal") == read_measure("231 in^3")
    assert read_measure("1 gal") == read_measure("3.785411784 L")
    assert read_measure("1 fl_oz") == read_measure("29.5735295625 ml")


# Board measure of the timber trade, thickness x width in inches x length in feet / 12, on nominal sizes (read on
# several pages for woodworkers; common practice, no single source).
@pytest.mark.parametrize(("thick_in", "wide_in", "long_ft", "board_feet"), [(1, 3, 8, 2), (1, 4, 6, 2), (2, 6, 10, 10)])
def test_boards_have_their_board_feet(thick_in: int, wide_in: int, long_ft: int, board_feet: int) -> None:
    cubic_inches = thick_in * wide_in * long_ft * 12
    assert read_measure(f"{board_feet} bf") == read_measure(f"{cubic_inches} in^3")


# 16 CFR 500.19, US Federal Trade Commission: a kilogram is 2.20462 lb to six digits (read). More digits: recomputed
# from 0.45359237 kg.
def test_a_kilogram_is_2_20462_pounds() -> None:
    pounds = read_quantity("1 kg", "mass") / read_quantity("1 lb", "mass")
    assert abs(pounds - Fraction("2.20462")) < Fraction("0.000005")
    assert abs(pounds - Fraction("2.2046226218")) < Fraction("0.0000000001")
    assert read_quantity("16 oz", "mass") == read_quantity("1 lb", "mass")


# Referee: the unit definitions that pint ships with, which are not the ones netprice reads with; in floats, so to
# 12 digits.
@pytest.mark.parametrize(
    ("ours", "its", "base"),
    [
        ("1 bf", "board_foot", "millimeter ** 3"),
        ("1 gal", "gallon", "millimeter ** 3"),
        ("1 fl_oz", "fluid_ounce", "millimeter ** 3"),
        ("1 lb", "pound", "gram"),
        ("1 oz", "ounce", "gram"),
        ("1 yd", "yard", "millimeter"),
    ],
)
def test_units_agree_with_an_independent_table(ours: str, its: str, base: str) -> None:
    import pint

    theirs = pint.UnitRegistry().Quantity(1.0, its).to(base).magnitude
    assert float(read_measure(ours).amount) == pytest.approx(theirs, rel=1e-12)
