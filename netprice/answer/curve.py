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
from netprice.answer.lines import LINES, Floats, Lines, LinesArithmetic, Mesh, as_lines
from netprice.answer.many import MANY, Many
from netprice.ledger.order import Bottom, bottom, order_ledger
from netprice.ledger.terms import Terms

_AT_ONCE = 65_536


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """What measures are made of, as lines of the list price, nothing rounded."""

    terms: Terms
    goal: Goal
    mesh: Mesh
    found: Bottom
    divisor: Lines | Fraction

    @classmethod
    def of(cls, terms: Terms, goal: Goal, *, lowest: int, highest: int, m: LinesArithmetic = LINES) -> Curve:
        """Run the rules of an order on lines over [lowest, highest] minor units."""
        mesh = Mesh(float(lowest) - 0.5, float(highest) + 0.5)
        found = bottom(order_ledger(terms, mesh.price(), m), goal.case, m)
        divisor = goal.divisor(found)
        if isinstance(divisor, Lines):
            m.is_over(divisor, 0)  # below it there is no measure, so that crossing is a break point too
        return cls(terms=terms, goal=goal, mesh=mesh, found=found, divisor=divisor)

    @property
    def undefined(self) -> bool:
        """Whether the measure has no meaning whatever the price is: there is nothing to divide by."""
        return not isinstance(self.divisor, Lines) and self.divisor <= 0

    def surplus(self, at: Fraction | None = None) -> Lines:
        """Return the surplus over the goal, or over the measure `at`, as lines."""
        return as_lines(self.mesh, self.goal.surplus(self.found, at))

    def zeros(self, surplus: Lines) -> Floats:
        """Return for each stretch how far from its left edge the surplus is zero, which may be outside the stretch.

        Inside a stretch it is scipy's `brentq` that finds the root; a line without a slope has none (nan).
        """
        at, slope = surplus.now()
        width = np.diff(self.mesh.edges)
        with np.errstate(divide="ignore", invalid="ignore"):
            zeros = np.where(slope == 0, np.nan, -at / slope)
        for place in np.flatnonzero(at * (at + slope * width) < 0):
            zeros[place] = brentq(_line, 0.0, width[place], args=(at[place], slope[place]))
        return zeros

    def roots(self) -> Floats:
        """Return the prices at which the surplus passes zero inside a stretch, from the lowest up."""
        at, slope = self.surplus().now()
        inside = at * (at + slope * np.diff(self.mesh.edges)) < 0
        roots: Floats = (self.mesh.edges[:-1] + self.zeros(self.surplus()))[inside]
        return roots

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
        found = self.exactly(prices)
        meets = _each(self.goal.surplus(found), prices) >= 0
        divisor = self.goal.divisor(found)
        if isinstance(divisor, Many):
            meets = meets & (divisor > 0)
        return np.asarray(meets, dtype=np.bool_)

    def exactly(self, prices: npt.NDArray[np.int64]) -> Bottom:
        """Return what measures are made of at these prices, exactly; net sales and profit are a `Many` each."""
        many = Many(prices, 1, int(prices.max(initial=1)))
        found = bottom(order_ledger(self.terms, many, MANY), self.goal.case, MANY)
        return found._replace(net_sales=_each(found.net_sales, prices), profit=_each(found.profit, prices))


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
    first, last = _places(_undecided(curve, surplus), allowed)
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
    return _spelled_out(*_places(_undecided(curve, surplus, and_above=True), allowed))


def _undecided(curve: Curve, surplus: Lines, *, and_above: bool = False) -> tuple[Floats, Floats]:
    """Return the price intervals in which the lines do not tell the sign of the exact surplus.

    That is where a line is within its slack of zero, and wherever a comparison in the rules is doubtful. With
    `and_above` every price counts as well at which the surplus is certainly above zero.
    """
    at, slope = surplus.now()
    left, width = curve.mesh.edges[:-1], np.diff(curve.mesh.edges)
    reach = surplus.slack + curve.mesh.blur
    flat = np.abs(slope) * width <= curve.mesh.blur
    half = reach / np.where(flat, 1.0, np.abs(slope))
    zeros = np.where(flat, 0.0, curve.zeros(surplus))
    enters, leaves = np.maximum(zeros - half, 0.0), np.minimum(zeros + half, width)
    close = np.where(flat, np.abs(at) <= reach, enters <= leaves)
    if and_above:
        enters = np.where(slope > 0, enters, 0.0)
        leaves = np.where(slope > 0, width, leaves)
        close = np.where(flat, at >= -reach, enters <= leaves)
    enters, leaves = np.where(flat, 0.0, enters), np.where(flat, width, leaves)
    doubtful_low, doubtful_high = curve.doubtful()
    low, high = (
        np.concatenate(((left + enters)[close], doubtful_low)),
        np.concatenate(((left + leaves)[close], doubtful_high)),
    )
    return low - curve.mesh.blur, high + curve.mesh.blur


def _sign(curve: Curve, surplus: Lines, prices: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
    place = np.searchsorted(curve.mesh.edges[:-1], prices, side="right") - 1
    shift = prices - curve.mesh.edges[:-1][place]
    at, slope = surplus.now()
    meets = at[place] + slope[place] * shift >= 0
    if isinstance(curve.divisor, Lines):
        at, slope = curve.divisor.now()
        meets &= at[place] + slope[place] * shift > 0
    return np.asarray(meets, dtype=np.bool_)


def _places(intervals: tuple[Floats, Floats], allowed: Allowed) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return each interval's first and last allowed place; it holds none where the last is before the first."""
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
