"""The best mix of whole orders, found by trying every one, and what one more is worth by a second linear program."""

from __future__ import annotations

import itertools
import os
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from netprice.answer.mix import Charge, Choice, Limit, _printing_nothing, best_mix, worths
from tests.answer.months import told


def every_mix(choice: Choice) -> list[tuple[Fraction, tuple[int, ...]]]:
    """Return every mix that there is room for, with what it leaves: no search, only trying."""
    ranges = [range(least, (most or 0) + 1) for least, most in zip(choice.at_least, choice.most, strict=True)]
    found = []
    for mix in itertools.product(*ranges):
        taken = [sum(t * n for t, n in zip(limit.takes, mix, strict=True)) for limit in choice.limits]
        if all(took <= limit.there_is for took, limit in zip(taken, choice.limits, strict=True)):
            left = sum((each * n for each, n in zip(choice.leaves, mix, strict=True)), Fraction(0))
            left -= sum((c.amount for c in choice.charges if any(mix[kind] for kind in c.kinds)), Fraction(0))
            found.append((left, mix))
    return found


@st.composite
def choices(draw: st.DrawFn) -> Choice:
    """Return up to four kinds of orders, two things there is a limit of, in thirds and sevenths, and two charges."""
    kinds = draw(st.integers(1, 4))
    some = st.lists(st.integers(-3, 30), min_size=kinds, max_size=kinds)
    hours = st.lists(st.integers(0, 12), min_size=kinds, max_size=kinds)
    limits = tuple(
        Limit(tuple(Fraction(each, bottom) for each in draw(hours)), Fraction(draw(st.integers(0, 40)), bottom))
        for bottom in (3, 7)
    )
    split = draw(st.integers(0, kinds))
    charges = (tuple(range(split)), tuple(range(split, kinds)))
    most = draw(st.lists(st.integers(0, 4), min_size=kinds, max_size=kinds))
    return Choice(
        leaves=tuple(Fraction(each, 2) for each in draw(some)),
        at_least=tuple(draw(st.integers(0, min(each, 1))) for each in most),
        most=tuple(most),
        limits=limits,
        charges=tuple(Charge(Fraction(draw(st.integers(0, 25))), each) for each in charges if each),
    )


@settings(max_examples=60, deadline=None)
@given(choices())
def test_the_mix_is_the_best_of_all_that_there_are(choice: Choice) -> None:
    tried = every_mix(choice)
    assume(tried)  # else promises cannot be kept, which is told before anything is looked for
    found = best_mix(choice)
    assert found.left == max(tried)[0]
    assert (found.left, found.orders) in tried
    assert found.short_of_best == 0


# By theory what is left is concave in the hours, and its slope is the worth: one more hour adds no more than that, and
# one less takes no less. A second program, with the hours changed, says what is left.
@settings(max_examples=40, deadline=None)
@given(choices(), st.integers(0, 1))
def test_what_one_more_is_worth_lies_between_one_more_and_one_less(choice: Choice, place: int) -> None:
    choice = choice._replace(charges=(), at_least=(0,) * len(choice.leaves))
    there_is = [float(limit.there_is) + 1 for limit in choice.limits]
    choice = choice._replace(limits=tuple(limit._replace(there_is=limit.there_is + 1) for limit in choice.limits))

    def left(change: float) -> float:
        changed = [each + change * (number == place) for number, each in enumerate(there_is)]
        rows = np.array([[float(each) for each in limit.takes] for limit in choice.limits])
        done = linprog([-float(each) for each in choice.leaves], rows, changed, bounds=[(0, m) for m in choice.most])
        assert done.fun is not None
        return -float(done.fun)

    worth = float(worths(choice, (0,) * len(choice.leaves))[place])
    assert left(1) - left(0) <= worth + 1e-6
    assert worth <= left(0) - left(-1) + 1e-6


# 10 hours and a little less than an hour and a tenth of a billionth for each: nine fit, however near the tenth comes.
def test_a_mix_keeps_within_the_hours_exactly_where_the_solver_would_not_notice() -> None:
    hour = 1 + Fraction(1, 10**10)
    limits = (Limit((hour, hour), Fraction(10)),)
    found = best_mix(Choice((Fraction(3), Fraction(3)), (0, 0), (5, 5), limits))
    assert told(sum(found.orders), found.left) == (9, 27)


# A knapsack that takes a moment, without a moment: what is found fits, and with `short_of_best` it reaches the best.
def test_a_search_that_ends_early_says_how_much_more_another_mix_could_leave() -> None:
    sizes = [37, 41, 43, 47, 53, 59, 61, 67]
    limits = (Limit(tuple(map(Fraction, sizes)), Fraction(505)),)
    choice = Choice(tuple(Fraction(size + 7) for size in sizes), (0,) * 8, (3,) * 8, limits)
    proved, early = best_mix(choice), best_mix(choice, seconds=0)
    assert proved.short_of_best == 0
    assert choice.taken(early.orders)[0] <= 505
    assert early.left + early.short_of_best >= proved.left


def test_what_the_solver_prints_by_itself_is_not_part_of_an_answer(capfd: pytest.CaptureFixture[str]) -> None:
    with _printing_nothing():
        os.write(1, b"a line of the solver's own")
    os.write(1, b"the answer")
    assert capfd.readouterr().out == "the answer"
