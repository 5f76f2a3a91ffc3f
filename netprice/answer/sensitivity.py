"""What each input moves: the profit of an order at a price, and the price that meets the target.

Every input is tried a tenth (or another share) less and more, one at a time, all else as it is. Both effects are exact:
the order is worked out anew, and the price is searched for anew.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.answer.ask import PriceAsk, goal_of, price_of, span_of
from netprice.answer.goal import Goal
from netprice.answer.inputs import Input, inputs_of, with_value
from netprice.answer.price import PriceAnswer
from netprice.answer.price import price as solved
from netprice.answer.spoken import break_even
from netprice.answer.unknown import Trial
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms
from netprice.spread import Spread


class Effect(NamedTuple):
    """What one value of an input does. Amounts are in minor units; None where there is no such order or price."""

    value: Fraction
    profit: Fraction | None
    """The expected profit of an order at the list price, or that of the worst case where the target is held in it."""
    price: int | None
    """The lowest price that meets the target."""


class Moved(NamedTuple):
    """An input, what it does when it is less and more, and how far it can go before an order breaks even."""

    input: Input
    less: Effect
    more: Effect
    break_even: Fraction | None
    """The first value, on the way that lowers the profit, at which an order loses money; None if there is none near."""

    def swing(self, profit: Fraction) -> Fraction:
        """Return the most that the profit moves by, either way."""
        moved = [abs(each.profit - profit) for each in (self.less, self.more) if each.profit is not None]
        return max(moved, default=Fraction(0))


class Sensitivity(NamedTuple):
    """What moves an order's profit at a price, and the price that meets the target: the largest effect first."""

    terms: Terms
    goal: Goal
    price: Fraction | int
    profit: Fraction
    now: PriceAnswer
    by: Fraction
    moved: tuple[Moved, ...]
    unmoved: tuple[str, ...]
    """Inputs that change nothing here."""


def sensitivity(book: Book, asked: PriceAsk, price: Fraction | int, by: Fraction) -> Sensitivity:
    """Return what each input moves when it is `by` less or more; a range in the files is tried at its ends."""
    if by <= 0:
        raise QuestionError("the change: nothing to change by; write a percent above zero such as '10 %'")
    now = price_of(book, asked)
    terms, goal = now.terms, now.goal
    if terms.unreached:
        raise QuestionError(f"{terms.product} cannot be sent from {terms.channel} to every zone; see netprice parcel")
    profit = _profit(goal, price)
    moved, unmoved = [], []
    for one in inputs_of(book, asked.ask):
        less, more = (_effect(book, asked, price, one, value, now, profit) for value in _ends(one, by))
        if less.profit == more.profit == profit and less.price == more.price == now.lowest_price:
            unmoved.append(one.name)
            continue
        moved.append(Moved(one, less, more, _break_even(book, asked, price, one, less, more)))
    moved.sort(key=lambda each: each.swing(profit), reverse=True)
    return Sensitivity(terms, goal, price, profit, now, by, tuple(moved), tuple(unmoved))


def _ends(one: Input, by: Fraction) -> tuple[Fraction, Fraction]:
    """Return the values to try: the ends of a range, else so much less and more, within what makes sense."""
    value = one.value or Fraction(0)
    low, high = value * (1 - by), value * (1 + by)
    if isinstance(one.value, Spread):
        low, high = one.value.ends.low, one.value.ends.high
    return max(low, min(one.least, value)), high if one.most is None else min(high, one.most)


def _effect(
    book: Book, asked: PriceAsk, price: Fraction | int, one: Input, value: Fraction, now: PriceAnswer, profit: Fraction
) -> Effect:
    changed, ask = with_value(book, asked.ask, one, value)
    terms = settle(changed, ask)
    if terms == now.terms:
        return Effect(value, profit, now.lowest_price)
    if terms.unreached:
        return Effect(value, None, None)
    goal = goal_of(changed, asked._replace(ask=ask), terms)
    return Effect(value, _profit(goal, price), solved(terms, goal, span_of(changed, ask, terms)).lowest_price)


def _profit(goal: Goal, price: Fraction | int) -> Fraction:
    return Fraction(bottom(order_ledger(goal.terms, price), goal.case).profit)


def _break_even(
    book: Book, asked: PriceAsk, price: Fraction | int, one: Input, less: Effect, more: Effect
) -> Fraction | None:
    """Return the value nearest to the one that holds, in its own steps, at which an order no longer breaks even."""
    if less.profit is None or more.profit is None or less.profit == more.profit or one.value is None:
        return None
    trial = Trial(book, asked._replace(target=break_even()), price, one)
    return _first_that_fails(trial, one, one.value, up=more.profit < less.profit) if trial.meets(one.value) else None


def _first_that_fails(trial: Trial, one: Input, start: Fraction, *, up: bool) -> Fraction | None:
    """Return the first value that fails, if any: further and further out, then by halves between the last two."""
    near, width = 0, 1
    step, limit = (one.unit.step, one.most) if up else (-one.unit.step, one.least)

    def at(steps: int) -> Fraction:
        value = start + steps * step
        if limit is None:
            return value
        return min(value, limit) if up else max(value, limit)

    while trial.meets(at(width)):
        if at(width) == limit or width > 10**9:
            return None
        near, width = width, width * 2
    while width - near > 1:
        middle = (near + width) // 2
        near, width = (middle, width) if trial.meets(at(middle)) else (near, middle)
    return at(width)
