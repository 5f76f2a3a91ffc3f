"""The best measure that any allowed price reaches, for saying what is reachable where the target is not."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from netprice.answer.allowed import Allowed
from netprice.answer.curve import Curve, places_not_below
from netprice.answer.many import Many
from netprice.ledger.arithmetic import Number
from netprice.ledger.order import Bottom


class Best(NamedTuple):
    """The greatest measure and the smallest allowed price (in minor units) that reaches it."""

    price: int
    measure: Fraction


def best_reachable(curve: Curve, allowed: Allowed) -> Best | None:
    """Return the smallest allowed price with the greatest measure, or None where the measure is never defined.

    A first look at the allowed prices next to all break points gives a measure that is reached. Wherever a better one
    could be, within the slack that rounding leaves, every allowed price is then worked out exactly.
    """
    first_look = _best_of(curve, allowed.prices(_next_to_break_points(curve, allowed)))
    if first_look is None:
        every = np.arange(allowed.count, dtype=np.int64)
        return _best_of(curve, allowed.prices(every))
    at_least = curve.surplus(first_look.measure)
    places = places_not_below(curve, at_least, allowed)
    return _better(first_look, _best_of(curve, allowed.prices(places)))


def _next_to_break_points(curve: Curve, allowed: Allowed) -> npt.NDArray[np.int64]:
    near = [0, allowed.count - 1]
    for edge in curve.mesh.edges.tolist():
        place = allowed.first_from(edge)
        near += [place - 1, place]
    places = np.unique(np.asarray(near, dtype=np.int64))
    return places[(places >= 0) & (places < allowed.count)]


def _best_of(curve: Curve, prices: npt.NDArray[np.int64]) -> Best | None:
    """Return the best of these prices, in rising order: ranked by floats, then settled exactly among the close ones."""
    best: Best | None = None
    for start in range(0, len(prices), 65_536):
        part = prices[start : start + 65_536]
        found = curve.exactly(part)
        by = curve.goal.divisor(found)
        divisor = by.floats() if isinstance(by, Many) else np.full(len(part), float(by))
        defined = divisor > 0
        if not defined.any():
            continue
        measure = np.where(defined, found.profit.floats() / np.where(defined, divisor, 1.0), -np.inf)
        top = measure.max()
        for place in np.flatnonzero(measure >= top - 1e-9 * (1 + abs(top))):
            exact = curve.goal.measure(Bottom(*(_at(number, int(place)) for number in found)))
            if exact is not None and (best is None or exact > best.measure):
                best = Best(price=int(part[place]), measure=exact)
    return best


def _at(number: Number, place: int) -> Number:
    return number.at(place) if isinstance(number, Many) else number


def _better(one: Best, other: Best | None) -> Best:
    if other is None or (one.measure, -one.price) >= (other.measure, -other.price):
        return one
    return other
