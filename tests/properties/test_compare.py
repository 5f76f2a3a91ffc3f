"""Comparing channels equals trying every price and every volume."""

from __future__ import annotations

import copy
import random
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import combinations, pairwise
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from netprice.answer.ask import PriceAsk
from netprice.answer.channel_at import at_prices, deductions
from netprice.answer.compare import compare, contender
from netprice.answer.single_price import Contender, price_of_mix, price_on_all
from netprice.answer.span import Span
from netprice.answer.volumes import Monthly, changes_of_best
from netprice.ledger.order import Bottom, bottom, order_ledger
from tests.cases.answer import ask_of
from tests.properties.shops import book_of, case_of, fewer, seeds

JsonDict = dict[str, Any]
small = st.integers(-6, 12).map(Fraction)
lines = st.lists(st.tuples(small, st.integers(0, 40).map(Fraction)), min_size=1, max_size=5).map(
    lambda found: [Monthly(f"channel {place}", *line) for place, line in enumerate(found)]
)


def two_channels(seed: int) -> JsonDict:
    """Return the random case of a seed with a second channel beside its first: the same but for a few terms."""
    case, dice = case_of(seed, prices=80), random.Random(seed)
    first = case["channels"][0]
    for key in ("target", "prices"):
        first.setdefault(key, case.get(key))
    first["orders_per_month"] = str(dice.randint(1, 40))
    second = copy.deepcopy(first) | {"name": "Another", "orders_per_month": str(dice.randint(1, 40))}
    if dice.random() < 0.5:
        second["fees"] = [fee for fee in second.get("fees", ()) if dice.random() < 0.6]
    if dice.random() < 0.4:
        second.pop("shipping", None)
    if dice.random() < 0.4:
        second["fees"] = [
            *second.get("fees", ()),
            {"name": "more", "base": "goods", "percent": str(dice.randint(1, 9))},
        ]
    if dice.random() < 0.4 and not second["prices"].get("endings"):
        second["prices"]["step"] = dice.choice(("1", "2", "3"))
    if dice.random() < 0.3:
        second["target"]["case"] = "worst"
    if dice.random() < 0.3:
        second["target"] = {"measure": "break_even"}
    case["channels"] = [first, second]
    return case


def contenders(case: JsonDict) -> list[Contender]:
    book = book_of(case)
    return [contender(book, PriceAsk(ask_of(case, place))) for place in range(len(case["channels"]))]


def every_price(channels: list[Contender]) -> list[int]:
    """Return every price that is allowed on all of these channels; some of them must state a highest one."""
    highest = min(each.span.highest for each in channels if each.span.highest is not None)
    return [price for price in range(1, highest + 1) if all(is_allowed(price, each.span) for each in channels)]


def is_allowed(price: int, span: Span) -> bool:
    ends = not span.endings or any(price % modulus == rest % modulus for rest, modulus in span.endings)
    return price >= span.lowest and price % span.step == 0 and ends


def at(each: Contender, price: int) -> Bottom:
    goal = each.answer.goal
    return bottom(order_ledger(goal.terms, price), goal.case)


def first(prices: list[int], meets: Callable[[int], bool]) -> int | None:
    return next((price for price in prices if meets(price)), None)


@fewer(4)
@given(seeds)
def test_the_price_on_all_equals_trying_every_price(seed: int) -> None:
    channels = [each for each in contenders(two_channels(seed)) if each.answer.status == "met"]

    def meets(price: int) -> bool:
        for each in channels:
            goal, found = each.answer.goal, at(each, price)
            if goal.divisor(found) <= 0 or goal.surplus(found) < 0:
                return False
        return True

    if any(each.span.highest for each in channels):
        assert price_on_all(channels) == first(every_price(channels), meets)


@fewer(4)
@given(seeds)
def test_the_price_of_the_mix_equals_trying_every_price(seed: int) -> None:
    channels = [
        each for each in contenders(two_channels(seed)) if each.answer.status != "refused" and not each.answer.undefined
    ]
    one_target = len({each.answer.goal.target for each in channels}) == 1

    def meets(price: int) -> bool:
        """Where all have one target, hold the measure of the sums against it, else the sum of what is too much."""
        found = [(each.orders or Fraction(0), each.answer.goal, at(each, price)) for each in channels]
        profit = sum(orders * order.profit for orders, _, order in found)
        divisors = [(goal, orders * goal.divisor(order)) for orders, goal, order in found]
        if one_target:
            divisor = sum(divisor for _, divisor in divisors)
            return bool(divisor > 0 and profit / divisor >= divisors[0][0].wanted)
        kinds = {goal.target.kind for goal, _ in divisors}
        totals = [sum(each for goal, each in divisors if goal.target.kind == kind) for kind in kinds]
        return bool(min(totals) > 0 and profit >= sum(divisor * goal.wanted for goal, divisor in divisors))

    if any(each.span.highest for each in channels):
        assert price_of_mix(channels) == first(every_price(channels), meets)


@fewer(4)
@given(seeds)
def test_a_month_is_its_orders_and_its_fees_do_not_depend_on_them(seed: int) -> None:
    case = two_channels(seed)
    half = copy.deepcopy(case)
    for channel in half["channels"]:
        channel["orders_per_month"] = str(Fraction(channel["orders_per_month"]) * 2)
    price = 5 + seed % 4000
    once, twice = (at_prices([(each, price) for each in contenders(each_case)], None) for each_case in (case, half))
    for one, two in zip(once.channels, twice.channels, strict=True):
        assert one.fees_per_month == two.fees_per_month
        assert one.profit_per_order_without_month_fees == two.profit_per_order_without_month_fees
        assert one.orders_per_month is not None
        assert one.profit_per_month == one.orders_per_month * one.ledger.profit
        shares = deductions(one.ledger)
        assert shares is None or sum(shares) == 1
    assert once.changes == twice.changes


@fewer(4)
@given(seeds)
def test_a_whole_comparison_agrees_with_itself(seed: int) -> None:
    channels = contenders(two_channels(seed))
    answer = compare(channels, currency="USD")
    group = answer.one_price[0]
    assert {each.channel for each in answer.own.channels} == {*group.channels} - {*group.without}
    assert all(each.meets_target for each in answer.own.channels)
    if group.at_on_all is not None:
        assert all(each.meets_target for each in group.at_on_all.channels)
        assert group.on_all is not None
        assert group.on_all >= max(each.price for each in answer.own.channels)


def volumes(channels: list[Monthly]) -> Iterator[Fraction]:
    """Yield every number of orders above zero where two channels are level, and numbers between and beyond them."""
    level = {
        (one.fees - two.fees) / (one.per_order - two.per_order)
        for one, two in combinations(channels, 2)
        if one.per_order != two.per_order
    }
    edges = [Fraction(0), *sorted(each for each in level if each > 0)]
    yield from edges[1:]
    yield from ((low + high) / 2 for low, high in zip(edges, [*edges[1:], edges[-1] + 2], strict=True))


def a_month(channel: Monthly, orders: Fraction) -> Fraction:
    return orders * channel.per_order - channel.fees


@given(lines)
def test_the_best_channel_between_two_changes_is_the_best_of_all(channels: list[Monthly]) -> None:
    by_name = {each.channel: each for each in channels}
    changes = changes_of_best(channels)
    for orders in volumes(channels):
        best = max(a_month(each, orders) for each in channels)
        for change in changes:
            if orders == change.orders:
                assert (
                    a_month(by_name[change.best_below], orders) == a_month(by_name[change.best_above], orders) == best
                )
        passed = [change for change in changes if change.orders <= orders]
        coming = [change for change in changes if change.orders >= orders]
        for name in [change.best_above for change in passed[-1:]] + [change.best_below for change in coming[:1]]:
            assert a_month(by_name[name], orders) == best
        if not changes:
            assert any(all(a_month(each, at) == max(a_month(other, at) for other in channels)
                           for at in volumes(channels)) for each in channels)  # fmt: skip


@given(lines)
def test_changes_go_up_and_each_starts_where_the_last_one_ended(channels: list[Monthly]) -> None:
    changes = changes_of_best(channels)
    orders = [change.orders for change in changes]
    assert orders == sorted(set(orders))
    assert all(each > 0 for each in orders)
    assert all(one.best_above == two.best_below for one, two in pairwise(changes))
    assert all(change.best_below != change.best_above for change in changes)
