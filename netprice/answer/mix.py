"""How many orders of each kind to take so that they leave the most: a search in floats, confirmed exactly.

`scipy.optimize.milp` looks for the whole orders, and what it finds is held against every limit in exact numbers;
`scipy.optimize.linprog` says what one more of each limited thing would be worth.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from typing import Final, NamedTuple

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import lil_array

# How long one search may take, in seconds: small shops need hundredths of one.
SECONDS: Final = 10.0
# What the solver may overstep a limit by without noticing.
_UNNOTICED: Final = 1e-6
_TRIES: Final = 6


class Limit(NamedTuple):
    """Something of which there is so much: `takes` is what one order of each kind takes of it, none below zero."""

    takes: tuple[Fraction, ...]
    there_is: Fraction


class Charge(NamedTuple):
    """An amount that is paid once if there is any order at all of these kinds, given by their places."""

    amount: Fraction
    kinds: tuple[int, ...]


class Choice(NamedTuple):
    """What there is to choose from: kinds of orders by their places, each with what one order leaves.

    `at_least` orders of a kind must be taken, `most` may be; None where there is no end.
    """

    leaves: tuple[Fraction, ...]
    at_least: tuple[int, ...]
    most: tuple[int | None, ...]
    limits: tuple[Limit, ...]
    charges: tuple[Charge, ...] = ()

    def taken(self, orders: Sequence[int]) -> tuple[Fraction, ...]:
        """Return what so many orders of each kind take of each limit."""
        return tuple(_dot(limit.takes, orders) for limit in self.limits)

    def left(self, orders: Sequence[int]) -> Fraction:
        """Return what so many orders of each kind leave after the charges."""
        charged = (charge.amount for charge in self.charges if any(orders[kind] for kind in charge.kinds))
        return _dot(self.leaves, orders) - sum(charged, Fraction(0))

    def with_limit(self, place: int, there_is: Fraction | None) -> Choice:
        """Return the same choice with so much of one limited thing, or without an end of it."""
        limits = list(self.limits)
        if there_is is None:
            limits[place] = Limit((Fraction(0),) * len(self.leaves), Fraction(0))
        else:
            limits[place] = limits[place]._replace(there_is=there_is)
        return self._replace(limits=tuple(limits))

    def ceiling(self, kind: int) -> int | None:
        """Return how many orders of a kind the limits leave room for if nothing else were made; None: without end."""
        fits = [limit.there_is // limit.takes[kind] for limit in self.limits if limit.takes[kind]]
        stated = self.most[kind]
        return min((*fits, *(() if stated is None else (stated,))), default=None)

    @property
    def endless(self) -> tuple[int, ...]:
        """Return the kinds of which more and more orders would leave more and more: no limit ends them."""
        return tuple(kind for kind, leaves in enumerate(self.leaves) if leaves > 0 and self.ceiling(kind) is None)


class Mix(NamedTuple):
    """So many orders of each kind, and what they leave; `short_of_best` is how much more another mix could leave.

    It is 0 where the search has proved that none leaves more (to a millionth of the unit that amounts are in).
    """

    orders: tuple[int, ...]
    left: Fraction
    short_of_best: Fraction


def best_mix(choice: Choice, seconds: float = SECONDS) -> Mix:
    """Return the mix of whole orders that leaves the most.

    The orders that must be taken have to fit within the limits, and no kind may be endless.

    >>> hour = Limit((Fraction(1), Fraction(1)), Fraction(8)), Limit((Fraction(3), Fraction(4)), Fraction(27))
    >>> best_mix(Choice((Fraction(8), Fraction(10)), (0, 0), (None, None), hour))
    Mix(orders=(5, 3), left=Fraction(70, 1), short_of_best=Fraction(0, 1))
    """
    tightened = [float(limit.there_is) for limit in choice.limits]
    best, bounds = choice.at_least, []
    for _ in range(_TRIES):
        found, bound = _search(choice, tightened, seconds)
        bounds.append(bound)
        if found is None:
            break
        over = _over(choice, found)
        if not over:
            best = max(best, found, key=choice.left)
            break
        for place, excess in over:  # by less than the solver notices: ask again for a little less
            tightened[place] -= float(excess) + 2 * _UNNOTICED * max(1.0, tightened[place])
    left = choice.left(best)
    short = bounds[0] - left  # what later searches prove, they prove for tightened limits
    return Mix(best, left, short if short > Fraction(1, 10**6) else Fraction(0))


def _over(choice: Choice, orders: tuple[int, ...]) -> list[tuple[int, Fraction]]:
    """Return the limits that so many orders overstep, by their places, and by how much."""
    taken = choice.taken(orders)
    over = (
        (place, took - limit.there_is) for place, (took, limit) in enumerate(zip(taken, choice.limits, strict=True))
    )
    return [(place, excess) for place, excess in over if excess > 0]


def _search(choice: Choice, there_is: Sequence[float], seconds: float) -> tuple[tuple[int, ...] | None, Fraction]:
    """Return the orders that the solver finds, if any, and what it has proved that no mix leaves more than."""
    kinds, charges = len(choice.leaves), len(choice.charges)
    most = np.array([_worth_taking(choice, kind) for kind in range(kinds)], dtype=float)
    charged = [(kind, kinds + place) for place, charge in enumerate(choice.charges) for kind in charge.kinds]
    rows = lil_array((len(choice.limits) + len(charged), kinds + charges))
    for place, limit in enumerate(choice.limits):
        rows[[place], :kinds] = np.array([[float(takes) for takes in limit.takes]])
    for place, (kind, charge) in enumerate(charged, len(choice.limits)):  # no order where the charge is not paid
        rows[place, kind], rows[place, charge] = 1.0, -most[kind]
    with _printing_nothing():
        found = milp(
            [-float(leaves) for leaves in choice.leaves] + [float(charge.amount) for charge in choice.charges],
            integrality=np.ones(kinds + charges, dtype=np.int64),
            bounds=Bounds([*choice.at_least, *[0] * charges], [*most, *[1] * charges]),
            constraints=LinearConstraint(rows.tocsr(), -np.inf, [*there_is, *[0.0] * len(charged)]),
            options={"mip_rel_gap": 0.0, "time_limit": seconds},
        )
    bound = _dot([max(leaves, Fraction(0)) for leaves in choice.leaves], [int(orders) for orders in most])
    if found.mip_dual_bound is not None and math.isfinite(found.mip_dual_bound):
        bound = Fraction(-float(found.mip_dual_bound))
    return None if found.x is None else tuple(round(orders) for orders in found.x[:kinds]), bound


@contextmanager
def _printing_nothing() -> Iterator[None]:
    """Keep lines out of the answer that the solver's own code prints past Python, as some versions of HiGHS do."""
    try:
        kept = os.dup(1)
    except OSError:  # there is no standard output
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _worth_taking(choice: Choice, kind: int) -> int:
    """Return the most orders of a kind that any best mix has: no more than must be where an order leaves nothing."""
    ceiling = choice.ceiling(kind) if choice.leaves[kind] > 0 else choice.at_least[kind]
    assert ceiling is not None  # no kind is endless
    return ceiling


def worths(choice: Choice, orders: Sequence[int]) -> tuple[Fraction, ...]:
    """Return what one more of each limited thing is worth where orders may be split, at the edge of the best mix.

    That is the shadow price: the dual value of the linear program in which the charges are those that `orders` pay.
    """
    closed = {kind for charge in choice.charges for kind in charge.kinds if not any(orders[k] for k in charge.kinds)}
    bounds = [
        (0, 0) if kind in closed else (choice.at_least[kind], choice.most[kind]) for kind in range(len(choice.leaves))
    ]
    if not choice.limits:
        return ()
    found = linprog(
        [-float(leaves) for leaves in choice.leaves],
        A_ub=np.array([[float(takes) for takes in limit.takes] for limit in choice.limits]),
        b_ub=[float(limit.there_is) for limit in choice.limits],
        bounds=bounds,
        method="highs",
    )
    if found.status:  # out of time or out of digits: say nothing rather than something wrong
        return (Fraction(0),) * len(choice.limits)
    return tuple(Fraction(-marginal).limit_denominator(10**9) for marginal in found.ineqlin.marginals)


def _dot(amounts: Sequence[Fraction], times: Sequence[int]) -> Fraction:
    return sum((amount * time for amount, time in zip(amounts, times, strict=True) if time), Fraction(0))
