"""The lowest allowed price that meets the target in a given share of the draws: the same draws at every price.

The surplus that this share of the draws keeps or passes is a line of the price that bends, but for rounding: between
the break points of the average order, and of orders with one input low or high, its root is searched for with nothing
rounded, and from so far below it that rounding cannot reach, every allowed price is tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NamedTuple

import numpy as np
from scipy.optimize import brentq

from netprice.answer.allowed import Allowed
from netprice.answer.curve import Curve
from netprice.answer.drawn import Drawn
from netprice.answer.goal import Goal
from netprice.answer.price import look
from netprice.answer.span import Span
from netprice.answer.sweep import Floats

# What floats blur, in minor units: a draw that is no further below the target meets it.
BLUR: Final = 1e-6
_FAR: Final = 1e15
# So many prices are tried in one go, one by one, and at most so many between two break points.
_AT_ONCE: Final = 64
_MOST_TRIED: Final = 20_000
# Prices further apart than this are looked at in between, whether there is a break point or not.
_APART: Final = 1.25


class Holding(NamedTuple):
    """A price in minor units and the share of the draws that meet the target there.

    `meets` tells whether that is the share asked for; where no price has it, this is the one with the most.
    """

    price: int
    share: float
    meets: bool


@dataclass(frozen=True, slots=True)
class Search:
    """A search for the lowest price at which at least `enough` draws meet the target."""

    drawn: Drawn
    enough: int
    allowed: Allowed
    slack: float
    """How far rounding can take the surplus from what it is with nothing rounded, in minor units; more than enough."""

    def kept(self, prices: Floats, *, rounded: bool = True) -> Floats:
        """Return for each price the surplus that enough draws have or pass: the price holds where it is not below 0."""
        surplus = self.drawn.surplus(prices, rounded=rounded)
        place = surplus.shape[1] - self.enough
        kept: Floats = np.clip(np.partition(surplus, place, axis=1)[:, place], -_FAR, _FAR)
        return kept

    def lowest(self, places: list[int]) -> int | None:
        """Return the first allowed place that holds, given places in rising order between which nothing breaks."""
        before: tuple[int, float] | None = None
        for start in range(0, len(places), _AT_ONCE // 4):
            some = places[start : start + _AT_ONCE // 4]
            for place, kept in zip(some, self.kept(self._prices(some)).tolist(), strict=True):
                found = self._between(before, (place, kept)) if before else None
                if found is not None:
                    return found
                if kept >= -BLUR:
                    return place
                before = place, kept
        return None

    def _between(self, before: tuple[int, float], after: tuple[int, float]) -> int | None:
        """Return the first place that holds between two places, the second included."""
        low, high = before[0], after[0]
        if max(before[1], after[1]) < -2 * self.slack:
            return None
        if before[1] < -2 * self.slack:
            low = max(low, self._root(low, high))
        return next(self._holding(low + 1, min(high, low + _MOST_TRIED)), None)

    def _root(self, low: int, high: int) -> int:
        """Return the last place before what is kept, nothing rounded, comes within the slack of zero."""
        first, last = self.allowed.price(low), self.allowed.price(high)

        def above(price: float) -> float:
            return float(self.kept(np.array([price]), rounded=False)[0]) + self.slack

        if above(first) >= 0:
            return low
        if above(last) <= 0:
            return high - 1
        root = brentq(above, first, last, xtol=0.25)
        return self.allowed.first_from(math.floor(root)) - 1

    def _holding(self, first: int, last: int) -> Iterator[int]:
        """Yield the places from first to last that hold, in rising order."""
        for start in range(first, last + 1, _AT_ONCE):
            some = list(range(start, min(start + _AT_ONCE, last + 1)))
            yield from (some[at] for at in np.flatnonzero(self.kept(self._prices(some)) >= -BLUR))

    def _prices(self, places: list[int]) -> Floats:
        return np.array([self.allowed.price(place) for place in places], dtype=np.float64)

    def share(self, places: list[int]) -> Floats:
        """Return the share of the draws that meet the target at each place."""
        meeting = self.drawn.surplus(self._prices(places)) >= -BLUR
        shares: Floats = np.mean(meeting, axis=1)
        return shares


def holding_price(
    drawn: Drawn, chance: Fraction, goal: Goal, span: Span, corners: Iterable[Goal] = ()
) -> Holding | None:
    """Return the lowest allowed price that meets the target with the chance; `goal` is that of the average order.

    Break points that move with an input in doubt lie where they are in the `corners`, and between them. None where the
    target has no meaning for this product.
    """
    curve, highest = look(goal.terms, goal, span)
    if curve.undefined:
        return None
    allowed = span.allowed(highest)
    enough = max(math.ceil(chance * drawn.draws.how_many), 1)
    search = Search(drawn, enough, allowed, 2 * curve.surplus().slack + 2 * goal.terms.quantity)
    moved = [Curve.of(each.terms, each, lowest=span.lowest, highest=highest).mesh.edges for each in corners]
    places = list(_places(np.unique(np.concatenate([curve.mesh.edges, *moved])), allowed))
    found = search.lowest(places)
    if found is not None:
        return Holding(allowed.price(found), float(search.share([found])[0]), meets=True)
    shares = search.share(places)
    best = int(np.argmax(shares))
    return Holding(allowed.price(places[best]), float(shares[best]), meets=False)


def _places(edges: Floats, allowed: Allowed) -> Iterator[int]:
    """Yield allowed places on both sides of every break point, and others so that none are far apart."""
    last = allowed.count - 1
    near = {0, last}
    for edge in edges.tolist():
        first = allowed.first_from(edge)
        near |= {place for place in range(first - 3, first + 3) if 0 <= place <= last}
    before: int | None = None
    for place in sorted(near):
        if before is not None:
            yield from _further(allowed, before, place)
        yield place
        before = place


def _further(allowed: Allowed, before: int, place: int) -> Iterator[int]:
    """Yield places between two, each at most `_APART` times as dear as the one before."""
    while True:
        further = allowed.first_from(allowed.price(before) * _APART)
        if further <= before or further >= place:
            return
        yield further
        before = further
