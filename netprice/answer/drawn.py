"""One order worked out for every draw of its inputs in doubt: by the rules of the ledger, run on arrays.

Inputs that decide which way a parcel goes are settled one joint value after the other; draws with the same ways to go
are worked out together.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Final, NamedTuple

import numpy as np

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.draws import Draws, Places, with_values
from netprice.answer.goal import Goal
from netprice.answer.sweep import Floats, Sweep, Sweeping, floats, surplus_of
from netprice.book.shop import Book
from netprice.ledger.arithmetic import EXACT, Number
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms
from netprice.money import Rounding

# So many numbers, prices times draws, are worked out in one go.
_AT_ONCE: Final = 2**19


class Unrounded(Sweeping):
    """`Sweeping` without rounding what depends on the price or on a draw: smooth, for finding where to look."""

    def rounded(self, amount: Number, rule: Rounding) -> Number:
        """Return the amount as it is; what is the same in all cases is rounded."""
        return amount if isinstance(amount, Sweep) else EXACT.rounded(amount, rule)


class Part(NamedTuple):
    """Draws that are worked out together: which ones, and their terms and goal, in which numbers are `Sweep`s."""

    chosen: Places
    terms: Terms
    goal: Goal


class AtPrice(NamedTuple):
    """What the average order comes to in each draw, in minor units; nan in draws in which nobody carries it.

    `surplus` is how far it is above the target in the target's case, minus infinity where there is no measure.
    """

    net_sales: Floats
    profit: Floats
    surplus: Floats


class Drawn(NamedTuple):
    """An order's terms in every draw."""

    draws: Draws
    parts: tuple[Part, ...]

    def at(self, price: Fraction | int) -> AtPrice:
        """Work the order out at a price in minor units, in each draw."""
        found = AtPrice(*(np.full(self.draws.how_many, empty) for empty in (np.nan, np.nan, -np.inf)))
        for part in self.carried():
            cases = len(part.chosen)
            m = Sweeping(cases)
            order = order_ledger(part.terms, price, m)
            average = bottom(order, "expected", m)
            held = average if part.goal.case == "expected" else bottom(order, part.goal.case, m)
            found.net_sales[part.chosen] = floats(average.net_sales)
            found.profit[part.chosen] = floats(average.profit)
            found.surplus[part.chosen] = surplus_of(part.goal, held, cases)
        return found

    def surplus(self, prices: Floats, *, rounded: bool = True) -> Floats:
        """Return by how much each draw is above the target at each price: one row for each price."""
        found = np.full((len(prices), self.draws.how_many), -np.inf)
        at_once = max(_AT_ONCE // self.draws.how_many, 1)
        for start in range(0, len(prices), at_once):
            rows = slice(start, start + at_once)
            tried = Sweep(np.asarray(prices[rows], dtype=np.float64)[:, None])
            for part in self.carried():
                cases = (len(tried.values), len(part.chosen))
                m = Sweeping(cases) if rounded else Unrounded(cases)
                held = bottom(order_ledger(part.terms, tried, m), part.goal.case, m)
                found[rows, part.chosen] = surplus_of(part.goal, held, cases)
        return found

    def carried(self) -> Iterator[Part]:
        """Yield the parts in which somebody carries the order to every zone with orders."""
        return (part for part in self.parts if not part.terms.unreached)

    @property
    def refused(self) -> float:
        """Return the share of draws in which nobody carries the order to some zone."""
        return sum(len(part.chosen) for part in self.parts if part.terms.unreached) / self.draws.how_many


def drawn(book: Book, asked: PriceAsk, draws: Draws) -> Drawn:
    """Settle an order's terms for every draw."""
    everything = np.arange(draws.how_many)
    if all(doubt.sweeps for doubt in draws.doubts):
        return Drawn(draws, (_part(book, asked, draws, everything),))
    parts = [_part(book, asked, draws, np.flatnonzero(np.isin(draws.places, alike))) for alike in
             _alike(book, asked, draws)]  # fmt: skip
    return Drawn(draws, tuple(parts))


def corners(book: Book, asked: PriceAsk, draws: Draws) -> Iterator[Goal]:
    """Yield the goal, with its exact terms, where one input after the other is low or high, the others at their means.

    Low and high are the ends of what was drawn, and the middle of either half.
    """
    means: list[Fraction] = [doubt.spread for doubt in draws.doubts]
    for row, drawn_values in enumerate(draws.values):
        for value in np.quantile(drawn_values, (0, 0.25, 0.75, 1)).tolist():
            values = [*means[:row], Fraction(value), *means[row + 1 :]]
            changed, ask = with_values(book, asked.ask, draws.doubts, values)
            terms = settle(changed, ask)
            if not terms.unreached:
                yield goal_of(changed, asked._replace(ask=ask), terms)


def _alike(book: Book, asked: PriceAsk, draws: Draws) -> list[list[int]]:
    """Return the places in groups whose parcels can go the same ways at the same rates."""
    # One and the same object stands for what is swept, so that terms compare as equal only where they are.
    middle = [Sweep(np.array([float(doubt.spread)])) for doubt in draws.doubts]
    known: list[tuple[object, list[int]]] = []
    for place, first in zip(*np.unique(draws.places, return_index=True), strict=True):
        values = [
            _exactly(draws, row, first) if not doubt.sweeps else middle[row] for row, doubt in enumerate(draws.doubts)
        ]
        m = Sweeping(1)
        terms = settle(*with_values(book, asked.ask, draws.doubts, values), m)
        ways = (terms.zones, terms.unreached)
        group = next((places for others, places in known if others == ways), None)
        if group is None:
            known.append((ways, [int(place)]))
        else:
            group.append(int(place))
    return [places for _, places in known]


def _part(book: Book, asked: PriceAsk, draws: Draws, chosen: Places) -> Part:
    m = Sweeping(len(chosen))
    values: list[Any] = [
        Sweep(draws.values[row, chosen]) if doubt.sweeps else _exactly(draws, row, int(chosen[0]))
        for row, doubt in enumerate(draws.doubts)
    ]
    changed, ask = with_values(book, asked.ask, draws.doubts, values)
    terms = settle(changed, ask, m)
    return Part(chosen, terms, goal_of(changed, asked._replace(ask=ask), terms))


def _exactly(draws: Draws, row: int, place: int) -> Fraction:
    return Fraction(float(draws.values[row, place]))
