"""Arithmetic on many prices at once equals the ledger's arithmetic on each of them."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from netprice.answer.many import MANY, Many
from netprice.ledger.arithmetic import EXACT
from netprice.money import ROUNDINGS, Rounding

# From amounts of a few cents to ones whose products leave 64 bits far behind.
TOPS = st.integers(0, 1000) | st.integers(0, 10**9) | st.integers(0, 10**18)
BOTTOMS = st.sampled_from([1, 2, 3, 7, 8, 100, 999, 10**6, 10**9 + 7])
FACTORS = (
    st.fractions(-5, 5, max_denominator=1000) | st.integers(-300, 300) | st.sampled_from([Fraction(10**12, 7), 10**15])
)


class Pair:
    """A `Many` and the same numbers as a list of fractions."""

    def __init__(self, many: Any, each: list[Fraction]) -> None:
        self.many = many
        self.each = each

    def same(self) -> bool:
        return [self.many.at(place) for place in range(len(self.each))] == self.each


@st.composite
def pairs(draw: st.DrawFn, *, signed: bool = False, plus: bool = True) -> Pair:
    tops = draw(st.lists(TOPS, min_size=3, max_size=3))
    if signed:
        tops = [top * draw(st.sampled_from([1, -1])) for top in tops]
    bottom = draw(BOTTOMS)
    constant = draw(st.fractions(0, 10**6, max_denominator=1000)) if plus and draw(st.booleans()) else Fraction(0)
    if signed:
        constant *= draw(st.sampled_from([1, -1]))
    many = Many(np.array(tops, dtype=np.int64), bottom, max(map(abs, tops)), constant)
    return Pair(many, [Fraction(top, bottom) + constant for top in tops])


@given(pairs(signed=True))
def test_a_many_holds_its_numbers(one: Pair) -> None:
    assert one.same()
    assert Pair(one.many.settled(), one.each).same()
    assert one.many.floats().tolist() == pytest.approx([float(each) for each in one.each], rel=1e-12, abs=1e-6)


@given(pairs(signed=True), pairs(signed=True))
def test_sums_and_differences_are_those_of_each(one: Pair, other: Pair) -> None:
    both = list(zip(one.each, other.each, strict=True))
    assert Pair(one.many + other.many, [left + right for left, right in both]).same()
    assert Pair(one.many - other.many, [left - right for left, right in both]).same()
    assert Pair(-one.many, [-each for each in one.each]).same()


@given(pairs(signed=True), FACTORS)
def test_sums_and_products_with_a_number_are_those_of_each(one: Pair, number: Fraction | int) -> None:
    assert Pair(one.many + number, [each + number for each in one.each]).same()
    assert Pair(number + one.many, [each + number for each in one.each]).same()
    assert Pair(number - one.many, [number - each for each in one.each]).same()
    assert Pair(one.many - number, [each - number for each in one.each]).same()
    assert Pair(one.many * number, [each * number for each in one.each]).same()
    assert Pair(number * one.many, [each * number for each in one.each]).same()
    if number:
        assert Pair(one.many / number, [each / number for each in one.each]).same()


@given(pairs(), st.lists(FACTORS, min_size=2, max_size=6))
def test_long_products_grow_into_big_whole_numbers(one: Pair, factors: list[Fraction | int]) -> None:
    many, each = one.many, one.each
    for factor in factors:
        many, each = (
            many * factor + one.many,
            [left * factor + right for left, right in zip(each, one.each, strict=True)],
        )
        assert Pair(many, each).same()
    assert [many.at(place) for place in range(3)] == each


@given(pairs(), st.sampled_from(ROUNDINGS))
def test_rounding_is_that_of_the_ledger_by_every_rule(one: Pair, rule: Rounding) -> None:
    want = [Fraction(EXACT.rounded(each, rule)) for each in one.each]
    assert Pair(MANY.rounded(one.many, rule), want).same()


@pytest.mark.parametrize(
    ("rule", "want"),
    [
        ("half-up", [0, 1, 1, 1, 2, 2, 3]),
        ("half-even", [0, 0, 1, 1, 2, 2, 2]),
        ("half-down", [0, 0, 1, 1, 1, 2, 2]),
        ("up", [1, 1, 1, 1, 2, 2, 3]),
        ("down", [0, 0, 0, 1, 1, 2, 2]),
    ],
)
def test_quarters_are_rounded_by_every_rule(rule: Rounding, want: list[int]) -> None:
    quarters = Many(np.array([1, 2, 3, 4, 6, 8, 10]), 4, 10)  # 0.25 0.5 0.75 1 1.5 2 2.5
    assert [int(each) for each in MANY.rounded(quarters, rule).top] == want


@given(pairs(signed=True), pairs(signed=True))
def test_choosing_and_comparing_is_done_for_each(one: Pair, other: Pair) -> None:
    both = list(zip(one.each, other.each, strict=True))
    over = MANY.is_over(one.many, other.many)
    assert over.tolist() == [left > right for left, right in both]
    assert Pair(MANY.least(one.many, other.many), [min(pair) for pair in both]).same()
    assert Pair(MANY.most(one.many, other.many), [max(pair) for pair in both]).same()
    picked = [left if left > right else -right for left, right in both]
    assert Pair(MANY.choose(over, one.many, -other.many), picked).same()


@given(pairs(signed=True), st.fractions(-(10**6), 10**6, max_denominator=50))
def test_a_number_may_stand_on_either_side(one: Pair, number: Fraction) -> None:
    assert MANY.is_over(one.many, number).tolist() == [each > number for each in one.each]
    assert MANY.is_over(number, one.many).tolist() == [number > each for each in one.each]
    assert Pair(MANY.most(one.many, number), [max(each, number) for each in one.each]).same()
    assert Pair(MANY.least(number, one.many), [min(each, number) for each in one.each]).same()


@given(pairs(signed=True))
def test_signs_are_told_exactly(one: Pair) -> None:
    assert (one.many > 0).tolist() == [each > 0 for each in one.each]
    assert (one.many >= 0).tolist() == [each >= 0 for each in one.each]


@given(pairs(signed=True), st.fractions(Fraction(1, 100), 1000, max_denominator=100))
def test_started_steps_are_those_of_the_ledger(one: Pair, step: Fraction) -> None:
    want = [Fraction(EXACT.started_steps(each, step)) for each in one.each]
    assert Pair(MANY.started_steps(one.many, step), want).same()


@given(st.fractions(-100, 100), st.fractions(-100, 100), st.sampled_from(ROUNDINGS))
def test_without_a_price_it_is_the_ledgers_own_arithmetic(one: Fraction, other: Fraction, rule: Rounding) -> None:
    assert MANY.rounded(one, rule) == EXACT.rounded(one, rule)
    assert MANY.least(one, other) == min(one, other)
    assert MANY.most(one, other) == max(one, other)
    assert MANY.started_steps(one, 7) == EXACT.started_steps(one, 7)


# Averages over shares such as 33.3333333333 % and rates such as 1.23456789 % have denominators of 20 and more digits.
SMALL = Many(np.array([1000, 1001]), 10**21, 1001)


@pytest.mark.parametrize(
    "of",
    [
        lambda: MANY.most(SMALL, 0),
        lambda: MANY.started_steps(SMALL, 1),
        lambda: SMALL + Many(np.zeros(2, dtype=np.int64), 1, 0),
    ],
)
def test_denominators_beyond_64_bits_are_no_trouble(of: Callable[[], Many]) -> None:
    assert of().at(0) in (Fraction(1000, 10**21), 1)
