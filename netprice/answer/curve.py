"""Where an order meets a goal, over all allowed prices: straight lines to search on, exact arithmetic to confirm.

`Curve` runs the rules of an order once on `Lines`, which gives the surplus over the goal as straight lines between all
break points, with the slack that rounding leaves. Where the surplus is larger than the slack the sign is certain.
Everywhere else, around each root that scipy finds and wherever rounding could tip a tier, a threshold or a step, every
allowed price is worked out exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq

from netprice.answer.allowed import Allowed
from netprice.answer.goal import Goal
from netprice.answer.lines import LINES, Floats, Lines, LinesArithmetic, Mesh
from netprice.answer.many import MANY, Many
from netprice.ledger.order import bottom_line, order_ledger
from netprice.ledger.terms import Terms

_AT_ONCE = 65_536


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Net sales kept and profit of an order as lines of its price, nothing rounded."""

    terms: Terms
    goal: Goal
    mesh: Mesh
    net_sales: Lines
    profit: Lines

    @classmethod
    def of(cls, terms: Terms, goal: Goal, *, lowest: int, highest: int, m: LinesArithmetic = LINES) -> Curve:
        """Run the rules of an order on lines over [lowest, highest] minor units."""
        mesh = Mesh(float(lowest) - 0.5, float(highest) + 0.5)
        net, profit = bottom_line(order_ledger(terms, mesh.price(), m), goal.case, m)
        net = net if isinstance(net, Lines) else mesh.price() * 0 + net
        if goal.divisor is None:
            m.is_over(net, 0)  # a margin means nothing without net sales, so that crossing is a break point too
        return cls(terms=terms, goal=goal, mesh=mesh, net_sales=net, profit=profit)

    def surplus(self, at: Fraction | None = None) -> Lines:
        """Return the surplus over the goal, or over the measure `at`, as lines."""
        lines: Lines = self.goal.surplus(self.net_sales, self.profit, at)
        return lines

    def roots(self) -> list[float]:
        """Return the prices at which the surplus passes zero inside a stretch, by scipy's `brentq` on each."""
        at, slope = self.surplus().now()
        edges = self.mesh.edges
        end = at + slope * np.diff(edges)
        return [
            float(brentq(_line, 0.0, edges[place + 1] - edges[place], args=(at[place], slope[place])) + edges[place])
            for place in np.flatnonzero(at * end < 0)
        ]

    def doubtful(self) -> tuple[Floats, Floats]:
        """Return the intervals of prices in which rounding may tip a comparison in the rules."""
        if not self.mesh.doubtful:
            return np.empty(0), np.empty(0)
        low, high = zip(*self.mesh.doubtful, strict=True)
        return np.concatenate(low), np.concatenate(high)

    def meets(self, prices: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
        """Return, by exact arithmetic, which of these prices meet the goal."""
        parts = [self._meets_part(prices[start : start + _AT_ONCE]) for start in range(0, len(prices), _AT_ONCE)]
        return np.concatenate(parts) if parts else np.empty(0, dtype=bool)

    def _meets_part(self, prices: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
        net, profit = self.exactly(prices)
        meets = _each(self.goal.surplus(net, profit), prices) >= 0
        if self.goal.divisor is None:
            meets = meets & (_each(net, prices) > 0)
        return np.asarray(meets, dtype=np.bool_)

    def exactly(self, prices: npt.NDArray[np.int64]) -> tuple[Many, Many]:
        """Return net sales kept and profit at these prices, exactly."""
        many = Many(prices, 1, int(prices.max(initial=1)))
        net, profit = bottom_line(order_ledger(self.terms, many, MANY), self.goal.case, MANY)
        return _each(net, prices), _each(profit, prices)


def _line(price: float, at: float, slope: float) -> float:
    return at + slope * price


def _each(number: Many | Fraction | int, prices: npt.NDArray[np.int64]) -> Many:
    return number if isinstance(number, Many) else Many(np.zeros(len(prices), dtype=np.int64), 1, 0, number)


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """All allowed places as runs that meet the goal or fail it, in turn: `starts[i]` up to the next start."""

    starts: npt.NDArray[np.int64]
    meets: npt.NDArray[np.bool_]
    count: int

    def lowest(self) -> int | None:
        """Return the first place that meets."""
        met = np.flatnonzero(self.meets)
        return int(self.starts[met[0]]) if len(met) else None

    def failing_above(self, place: int) -> list[tuple[int, int]]:
        """Return each run of failing places above `place`, by its first and last place."""
        ends = np.append(self.starts[1:], self.count) - 1
        chosen = ~self.meets & (self.starts > place)
        return list(zip(self.starts[chosen].tolist(), ends[chosen].tolist(), strict=True))


def runs(curve: Curve, allowed: Allowed) -> Runs:
    """Settle every allowed price: by the sign of the lines where it is certain, exactly everywhere else."""
    surplus = curve.surplus()
    first, last = _places(_undecided(curve, surplus, roots=curve.roots()), allowed)
    checked = _spelled_out(first, last)
    # A certain run may begin after every interval, also after one that holds no allowed price at all.
    begins = np.unique(np.concatenate((np.zeros(1, dtype=np.int64), last + 1)))
    begins = np.setdiff1d(begins[(begins >= 0) & (begins < allowed.count)], checked, assume_unique=True)
    starts = np.concatenate((checked, begins))
    meets = np.concatenate((curve.meets(allowed.prices(checked)), _sign(curve, surplus, allowed.prices(begins))))
    order = np.argsort(starts, kind="stable")
    starts, meets = starts[order], meets[order]
    changes = np.concatenate(([True], meets[1:] != meets[:-1]))
    return Runs(starts=starts[changes], meets=meets[changes], count=allowed.count)


def places_not_below(curve: Curve, surplus: Lines, allowed: Allowed) -> npt.NDArray[np.int64]:
    """Return every allowed place at which the exact surplus might be zero or more."""
    return _spelled_out(*_places(_undecided(curve, surplus, roots=None), allowed))


def _undecided(curve: Curve, surplus: Lines, roots: list[float] | None) -> tuple[Floats, Floats]:
    """Return the price intervals in which the lines do not tell the sign of the exact surplus.

    That is within the slack of each root; within the slack of the ends of stretches that come close to zero; and
    wherever a comparison is doubtful. With no `roots` every price counts at which the surplus is not certainly below 0.
    """
    at, slope = surplus.now()
    left, width = curve.mesh.edges[:-1], np.diff(curve.mesh.edges)
    reach = surplus.slack + curve.mesh.blur
    flat = np.abs(slope) * width <= curve.mesh.blur
    steep = np.where(flat, 1.0, slope)
    below, above = (-reach - at) / steep, (reach - at) / steep  # where the line is at -reach and at +reach
    enters, leaves = np.minimum(below, above), np.maximum(below, above)
    if roots is None:
        enters = np.where(slope > 0, below, 0.0)
        leaves = np.where(slope > 0, width, below)
    enters = np.where(flat, 0.0, np.maximum(enters, 0.0))
    leaves = np.where(flat, width, np.minimum(leaves, width))
    close = np.where(flat, (at >= -reach) if roots is None else (np.abs(at) <= reach), enters <= leaves)
    low, high = [(left + enters)[close]], [(left + leaves)[close]]
    if roots:
        places = np.searchsorted(left, roots, side="right") - 1
        around = reach / np.maximum(np.abs(slope[places]), 1e-300)
        low.append(np.maximum(np.asarray(roots) - around, left[places]))
        high.append(np.minimum(np.asarray(roots) + around, (left + width)[places]))
    doubtful_low, doubtful_high = curve.doubtful()
    blur = curve.mesh.blur
    return np.concatenate((*low, doubtful_low)) - blur, np.concatenate((*high, doubtful_high)) + blur


def _sign(curve: Curve, surplus: Lines, prices: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
    place = np.searchsorted(curve.mesh.edges[:-1], prices, side="right") - 1
    shift = prices - curve.mesh.edges[:-1][place]
    at, slope = surplus.now()
    meets = at[place] + slope[place] * shift >= 0
    if curve.goal.divisor is None:
        at, slope = curve.net_sales.now()
        meets &= at[place] + slope[place] * shift > 0
    return np.asarray(meets, dtype=np.bool_)


def _places(
    intervals: tuple[Floats, Floats], allowed: Allowed
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return for each price interval its first and last allowed place; it holds none where the last is before the first."""
    low, high = intervals
    first = allowed.firsts_from(np.ceil(low).astype(np.int64))
    last = allowed.firsts_from(np.floor(high).astype(np.int64) + 1) - 1
    return np.maximum(first, 0), np.minimum(last, allowed.count - 1)


def _spelled_out(first: npt.NDArray[np.int64], last: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Return every place in the union of some intervals of places, in rising order."""
    order = np.argsort(first[last >= first], kind="stable")
    first, last = first[last >= first][order], last[last >= first][order]
    if not len(first):
        return np.empty(0, dtype=np.int64)
    first = np.maximum(first, np.concatenate(([first[0]], np.maximum.accumulate(last)[:-1] + 1)))
    lengths = np.maximum(last - first + 1, 0)
    return np.repeat(first - (np.cumsum(lengths) - lengths), lengths) + np.arange(int(lengths.sum()))
