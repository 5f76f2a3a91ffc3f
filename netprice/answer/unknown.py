"""Any input as the unknown: the greatest or smallest value of it at which a price still leaves the target.

Section 7 of the money model. Which way it goes is worked out, not guessed: values are looked at from the least to the
most, first by a sweep of floats over all of them, and wherever a float could be wrong by exact arithmetic. The answer
is the list of runs of values at which the target holds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, Literal, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.goal import Goal
from netprice.answer.inputs import Input, sweeps, with_value
from netprice.answer.sweep import Sweep, Sweeping, surplus_of
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.order import Bottom, bottom, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms

Places: TypeAlias = npt.NDArray[np.int64]
Bools: TypeAlias = npt.NDArray[np.bool_]
Direction = Literal["greatest", "smallest", "any", "none", "between"]

# So many values are looked at in one go; of more, first as many that lie evenly between the ends.
_AT_ONCE: Final = 65_536
_AT_ONCE_EXACTLY: Final = 257
# A float that is further from zero than this, in minor units for each unit of the order, is right about the sign,
# however many ties of rounding it may have got wrong.
_TIES: Final = 100
_FURTHEST: Final = 4096


class Values(NamedTuple):
    """The values to look at, in base units: `low`, `low + step` … up to `high`."""

    low: Fraction
    high: Fraction
    step: Fraction

    @property
    def how_many(self) -> int:
        """Return how many there are."""
        return max(math.floor((self.high - self.low) / self.step) + 1, 1)

    def at(self, place: int) -> Fraction:
        """Return the value at a place."""
        return self.low + place * self.step


class Unknown(NamedTuple):
    """At which values of an input a price leaves the target.

    `holds` are the runs of values that do, first and last, in rising order. `direction` says what kind of answer that
    is: up to the `greatest`, from the `smallest` on, at "any" or "none" of the values looked at, or "between" two.
    `unbroken` is the greatest (smallest) value up to (from) which every one holds.
    """

    terms: Terms
    goal: Goal
    price: Fraction | int
    input: Input
    values: Values
    direction: Direction
    holds: tuple[tuple[Fraction, Fraction], ...]
    at_ends: tuple[Fraction | None, Fraction | None]
    """The measure at the first and at the last value: a ratio, or minor units; None where it has no meaning."""

    @property
    def reach(self) -> Fraction | None:
        """Return the greatest or the smallest value that holds; None where it is neither."""
        if not self.holds:
            return None
        return self.holds[0][0] if self.direction == "smallest" else self.holds[-1][1]

    @property
    def unbroken(self) -> Fraction | None:
        """Return the last value of the run that begins at the end where the target holds."""
        if self.direction == "smallest":
            return self.holds[-1][0]
        return self.holds[0][1] if self.holds and self.holds[0][0] == self.values.low else None

    @property
    def holds_now(self) -> bool | None:
        """Return whether the target holds at the value that the file has; None if it has none."""
        value = self.input.value
        return None if value is None else any(first <= value <= last for first, last in self.holds)


def unknown(
    book: Book, asked: PriceAsk, price: Fraction | int, one: Input, *, step: Fraction | None = None,
    low: Fraction | None = None, high: Fraction | None = None,
) -> Unknown:  # fmt: skip
    """Return at which values of an input the price (in minor units) leaves the target.

    Without `low` and `high` values are looked at from the least that makes sense up to the most, or so far that the
    answer changes. `step` is the input's own unless given.
    """
    trial = Trial(book, asked, price, one)
    steps = one.unit.step if step is None else step
    first = one.least if low is None else low
    if steps <= 0:
        raise QuestionError(f"{one.name}: a step of {one.shown(steps)}; give a step above zero")
    if high is None:
        high = one.most if one.most is not None else trial.far_enough(first, steps)
    if high < first:
        raise QuestionError(f"{one.name}: from {one.shown(first)} to {one.shown(high)}; give ends that rise")
    values = Values(first, high, steps)
    holds = tuple((values.at(a), values.at(b)) for a, b in trial.runs(values))
    terms = settle(book, asked.ask)
    return Unknown(
        terms=terms,
        goal=goal_of(book, asked, terms),
        price=price,
        input=one,
        values=values,
        direction=_direction(holds, values),
        holds=holds,
        at_ends=(trial.measure(values.low), trial.measure(values.at(values.how_many - 1))),
    )


def _direction(holds: tuple[tuple[Fraction, Fraction], ...], values: Values) -> Direction:
    if not holds:
        return "none"
    from_first, to_last = holds[0][0] == values.low, holds[-1][1] == values.at(values.how_many - 1)
    if from_first and to_last:
        return "any" if len(holds) == 1 else "greatest"
    return "greatest" if from_first else "smallest" if to_last else "between"


@dataclass(slots=True)
class Trial:
    """One order at one price, with other values of one of its inputs."""

    book: Book
    asked: PriceAsk
    price: Fraction | int
    input: Input
    known: dict[Fraction, bool] = field(default_factory=dict)

    def meets(self, value: Fraction) -> bool:
        """Whether the price leaves the target with this value, exactly; where nobody carries the parcel it does not."""
        if value not in self.known:
            found = self._worked_out(value)
            self.known[value] = found is not None and bool(found[0].meets(found[1]))
        return self.known[value]

    def measure(self, value: Fraction) -> Fraction | None:
        """Return the measure with this value; None where it has no meaning or nobody carries the parcel."""
        found = self._worked_out(value)
        return None if found is None else found[0].measure(found[1])

    def _worked_out(self, value: Fraction) -> tuple[Goal, Bottom] | None:
        book, ask = with_value(self.book, self.asked.ask, self.input, value)
        terms = settle(book, ask)
        if terms.unreached:
            return None
        goal = goal_of(book, self.asked._replace(ask=ask), terms)
        return goal, bottom(order_ledger(terms, self.price), goal.case)

    def far_enough(self, low: Fraction, step: Fraction) -> Fraction:
        """Return a value so far up that the answer there is another than at the least, if there is any such value."""
        start = max(2 * (self.input.value or self.input.unit.size), low + step)
        at_least = self.meets(low)
        times = 1
        while self.meets(start * times) == at_least and times < _FURTHEST:
            times *= 4
        return low + math.ceil((start * times - low) / step) * step

    def runs(self, values: Values) -> Iterator[tuple[int, int]]:
        """Yield the runs of places at which the target holds, by first and last."""
        begun: int | None = None
        for place, holds in self._changes(values, 0, values.how_many - 1):
            if holds and begun is None:
                begun = place
            elif not holds and begun is not None:
                yield begun, place - 1
                begun = None
        if begun is not None:
            yield begun, values.how_many - 1

    def _changes(self, values: Values, first: int, last: int) -> Iterator[tuple[int, bool]]:
        """Yield the first place and every place at which the answer is another than just before."""
        try_out, at_once = self._tester(values)
        places = _evenly(first, last, at_once)
        holds = try_out(places)
        yield first, bool(holds[0])
        for before, after, was, now in zip(places[:-1], places[1:], holds[:-1], holds[1:], strict=True):
            if was != now:
                if after - before > 1:
                    inner = self._changes(values, int(before), int(after))
                    next(inner)
                    yield from inner
                else:
                    yield int(after), bool(now)

    def _tester(self, values: Values) -> tuple[Callable[[Places], Bools], int]:
        if sweeps(self.input):
            return (lambda places: self._swept(values, places)), _AT_ONCE
        return (lambda places: self._exactly(values, places)), _AT_ONCE_EXACTLY

    def _exactly(self, values: Values, places: Places) -> Bools:
        return np.fromiter((self.meets(values.at(int(place))) for place in places), dtype=bool, count=len(places))

    def _swept(self, values: Values, places: Places) -> Bools:
        """Return where the target holds: by floats where they are certain, exactly everywhere else."""
        if len(places) <= 2:
            return self._exactly(values, places)
        m = Sweeping(len(places))
        tried = Sweep(float(values.low) + places.astype(np.float64) * float(values.step))
        book, ask = with_value(self.book, self.asked.ask, self.input, tried)
        terms = settle(book, ask, m)
        goal = goal_of(book, self.asked._replace(ask=ask), terms)
        surplus = surplus_of(goal, bottom(order_ledger(terms, self.price, m), goal.case, m), len(places))
        # At a whole 0 or 100 % an order may follow other rules: a fee that is never charged, a zone without orders.
        edge = (tried.values <= 0) | (tried.values >= 1) if self.input.most is not None else tried.values <= 0
        unsure = m.doubtful | edge | (np.abs(surplus) < 1e-3)
        unsure |= m.tied & (np.abs(surplus) < _TIES * terms.quantity)
        holds = surplus >= 0
        for place in np.flatnonzero(unsure):
            holds[place] = self.meets(values.at(int(places[place])))
        return holds


def _evenly(first: int, last: int, most: int) -> Places:
    """Return all whole numbers from first to last or, of more than `most`, so many that lie evenly between them."""
    if last - first < most:
        return np.arange(first, last + 1, dtype=np.int64)
    return np.unique(np.linspace(first, last, most).astype(np.int64))
