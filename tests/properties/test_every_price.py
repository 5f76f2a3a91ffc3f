"""The search over a wide range of prices equals trying every one of them."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from hypothesis import given

from netprice.answer.allowed import Allowed
from netprice.answer.curve import Curve, runs
from netprice.answer.goal import Goal
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.order import bottom_line, order_ledger
from netprice.ledger.terms import Terms
from tests.properties.shops import case_of, orders, seeds


def curve_of(terms: Terms, goal: Goal, allowed: Allowed) -> Curve:
    return Curve.of(terms, goal, lowest=allowed.price(0), highest=allowed.price(allowed.count - 1))


@given(seeds)
def test_runs_that_meet_or_fail_equal_a_scan_of_every_price(seed: int) -> None:
    for terms, goal, span in orders(case_of(seed, prices=20_000)):
        allowed = span.allowed(span.highest or 0)
        curve = curve_of(terms, goal, allowed)
        if curve.undefined:
            continue
        settled = runs(curve, allowed)
        found = np.repeat(settled.meets, np.diff(np.append(settled.starts, settled.count)))
        every = curve.meets(allowed.prices(np.arange(allowed.count, dtype=np.int64)))
        assert (found == every).all()


@given(seeds)
def test_many_prices_at_once_equal_the_ledger_of_each(seed: int) -> None:
    for terms, goal, span in orders(case_of(seed, prices=2_000)):
        allowed = span.allowed(span.highest or 0)
        places = np.linspace(0, allowed.count - 1, num=min(9, allowed.count)).astype(np.int64)
        prices = allowed.prices(places)
        found = curve_of(terms, goal, allowed).exactly(prices)
        for place, price in enumerate(prices.tolist()):
            want = bottom_line(order_ledger(terms, price), goal.case, EXACT)
            assert (found.net_sales.at(place), found.profit.at(place)) == tuple(map(Fraction, want))
