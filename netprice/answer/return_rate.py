"""The greatest return rate at which a goal still holds. Section 8 of the money model.

From one rate to the next an order changes along straight lines, with a corner at most where net sales kept fall to
nothing and set-asides end. So a goal can start or stop to hold once on either side of it, and halving finds the step at
which it does; every step that is looked at is worked out exactly. Since the line is bent downwards there, the rates
that hold are one run. The answer equals trying every step.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from netprice.answer.at_price import AtPrice
from netprice.answer.goal import Goal
from netprice.answer.refunded import HowRefunded, refunded
from netprice.ledger.order import OrderLedger, ZoneLedger, expected, order_ledger
from netprice.ledger.outcome import Outcome


class Greatest(NamedTuple):
    """The greatest return rate, in steps, at which a goal holds, and the greatest up to which every step does.

    They differ only where the goal fails without any returns: then `unbroken` is None. Both are where no rate holds.
    """

    rate: Fraction | None
    unbroken: Fraction | None


def greatest_rate(at: AtPrice, goal: Goal, how: HowRefunded, step: Fraction) -> Greatest:
    """Return the greatest return rate, up to 1 − damage rate, at which the goal holds if all returns go like that."""
    steps = int((1 - at.terms.outcomes.damage_rate) // step)
    order = with_every_outcome(at, how)

    def holds(place: int) -> bool:
        return goal.met_by(with_rate(order, place * step))

    def sells(place: int) -> bool:
        return bool(expected(with_rate(order, place * step)).net_sales > 0)

    corner = _first_change(sells, 0, steps)
    runs = [run for first, last in ((0, corner - 1), (corner, steps)) if (run := _run(holds, first, last))]
    if not runs:
        return Greatest(None, None)
    greatest = runs[-1][1] * step
    return Greatest(greatest, greatest if runs[0][0] == 0 else None)


def _first_change(test: Callable[[int], bool], first: int, last: int) -> int:
    """Return the first place at which a test that changes once at most differs from `first`; last + 1 if none."""
    at_first = test(first)
    return bisect_left(range(last + 1), True, lo=first, key=lambda place: test(place) != at_first)


def _run(holds: Callable[[int], bool], first: int, last: int) -> tuple[int, int] | None:
    """Return the first and last place of the run that holds, where that changes once at most."""
    if first > last:
        return None
    change = _first_change(holds, first, last)
    if holds(first):
        return first, change - 1
    return (change, last) if change <= last else None


def with_every_outcome(at: AtPrice, how: HowRefunded) -> OrderLedger:
    """Return an order at this price that has every way it can end in it, whatever their chances."""
    ends = how.ends._replace(return_rate=(1 - at.terms.outcomes.damage_rate) / 2)
    order = order_ledger(replace(at.terms, outcomes=ends), at.price)
    if how.share == 1:
        return order
    part = refunded(at.terms, at.price, how)
    zones = zip(order.zones, part.zones, strict=True)
    return order._replace(zones=tuple(zone._replace(outcomes=_swapped(zone, given)) for zone, given in zones))


def _swapped(zone: ZoneLedger, given: ZoneLedger) -> tuple[Outcome, ...]:
    """Return the zone's outcomes with the refund that is given in place of a whole one."""
    back = next(outcome for outcome in given.outcomes if outcome.name == "returned")
    return tuple(back if outcome.name == "returned" else outcome for outcome in zone.outcomes)


def with_rate(order: OrderLedger, rate: Fraction) -> OrderLedger:
    """Return the order with another return rate: the same outcomes, with other chances."""
    damaged = order.terms.outcomes.damage_rate
    chances = {"delivered": 1 - rate - damaged, "returned": rate, "damaged": damaged}
    zones = (
        zone._replace(outcomes=tuple(end._replace(chance=chances[end.name]) for end in zone.outcomes))
        for zone in order.zones
    )
    return order._replace(zones=tuple(zones))
