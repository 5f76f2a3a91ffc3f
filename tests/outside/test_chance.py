"""The chance of extra sales, against textbooks and scipy."""

from __future__ import annotations

from fractions import Fraction
from math import comb, factorial

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from netprice.answer.chance import Binomial, ExtraSales, Poisson, most_sales

conversions = st.fractions(min_value=0, max_value=1, max_denominator=1000)


def exactly(extra: ExtraSales, sales: int) -> float:
    """Return the chance of just so many sales."""
    return float(extra.at_least(sales) - extra.at_least(sales + 1))


# Contemporary Mathematics, section 7.10, OpenStax, 2023 (read): n = 5, p = 0.82, to seven places.
def test_binomial_chances_are_those_of_the_textbook() -> None:
    printed = [0.000189, 0.004304, 0.0392144, 0.1786432, 0.4069096, 0.3707398]
    five = Binomial(5, Fraction(82, 100))
    assert [exactly(five, sales) for sales in range(6)] == pytest.approx(printed, abs=5e-7)
    assert [exactly(five, sales) for sales in range(2, 6)] == pytest.approx(printed[2:], abs=5e-8)


# Introductory Business Statistics 2e, section 4.4, OpenStax, 2023 (read): 0.75 calls on average, more than one of
# them; 147 messages on average, just 160 and at most 160 of them. To four places.
def test_poisson_chances_are_those_of_the_textbook() -> None:
    assert float(Poisson(Fraction(3, 4)).at_least(2)) == pytest.approx(0.1733, abs=1e-4)
    many = Poisson(Fraction(147))
    assert exactly(many, 160) == pytest.approx(0.0180, abs=1e-4)
    assert float(1 - many.at_least(161)) == pytest.approx(0.8666, abs=1e-4)


@given(st.integers(0, 5_000), conversions, st.integers(-2, 300))
def test_binomial_tails_are_those_of_scipy(people: int, conversion: Fraction, sales: int) -> None:
    want = stats.binom.sf(sales - 1, people, float(conversion))
    assert float(Binomial(people, conversion).at_least(sales)) == pytest.approx(want, rel=1e-8, abs=1e-12)


@given(st.integers(5_001, 10**7), st.integers(0, 2_000), st.integers(-2, 2_500))
def test_tails_of_many_people_are_those_of_scipy(people: int, mean: int, sales: int) -> None:
    conversion = Fraction(min(mean, people), people)
    want = stats.binom.sf(sales - 1, people, float(conversion))
    assert float(Binomial(people, conversion).at_least(sales)) == pytest.approx(want, rel=1e-7, abs=1e-12)


@given(st.fractions(min_value=0, max_value=2_000, max_denominator=1000), st.integers(-2, 2_500))
def test_poisson_tails_are_those_of_scipy(expected: Fraction, sales: int) -> None:
    want = stats.poisson.sf(sales - 1, float(expected))
    assert float(Poisson(expected).at_least(sales)) == pytest.approx(want, rel=1e-8, abs=1e-12)


# Worked by hand: (1 − 1/3)³ = 8/27 for none of three, 3 · 1/3 · (2/3)² = 12/27 for one.
def test_binomial_chances_are_exact_fractions() -> None:
    three = Binomial(3, Fraction(1, 3))
    assert [three.at_least(sales) for sales in range(5)] == [1, Fraction(19, 27), Fraction(7, 27), Fraction(1, 27), 0]


# 1/e = 1/0! − 1/1! + 1/2! − …; after fifty terms the rest is below 1/50!, which is below 1e-64.
def test_poisson_chances_have_far_more_digits_than_a_float() -> None:
    none = sum(Fraction((-1) ** k, factorial(k)) for k in range(50))
    assert abs(1 - Poisson(Fraction(1)).at_least(1) - none) < Fraction(1, 10**50)


# The sum of the first 17 terms, each an exact fraction.
def test_many_people_are_summed_to_more_than_45_digits() -> None:
    people, conversion = 6_000, Fraction(3, 1000)
    fewer = sum(comb(people, k) * conversion**k * (1 - conversion) ** (people - k) for k in range(17))
    assert abs(Binomial(people, conversion).at_least(17) - (1 - fewer)) < Fraction(1, 10**45)


@given(
    st.one_of(
        st.builds(Binomial, st.integers(0, 60), st.fractions(min_value=0, max_value=1, max_denominator=50)),
        st.builds(Poisson, st.fractions(min_value=0, max_value=60, max_denominator=50)),
    ),
    st.fractions(min_value=Fraction(1, 1000), max_value=1, max_denominator=1000),
)
def test_the_most_sales_with_a_chance_equal_a_scan_of_every_number(extra: ExtraSales, chance: Fraction) -> None:
    reached = [sales for sales in range(400) if extra.at_least(sales) >= chance]
    assert most_sales(extra, chance) == reached[-1]


# One person buys with a chance of one in three: a tie, which no decimal would reach.
def test_a_chance_that_is_just_reached_is_reached() -> None:
    assert most_sales(Binomial(1, Fraction(1, 3)), Fraction(1, 3)) == 1
    assert most_sales(Binomial(1, Fraction(1, 3)), Fraction(1, 3) + Fraction(1, 10**30)) == 0


# However many are expected, none at all is possible.
def test_no_number_above_none_is_certain() -> None:
    assert most_sales(Poisson(Fraction(5_000)), Fraction(1)) == 0
    assert most_sales(Binomial(7, Fraction(1)), Fraction(1)) == 7
