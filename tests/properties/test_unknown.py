"""The greatest or smallest value of an input equals trying every value, each as if it stood in the file."""

from __future__ import annotations

import random
from fractions import Fraction

from hypothesis import given

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.inputs import Input, find_input, inputs_of, with_value
from netprice.answer.unknown import Values, unknown
from netprice.book.shop import Book
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.settle import Ask, settle
from tests.cases.answer import ask_of
from tests.properties.shops import book_of, case_of, fewer, seeds

TRIED = 60


def some_price(book: Book, ask: Ask, dice: random.Random) -> int:
    """Return a price of about what an order's goods cost, up to three times as much."""
    terms = settle(book, ask)
    return max(int(terms.goods_cost / terms.quantity * dice.choice([1, 2, 3])), 1)


def some_order(seed: int) -> tuple[Book, PriceAsk, int, random.Random] | None:
    """Return a random shop, an order of it and a price for that; None where nobody carries the order."""
    case, dice = case_of(seed), random.Random(seed)
    book, asked = book_of(case), PriceAsk(ask_of(case, 0))
    if settle(book, asked.ask).unreached:
        return None
    return book, asked, some_price(book, asked.ask, dice), dice


def meets(book: Book, asked: PriceAsk, one: Input, value: Fraction, price: int) -> bool:
    changed, ask = with_value(book, asked.ask, one, value)
    terms = settle(changed, ask)
    if terms.unreached:
        return False
    goal = goal_of(changed, asked._replace(ask=ask), terms)
    found = bottom(order_ledger(terms, price), goal.case)
    return bool(goal.divisor(found) > 0 and goal.surplus(found) >= 0)


@fewer(4)
@given(seeds)
def test_every_value_of_any_input_is_told_rightly(seed: int) -> None:
    order = some_order(seed)
    if order is None:
        return
    book, asked, price, dice = order
    every = inputs_of(book, asked.ask)
    for one in dice.sample(every, min(4, len(every))):
        value = one.value or Fraction(0)
        high = min(2 * value, one.most) if one.most is not None else 2 * value + one.unit.size / 100
        step = (high - one.least) / TRIED
        if step <= 0:
            continue
        values = Values(one.least, high, step)
        found = unknown(book, asked, price, one, low=values.low, high=values.high, step=values.step)
        want = [meets(book, asked, one, values.at(place), price) for place in range(values.how_many)]
        got = [any(a <= values.at(place) <= b for a, b in found.holds) for place in range(values.how_many)]
        assert got == want, one.name
        if True in want:
            last = len(want) - 1 - want[::-1].index(True)
            assert found.reach == (values.at(want.index(True)) if found.direction == "smallest" else values.at(last))


@fewer(4)
@given(seeds)
def test_the_value_found_holds_and_one_step_further_does_not(seed: int) -> None:
    order = some_order(seed)
    if order is None:
        return
    book, asked, price, dice = order
    every = inputs_of(book, asked.ask)
    one = find_input(book, asked.ask, dice.choice(every).name)
    found = unknown(book, asked, price, one)
    if found.reach is None or found.direction not in ("greatest", "smallest"):
        return
    assert meets(book, asked, one, found.reach, price)
    further = found.reach + (found.values.step if found.direction == "greatest" else -found.values.step)
    if found.values.low <= further <= found.values.high:
        assert not meets(book, asked, one, further, price)
