"""Surcharges, their groups, and fuel, worked out by hand. Labels in cents; cards in cm and kg; a rate of 10.00."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.rate_card import RateCard, Surcharge
from netprice.ledger.surcharge import fuel_percent
from tests.build import frac
from tests.build_book import card
from tests.ledger.test_freight import label

BREAKS = {"near": ((5, 10), (50, 30)), "far": ((50, 10),)}


def extra(name: str, amount: str | None = "1", **more: Any) -> Surcharge:
    numbers = ("over", "at_least", "percent", "minimum_billable")
    exact: dict[str, Any] = {key: frac(more.pop(key)) for key in numbers if key in more}
    return Surcharge(
        name=name, when=more.pop("when", "always"), amount=None if amount is None else frac(amount), **exact, **more
    )


def rates(*surcharges: Surcharge, **more: Any) -> RateCard:
    return card(BREAKS, surcharges=surcharges, **more)


def names(found: RateCard, sides: str = "30 x 20 x 10 cm", weight: str = "1 kg", **more: Any) -> list[str]:
    return [name for name, _ in label(found, weight, sides, **more).surcharges]


# --- conditions -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "over", "at_least"), [("47.9", False, False), ("48", False, True), ("48.1", True, True)]
)
def test_over_is_strict_and_at_least_is_not(length: str, over: bool, at_least: bool) -> None:
    found = rates(extra("over", when="length", over=48), extra("at least", when="length", at_least=48))
    want = [name for name, holds in (("over", over), ("at least", at_least)) if holds]
    assert names(found, f"{length} x 20 x 10 cm") == want


def test_at_least_nothing_always_holds_and_over_nothing_almost_always() -> None:
    found = rates(extra("any", when="volume", at_least=0), extra("some", when="volume", over=0))
    assert names(found) == ["any", "some"]


def test_a_surcharge_for_some_zones_holds_in_those() -> None:
    found = rates(extra("island", zones=("far", "farther")), extra("everywhere"))
    assert names(found) == ["everywhere"]
    assert names(found, zone="far") == ["island", "everywhere"]


def test_zone_and_condition_must_both_hold() -> None:
    found = rates(extra("long way", when="length", over=48, zones=("far",)))
    assert [names(found, f"{length} x 20 x 10 cm", zone=zone) for length in (48, 49) for zone in ("near", "far")] == [
        [], [], [], ["long way"],
    ]  # fmt: skip


# --- groups ---------------------------------------------------------------------------------------------------------


def test_of_a_group_the_dearest_applies_unless_the_card_says_otherwise() -> None:
    three = (extra("one", "1", group="size"), extra("two", "2", group="size"), extra("half", "0.50", group="size"))
    assert names(rates(*three)) == ["two"]
    assert names(rates(*three, groups={"size": "dearest"})) == ["two"]
    assert names(rates(*three, groups={"size": "first"})) == ["one"]


@pytest.mark.parametrize("way", ["dearest", "first"])
def test_of_equal_ones_in_a_group_the_first_applies(way: Any) -> None:
    two = (extra("one", "2", group="size"), extra("two", "2", group="size"))
    assert names(rates(*two, groups={"size": way})) == ["one"]
    assert names(rates(*reversed(two), groups={"size": way})) == ["two"]


# 20.04 % of 10.00 is 2.004 and comes to 2.00, as dear as the fixed amount that stands before it.
@pytest.mark.parametrize(("percent", "taken"), [("20.04 %", "fixed"), ("20.05 %", "share"), ("19.9 %", "fixed")])
def test_the_dearest_is_found_by_what_is_charged(percent: str, taken: str) -> None:
    two = (extra("fixed", "2", group="size"), extra("share", None, percent=percent, group="size"))
    assert names(rates(*two)) == [taken]


def test_what_does_not_hold_leaves_its_group_to_the_others() -> None:
    three = (
        extra("long", "5", when="length", over=48, group="size"),
        extra("island", "4", zones=("far",), group="size"),
        extra("heavy", "1", when="actual_weight", over=3, group="size"),
    )
    for way in ("dearest", "first"):
        found = rates(*three, groups={"size": way})
        assert names(found) == []
        assert names(found, weight="3.1 kg") == ["heavy"]
        assert names(found, weight="3.1 kg", zone="far") == ["island"]
        assert names(found, "49 x 20 x 10 cm", "3.1 kg", zone="far") == ["long"]


def test_groups_are_apart_from_each_other_and_from_what_is_in_none() -> None:
    found = rates(
        extra("a1", group="a"), extra("alone"), extra("b1", group="b"), extra("a2", "2", group="a"),
        extra("b2", "2", group="b"), extra("alone too"), groups={"b": "first"},
    )  # fmt: skip
    assert names(found) == ["alone", "b1", "a2", "alone too"]


def test_only_what_applies_of_a_group_is_fuelled() -> None:
    two = (extra("one", "1", group="size", fuelled=True), extra("two", "2", group="size", fuelled=True))
    assert label(rates(*two, fuel=Fraction(1, 10), fuel_on_rate=False)).fuel == 20


# --- least billable weight ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "weight", "billed", "rate"),
    [(48, "1 kg", 1, 1000), (49, "1 kg", 8, 3000), (49, "7.5 kg", 8, 3000), (49, "9 kg", 9, 3000)],
)
def test_a_surcharge_may_set_the_least_weight_that_is_billed(length: int, weight: str, billed: int, rate: int) -> None:
    found = label(rates(extra("long", when="length", over=48, minimum_billable=8)), weight, f"{length} x 20 x 10 cm")
    assert found.measured is not None
    assert (found.measured.billable_weight, found.rate) == (Fraction(billed), rate)


def test_of_several_least_weights_the_greatest_is_billed() -> None:
    found = label(
        rates(extra("a", minimum_billable=8), extra("b", minimum_billable=12), extra("c", minimum_billable=3))
    )
    assert found.measured is not None
    assert found.measured.billable_weight == 12


# The actual weight stays what it is: only the billed one of 8 kg is over 5 kg.
def test_a_least_weight_makes_another_surcharge_hold() -> None:
    heavy = extra("heavy", when="billable_weight", over=5)
    on_the_scales = extra("on the scales", when="actual_weight", over=5)
    long = extra("long", when="length", over=48, minimum_billable=8)
    for order in ((heavy, on_the_scales, long), (long, on_the_scales, heavy)):
        assert set(names(rates(*order), "49 x 20 x 10 cm")) == {"heavy", "long"}
        assert names(rates(*order), "48 x 20 x 10 cm") == []


# 1 kg is billed as 8 kg because it is long; over 5 kg it is heavy, and what is heavy is billed as 12 kg.
def test_a_surcharge_that_holds_by_a_least_weight_sets_its_own() -> None:
    long = extra("long", when="length", over=48, minimum_billable=8)
    heavy = extra("heavy", when="billable_weight", over=5, minimum_billable=12)
    found = label(rates(long, heavy), sides="49 x 20 x 10 cm")
    assert [name for name, _ in found.surcharges] == ["long", "heavy"]
    assert found.measured is not None
    assert found.measured.billable_weight == 12


def test_in_a_group_of_the_first_only_the_first_sets_a_least_weight() -> None:
    two = (extra("large", group="size"), extra("long", group="size", minimum_billable=8))
    assert label(rates(*two, groups={"size": "first"})).rate == 1000
    assert label(rates(*reversed(two), groups={"size": "first"})).rate == 3000


def test_in_a_group_of_the_dearest_only_the_dearest_sets_a_least_weight() -> None:
    found = label(rates(extra("large", "9", group="size"), extra("long", "1", group="size", minimum_billable=8)))
    assert found.surcharges == (("large", 900),)
    assert found.rate == 1000


# --- fuel -----------------------------------------------------------------------------------------------------------


# 10 % of: the rate of 10.00; of it and 1.30; of 1.30 alone; of nothing.
@pytest.mark.parametrize(
    ("on_rate", "fuelled", "charge"), [(True, False, 100), (True, True, 113), (False, True, 13), (False, False, 0)]
)
def test_fuel_is_on_the_parts_that_the_card_says(on_rate: bool, fuelled: bool, charge: int) -> None:
    two = (extra("handling", "1.30", fuelled=fuelled), extra("toll", "7"))
    assert label(rates(*two, fuel=Fraction(1, 10), fuel_on_rate=on_rate)).fuel == charge


# A percent is of the base rate alone: 10 % of 10.00 is 1.00 whether or not there is fuel or another surcharge.
def test_percents_do_not_pile_up() -> None:
    two = (extra("one", None, percent="10 %", fuelled=True), extra("two", None, percent="20 %", fuelled=True))
    found = label(rates(*two, fuel=Fraction(1, 2)))
    assert found.surcharges == (("one", 100), ("two", 200))
    assert (found.fuel, found.bare) == (650, Fraction(1950))


TABLE = ((Fraction(3), Fraction(0)), (Fraction("3.5"), Fraction("0.05")), (Fraction(4), Fraction("0.085")))


@pytest.mark.parametrize(
    ("index", "percent"),
    [("0", "0"), ("2.999", "0"), ("3", "0"), ("3.001", "0.05"), ("3.5", "0.05"), ("3.501", "0.085"), ("4", "0.085")],
)
def test_the_row_of_a_fuel_table_holds_up_to_and_with_its_index(index: str, percent: str) -> None:
    assert fuel_percent(card(fuel_table=TABLE, fuel_index=frac(index))) == Fraction(percent)


def test_fuel_without_a_table_is_the_cards_percent_and_without_that_nothing() -> None:
    assert fuel_percent(card(fuel=Fraction("0.07"))) == Fraction("0.07")
    assert fuel_percent(card()) == 0
    assert label(rates()).fuel == 0
