"""Allowed prices against writing all of them down, and the span of prices that a shop states."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from netprice.answer.allowed import Allowed
from netprice.answer.span import Span
from netprice.book.product import Prices
from netprice.errors import QuestionError
from tests.build import span
from tests.build_book import ending

Endings = tuple[tuple[int, int], ...]

endings = st.lists(
    st.sampled_from([10, 100, 1000]).flatmap(lambda modulus: st.tuples(st.integers(0, modulus - 1), st.just(modulus))),
    max_size=3,
).map(tuple)
limits = st.tuples(st.integers(1, 600), st.integers(-50, 3000)).map(lambda pair: (pair[0], pair[0] + pair[1]))
step_sizes = st.sampled_from([1, 2, 5, 7, 10, 25, 50, 95, 100])


def written_down(lowest: int, highest: int, step: int, wanted: Endings) -> list[int]:
    every = range(max(lowest, 0), highest + 1)
    return [
        price
        for price in every
        if price % step == 0 and (not wanted or any(price % modulus == rest for rest, modulus in wanted))
    ]


@given(limits, step_sizes, endings)
def test_the_allowed_prices_are_the_multiples_with_an_ending(
    within: tuple[int, int], step: int, wanted: Endings
) -> None:
    lowest, highest = within
    allowed = Allowed.of(lowest=lowest, highest=highest, step=step, endings=wanted)
    want = written_down(lowest, highest, step, wanted)
    assert [allowed.price(place) for place in range(allowed.count)] == want
    assert allowed.prices(np.arange(allowed.count, dtype=np.int64)).tolist() == want


@given(limits, step_sizes, endings, st.integers(-100, 4000), st.sampled_from([0, 0.25, 0.999]))
def test_the_first_place_from_a_price_is_that_of_the_next_allowed_one(
    within: tuple[int, int], step: int, wanted: Endings, whole: int, part: float
) -> None:
    lowest, highest = within
    allowed = Allowed.of(lowest=lowest, highest=highest, step=step, endings=wanted)
    want = written_down(lowest, highest, step, wanted)
    if not want:
        assert allowed.count == 0
        return
    price = min(max(whole, lowest), highest)
    assert allowed.first_from(price + part) == sum(each < price + part for each in want)
    assert allowed.firsts_from(np.array([price], dtype=np.int64)).tolist() == [sum(each < price for each in want)]


def test_prices_below_the_lowest_have_places_below_zero() -> None:
    allowed = Allowed.of(lowest=500, highest=900, step=100)
    assert [allowed.first_from(price) for price in (300, 301, 499, 500, 501)] == [-2, -1, 0, 0, 1]


def test_an_ending_that_no_multiple_of_the_step_has_allows_nothing() -> None:
    assert Allowed.of(lowest=1, highest=10**6, step=5, endings=((99, 100),)).count == 0


def test_a_span_takes_each_key_from_the_first_that_says_it() -> None:
    product = Prices(lowest=Fraction("5.005"), endings=(ending(".95"),))
    channel = Prices(step=Fraction("0.05"), lowest=Fraction(1), highest=Fraction("80.009"))
    shop = Prices(step=Fraction(1), endings=(ending(".00"), ending("9.50")))
    found = Span.of(product, channel, shop, digits=2)
    assert found == Span(lowest=501, highest=8000, step=5, endings=((95, 100),), digits=2)
    assert Span.of(channel, shop, digits=2).endings == ((0, 100), (950, 1000))


def test_without_limits_the_lowest_price_is_one_step() -> None:
    assert Span.of(Prices(), digits=2) == span(1, None)
    assert Span.of(Prices(step=Fraction("0.50")), digits=2) == span(50, None, step=50)
    assert Span.of(Prices(step=Fraction(10)), digits=0).lowest == 10


def test_a_lowest_price_of_nothing_is_the_smallest_coin() -> None:
    assert Span.of(Prices(lowest=Fraction(0)), digits=2).lowest == 1


def test_no_allowed_price_at_all_is_an_error_that_names_the_limits() -> None:
    with pytest.raises(QuestionError, match=r"between 0\.10 and 0\.90"):
        span(10, 90, endings=((95, 100),)).allowed(90)


# A shop's endings hold for its channels in every currency: ".50" means nothing in yen and must not allow every
# price there.
def test_an_ending_finer_than_the_currency_is_left_out() -> None:
    found = Span.of(Prices(endings=(ending(".50"), ending("80"))), digits=0)
    assert found.endings == ((80, 100),)
