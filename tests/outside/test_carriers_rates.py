"""What decides the price of a label: volume tiers, weight breaks, minimum charges, insured values and fuel."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.rate_card import Insurance
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.freight import Quote, premium, quote, weigh
from netprice.ledger.parcel import Parcel, measure
from netprice.ledger.rates import priced_amount
from netprice.ledger.surcharge import fuel_percent
from tests.build_book import card
from tests.ledger.test_parcel import parcel

CUBIC_INCHES_IN_A_FOOT = Fraction(1728)


def label(packed: Parcel, rates: dict[str, tuple[tuple[Any, Any], ...]], **rules: Any) -> Quote:
    """Return what a card with these rates charges for the parcel."""
    weighed = weigh(card(rates, **rules), packed, card_digits=2)
    found = quote(weighed, "near", residential=False, worth=Fraction(1))
    assert isinstance(found, Quote), found
    return found


# Sides down to a quarter inch, cubic feet, next tier up: DMM Advisory, 3 December 2010, USPS (read). The parcel and its
# 0.125 cubic feet: Domestic Mail Manual, USPS (read as quoted). The tiers are real ones (a tenth of a cubic foot each),
# what they cost is ours.
CUBIC: dict[str, Any] = {
    "length_unit": "in",
    "weight_unit": "lb",
    "size_rounding": "down",
    "size_step": Fraction(1, 4),
    "priced_by": "volume",
    "volume_unit": CUBIC_INCHES_IN_A_FOOT,
}
TIERS: dict[str, tuple[tuple[Any, Any], ...]] = {"near": (("0.1", 1), ("0.2", 2), ("0.3", 3), ("0.4", 4), ("0.5", 5))}


def test_a_parcel_that_is_priced_by_its_cubic_feet() -> None:
    packed = parcel("6.125 x 5.875 x 6.375 in")
    found = measure(packed, card(**CUBIC))
    assert [found.length, found.width, found.height] == [Fraction("6.25"), 6, Fraction("5.75")]
    assert found.volume == Fraction("215.625")
    assert round(priced_amount(card(**CUBIC), found), 3) == Fraction("0.125")
    assert label(packed, TIERS, **CUBIC).rate == 200


# The same tiers (the parcels are ours): 12 × 12 × 3.6 in is 0.3 cubic feet, 12 × 12 × 3.74 is measured as 3.5 in.
@pytest.mark.parametrize(
    ("sides", "price"), [("12 x 12 x 2.4 in", 200), ("12 x 12 x 3.74 in", 300), ("12 x 12 x 3.75 in", 400)]
)
def test_the_weight_does_not_matter_where_volume_sets_the_price(sides: str, price: int) -> None:
    assert [label(parcel(sides, weight), TIERS, **CUBIC).rate for weight in ("2 oz", "20 lb")] == [price, price]


# Air freight rate breaks, a note on ssopdot.com (read; undated): 30 kg at 37.15 is 1,114.50, but the rate of 18.28 from
# 45 kg on makes 822.60 for 45 kg, and the lower of the two is charged.
AIR: dict[str, tuple[tuple[Any, Any], ...]] = {"near": ((45, "37.15"), (100, "18.28"))}


@pytest.mark.parametrize(("next_break_if_cheaper", "price"), [(False, 111_450), (True, 82_260)])
def test_the_next_weight_break_is_charged_where_it_is_cheaper(next_break_if_cheaper: bool, price: int) -> None:
    rules: dict[str, Any] = {"rate_per": "weight", "next_break_if_cheaper": next_break_if_cheaper}
    assert label(parcel("30 x 20 x 10 cm", "30 kg"), AIR, **rules).rate == price


# The same breaks (derived): 822.60 / 37.15 is 22.14 kg. 22 kg at 37.15 is 817.30, and 23 kg would be 854.45.
@pytest.mark.parametrize(("weight", "price"), [("22 kg", 81_730), ("23 kg", 82_260), ("45 kg", 82_260)])
def test_from_which_weight_on_the_next_break_is_cheaper(weight: str, price: int) -> None:
    rules: dict[str, Any] = {"rate_per": "weight", "next_break_if_cheaper": True}
    assert label(parcel("30 x 20 x 10 cm", weight), AIR, **rules).rate == price


# Air freight minimum charge, a note on nimasabri.com (read; undated): minimum 76.69 at a rate of 4.01 a kilogram.
# 19 kg would be 76.19, 20 kg are 80.20; at 19.12 kg the rate reaches the minimum: 76.67 there, 76.71 at 19.13 kg.
@pytest.mark.parametrize(
    ("weight", "price"), [("0.1 kg", 7669), ("19 kg", 7669), ("19.12 kg", 7669), ("19.13 kg", 7671), ("20 kg", 8020)]
)
def test_a_minimum_charge_holds_until_the_rate_reaches_it(weight: str, price: int) -> None:
    rules: dict[str, Any] = {
        "rate_per": "weight", "minimum_charge": Fraction("76.69"), "weight_step": Fraction(1, 100),
    }  # fmt: skip
    assert label(parcel("30 x 20 x 10 cm", weight), {"near": ((45, "4.01"),)}, **rules).rate == price


# Insurance fees, Notice 59, USPS, January 1991, as printed in an almanac of 1993 (read as a copy; the edges derived):
# 50.00 cost 0.75, 50.01 and 100.00 cost 1.60, 100.01 cost 2.40, 600.00 cost 6.20. Only these values are in the list
# here; what a value past them costs is made up.
LIST = (("50", "0.75"), ("100", "1.60"), ("100.01", "2.40"), ("600", "6.20"))
FEES = tuple((Fraction(up_to), Fraction(fee)) for up_to, fee in LIST)


@pytest.mark.parametrize(
    ("declared", "fee"),
    [("50.00", 75), ("50.01", 160), ("100.00", 160), ("100.01", 240), ("600.00", 620), ("600.01", 710), ("700", 710)],
)
def test_a_list_of_insured_values_includes_its_upper_edges(declared: str, fee: int) -> None:
    listed = Insurance(values=FEES, step=Fraction(100), price_per_step=Fraction("0.90"))
    cover = label(parcel("30 x 20 x 10 cm"), {"near": ((5, 6),)}, insurance=listed).cover
    assert premium(cover, Fraction(declared) * 100, EXACT) == fee


# Fuel surcharge table of a trucking firm, oltg.com (edges read as printed; undated): half a point more for each 0.05 of
# the index. 15.00 on a freight of 100.00 is derived.
ROWS = (("2.4", "0.145"), ("2.45", "0.15"), ("2.5", "0.155"))
FUEL = tuple((Fraction(up_to), Fraction(percent)) for up_to, percent in ROWS)


@pytest.mark.parametrize(
    ("index", "percent"), [("2.400", "0.145"), ("2.401", "0.150"), ("2.450", "0.150"), ("2.451", "0.155")]
)
def test_the_fuel_percent_is_that_of_the_index(index: str, percent: str) -> None:
    assert fuel_percent(card(fuel_table=FUEL, fuel_index=Fraction(index))) == Fraction(percent)


def test_fuel_is_a_percent_of_the_freight() -> None:
    found = label(parcel("30 x 20 x 10 cm"), {"near": ((5, 100),)}, fuel_table=FUEL, fuel_index=Fraction("2.43"))
    assert [found.rate, found.fuel, found.bare] == [10_000, 1500, 11_500]
