"""Divisors, weight steps, base rates and limits, worked out by hand. Rates in whole units; cards in cm and kg."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.rate_card import Divisor, Limits, RateCard, WeightStep
from netprice.ledger.parcel import billable, measure
from netprice.ledger.rates import Over, base_rate, over_a_limit
from netprice.quantity import read_quantity
from tests.build import Amount, frac, maybe
from tests.build_book import card
from tests.ledger.test_freight import label, refused
from tests.ledger.test_parcel import measured, parcel


def divisors(*tiers: tuple[Amount | None, Amount]) -> tuple[Divisor, ...]:
    return tuple(Divisor(up_to=maybe(up_to), divisor=frac(divisor)) for up_to, divisor in tiers)


def steps(*tiers: tuple[Amount | None, Amount]) -> tuple[WeightStep, ...]:
    return tuple(WeightStep(up_to=maybe(up_to), step=frac(step)) for up_to, step in tiers)


# --- weights --------------------------------------------------------------------------------------------------------

SPLIT = divisors((6000, 5000), (8000, 4500), (None, 4000))


# 6,000 cm³ at 5000 is 1.2 kg; over it 4500 holds, at 8,000 1.777...; over that 4000 holds.
@pytest.mark.parametrize(
    ("height", "volumetric"),
    [("9", "27/25"), ("10", "6/5"), ("10.5", "7/5"), ("13", "26/15"), ("40/3", "16/9"), ("14", "21/10")],
)
def test_each_divisor_holds_up_to_and_with_its_volume(height: str, volumetric: str) -> None:
    packed = parcel("30 x 20 x 1 cm")._replace(sides_mm=(Fraction(300), Fraction(200), Fraction(height) * 10))
    assert measure(packed, card(volumetric_divisors=SPLIT)).volumetric_weight == Fraction(volumetric)


def test_a_threshold_and_several_divisors_hold_together() -> None:
    rules: dict[str, Any] = {
        "volumetric_divisors": divisors((8000, 5000), (None, 4000)),
        "volumetric_above": frac(6000),
    }
    heights = ("10", "12", "14")  # 6,000 cm³ is at the threshold
    found = [measured(f"30 x 20 x {height} cm", **rules).volumetric_weight for height in heights]
    assert found == [0, Fraction("1.44"), Fraction("2.1")]


# 20 × 20 × 20 is 8,000 cm³; times 0.75 it is 6,000, which the threshold of 6,000 and the first divisor still hold.
@pytest.mark.parametrize(("shape", "volume", "volumetric"), [("box", 8000, "2"), ("tube", 6000, "0")])
def test_the_factor_comes_before_the_threshold(shape: Any, volume: int, volumetric: str) -> None:
    rates = card(irregular_factor=Fraction(3, 4), volumetric_divisor=Fraction(4000), volumetric_above=Fraction(6000))
    found = measure(parcel("20 x 20 x 20 cm")._replace(shape=shape), rates)
    assert (found.volume, found.volumetric_weight) == (Fraction(volume), Fraction(volumetric))


def test_the_factor_comes_before_the_choice_of_a_divisor() -> None:
    rates = card(irregular_factor=Fraction(3, 4), volumetric_divisors=SPLIT)
    found = measure(parcel("20 x 20 x 20 cm")._replace(shape="irregular"), rates)
    assert found.volumetric_weight == Fraction(6000, 5000)


def test_a_girth_of_its_own_is_rounded_like_a_side() -> None:
    packed = parcel("20 x 6 x 6 in")._replace(girth_mm=read_quantity("18.4 in", "length"))
    rules: dict[str, Any] = {"length_unit": "in", "weight_unit": "lb"}
    assert measure(packed, card(**rules)).girth == Fraction("18.4")
    assert measure(packed, card(size_rounding="up", **rules)).girth == 19
    assert measure(packed, card(size_rounding="up", size_step=Fraction(1, 4), **rules)).girth == Fraction("18.5")


# In pounds: by the ounce up to a pound, then by the pound.
@pytest.mark.parametrize(
    ("weight", "billed"),
    [("0.1 oz", "1/16"), ("1 oz", "1/16"), ("8.5 oz", "9/16"), ("15.2 oz", "1"), ("16 oz", "1"), ("16.1 oz", "2"),
     ("2 lb", "2"), ("2.01 lb", "3")],
)  # fmt: skip
def test_weights_go_up_by_the_ounce_to_a_pound_and_then_by_the_pound(weight: str, billed: str) -> None:
    rates = card(weight_unit="lb", weight_step=None, weight_steps=steps((1, "1/16"), (None, 1)))
    assert measure(parcel("10 x 10 x 10 cm", weight), rates).billable_weight == Fraction(billed)


def test_no_more_than_the_heaviest_weight_is_billed() -> None:
    rates = card(volumetric_divisor=Fraction(1000), heaviest_billable=Fraction("4.5"))
    assert [billable(rates, Fraction(weight)) for weight in ("4.2", "4.5", "5", "90")] == [Fraction("4.5")] * 4
    assert billable(rates, Fraction(4)) == 4
    assert measure(parcel("30 x 20 x 20 cm"), rates).volumetric_weight == 12


# --- rates ----------------------------------------------------------------------------------------------------------


def rate(amount: Amount, *breaks: tuple[Amount, Amount], **rules: Any) -> Fraction | None:
    return base_rate(card({"near": breaks}, **rules), "near", frac(amount))


# 3.50 a kilogram up to 10 kg, 2.80 up to 20: 10 kg cost 35.00 and 10.5 kg 29.40.
@pytest.mark.parametrize(("weight", "price"), [("0.5", "1.75"), ("10", "35"), ("10.5", "29.40"), ("20", "56")])
def test_a_rate_by_weight_is_times_the_weight(weight: str, price: str) -> None:
    assert rate(weight, (10, "3.50"), (20, "2.80"), rate_per="weight") == Fraction(price)


# The next break begins at 10 kg, for 28.00: 8 kg at 3.50 are 28.00 as well.
@pytest.mark.parametrize(
    ("weight", "price"), [("7", "24.50"), ("8", "28"), ("8.5", "28"), ("10", "28"), ("11", "30.80")]
)
def test_the_next_break_is_charged_from_its_beginning_where_that_is_cheaper(weight: Amount, price: str) -> None:
    breaks: tuple[tuple[Amount, Amount], ...] = ((10, "3.50"), (20, "2.80"))
    assert rate(weight, *breaks, rate_per="weight", next_break_if_cheaper=True) == Fraction(price)


# 4 kg by itself 16.00, as 5 kg 12.50, as 10 kg 12.00: not only the next break is looked at.
def test_a_break_after_the_next_may_be_the_cheapest() -> None:
    breaks: tuple[tuple[Amount, Amount], ...] = ((5, 4), (10, "2.50"), (20, "1.20"))
    assert rate(4, *breaks, rate_per="weight", next_break_if_cheaper=True) == 12
    assert rate(20, *breaks, rate_per="weight", next_break_if_cheaper=True) == 24


def test_the_next_break_of_prices_per_parcel() -> None:
    assert rate(3, (5, 9), (10, 7), next_break_if_cheaper=True) == 7
    assert rate(3, (5, 9), (10, 7)) == 9


@pytest.mark.parametrize(("weight", "price"), [(1, "6.50"), (2, "6.50"), (3, "9")])
def test_a_minimum_charge_is_the_least_of_any_rate(weight: int, price: str) -> None:
    rules: dict[str, Any] = {"rate_per": "weight", "minimum_charge": Fraction("6.50")}
    assert rate(weight, (10, 3), **rules) == Fraction(price)
    assert rate(weight, (1, "1.20"), (2, "6.50"), (10, 9), minimum_charge=Fraction("6.50")) == Fraction(price)


# The minimum of 10.00 holds for 5 kg, at 6.00. 6 kg at 6.00 + 1.50 must not be cheaper than that.
def test_a_minimum_charge_holds_past_the_last_break() -> None:
    rules: dict[str, Any] = {"minimum_charge": Fraction(10), "further_step_price": Fraction("1.50")}
    assert rate(5, (5, 6), **rules) == 10
    assert rate(6, (5, 6), **rules) == 10


# 5 kg at 4.00 a kilogram are 20.00, and each further kilogram 2.00.
def test_past_the_last_break_a_rate_by_weight_goes_on_from_what_the_break_costs() -> None:
    assert rate(5, (5, 4), rate_per="weight", further_step_price=Fraction(2)) == 20
    assert rate(6, (5, 4), rate_per="weight", further_step_price=Fraction(2)) == 22


# --- priced by volume -----------------------------------------------------------------------------------------------

LITRES: dict[str, Any] = {"priced_by": "volume", "volume_unit": Fraction(1000)}


# 30 × 20 × 10 cm is 6 litres, whatever it weighs; past 12 litres each started 5 litres are 2.00.
@pytest.mark.parametrize(
    ("sides", "price"),
    [("30 x 20 x 10 cm", 450), ("30 x 20 x 10.1 cm", 700), ("30 x 20 x 20 cm", 700), ("30 x 20 x 20.1 cm", 900),
     ("30 x 20 x 30 cm", 1100)],
)  # fmt: skip
def test_a_rate_by_volume(sides: str, price: int) -> None:
    rules = {**LITRES, "further_step": Fraction(5), "further_step_price": Fraction(2)}
    rates = card({"near": ((6, "4.50"), (12, 7))}, **rules)
    assert [label(rates, weight, sides).rate for weight in ("1 g", "40 kg")] == [price, price]


def test_too_much_volume_is_refused_as_volume() -> None:
    found = refused(card({"near": ((6, "4.50"),)}, **LITRES), sides="30 x 20 x 10.1 cm")
    assert (found.what, found.got, found.limit) == ("volume", Fraction("6.06"), Fraction(6))


# --- limits ---------------------------------------------------------------------------------------------------------


def over(rates: RateCard, sides: str, shape: Any = "box") -> Over | None:
    packed = parcel(sides)._replace(shape=shape)
    return over_a_limit(rates, packed, measure(packed, rates))


def cm(*sides: int) -> tuple[Fraction, Fraction, Fraction]:
    long, wide, high = sides
    return Fraction(long * 10), Fraction(wide * 10), Fraction(high * 10)


@pytest.mark.parametrize("sides", ["40 x 30 x 5 cm", "5 x 30 x 40 cm", "30 x 5 x 40 cm", "30 x 30 x 5 cm"])
def test_a_parcel_that_fits_turned_somehow_is_carried(sides: str) -> None:
    for room in (cm(40, 30, 5), cm(5, 40, 30)):
        assert over(card(limits=Limits(fits=room)), sides) is None


@pytest.mark.parametrize(
    ("sides", "what", "got", "limit"),
    [("41 x 30 x 5 cm", "longest side", 41, 40), ("31 x 31 x 5 cm", "second side", 31, 30),
     ("10 x 10 x 6 cm", "shortest side", 6, 5)],
)  # fmt: skip
def test_a_parcel_that_fits_in_no_way_is_refused_by_the_side_that_is_too_long(
    sides: str, what: str, got: int, limit: int
) -> None:
    assert over(card(limits=Limits(fits=cm(30, 5, 40))), sides) == Over(what, Fraction(got), Fraction(limit), "cm")


# Up to 2 mm over a limit are let pass; what is said is the limit itself.
@pytest.mark.parametrize(
    ("limits", "at", "past", "what", "limit"),
    [
        (Limits(length=Fraction(600), tolerance=Fraction(2)), "60.2 x 10 x 10 cm", "60.3 x 10 x 10 cm", "length", 60),
        (
            Limits(length_plus_girth=Fraction(1000), tolerance=Fraction(2)),
            "60.2 x 10 x 10 cm", "60.3 x 10 x 10 cm", "length + girth", 100,
        ),
        (
            Limits(sum_of_sides=Fraction(800), tolerance=Fraction(2)),
            "60.2 x 10 x 10 cm", "60.3 x 10 x 10 cm", "sum of sides", 80,
        ),
        pytest.param(
            Limits(fits=cm(60, 40, 10), tolerance=Fraction(2)),
            "60.2 x 10 x 10 cm", "60.3 x 10 x 10 cm", "longest side", 60
        ),
    ],
)  # fmt: skip
def test_a_tolerance_lets_a_little_over_a_limit_pass(limits: Limits, at: str, past: str, what: str, limit: int) -> None:
    assert over(card(limits=limits), at) is None
    found = over(card(limits=limits), past)
    assert found is not None
    assert (found.what, found.limit) == (what, Fraction(limit))


def test_a_tolerance_is_for_sizes_and_not_for_weight() -> None:
    rates = card(limits=Limits(weight=Fraction(1000), tolerance=Fraction(500)))
    assert refused(rates, "1.001 kg").what == "weight"


def test_a_tube_has_the_limits_of_any_parcel_unless_it_has_its_own() -> None:
    limits, for_tubes = Limits(length=Fraction(600)), Limits(length=Fraction(900), sum_of_sides=Fraction(1040))
    assert over(card(limits=limits), "80 x 12 x 12 cm", "tube") is not None
    assert over(card(limits=limits, tube_limits=for_tubes), "80 x 12 x 12 cm", "tube") is None
    assert over(card(limits=limits, tube_limits=for_tubes), "80 x 12 x 12 cm", "irregular") is not None
    found = over(card(limits=limits, tube_limits=for_tubes), "80 x 12.1 x 12.1 cm", "tube")
    assert found == Over("sum of sides", Fraction("104.2"), Fraction(104), "cm")
