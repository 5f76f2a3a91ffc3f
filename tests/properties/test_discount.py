"""The greatest discount, the even ladder and the bundle, against trying everything."""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import numpy as np
from hypothesis import given

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.bundle import bundle, part_of
from netprice.answer.discount import Discounted, ListPrice, Wanted, discount
from netprice.answer.ladder import ladder
from netprice.answer.reach import Reach, meets, one_more, reach_of
from netprice.book.shop import Book
from netprice.ledger.order import order_ledger
from netprice.ledger.settle import Ask, settle
from tests.cases.answer import ask_of
from tests.properties.shops import book_of, case_of, fewer, seeds
from tests.referee.channel import read_channel, wanted
from tests.referee.cost import read_cost
from tests.referee.exact import decimal_text

JsonDict = dict[str, Any]
FEW = fewer(4)


def priced(case: JsonDict) -> Iterator[tuple[Book, Ask, int, int]]:
    """Yield every channel of a case that can sell, with one of its list prices in minor units."""
    book = book_of(case)
    for place, channel in enumerate(case["channels"]):
        ask = ask_of(case, place)
        terms = settle(book, ask)
        if not terms.unreached:
            prices = {**case, **channel}["prices"]
            low, high = (Fraction(prices[key]) * 10**terms.digits for key in ("lowest", "highest"))
            yield book, ask, place, int(low + (high - low) * Fraction(case["dice"], 100))


def with_dice(seed: int, **more: int) -> JsonDict:
    return case_of(seed, **more) | {"dice": random.Random(seed).randint(40, 100)}


def answered(book: Book, ask: Ask, price: int, step: Fraction) -> Discounted:
    order = discount(book, PriceAsk(ask), ListPrice(price, "asked"), Wanted(step)).order
    assert order is not None
    return order


def met_by_referee(case: JsonDict, place: int, price: Fraction, percent: Fraction) -> bool:
    """Whether the order meets its target with one more discount, worked out from the money model alone."""
    source = case["channels"][place]
    further = {"percent": decimal_text(percent * 100)}
    channel = read_channel(
        case, {**source, "discounts": [*source.get("discounts", ()), further]}, read_cost(case["cost"])
    )
    value = channel.measure(channel.target["measure"], channel.target_totals(channel.zones_at(price)))
    return value is not None and value >= wanted(channel.target)


@FEW
@given(seeds)
def test_the_greatest_percent_is_the_referees_who_tries_every_step(seed: int) -> None:
    case, step = with_dice(seed), Fraction(1, 40)
    for book, ask, place, price in priced(case):
        found = answered(book, ask, price, step).target.percent
        at = Fraction(price, 10 ** settle(book, ask).digits)
        assert found == scanned([met_by_referee(case, place, at, step * times) for times in range(41)], step)


def scanned(holds: list[bool], step: Fraction) -> Reach:
    """Return what a walk over the discounts in turn finds."""
    greatest = unbroken = None
    gaps: list[list[Fraction]] = []
    fails: list[Fraction] = []
    for times, good in enumerate(holds):
        if not good:
            fails.append(times * step)
            continue
        gaps += [[fails[0], fails[-1]]] if fails else []
        unbroken = times * step if not gaps else unbroken
        greatest, fails = times * step, []
    return Reach(greatest, unbroken, tuple((first, last) for first, last in gaps))


@given(seeds)
def test_runs_of_discounts_are_those_of_a_walk(seed: int) -> None:
    dice = random.Random(seed)
    holds = [dice.random() < 0.6 for _ in range(dice.randint(1, 12))]
    assert reach_of(np.array(holds), Fraction(3)) == scanned(holds, Fraction(3))


@FEW
@given(seeds)
def test_amounts_hold_up_to_the_greatest_and_not_beyond(seed: int) -> None:
    dice = random.Random(seed)
    for book, ask, _, price in priced(with_dice(seed)):
        terms = settle(book, ask)
        goal, found = goal_of(book, PriceAsk(ask), terms), answered(book, ask, price, Fraction(1, 10)).target.amount
        goods = int(order_ledger(terms, price).zones[0].sale.goods)
        last = -1 if found.greatest is None else int(found.greatest)
        near = range(max(last - 5, 0), last + 6)
        for amount in {*near, *(dice.randint(0, goods) for _ in range(15))}:
            if amount > goods:
                continue
            failing = amount > last or any(first <= amount <= end for first, end in found.gaps)
            assert meets(goal, order_ledger(one_more(terms, amount=amount), price)) != failing


@FEW
@given(seeds)
def test_the_even_ladder_is_the_lowest_that_never_goes_up(seed: int) -> None:
    case = case_of(seed, prices=40)
    for book, ask, _, _ in priced(case | {"dice": 0}):
        found = ladder(book, PriceAsk(ask), 3)
        least = 0
        for rung in reversed(found.rungs):
            terms = settle(book, ask._replace(quantity=rung.quantity))
            goal = goal_of(book, PriceAsk(ask), terms)
            good = [] if terms.unreached else [p for p in allowed(book, ask) if meets(goal, order_ledger(terms, p))]
            assert rung.price == min(good, default=None)
            assert rung.even == min((price for price in good if price >= least), default=None)
            least = max(least, rung.even or 0)


def allowed(book: Book, ask: Ask) -> list[int]:
    from netprice.answer.ask import span_of

    span = span_of(book, ask, settle(book, ask))
    within = span.allowed(span.highest or 0)
    return [within.price(place) for place in range(within.count)]


# A listing is paid for each unit of a bundle; without listing fees, or with one unit, nothing is different.
@FEW
@given(seeds)
def test_a_bundle_of_one_product_is_an_order_of_it(seed: int) -> None:
    for book, ask, _, price in priced(with_dice(seed)):
        terms = settle(book, ask)
        if terms.quantity > 1 and any(fee.per == "listing" for fee in terms.fees):
            continue
        part = part_of(book, PriceAsk(ask._replace(quantity=terms.quantity)), price)
        found = bundle(book, [part], Wanted(Fraction(1, 40))).discount.order
        alone = answered(book, ask, price, Fraction(1, 40))
        assert found is not None
        assert found._replace(list_price=alone.list_price) == alone
