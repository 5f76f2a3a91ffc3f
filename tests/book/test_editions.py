"""The card as it stands on a day: what an edition says takes the place of what the card says."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

import pytest

from netprice.book.editions import card_on
from netprice.book.rate_card import Divisor, Edition, Insurance, Limits, RateCard, Surcharge, WeightStep
from tests.build_book import card

FIRST = dt.date(2027, 2, 1)
SEVERAL = (Divisor(up_to=Fraction(1728), divisor=Fraction(166)), Divisor(divisor=Fraction(139)))
STEPS = (WeightStep(step=Fraction(2)),)
TABLE = ((Fraction(4), Fraction(1, 10)),)


def then(card_says: dict[str, Any], edition_says: dict[str, Any]) -> RateCard:
    return card_on(card(**card_says, editions=(Edition(from_=FIRST, **edition_says),)), FIRST)


@pytest.mark.parametrize(
    ("days", "on", "holds"),
    [
        ({"from_": FIRST}, dt.date(2027, 1, 31), False),
        ({"from_": FIRST}, dt.date(2027, 2, 1), True),
        ({"from_": FIRST}, dt.date(2099, 1, 1), True),
        ({"until": FIRST}, dt.date(2027, 2, 1), True),
        ({"until": FIRST}, dt.date(2027, 2, 2), False),
        ({"from_": FIRST, "until": FIRST}, dt.date(2027, 2, 1), True),
    ],
)
def test_an_edition_holds_from_its_first_day_to_its_last(days: dict[str, Any], on: dt.date, *, holds: bool) -> None:
    found = card_on(card(fuel=Fraction(1, 10), editions=(Edition(fuel=Fraction(1, 5), **days),)), on)

    assert found.fuel == (Fraction(1, 5) if holds else Fraction(1, 10))


def test_what_an_edition_does_not_say_stays() -> None:
    found = then({"volumetric_divisor": Fraction(5000), "volumetric_above": Fraction(9)}, {"weight_step": Fraction(2)})

    assert (found.volumetric_divisor, found.volumetric_above, found.weight_step) == (
        Fraction(5000),
        Fraction(9),
        Fraction(2),
    )
    assert found.rates == card().rates


def test_one_and_several_take_each_other_s_place() -> None:
    assert then({"volumetric_divisor": Fraction(5)}, {"volumetric_divisors": SEVERAL}).volumetric_divisor is None
    assert then({"volumetric_divisors": SEVERAL}, {"volumetric_divisor": Fraction(5)}).volumetric_divisors == ()
    assert then({"weight_step": Fraction(1)}, {"weight_steps": STEPS}).weight_step is None
    assert then({"weight_steps": STEPS}, {"weight_step": Fraction(1)}).weight_steps == ()


def test_a_fuel_percent_and_a_fuel_table_take_each_other_s_place() -> None:
    by_table = {"fuel_index": Fraction(3), "fuel_table": TABLE}

    percent = then(by_table, {"fuel": Fraction(1, 5)})
    assert (percent.fuel, percent.fuel_index, percent.fuel_table) == (Fraction(1, 5), None, ())
    table = then({"fuel": Fraction(1, 5)}, by_table)
    assert (table.fuel, table.fuel_index, table.fuel_table) == (None, Fraction(3), TABLE)
    index = then(by_table, {"fuel_index": Fraction(2)})
    assert (index.fuel, index.fuel_index, index.fuel_table) == (None, Fraction(2), TABLE)


def test_an_edition_may_take_all_surcharges_away() -> None:
    assert then({"surcharges": ("anything",)}, {"surcharges": ()}).surcharges == ()


# 1 % of the card itself, 2 % in March, 3 % from May on; the order in the file does not matter.
@pytest.mark.parametrize(
    ("on", "percent"),
    [
        (dt.date(2027, 2, 28), 1), (dt.date(2027, 3, 1), 2), (dt.date(2027, 3, 31), 2), (dt.date(2027, 4, 1), 1),
        (dt.date(2027, 4, 30), 1), (dt.date(2027, 5, 1), 3),
    ],
)  # fmt: skip
def test_of_several_editions_the_one_of_the_day_holds(on: dt.date, percent: int) -> None:
    march = Edition(from_=dt.date(2027, 3, 1), until=dt.date(2027, 3, 31), fuel=Fraction("0.02"))
    editions = (march, Edition(from_=dt.date(2027, 5, 1), fuel=Fraction("0.03")))
    for order in (editions, editions[::-1]):
        assert card_on(card(fuel=Fraction("0.01"), editions=order), on).fuel == Fraction(percent, 100)


def test_on_a_day_without_an_edition_the_card_is_as_it_is() -> None:
    rates = card(editions=(Edition(from_=FIRST, fuel=Fraction(1, 5)),))

    assert card_on(rates, dt.date(2027, 1, 31)) is rates


@pytest.mark.parametrize(
    ("key", "old", "new"),
    [
        ("source", "old list", "new list"),
        ("size_rounding", "nearest", "up"),
        ("size_step", Fraction(1), Fraction(1, 4)),
        ("volumetric_above", Fraction(1728), Fraction(0)),
        ("irregular_factor", Fraction(3, 4), Fraction(1)),
        ("heaviest_billable", Fraction(70), Fraction(90)),
        ("rates", {"near": ((Fraction(5), Fraction(6)),)}, {"far": ((Fraction(5), Fraction(7)),)}),
        ("minimum_charge", Fraction(5), Fraction(0)),
        ("further_step", Fraction(1), Fraction(2)),
        ("further_step_price", Fraction(1), Fraction(0)),
        ("limits", Limits(weight=Fraction(1000)), Limits()),
        ("tube_limits", Limits(length=Fraction(900)), Limits(length=Fraction(800))),
        ("surcharges", (Surcharge(name="toll", when="always", amount=Fraction(1)),), ()),
        (
            "insurance",
            Insurance(step=Fraction(50), price_per_step=Fraction(1)),
            Insurance(step=Fraction(100), price_per_step=Fraction(2)),
        ),
    ],
)
def test_every_key_of_an_edition_takes_the_place_of_the_card_s(key: str, old: object, new: object) -> None:
    says: list[dict[str, Any]] = [{key: old}, {key: new}]
    rates = RateCard(name="Van", length_unit="cm", weight_unit="kg", editions=(Edition(**says[1]),), **says[0])

    assert getattr(card_on(rates, FIRST), key) == new
