"""The list price that meets a target: the lowest one, the safe floor, and the price traps between them.

Section 7 of the money model. The answer equals what trying every allowed price would give.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal, NamedTuple

import numpy as np

from netprice.answer.allowed import Allowed
from netprice.answer.best import Best, best_reachable
from netprice.answer.curve import Curve, runs
from netprice.answer.goal import Goal
from netprice.answer.lines import NOTHING_ROUNDED, WITHOUT_STEPS
from netprice.answer.span import Span
from netprice.ledger.arithmetic import UNROUNDED
from netprice.ledger.order import OrderLedger, bottom, order_ledger
from netprice.ledger.terms import Terms

Status = Literal["met", "unreachable", "refused"]
# Far above any price of goods made by hand, in minor units: where the last break point is looked for.
BEYOND = 10**11
# Prices up to so many times what an order costs are looked at first: the price that is asked for is hardly above them.
_NEAR = 25


class Trap(NamedTuple):
    """A longest run of failing allowed prices above the lowest price, in minor units."""

    first: int
    last: int
    from_rounding: bool
    """Whether no price in it would fail if nothing were rounded: a matter of a cent or two."""


class PriceAnswer(NamedTuple):
    """The answer for one product on one channel. Prices are in minor units of the channel's currency."""

    terms: Terms
    goal: Goal
    status: Status
    highest: int | None
    lowest_price: int | None = None
    safe_floor: int | None = None
    traps: tuple[Trap, ...] = ()
    best: Best | None = None
    undefined: bool = False
    """Whether the measure has no meaning here: the product takes none of those hours, or costs nothing."""
    ledger: OrderLedger | None = None
    """The order at the lowest price or, where the target is out of reach, at the best price."""

    @property
    def reached(self) -> Fraction | None:
        """Return the measure at the price of the answer: a ratio, or whole units of the channel's currency."""
        if self.ledger is None:
            return None
        measure = self.goal.measure(bottom(self.ledger, self.goal.case))
        return None if measure is None else self.spoken(measure)

    def spoken(self, measure: Fraction) -> Fraction:
        """Return a measure as it is spoken of: a ratio as it is, money in whole units instead of minor ones."""
        return measure if self.goal.target.kind in ("margin", "markup") else measure / 10**self.terms.digits


def price(terms: Terms, goal: Goal, span: Span) -> PriceAnswer:
    """Return the lowest allowed price that meets the goal, the safe floor and the traps.

    Where the goal is out of reach the answer holds the best measure and the price where it is reached; where a zone
    with orders is carried by nobody the channel cannot sell the product, and the answer says `refused`.
    """
    if terms.unreached:
        return PriceAnswer(terms=terms, goal=goal, status="refused", highest=span.highest)
    curve, highest = look(terms, goal, span)
    if curve.undefined:
        return PriceAnswer(terms=terms, goal=goal, status="unreachable", highest=highest, undefined=True)
    allowed = span.allowed(highest)
    settled = runs(curve, allowed)
    lowest = settled.lowest()
    if lowest is None:
        best = best_reachable(curve, allowed)
        ledger = order_ledger(terms, best.price) if best else None
        return PriceAnswer(terms=terms, goal=goal, status="unreachable", highest=highest, best=best, ledger=ledger)
    failing = settled.failing_above(lowest)
    floor = lowest if not failing else failing[-1][1] + 1
    return PriceAnswer(
        terms=terms,
        goal=goal,
        status="met",
        highest=highest,
        lowest_price=allowed.price(lowest),
        safe_floor=allowed.price(floor) if floor < allowed.count else None,
        traps=_traps(terms, goal, allowed, failing),
        ledger=order_ledger(terms, allowed.price(lowest)),
    )


def look(terms: Terms, goal: Goal, span: Span) -> tuple[Curve, int]:
    """Return the curve to search on and the highest price to look at, in minor units.

    Where no highest price is given it is ten times the highest break point or root, rounded up to 1, 2 or 5 with
    noughts, so that no break point lies above it; where insurance on the goods goes up in steps without end, ten times
    the lowest root. Prices with certain endings get room for one more round of endings.
    """
    if span.highest is not None:
        span.allowed(span.highest)
        return Curve.of(terms, goal, lowest=span.lowest, highest=span.highest), span.highest
    if terms.follows_price:
        return _look_with_insurance(terms, goal, span)
    curve = Curve.of(terms, goal, lowest=span.lowest, highest=BEYOND)
    return curve, _noughts(10 * _last_of(curve, span)) + span.period


def _look_with_insurance(terms: Terms, goal: Goal, span: Span) -> tuple[Curve, int]:
    """Look for the lowest root among prices near the cost, then as far as the other break points and roots go."""
    highest = math.ceil(_NEAR * max(_cost(terms), float(span.lowest)))
    curve = Curve.of(terms, goal, lowest=span.lowest, highest=highest)
    root = min(map(float, curve.roots()), default=None)
    if root is None:
        without = Curve.of(terms, goal, lowest=span.lowest, highest=BEYOND, m=WITHOUT_STEPS)
        far = math.ceil(10 * _last_of(without, span))
        curve = Curve.of(terms, goal, lowest=span.lowest, highest=far)
        root = min(map(float, curve.roots()), default=far)
    highest = math.ceil(10 * root) + span.period
    if highest > curve.mesh.edges[-1]:
        curve = Curve.of(terms, goal, lowest=span.lowest, highest=highest)
    return curve, highest


def _cost(terms: Terms) -> float:
    """Return what a unit of an order costs to make, to pack and to send, without insurance, to the dearest zone."""
    sent = [
        zone.packing.order_cost + sum(min(quote.bare for quote in quotes) for _, quotes in zone.packing.parcels)
        for zone in terms.zones
    ]
    return max(float(terms.goods_cost + terms.order_cost + max(sent)) / terms.quantity, 1.0)


def _last_of(curve: Curve, span: Span) -> float:
    """Return the highest break point or root of the curve, or what the order costs where that is more."""
    found = (*curve.mesh.edges[1:-1][-1:].tolist(), *curve.roots()[-1:].tolist())
    return float(max(float(span.lowest), _cost(curve.terms), *found))


def _noughts(amount: float) -> int:
    """Round up to 1, 2 or 5 with noughts.

    >>> [_noughts(amount) for amount in (0.5, 1, 3.2, 47, 501, 1000.0000001)]
    [1, 1, 5, 50, 1000, 2000]
    """
    whole = max(math.ceil(amount), 1)
    ten = 10 ** (len(str(whole)) - 1)
    return next(int(step * ten) for step in (1, 2, 5, 10) if step * ten >= whole)


def _traps(terms: Terms, goal: Goal, allowed: Allowed, failing: list[tuple[int, int]]) -> tuple[Trap, ...]:
    if not failing:
        return ()
    smooth = Curve.of(
        terms, goal, lowest=allowed.price(failing[0][0]), highest=allowed.price(failing[-1][1]), m=NOTHING_ROUNDED
    )
    return tuple(
        Trap(
            first=allowed.price(first), last=allowed.price(last), from_rounding=_all_meet(smooth, allowed, first, last)
        )
        for first, last in failing
    )


def _all_meet(smooth: Curve, allowed: Allowed, first: int, last: int) -> bool:
    """Whether every allowed price of a trap would meet the goal if nothing were rounded."""
    low, high = allowed.price(first), allowed.price(last)
    edges = smooth.mesh.edges
    inside = edges[(edges > low) & (edges < high)]
    # Lines are lowest at the ends of a stretch, so the allowed prices next to the break points tell for all of them.
    places = {first, last}
    for edge in inside.tolist():
        near = allowed.first_from(edge)
        places |= {place for place in (near - 1, near) if first <= place <= last}
    return all(_meets_unrounded(smooth, allowed.price(place)) for place in sorted(places))


def _meets_unrounded(smooth: Curve, at: int) -> bool:
    place = int(np.searchsorted(smooth.mesh.edges[:-1], at, side="right")) - 1
    values, slopes = smooth.surplus().now()
    surplus = values[place] + slopes[place] * (at - smooth.mesh.edges[place])
    if surplus < -1:  # a whole minor unit below: no blur of floats reaches that far
        return False
    found = bottom(order_ledger(smooth.terms, Fraction(at), UNROUNDED), smooth.goal.case, UNROUNDED)
    return bool(smooth.goal.meets(found))
