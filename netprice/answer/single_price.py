"""One price for several channels: the lowest that meets the target on each of them, or on their orders together.

Both equal trying every price that is allowed on all of them. For all orders together, profit and what it is divided
by are summed over the channels, each weighted by its orders. Where channels have targets of their own, the orders
together have to leave as much profit as those targets want from them together; with one target for all that is the
target of the sum.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from netprice.answer.allowed import Allowed
from netprice.answer.curve import Curve, Runs, runs
from netprice.answer.goal import Goal
from netprice.answer.lines import LINES, Mesh
from netprice.answer.many import MANY, Many
from netprice.answer.price import BEYOND, PriceAnswer
from netprice.answer.span import Span
from netprice.book.readers import Target
from netprice.ledger.arithmetic import Arithmetic, Number
from netprice.ledger.order import Bottom, bottom, order_ledger


class Contender(NamedTuple):
    """A channel that is compared: its own price, the prices it allows, its orders a month (None if nobody said).

    `overhead` is what the shop pays a month whatever it sells, in whole units of the shop's currency; `list_price` the
    one in use, in whole units of the channel's.
    """

    answer: PriceAnswer
    span: Span
    orders: Fraction | None
    overhead: Fraction = Fraction(0)
    list_price: Fraction | None = None


def price_on_all(contenders: Sequence[Contender]) -> int | None:
    """Return the lowest price, in minor units, that is allowed and meets the target on every one of these channels.

    Each of them must have a price of its own, and all must sell in one currency. None where no allowed price does.
    """
    lowest = max((each.answer.lowest_price or 0 for each in contenders), default=0)

    def settled(allowed: Allowed) -> int | None:
        low, high = allowed.price(0), allowed.price(allowed.count - 1)
        curves = [Curve.of(each.answer.terms, each.answer.goal, lowest=low, highest=high) for each in contenders]
        return _first_in_all([runs(curve, allowed) for curve in curves])

    return _search(contenders, lowest, settled)


def price_of_mix(contenders: Sequence[Contender]) -> int | None:
    """Return the lowest price, in minor units, that meets the target on all orders of these channels together.

    It is allowed on every one of them. Each must have its orders a month, and all must sell in one currency. None where
    no allowed price does.
    """
    total = sum((each.orders or Fraction(0) for each in contenders), Fraction(0))
    parts = tuple(_Part((each.orders or Fraction(0)) / total, each.answer.goal) for each in contenders)

    def settled(allowed: Allowed) -> int | None:
        curve = _MixCurve.over(parts, lowest=allowed.price(0), highest=allowed.price(allowed.count - 1))
        return runs(curve, allowed).lowest()

    return _search(contenders, 0, settled)


def _search(contenders: Sequence[Contender], lowest: int, settled: Callable[[Allowed], int | None]) -> int | None:
    """Return the price at the first place that `settled` gives among the prices allowed on every channel."""
    if not contenders:
        return None
    lowest = max(lowest, *(each.span.lowest for each in contenders))
    for highest in _highest_prices(contenders):
        allowed = allowed_on_all([each.span for each in contenders], lowest=lowest, highest=highest)
        place = settled(allowed) if allowed.count else None
        if place is not None:
            return allowed.price(place)
    return None


def _highest_prices(contenders: Sequence[Contender]) -> list[int]:
    """Return up to which price to look, and how far if there is none: as far as stated, or past any break point."""
    stated = min((each.span.highest for each in contenders if each.span.highest is not None), default=None)
    looked_at = max((each.answer.highest or 0 for each in contenders if each.span.highest is None), default=stated or 0)
    if stated is not None:
        return sorted({min(looked_at, stated), stated})
    return [looked_at] if any(each.answer.terms.follows_price for each in contenders) else [looked_at, BEYOND]


def allowed_on_all(spans: Sequence[Span], *, lowest: int, highest: int) -> Allowed:
    """Return the prices in [lowest, highest] that every one of these spans allows; there may be none.

    >>> dimes, fives = Span(10, 900, 10, (), 2), Span(100, 900, 1, ((95, 100), (50, 100)), 2)
    >>> both = allowed_on_all([dimes, fives], lowest=100, highest=300)
    >>> [both.price(place) for place in range(both.count)]
    [150, 250]
    """
    patterns = [Allowed.of(lowest=0, highest=highest, step=span.step, endings=span.endings) for span in spans]
    period = math.lcm(*(pattern.period for pattern in patterns))
    sparsest = min(patterns, key=lambda pattern: len(pattern.rests) / pattern.period)
    candidates = (
        block + rest for block in range(0, min(period, highest + 1), sparsest.period) for rest in sparsest.rests
    )
    kept = [(frozenset(pattern.rests), pattern.period) for pattern in patterns if pattern is not sparsest]
    rests = tuple(price for price in candidates if all(price % by in allowed for allowed, by in kept))
    if not rests:
        return Allowed((), period, 0, 0)
    whole = Allowed(rests, period, 0, 0)
    first = whole.first_from(lowest)
    return Allowed(rests, period, first, max(whole.first_from(highest + 1) - first, 0))


def _first_in_all(settled: Sequence[Runs]) -> int | None:
    """Return the first place that meets in each of several runs over the same places."""
    starts = np.unique(np.concatenate([each.starts for each in settled]))
    meets = np.ones(len(starts), dtype=bool)
    for each in settled:
        meets &= each.meets[np.searchsorted(each.starts, starts, side="right") - 1]
    return int(starts[meets][0]) if meets.any() else None


class _Part(NamedTuple):
    """One channel of a mix: its share of the orders, and what its orders have to leave."""

    share: Fraction
    goal: Goal


@dataclass(frozen=True, slots=True, kw_only=True)
class _MixCurve(Curve):
    """The curve of all orders together, as if they were one order.

    Its profit is the surplus over the target, so it has to break even; its net sales are what is divided by.
    `terms` are those of the first channel and not used.
    """

    parts: tuple[_Part, ...]

    @classmethod
    def over(cls, parts: tuple[_Part, ...], *, lowest: int, highest: int) -> _MixCurve:
        """Run the rules of one order on each channel, all on the same mesh."""
        mesh = Mesh(float(lowest) - 0.5, float(highest) + 0.5)
        found = _together(parts, mesh.price(), LINES)
        terms = parts[0].goal.terms
        goal = Goal(target=Target("margin", Fraction(0)), case="expected", wanted=Fraction(0), terms=terms)
        LINES.is_over(found.net_sales, 0)  # below it there is no measure, so that crossing is a break point too
        return cls(terms=terms, goal=goal, mesh=mesh, found=found, divisor=found.net_sales, parts=parts)

    def exactly(self, prices: npt.NDArray[np.int64]) -> Bottom:
        """Return what the measure of the mix is made of at these prices, exactly; a `Many` each."""
        nothing = Many(np.zeros_like(prices), 1, 0)
        found = _together(self.parts, Many(prices, 1, int(prices.max(initial=1))), MANY)
        return found._replace(net_sales=nothing + found.net_sales, profit=nothing + found.profit)


def _together(parts: Iterable[_Part], price: Number, m: Arithmetic) -> Bottom:
    """Return the surplus of all parts as profit, and as net sales the least divisor of any kind of target."""
    surplus: Number = Fraction(0)
    divisors: dict[str, Number] = {}
    for share, goal in parts:
        found = bottom(order_ledger(goal.terms, price, m), goal.case, m)
        surplus = goal.surplus(found) * share + surplus
        kind = goal.target.kind
        divisors[kind] = goal.divisor(found) * share + divisors.get(kind, Fraction(0))
    return Bottom(
        net_sales=reduce(m.least, divisors.values()), profit=surplus, cost=Fraction(0), labour_hours=Fraction(0)
    )
