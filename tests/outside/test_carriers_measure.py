"""How carriers measure a parcel: rounding of sides, divisors by date, thresholds, factors and steps of weight."""

# Prices are left out on purpose: every card here is measuring rules. A consignment of several pieces is compared as a
# whole in air freight (the greater of all actual and all volumetric weights); netprice bills parcel by parcel, which
# is the same where the pieces are alike. A divisor that holds in some zones only (USPS, 194, zones 5 to 8) is a card
# of its own.

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any, Literal

import pytest

from netprice.book.editions import card_on
from netprice.book.rate_card import Divisor, Edition, RateCard, SizeRounding
from netprice.ledger.parcel import Measured, billable, measure, round_side
from tests.build_book import card
from tests.ledger.test_parcel import parcel

Shape = Literal["box", "tube", "irregular"]


def inches(**rules: Any) -> RateCard:
    rules.setdefault("size_rounding", "nearest")
    return card(length_unit="in", weight_unit="lb", **rules)


def measured(
    rates: RateCard, sides: str, weight: str = "1 oz", *, on: dt.date | None = None, shape: Shape = "box"
) -> Measured:
    """Return the parcel as the card measures it, on a day where the card has editions."""
    return measure(parcel(sides, weight)._replace(shape=shape), card_on(rates, on) if on else rates)


def close(found: Fraction, printed: str, within: str = "0.005") -> bool:
    return abs(found - Fraction(printed)) <= Fraction(within)


# --- air freight ----------------------------------------------------------------------------------------------------

# What is chargeable weight, Airports Authority of India (read; undated), and air cargo rules, Limco (read; undated):
# each side to the nearest whole unit, a half goes up; 6000 cm³ or 366 in³ a kilogram, 166 in³ a pound; the weight up
# to the next half kilogram.
AIR: dict[str, Any] = {"size_rounding": "nearest", "weight_step": Fraction(1, 2)}
AIR_CM = card(volumetric_divisor=Fraction(6000), **AIR)
AIR_IN = card(length_unit="in", volumetric_divisor=Fraction(366), **AIR)


# Weight and Dimensions: Volume, training slides after the rules of IATA's cargo tariff (read as a copy; undated).
def test_a_box_in_centimetres_at_6000() -> None:
    found = measured(AIR_CM, "70 x 50 x 60 cm")
    assert found.volume == 210_000
    assert found.billable_weight == found.volumetric_weight == 35


# Same slides (read as a copy): the same box by two conventions that were published apart; 366 / 166 is 2.2048 and not
# the 2.20462 lb of a kilogram. The slides print 35.4 kg and 78.1 lb; 35.5 kg is charged.
def test_the_same_box_by_the_kilogram_and_by_the_pound() -> None:
    by_kg = measured(AIR_IN, "27 x 20 x 24 in")
    by_lb = measured(inches(volumetric_divisor=Fraction(166)), "27 x 20 x 24 in")
    assert by_kg.volume == by_lb.volume == 12_960
    assert close(by_kg.volumetric_weight, "35.4", "0.05")
    assert by_kg.billable_weight == Fraction("35.5")
    assert close(by_lb.volumetric_weight, "78.1", "0.05")
    assert by_lb.volumetric_weight / by_kg.volumetric_weight == Fraction(366, 166)


# Same slides (sides read as a copy; the weight derived): 65 1/2 is a tie and goes up, 75 1/4 goes down, 55 3/4 up.
def test_ties_of_inches_go_up() -> None:
    found = measured(AIR_IN, "75.25 x 65.5 x 55.75 in")
    assert [found.length, found.width, found.height, found.volume] == [75, 66, 56, 277_200]
    assert close(found.volumetric_weight, "757.38")
    assert found.billable_weight == Fraction("757.5")


# Same slides (the first two read as a copy, the others derived).
@pytest.mark.parametrize(
    ("weight", "charged"), [("100.4", "100.5"), ("100.6", "101"), ("100.5", "100.5"), ("100.0", "100")]
)
def test_a_weight_goes_up_to_the_next_half_kilogram(weight: str, charged: str) -> None:
    assert billable(AIR_CM, Fraction(weight)) == Fraction(charged)


# Tariffs for air freight, Value Clearing and Forwarding (read; undated): 8 boxes of 60 × 40 × 20 cm weigh 45 kg in
# all, and one cube of 50 cm weighs 80 kg.
def test_eight_light_boxes_and_one_heavy_one() -> None:
    box = measured(AIR_CM, "60 x 40 x 20 cm", "5.625 kg")
    assert 8 * box.actual_weight == 45
    assert 8 * box.billable_weight == 64
    cube = measured(AIR_CM, "50 x 50 x 50 cm", "80 kg")
    assert close(cube.volumetric_weight, "20.83")
    assert cube.billable_weight == 80


# Fact sheet, Pengellys (read; undated).
def test_volume_beats_the_scales_narrowly() -> None:
    found = measured(AIR_CM, "30 x 45 x 65 cm", "14 kg")
    assert [found.volume, found.volumetric_weight] == [87_750, Fraction("14.625")]
    assert found.billable_weight == 15


# --- sides ----------------------------------------------------------------------------------------------------------


# Nearest: Determine Billable Weight, help centre, UPS (read in its older wording; undated). Up: UPS changes how it
# rounds, Supply Chain Dive, August 2025 (which quotes UPS).
@pytest.mark.parametrize(("rule", "found"), [("nearest", [1, 2, 11]), ("up", [2, 2, 12])])
def test_a_side_in_inches_goes_to_the_nearest_or_up(rule: SizeRounding, found: list[int]) -> None:
    assert [round_side(Fraction(side), rule) for side in ("1.49", "1.50", "11.1")] == found


# Dimensional Weight, UPS (rules read in their older wording; the sides are ours): whole centimetres, nearest; 5000
# cm³ a kilogram; up to the next whole kilogram. 40 × 31 × 20 is 24,800 cm³: 4.96 kg.
def test_a_box_in_centimetres_at_5000() -> None:
    found = measured(card(size_rounding="nearest", volumetric_divisor=Fraction(5000)), "40.4 x 30.5 x 20 cm", "4.2 kg")
    assert found.volume == 24_800
    assert [found.volumetric_weight, found.billable_weight] == [Fraction("4.96"), 5]


# --- divisors by date -----------------------------------------------------------------------------------------------

# The first rules, 194 over 1,728 in³, nearest inch: DMM Advisory, 30 October 2006, USPS (read), in force from May 2007;
# nonrectangular parcels by a factor of 0.785 before the threshold: the same, and its measuring help (read). 166 from
# 23 June 2019: Domestic Mail Manual, 123.1.4 and 604.7, USPS (read as quoted), and a notice of Postal Advocate, 2019
# (read). From 12 July 2026 139, sides up: as the trade press reports it (The Logistic News, 2026); of the rule itself,
# 91 FR 27837, USPS, 2026, only the title and dates were read.
POST = inches(
    volumetric_divisor=Fraction(194),
    volumetric_above=Fraction(1728),
    irregular_factor=Fraction("0.785"),
    heaviest_billable=Fraction(70),
    editions=(
        Edition(from_=dt.date(2019, 6, 23), until=dt.date(2026, 7, 11), volumetric_divisor=Fraction(166)),
        Edition(from_=dt.date(2026, 7, 12), volumetric_divisor=Fraction(139), size_rounding="up"),
    ),
)
LAST_OF_194, FIRST_OF_166 = dt.date(2019, 6, 22), dt.date(2019, 6, 23)
LAST_OF_166, FIRST_OF_139 = dt.date(2026, 7, 11), dt.date(2026, 7, 12)

# 139 over 1,728 in³ and 166 up to it from 8 January 2017: notice of UPS, November 2016, as quoted by Post & Parcel.
# Sides up and 139 for all from 18 August 2025: Supply Chain Dive, 2025 (which quotes UPS).
SPLIT = inches(
    editions=(
        Edition(
            from_=dt.date(2017, 1, 8),
            until=dt.date(2025, 8, 17),
            volumetric_divisors=(
                Divisor(up_to=Fraction(1728), divisor=Fraction(166)),
                Divisor(divisor=Fraction(139)),
            ),
        ),
        Edition(from_=dt.date(2025, 8, 18), volumetric_divisor=Fraction(139), size_rounding="up"),
    ),
)

# 139 instead of 166 from 5 January 2015, no threshold: service guide, FedEx (read as quoted by others). Sides up from
# 18 August 2025: a note of Atlantic Packaging, 2025 (read).
EXPRESS = inches(
    volumetric_divisor=Fraction(166),
    editions=(
        Edition(from_=dt.date(2015, 1, 5), until=dt.date(2025, 8, 17), volumetric_divisor=Fraction(139)),
        Edition(from_=dt.date(2025, 8, 18), volumetric_divisor=Fraction(139), size_rounding="up"),
    ),
)


# 2,016 / 194 = 10.39: a retailer's page on the rule of 194 (read; undated). 4,950 / 166 = 29.82: Postal Advocate, 2019
# (the quotient read, the weights derived; / 139 = 35.6). 2,880 in³: Domestic Mail Manual (read as quoted; the weights
# derived: 14.85, 17.35 and 20.72).
@pytest.mark.parametrize(
    ("sides", "on", "charged"),
    [
        ("12 x 12 x 14 in", LAST_OF_194, 11),
        ("15 x 15 x 22 in", FIRST_OF_166, 30),
        ("15 x 15 x 22 in", FIRST_OF_139, 36),
        ("12 x 12 x 20 in", LAST_OF_194, 15),
        ("12 x 12 x 20 in", FIRST_OF_166, 18),
        ("12 x 12 x 20 in", LAST_OF_166, 18),
        ("12 x 12 x 20 in", FIRST_OF_139, 21),
    ],
)
def test_a_postal_parcel_over_the_threshold_by_day(sides: str, on: dt.date, charged: int) -> None:
    assert measured(POST, sides, "2 lb", on=on).billable_weight == charged


# How to Measure a Package, video, USPS (read as a copy of its words; undated): 1,152 in³ are under the threshold. The
# box of exactly 1,728 in³ is ours: the threshold must be passed.
@pytest.mark.parametrize("on", [LAST_OF_194, FIRST_OF_166, LAST_OF_166, FIRST_OF_139])
@pytest.mark.parametrize(("sides", "volume"), [("16 x 6 x 12 in", 1152), ("12 x 12 x 12 in", 1728)])
def test_a_postal_parcel_up_to_the_threshold_goes_by_the_scales(sides: str, volume: int, on: dt.date) -> None:
    found = measured(POST, sides, "2 lb", on=on)
    assert [found.volume, found.volumetric_weight, found.billable_weight] == [volume, 0, 2]


# The rules as above (the sides are ours): 12.3 × 12.3 × 12.3 is 12 × 12 × 12 on the last day of 166, and 13 × 13 × 13 =
# 2,197 in³ on the first day of 139: 15.8 lb.
def test_rounding_up_takes_a_parcel_over_the_threshold() -> None:
    sides = "12.3 x 12.3 x 12.3 in"
    assert measured(POST, sides, "2 lb", on=LAST_OF_166).billable_weight == 2
    assert measured(POST, sides, "2 lb", on=FIRST_OF_139).billable_weight == 16


# DMM Advisory, 30 October 2006, USPS (the rule read, the parcel ours): over 70 lb by volume it pays the price of 70 lb.
# 30 × 24 × 24 = 17,280 in³: 89.07 lb.
def test_no_more_than_seventy_pounds_is_billed() -> None:
    assert measured(POST, "30 x 24 x 24 in", "20 lb", on=LAST_OF_194).billable_weight == 70


# Rules as above (the boxes are ours): 1,728 in³ is 10.41 lb at 166 and 12.43 at 139; 1,872 in³ is 13.47 lb at 139.
@pytest.mark.parametrize(
    ("height", "on", "charged"),
    [
        (12, dt.date(2017, 1, 8), 11), (13, dt.date(2017, 1, 8), 14),
        (12, dt.date(2025, 8, 17), 11), (12, dt.date(2025, 8, 18), 13), (13, dt.date(2025, 8, 18), 14),
    ],
)  # fmt: skip
def test_a_divisor_that_was_split_at_a_volume_by_day(height: int, on: dt.date, charged: int) -> None:
    assert measured(SPLIT, f"12 x 12 x {height} in", on=on).billable_weight == charged


# Atlantic Packaging, 2025 (540 in³ and 4 lb read; 352 in³ and 3 lb derived). In January 2015 352 / 166 = 2.12 is 3 lb
# as well, so 11 × 10 × 9 = 990 in³ tells the divisors apart: 5.96 lb, and 7.12 lb (Decoding Dimensional Weight, Parcel
# Industry, 2025, read).
@pytest.mark.parametrize(
    ("sides", "on", "volume", "charged"),
    [
        ("11.1 x 8.1 x 4.1 in", dt.date(2025, 8, 17), 352, 3),
        ("11.1 x 8.1 x 4.1 in", dt.date(2025, 8, 18), 540, 4),
        ("11 x 10 x 9 in", dt.date(2015, 1, 4), 990, 6),
        ("11 x 10 x 9 in", dt.date(2015, 1, 5), 990, 8),
        ("11 x 10 x 9 in", dt.date(2025, 8, 17), 990, 8),
        ("11 x 10 x 9 in", dt.date(2025, 8, 18), 990, 8),
    ],
)
def test_a_divisor_for_every_volume_by_day(sides: str, on: dt.date, volume: int, charged: int) -> None:
    found = measured(EXPRESS, sides, on=on)
    assert [found.volume, found.billable_weight] == [volume, charged]


# --- parcels that are no boxes --------------------------------------------------------------------------------------

AS_MEASURED = inches(size_rounding="none", irregular_factor=Fraction("0.785"))


# How to Measure a Package, video, USPS (read as a copy of its words, undated; it says 0.795 but reckons with 0.785).
# The video shows sides that are not rounded yet: 630.5 and 150.7 in³.
@pytest.mark.parametrize(
    ("sides", "shape", "volume", "within"),
    [
        ("25.5 x 6 x 5.25 in", "irregular", "630.5", "0.1"),
        ("12 x 4 x 4 in", "tube", "150.7", "0.05"),
        ("12 x 4 x 4 in", "box", "192", "0"),
    ],
)
def test_what_is_no_box_counts_for_less_volume(sides: str, shape: Shape, volume: str, within: str) -> None:
    assert close(measured(AS_MEASURED, sides, shape=shape).volume, volume, within)


# DMM Advisory, 30 October 2006, USPS (the rule read, the parcel ours): 13 × 13 × 13 = 2,197 in³ is over the threshold
# as a box; times 0.785 it is 1,724.6 and under.
def test_the_factor_comes_before_the_threshold() -> None:
    assert measured(POST, "13 x 13 x 13 in", "2 lb", on=LAST_OF_194).billable_weight == 12
    assert measured(POST, "13 x 13 x 13 in", "2 lb", on=LAST_OF_194, shape="irregular").billable_weight == 2
