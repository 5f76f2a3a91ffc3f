"""Orders worked out for many draws at once equal the ledger, draw by draw; a single order's ways average to it."""

from __future__ import annotations

import random
from fractions import Fraction

import numpy as np
from hypothesis import given

from netprice.answer.ask import PriceAsk, goal_of, span_of
from netprice.answer.drawn import corners, drawn
from netprice.answer.draws import Doubt, draw, with_values
from netprice.answer.holding import holding_price
from netprice.answer.inputs import Input, inputs_of, sweeps
from netprice.answer.one_order import one_order
from netprice.answer.sweep import Sweep, Sweeping, floats, surplus_of
from netprice.book.shop import Book
from netprice.ledger.order import bottom, expected, order_ledger
from netprice.ledger.settle import Ask, settle
from netprice.spread import Spread
from tests.cases.answer import ask_of
from tests.properties.shops import book_of, case_of, fewer, seeds

CASES = 6
# What floats may blur of exact amounts, as a share of them and in minor units.
BLUR = 1e-9, 1e-6


def some_price(book: Book, ask: Ask, dice: random.Random) -> int:
    """Return a price of about what an order's goods cost, up to three times as much."""
    terms = settle(book, ask)
    return max(int(terms.goods_cost / terms.quantity * dice.choice([1, 2, 3])), 1)


def some_values(one: Input, dice: random.Random) -> list[Fraction]:
    """Return values between the least that makes sense and about twice what it is: on its steps, and anywhere."""
    value = one.value or one.unit.size
    high = min(2 * value, one.most) if one.most is not None else 2 * value
    low = max(one.least, one.unit.step)
    steps = [dice.randint(0, 12) for _ in range(CASES // 2)]
    between = [Fraction(dice.uniform(0.001, 0.999)) for _ in range(CASES - CASES // 2)]
    width = max(high - low, Fraction(0)) * Fraction(127, 128)
    return [
        Fraction(float(low + width * Fraction(share))) for share in (*(Fraction(step, 13) for step in steps), *between)
    ]


def doubt(one: Input, values: list[Fraction]) -> Doubt:
    return Doubt(one, Spread.uniform(min(values), max(values) + 1))


@fewer(2)
@given(seeds)
def test_many_values_of_several_inputs_at_once_equal_the_ledger_case_by_case(seed: int) -> None:
    case, dice = case_of(seed), random.Random(seed)
    book, asked = book_of(case), PriceAsk(ask_of(case, 0))
    if settle(book, asked.ask).unreached:
        return
    every = [one for one in inputs_of(book, asked.ask) if sweeps(one) and one.name != "returns.rate"]
    chosen = dice.sample(every, min(dice.randint(1, 8), len(every)))
    values = [some_values(one, dice) for one in chosen]
    doubts = [doubt(one, its) for one, its in zip(chosen, values, strict=True)]
    price = some_price(book, asked.ask, dice)

    m = Sweeping(CASES)
    tried = [Sweep(np.array([float(value) for value in its])) for its in values]
    changed, ask = with_values(book, asked.ask, doubts, tried)
    terms = settle(changed, ask, m)
    goal = goal_of(changed, asked._replace(ask=ask), terms)
    swept = bottom(order_ledger(terms, price, m), goal.case, m)
    surplus = surplus_of(goal, swept, CASES)

    for place in range(CASES):
        exactly, ask = with_values(book, asked.ask, doubts, [its[place] for its in values])
        exact_terms = settle(exactly, ask)
        exact_goal = goal_of(exactly, asked._replace(ask=ask), exact_terms)
        found = bottom(order_ledger(exact_terms, price), exact_goal.case)
        if m.doubtful[place]:
            continue
        # A charge on a tie may be a minor unit off; a charge a unit, or one made twice, that many times.
        slack = 20.0 * terms.quantity if m.tied[place] else 0.0
        names = [one.name for one in chosen]
        for name, want in found._asdict().items():
            got = float(np.broadcast_to(floats(getattr(swept, name)), CASES)[place])
            allowed = slack + BLUR[1] + BLUR[0] * abs(float(want))
            assert abs(got - float(want)) <= allowed, (name, names)
        if exact_goal.divisor(found) > 0:
            want = exact_goal.surplus(found)
            assert abs(surplus[place] - float(want)) <= slack * 3 + BLUR[1] + BLUR[0] * abs(float(want)), names
        else:
            assert surplus[place] == -np.inf


@fewer(2)
@given(seeds)
def test_the_ways_of_a_single_order_average_to_the_ledger_exactly(seed: int) -> None:
    case, dice = case_of(seed), random.Random(seed)
    book, ask = book_of(case), ask_of(case, 0)
    terms = settle(book, ask)
    if terms.unreached:
        return
    price = some_price(book, ask, dice)
    found = one_order(terms, price)
    assert sum(end.chance for end in found.ends) == 1
    # Set-asides are taken from each order's own sales, which may be below zero where the average is not.
    if all(end.net_sales >= 0 for end in found.ends) or not terms.set_asides:
        assert found.expected == expected(order_ledger(terms, price)).profit
    assert found.worst.profit <= found.expected <= found.best.profit


def in_doubt_of(book: Book, ask: Ask, dice: random.Random) -> tuple[Doubt, ...]:
    """Return some inputs in doubt by up to a third of what they are."""
    every = [one for one in inputs_of(book, ask) if one.value and one.place and one.place.path[-1] != "holds"]
    found = []
    for one in dice.sample(every, min(3, len(every))):
        value = one.value or Fraction(0)
        high = value * Fraction(4, 3) if one.most is None else min(value * Fraction(4, 3), one.most)
        low = max(value * Fraction(2, 3), one.least)
        if low < high:
            middle = (low + 2 * high) / 3
            found.append(Doubt(one, dice.choice([Spread.uniform(low, high), Spread.triangular(low, middle, high)])))
    return tuple(found)


@fewer(4)
@given(seeds)
def test_the_price_that_holds_equals_a_scan_of_every_price(seed: int) -> None:
    case, dice = case_of(seed, prices=120), random.Random(seed)
    book, asked = book_of(case), PriceAsk(ask_of(case, 0))
    terms = settle(book, asked.ask)
    doubts = in_doubt_of(book, asked.ask, dice)
    if terms.unreached or not doubts:
        return
    goal, span = goal_of(book, asked, terms), span_of(book, asked.ask, terms)
    if span.highest is None:
        return
    draws = draw(doubts, 128, seed)
    orders = drawn(book, asked, draws)
    chance = Fraction(dice.choice([10, 50, 75, 90, 100]), 100)
    found = holding_price(orders, chance, goal, span, corners(book, asked, draws))
    if found is None:
        return
    allowed = span.allowed(span.highest)
    shares = {}
    for place in range(allowed.count):
        surplus = orders.at(allowed.price(place)).surplus
        shares[allowed.price(place)] = Fraction(int(np.sum(surplus >= -1e-6)), len(surplus))
    holds = [price for price, share in shares.items() if share >= chance]
    assert found.meets == bool(holds)
    if holds:
        assert found.price == holds[0], [doubt.input.name for doubt in doubts]
        assert found.share == shares[found.price]
