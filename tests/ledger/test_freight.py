"""What a label costs, worked out by hand: rates, limits, surcharges, fuel. Labels in cents; cards in cm and kg."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.rate_card import Limits, RateCard, Surcharge, When
from netprice.ledger.freight import Quote, Refusal, quote, weigh
from netprice.quantity import read_quantity
from tests.build_book import card
from tests.ledger.test_parcel import parcel

BREAKS = ((1, "6.20"), (2, "8.40"), (5, "12.00"))


def offered(rates: RateCard, weight: str = "1 kg", sides: str = "30 x 20 x 10 cm", **more: Any) -> Quote | Refusal:
    weighed = weigh(rates, parcel(sides, weight), card_digits=more.pop("card_digits", 2))
    more = {"residential": False, "worth": Fraction(1), **more}
    return quote(weighed, more.pop("zone", "near"), **more)


def label(rates: RateCard, weight: str = "1 kg", sides: str = "30 x 20 x 10 cm", **more: Any) -> Quote:
    found = offered(rates, weight, sides, **more)
    assert isinstance(found, Quote), found
    return found


def refused(rates: RateCard, weight: str = "1 kg", sides: str = "30 x 20 x 10 cm", **more: Any) -> Refusal:
    found = offered(rates, weight, sides, **more)
    assert isinstance(found, Refusal), found
    return found


def by_break(**more: Any) -> RateCard:
    return card({"near": BREAKS}, **more)


# Weights are rounded up to whole kilograms; at a break its own price holds.
@pytest.mark.parametrize(
    ("weight", "rate"),
    [("0.2 kg", 620), ("1 kg", 620), ("1.001 kg", 840), ("2 kg", 840), ("2.5 kg", 1200), ("5 kg", 1200)],
)
def test_the_rate_is_that_of_the_smallest_break_that_holds_the_weight(weight: str, rate: int) -> None:
    assert label(by_break(), weight).rate == rate


# Past 5 kg: 12.00 + 1.50 for each started step of 2 kg; 5.4 kg is billed as 6.
@pytest.mark.parametrize(
    ("weight", "rate"), [("5.4 kg", 1350), ("7 kg", 1350), ("7.001 kg", 1500), ("9 kg", 1500), ("10 kg", 1650)]
)
def test_past_the_last_break_each_started_step_costs_more(weight: str, rate: int) -> None:
    rates = by_break(further_step=Fraction(2), further_step_price=Fraction("1.50"))
    assert label(rates, weight).rate == rate


def test_a_further_step_is_the_weight_step_unless_it_is_said() -> None:
    assert label(by_break(further_step_price=Fraction(1)), "6.5 kg").rate == 1400


def test_past_the_last_break_without_further_steps_it_is_not_carried() -> None:
    found = refused(by_break(), "5.001 kg")
    assert found.what == "billable weight"
    assert str(found) == "Van does not carry it to near: billable weight 6 kg is over the limit of 5 kg"


def test_a_zone_that_the_card_has_not_is_not_carried() -> None:
    assert refused(by_break(), zone="far").limit is None
    assert refused(by_break(), zone="far").zone == "far"


LIMITS = Limits(
    weight=read_quantity("4 kg", "mass"),
    length=read_quantity("60 cm", "length"),
    length_plus_girth=read_quantity("120 cm", "length"),
)


@pytest.mark.parametrize(
    ("weight", "sides"), [("4 kg", "30 x 20 x 10 cm"), ("1 kg", "60 x 10 x 10 cm"), ("1 kg", "40 x 20 x 20 cm")]
)
def test_at_a_limit_it_is_carried(weight: str, sides: str) -> None:
    assert label(by_break(limits=LIMITS), weight, sides).rate > 0


@pytest.mark.parametrize(
    ("weight", "sides", "what", "got", "limit"),
    [
        ("4.001 kg", "30 x 20 x 10 cm", "weight", "4.001", 4),
        ("1 kg", "60.1 x 10 x 10 cm", "length", "60.1", 60),
        ("1 kg", "40.1 x 20 x 20 cm", "length + girth", "120.1", 120),
    ],
)
def test_over_a_limit_it_is_refused_by_name(weight: str, sides: str, what: str, got: str, limit: int) -> None:
    found = refused(by_break(limits=LIMITS), weight, sides)
    assert (found.service, found.what) == ("Van", what)
    assert found.got == Fraction(got)
    assert found.limit == limit


def test_limits_of_size_look_at_rounded_sides_and_limits_of_weight_at_the_actual_weight() -> None:
    assert refused(by_break(limits=LIMITS, size_rounding="up"), sides="40 x 20.1 x 19.1 cm").got == 40 + 2 * 41
    assert label(by_break(limits=LIMITS, size_rounding="down"), sides="60.9 x 10 x 10 cm").rate == 620
    volumetric = by_break(limits=LIMITS, volumetric_divisor=Fraction(2400))  # 5 kg by volume, 4 kg on the scales
    assert label(volumetric, "4 kg", "30 x 20 x 20 cm").rate == 1200


# 40 × 20 × 10 cm, girth 60, length + girth 100, volume 8,000; 1.5 kg, billed as 2.
@pytest.mark.parametrize(
    ("when", "value"),
    [
        ("length", "40"),
        ("second_side", "20"),
        ("girth", "60"),
        ("length_plus_girth", "100"),
        ("volume", "8000"),
        ("actual_weight", "1.5"),
        ("billable_weight", "2"),
    ],
)
def test_a_surcharge_applies_strictly_over_its_limit(when: When, value: str) -> None:
    a_bit = Fraction(1, 1000)
    for over, applies in ((Fraction(value) - a_bit, True), (Fraction(value), False), (Fraction(value) + a_bit, False)):
        rates = by_break(surcharges=(Surcharge(name="extra", when=when, over=over, amount=Fraction(3)),))
        found = label(rates, "1.5 kg", "40 x 20 x 10 cm").surcharges
        assert found == ((("extra", 300),) if applies else ())


def test_a_surcharge_for_homes_and_one_for_everybody() -> None:
    ways = (
        Surcharge(name="home", when="residential", amount=Fraction("4.30")),
        Surcharge(name="toll", when="always", percent=Fraction(5, 100)),
    )
    assert label(by_break(surcharges=ways)).surcharges == (("toll", 31),)
    assert label(by_break(surcharges=ways), residential=True).surcharges == (("home", 430), ("toll", 31))


# Rate 6.20. Toll 7.3 % of the rate: 0.4526 -> 0.45. Handling 3.005 -> 3.01, with fuel on it. Fuel 12.5 % of 6.20 +
# 3.01 is 1.15125 -> 1.15. In all 6.20 + 0.45 + 3.01 + 1.15 = 10.81.
def test_percents_are_on_the_base_rate_and_fuel_on_the_rate_and_what_is_fuelled() -> None:
    ways = (
        Surcharge(name="toll", when="always", percent=Fraction("0.073")),
        Surcharge(name="handling", when="always", amount=Fraction("3.005"), fuelled=True),
    )
    found = label(by_break(surcharges=ways, fuel=Fraction("0.125")))
    assert found.surcharges == (("toll", 45), ("handling", 301))
    assert found.fuel == 115
    assert found.bare == 1081


def test_every_part_of_a_label_is_rounded_by_the_cards_rule() -> None:
    toll = Surcharge(name="toll", when="always", percent=Fraction("0.001"))
    rates = card({"near": ((5, "6.201"),)}, rounding="up", surcharges=(toll,), fuel=Fraction("0.001"))
    found = label(rates)
    assert (found.rate, found.surcharges, found.fuel) == (621, (("toll", 1),), 1)


def test_a_label_is_charged_in_the_cards_currency_and_counted_in_the_channels() -> None:
    found = label(by_break(rounding="half-up"), card_digits=0, worth=Fraction(150))
    assert found.rate == 6
    assert found.bare == 900  # 6.20 in a currency without minor units, 1 of it worth 150 cents
