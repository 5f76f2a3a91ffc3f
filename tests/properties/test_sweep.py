"""An order worked out for many values at once equals the ledger of each value, wherever a float can decide."""

from __future__ import annotations

import random
from fractions import Fraction

import numpy as np
from hypothesis import given

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.inputs import inputs_of, sweeps, with_value
from netprice.answer.sweep import Sweep, Sweeping, floats
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.settle import settle
from tests.cases.answer import ask_of
from tests.properties.shops import book_of, case_of, fewer, seeds


@fewer(2)
@given(seeds)
def test_a_sweep_equals_the_ledger_of_every_value(seed: int) -> None:
    case, dice = case_of(seed), random.Random(seed)
    book, ask = book_of(case), ask_of(case, 0)
    terms = settle(book, ask)
    swept = [one for one in inputs_of(book, ask) if sweeps(one) and one.value]
    if terms.unreached or not swept:
        return
    price = max(int(terms.goods_cost / terms.quantity * 2), 1)
    for one in dice.sample(swept, min(4, len(swept))):
        assert one.value is not None
        most = one.value * 2 if one.most is None else min(one.value * 2, one.most)
        # Away from the ends: there an order may follow other rules, and whoever sweeps asks the ledger.
        values = [one.least + (most - one.least) * Fraction(dice.randint(1, 99), 100) for _ in range(7)]
        changed, asked = with_value(book, ask, one, Sweep(np.array([float(value) for value in values])))
        m = Sweeping(len(values))
        many = settle(changed, asked, m)
        goal = goal_of(changed, PriceAsk(asked), many)
        found = bottom(order_ledger(many, price, m), goal.case, m)
        for place, value in enumerate(values):
            alone, alone_asked = with_value(book, ask, one, value)
            want = bottom(order_ledger(settle(alone, alone_asked), price), goal.case)
            if m.doubtful[place] or m.tied[place]:
                continue
            for mine, exact in zip(found, want, strict=True):
                got = float(np.broadcast_to(floats(mine), len(values))[place])
                assert abs(got - float(exact)) <= 1e-6 * (1 + abs(float(exact))), (one.name, value)
