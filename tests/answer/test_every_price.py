"""The price search against trying every price on the exact ledger, for orders of every kind."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import example, given
from hypothesis import strategies as st

from netprice.answer.goal import Goal
from netprice.book.product import Case
from netprice.ledger.arithmetic import EXACT, UNROUNDED, Exact
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.terms import Terms
from tests.answer.orders import TARGETS, dearest, orders
from tests.build import fee, goal, priced, span, terms

HIGHEST = 700
spans = st.builds(
    lambda lowest, step, endings: span(max(lowest, step), HIGHEST, step=step, endings=endings),
    st.integers(1, 200),
    st.sampled_from([1, 1, 5]),
    st.sampled_from([(), (), ((5, 10),), ((95, 100), (50, 100))]),
)
cases = st.sampled_from(["expected", "worst"])


def meets(order: Terms, wanted: Goal, price: int, m: Exact) -> bool:
    found = bottom(order_ledger(order, Fraction(price) if m is UNROUNDED else price, m), wanted.case, m)
    measure = wanted.measure(found)
    return measure is not None and measure >= wanted.wanted


@given(orders(), st.sampled_from(TARGETS), cases, spans)
def test_the_answer_is_what_trying_every_price_gives(order: Terms, target: str, case: Case, within: object) -> None:
    assert isinstance(within, type(span()))
    wanted, answer = goal(order, target, case), priced(order, target, within, case)
    if answer.undefined:
        assert answer.status == "unreachable"
        assert wanted.measure(bottom(order_ledger(order, 1000), case)) is None
        return
    allowed = within.allowed(HIGHEST)
    prices = [allowed.price(place) for place in range(allowed.count)]
    met = [price for price in prices if meets(order, wanted, price, EXACT)]
    assert answer.lowest_price == (met[0] if met else None)
    if not met:
        assert answer.status == "unreachable"
        return
    failing = [price for price in prices if price > met[0] and price not in set(met)]
    above = [price for price in prices if not failing or price > failing[-1]]
    assert answer.safe_floor == (next((price for price in above if price >= met[0]), None))
    assert [price for trap in answer.traps for price in prices if trap.first <= price <= trap.last] == failing
    for trap in answer.traps:
        inside = [price for price in failing if trap.first <= price <= trap.last]
        assert trap.from_rounding == all(meets(order, wanted, price, UNROUNDED) for price in inside)


@given(orders(), st.sampled_from(TARGETS), cases)
def test_the_best_of_an_unreachable_target_is_the_best_of_every_price(order: Terms, target: str, case: Case) -> None:
    answer = priced(order, "margin 99 %" if "margin" in target else "profit 500", span(1, 300), case)
    wanted = answer.goal
    reached = []
    for price in range(1, 301):
        measure = wanted.measure(bottom(order_ledger(order, price), case))
        if measure is not None:
            reached.append((measure, -price))
    if not reached:
        assert answer.best is None
        return
    best = max(reached)
    if best[0] >= wanted.wanted:
        assert answer.status == "met"
        return
    assert answer.best is not None
    assert (answer.best.measure, -answer.best.price) == best


# Both examples stand in test_price with their sums.
@example(terms(cost=535, fees=fee("6.5 %")), "margin 40 %", "expected")
@example(dearest(), "break-even", "expected")
@given(orders(), st.sampled_from(TARGETS), cases)
def test_without_a_highest_price_the_answer_is_that_with_the_highest_price_named(
    order: Terms, target: str, case: Case
) -> None:
    open_end = priced(order, target, span(), case)
    assert open_end.highest is not None
    stated = priced(order, target, span(1, open_end.highest), case)
    for key in ("status", "lowest_price", "safe_floor", "traps", "best"):
        assert getattr(open_end, key) == getattr(stated, key), key
