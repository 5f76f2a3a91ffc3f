"""What each input moves: the profit of an order at a price, and the price that meets the target.

Every input is tried a tenth (or another share) less and more, one at a time, all else as it is. Both effects are exact:
the order is worked out anew, and the price is searched for anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.answer.ask import PriceAsk, goal_of, price_of
from netprice.answer.goal import Goal
from netprice.answer.inputs import Input, inputs_of, with_value
from netprice.answer.price import PriceAnswer
from netprice.answer.unknown import Trial
from netprice.book.kinds import Target
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms
from netprice.spread import Spread

BREAK_EVEN: Final = Target("break-even", Fraction(0))


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
    terms = now.terms
    profit = _profit(book, asked, price)
    if profit is None:
        raise QuestionError(f"{terms.product} cannot be sent from {terms.channel} to every zone; see netprice parcel")
    moved, unmoved = [], []
    for one in inputs_of(book, asked.ask):
        low, high = _ends(one, by)
        less, more = (_effect(book, asked, price, one, value, now, profit) for value in (low, high))
        if less.profit == more.profit == profit and less.price == more.price == now.lowest_price:
            unmoved.append(one.name)
            continue
        moved.append(Moved(one, less, more, _break_even(book, asked, price, one, less, more)))
    moved.sort(key=lambda each: each.swing(profit), reverse=True)
    goal = goal_of(book, asked, terms)
    return Sensitivity(terms, goal, price, profit, now, by, tuple(moved), tuple(unmoved))


def _ends(one: Input, by: Fraction) -> tuple[Fraction, Fraction]:
    """Return the values to try: the ends of a range, else so much less and more, within what makes sense."""
    value = one.value or Fraction(0)
    low, high = value * (1 - by), value * (1 + by)
    if isinstance(one.value, Spread):
        low, high = one.value.ends.low, one.value.ends.high
    if one.place is not None and one.place.path[-1] == "holds":
        return value, value
    return max(low, min(one.least, value)), high if one.most is None else min(high, one.most)


def _effect(
    book: Book, asked: PriceAsk, price: Fraction | int, one: Input, value: Fraction, now: PriceAnswer, profit: Fraction
) -> Effect:
    changed, ask = with_value(book, asked.ask, one, value)
    if settle(changed, ask) == now.terms:
        return Effect(value, profit, now.lowest_price)
    again = asked._replace(ask=ask)
    left = _profit(changed, again, price)
    return Effect(value, left, None if left is None else price_of(changed, again).lowest_price)


def _profit(book: Book, asked: PriceAsk, price: Fraction | int) -> Fraction | None:
    terms = settle(book, asked.ask)
    if terms.unreached:
        return None
    return Fraction(bottom(order_ledger(terms, price), goal_of(book, asked, terms).case).profit)


def _break_even(
    book: Book, asked: PriceAsk, price: Fraction | int, one: Input, less: Effect, more: Effect
) -> Fraction | None:
    """Return the value nearest to the one that holds, in its own steps, at which an order no longer breaks even."""
    if less.profit is None or more.profit is None or less.profit == more.profit or one.value is None:
        return None
    trial = Trial(book, asked._replace(target=BREAK_EVEN), price, one)
    if not trial.meets(one.value):
        return None
    return next((value for value in _outward(trial, one, up=more.profit < less.profit)), None)


def _outward(trial: Trial, one: Input, *, up: bool) -> Iterator[Fraction]:
    """Yield the first value that fails, if any: further and further out, then by halves between the last two."""
    assert one.value is not None
    step, near, width = one.unit.step, 0, 1
    limit = one.most if up else one.least

    def at(steps: int) -> Fraction:
        value = one.value + steps * step if up else one.value - steps * step  # type: ignore[operator]
        if limit is None:
            return value
        return min(value, limit) if up else max(value, limit)

    while trial.meets(at(width)):
        if at(width) == limit or width > 10**9:
            return
        near, width = width, width * 2
    while width - near > 1:
        middle = (near + width) // 2
        near, width = (middle, width) if trial.meets(at(middle)) else (near, middle)
    yield at(width)
