"""An order as straight lines of its price: equal to the ledger without rounding, and near enough to the exact one."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from netprice.answer.lines import LINES, NOTHING_ROUNDED, Lines, LinesArithmetic, Mesh
from netprice.book.product import Case
from netprice.ledger.arithmetic import EXACT, UNROUNDED
from netprice.ledger.order import bottom_line, order_ledger
from netprice.ledger.terms import Terms
from tests.answer.orders import orders
from tests.build import cover, fee, quoted, terms, tiers, zone

LOWEST, HIGHEST = 1, 600
cases = st.sampled_from(["expected", "worst"])


def drawn(order: Terms, case: Case, m: LinesArithmetic) -> tuple[Mesh, Any, Any]:
    mesh = Mesh(LOWEST - 0.5, HIGHEST + 0.5)
    return mesh, *bottom_line(order_ledger(order, mesh.price(), m), case, m)


def at(number: Any, price: float) -> float:
    if not isinstance(number, Lines):
        return float(number)
    values, slopes = number.now()
    place = int(np.searchsorted(number.mesh.edges[:-1], price, side="right")) - 1
    return float(values[place] + slopes[place] * (price - number.mesh.edges[place]))


def is_doubtful(mesh: Mesh, price: float) -> bool:
    return any(((low <= price) & (price <= high)).any() for low, high in mesh.doubtful)


@given(orders(), cases, st.lists(st.fractions(LOWEST, HIGHEST, max_denominator=97), min_size=1, max_size=20))
def test_lines_equal_the_ledger_without_rounding(order: Terms, case: Case, prices: list[Fraction]) -> None:
    mesh, net, profit = drawn(order, case, NOTHING_ROUNDED)
    away = [price for price in prices if np.abs(mesh.edges - float(price)).min() > 1e-6]
    assume(away)
    for price in away:
        want = bottom_line(order_ledger(order, price, UNROUNDED), case, UNROUNDED)
        # Where two zones are equally bad either one may stand in the lines: their prices are in doubt for that.
        if case == "expected" or not order.shipping.follows_label:
            assert at(net, float(price)) == pytest.approx(float(want[0]), abs=1e-6)
        assert at(profit, float(price)) == pytest.approx(float(want[1]), abs=1e-6)


@given(orders(), cases, st.lists(st.integers(LOWEST, HIGHEST), min_size=1, max_size=20))
def test_the_exact_ledger_is_within_the_slack_where_nothing_is_in_doubt(
    order: Terms, case: Case, prices: list[int]
) -> None:
    mesh, net, profit = drawn(order, case, LINES)
    sure = [price for price in prices if not is_doubtful(mesh, price)]
    assume(sure)
    for price in sure:
        for lines, exact in zip((net, profit), bottom_line(order_ledger(order, price), case, EXACT), strict=True):
            slack = lines.slack if isinstance(lines, Lines) else 0
            assert abs(at(lines, price) - float(exact)) <= slack + mesh.blur


def edges_of(order: Terms) -> list[float]:
    mesh, _, _ = drawn(order, "expected", LINES)
    return [round(float(edge), 6) for edge in mesh.edges[1:-1]]


# 5 %, at least 0.10 and at most 0.25: from 2.00 and from 5.00 on.
def test_minimum_and_cap_are_break_points() -> None:
    assert edges_of(terms(fees=fee("5 %", minimum=10, cap=25))) == [200, 500]


def test_tiers_are_break_points_of_the_price_of_one_unit() -> None:
    steps = tiers((400, "10 %"), (900, "5 %"), (None, "1 %"))
    assert edges_of(terms(quantity=2, fees=fee(tiers=steps))) == [200, 450]
    assert edges_of(terms(quantity=2, fees=fee(tiers=steps, whole=True, per="unit"))) == [400]


def test_every_insurance_step_is_a_break_point() -> None:
    insured = quoted(100, insured=cover(step=150, price=20, free=100))
    assert edges_of(terms(zones=[zone(insured)])) == [100, 250, 400, 550]


# 1.00 + 0.40 for each started 2.00 of goods against 1.60: from 2.00 on the second step makes the flat one cheaper.
def test_the_price_where_the_cheapest_service_changes_is_a_break_point() -> None:
    order = terms(zones=[zone(quoted(100, insured=cover(step=200, price=40)), quoted(160))])
    mesh, _, profit = drawn(order, "expected", LINES)
    assert 200 in edges_of(order)
    assert [round(at(profit, price) - price) for price in (199, 201, 399, 401)] == [-140, -160, -160, -160]
    assert mesh.price().slack == 0


# Half a cent for each of two fees, and one more for the tax on the second.
def test_slack_adds_up_what_each_rounding_can_do() -> None:
    order = terms(fees=[fee("2.5 %"), fee("3 %", tax="10 %")])
    _, net, profit = drawn(order, "expected", LINES)
    assert net.slack == 0
    assert profit.slack == pytest.approx(0.5 + 0.5 + 0.5 + 0.05)
    up = terms(rounding="up", fees=fee("2.5 %"))
    assert drawn(up, "expected", LINES)[2].slack == 1


# Goods are exact, so at the tier's edge of 4.00 only the blur of floats is in doubt.
def test_only_the_prices_at_which_rounding_may_tip_a_comparison_are_doubtful() -> None:
    order = terms(fees=fee(tiers=tiers((400, "10 %"), (None, "5 %")), whole=True))
    mesh, _, _ = drawn(order, "expected", LINES)
    assert [is_doubtful(mesh, price) for price in (399, 400, 401)] == [False, True, False]
