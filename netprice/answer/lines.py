"""The rules of an order with nothing rounded, as straight lines of the price between its break points.

Between two break points everything an order comes to is a straight line of the list price. A `Lines` holds such lines,
one per stretch of a common `Mesh`; comparing two of them adds the prices where they cross to the mesh, so the break
points of every tier, cap, threshold and insurance step are found by running the very rules of an order.

Each `Lines` also carries `slack`, how far rounding can take the exact amount away from it. Where rounding could tip a
comparison the other way, the mesh notes the stretch as `doubtful`: there only the ledger can tell.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, TypeAlias

import numpy as np
import numpy.typing as npt

from netprice.ledger.arithmetic import EXACT, UNROUNDED, Number
from netprice.money import Rounding

Floats: TypeAlias = npt.NDArray[np.float64]
_HALF_UNIT: Final = {"half-up": 0.5, "half-even": 0.5, "half-down": 0.5, "up": 1.0, "down": 1.0}
# What floats blur, in minor units: far more than their error on prices below a million million of them.
_BLUR: Final = 1e-6


class Mesh:
    """The stretches between the break points found so far, from the lowest to the highest price."""

    def __init__(self, lowest: float, highest: float) -> None:
        self.edges: Floats = np.array([lowest, highest], dtype=np.float64)
        self.blur = max(_BLUR, highest * 1e-12)
        self._moves: list[tuple[npt.NDArray[np.intp], Floats]] = []
        self.doubtful: list[tuple[Floats, Floats]] = []

    @property
    def age(self) -> int:
        """Return how often the mesh has been refined."""
        return len(self._moves)

    def price(self) -> Lines:
        """Return the list price itself."""
        return Lines(self, self.edges[:-1], np.ones(len(self.edges) - 1), 0.0)

    def refine(self, points: Floats) -> None:
        """Add break points strictly inside the mesh."""
        edges = self.edges
        points = points[(points > edges[0]) & (points < edges[-1])]
        merged = np.unique(np.concatenate((edges, points)))
        if len(merged) == len(edges):
            return
        source = np.searchsorted(edges[:-1], merged[:-1], side="right") - 1
        self._moves.append((source, merged[:-1] - edges[:-1][source]))
        self.edges = merged

    def moved(self, age: int, at: Floats, slope: Floats) -> tuple[Floats, Floats]:
        """Bring lines of an earlier age up to date."""
        for source, shift in self._moves[age:]:
            slope = slope[source]
            at = at[source] + slope * shift
        return at, slope

    def current(self, age: int, holds: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
        """Bring a condition of an earlier age up to date."""
        for source, _ in self._moves[age:]:
            holds = holds[source]
        return holds

    def doubt(self, low: Floats, high: Floats) -> None:
        """Note that from `low` to `high` rounding may tip a comparison."""
        if len(low):
            self.doubtful.append((low - self.blur, high + self.blur))


class Lines:
    """One straight line per stretch: its value at the left edge, its slope, and the slack that rounding leaves."""

    __slots__ = ("_age", "_at", "_slope", "mesh", "slack")

    def __init__(self, mesh: Mesh, at: Floats, slope: Floats, slack: float) -> None:
        self.mesh = mesh
        self._at = at
        self._slope = slope
        self._age = mesh.age
        self.slack = slack

    def now(self) -> tuple[Floats, Floats]:
        """Return values at the left edges and slopes on the mesh as it is now."""
        if self._age != self.mesh.age:
            self._at, self._slope = self.mesh.moved(self._age, self._at, self._slope)
            self._age = self.mesh.age
        return self._at, self._slope

    def middle(self) -> Floats:
        """Return the values in the middle of the stretches."""
        at, slope = self.now()
        edges = self.mesh.edges
        return at + slope * ((edges[1:] - edges[:-1]) / 2)

    def __neg__(self) -> Lines:
        at, slope = self.now()
        return Lines(self.mesh, -at, -slope, self.slack)

    def __add__(self, other: Number) -> Lines:
        at, slope = self.now()
        if isinstance(other, Lines):
            other_at, other_slope = other.now()
            return Lines(self.mesh, at + other_at, slope + other_slope, self.slack + other.slack)
        return Lines(self.mesh, at + float(other), slope, self.slack)

    def __radd__(self, other: Number) -> Lines:
        return self.__add__(other)

    def __sub__(self, other: Number) -> Lines:
        at, slope = self.now()
        if isinstance(other, Lines):
            other_at, other_slope = other.now()
            return Lines(self.mesh, at - other_at, slope - other_slope, self.slack + other.slack)
        return Lines(self.mesh, at - float(other), slope, self.slack)

    def __rsub__(self, other: Number) -> Lines:
        at, slope = self.now()
        return Lines(self.mesh, float(other) - at, -slope, self.slack)

    def __mul__(self, factor: Fraction | float) -> Lines:
        by = float(factor)
        at, slope = self.now()
        return Lines(self.mesh, at * by, slope * by, self.slack * abs(by))

    __rmul__ = __mul__

    def __truediv__(self, divisor: Fraction | float) -> Lines:
        return self * (1 / float(divisor))


def as_lines(mesh: Mesh, number: Number) -> Lines:
    """Return the number as lines, also where no price moves it."""
    return number if isinstance(number, Lines) else mesh.price() * 0 + number


class LinesArithmetic:
    """The operations of `Arithmetic` on `Lines`; where no price is involved they are those of a ledger."""

    in_full = False

    def __init__(self, *, steps: bool = True, rounds_constants: bool = True) -> None:
        self._steps = steps
        self._constants = EXACT if rounds_constants else UNROUNDED

    def rounded(self, amount: Number, rule: Rounding) -> Number:
        """Leave the amount unrounded and widen the slack by what rounding can do; what no price moves is rounded."""
        if not isinstance(amount, Lines):
            return self._constants.rounded(amount, rule)
        at, slope = amount.now()
        if amount.slack == 0 and not slope.any() and bool((np.abs(at - np.rint(at)) < _BLUR).all()):
            return amount
        return Lines(amount.mesh, at, slope, amount.slack + _HALF_UNIT[rule])

    def least(self, left: Number, right: Number) -> Number:
        """Return the smaller of the two."""
        return self._pick(left, right, smaller=True)

    def most(self, left: Number, right: Number) -> Number:
        """Return the larger of the two."""
        return self._pick(left, right, smaller=False)

    def _pick(self, left: Number, right: Number, *, smaller: bool) -> Number:
        # Both lines meet where they cross, so no rounding can tip the choice by more than the slack.
        if not isinstance(left, Lines) and not isinstance(right, Lines):
            return min(left, right) if smaller else max(left, right)
        gap = _gap(left, right)
        _cross(gap)
        return _chosen(gap.mesh, (gap.middle() > 0) != smaller, left, right)

    def is_over(self, left: Number, right: Number) -> Any:
        """Return on which stretches `left` is strictly more than `right`."""
        if not isinstance(left, Lines) and not isinstance(right, Lines):
            return left > right
        gap = _gap(left, right)
        _cross(gap)
        _doubt_around_zero(gap)
        return Where(gap.mesh, gap.mesh.age, gap.middle() > 0)

    def choose(self, where: Any, then: Number, otherwise: Number) -> Number:
        """Return `then` on the stretches where the condition holds and `otherwise` elsewhere."""
        if not isinstance(where, Where):
            return then if where else otherwise
        return _chosen(where.mesh, where.mesh.current(where.age, where.holds), then, otherwise)

    def started_steps(self, amount: Number, step: Number) -> Number:
        """Return how many steps have been started, with a break point at every step."""
        if not isinstance(amount, Lines):
            return EXACT.started_steps(amount, step)
        if not self._steps:
            return 0
        steps = amount / step
        _cross_every_step(steps)
        started = np.maximum(np.ceil(steps.middle()), 0.0)
        return Lines(steps.mesh, started, np.zeros_like(started), 0.0)


@dataclass(frozen=True, slots=True)
class Where:
    """On which stretches of a mesh a condition holds."""

    mesh: Mesh
    age: int
    holds: npt.NDArray[np.bool_]


def _gap(left: Number, right: Number) -> Lines:
    gap: Lines = left - right
    return gap


def _chosen(mesh: Mesh, holds: npt.NDArray[np.bool_], then: Number, otherwise: Number) -> Lines:
    at, slope, slack = _parts(then)
    other_at, other_slope, other_slack = _parts(otherwise)
    return Lines(mesh, np.where(holds, at, other_at), np.where(holds, slope, other_slope), max(slack, other_slack))


def _parts(number: Number) -> tuple[Any, Any, float]:
    if isinstance(number, Lines):
        return (*number.now(), number.slack)
    return float(number), 0.0, 0.0


def _cross(gap: Lines) -> None:
    """Add the prices at which `gap` crosses zero inside a stretch to the mesh."""
    at, slope = gap.now()
    edges = gap.mesh.edges
    end = at + slope * (edges[1:] - edges[:-1])
    crossing = (at < 0) != (end < 0)
    if crossing.any():
        gap.mesh.refine(edges[:-1][crossing] - at[crossing] / slope[crossing])


def _doubt_around_zero(gap: Lines) -> None:
    """Note every price at which `gap` is so close to zero that rounding may put it on the other side."""
    at, slope = gap.now()
    edges = gap.mesh.edges
    width = edges[1:] - edges[:-1]
    reach = gap.slack + gap.mesh.blur
    flat = slope == 0
    steep = np.where(flat, 1.0, slope)
    near, far = (-reach - at) / steep, (reach - at) / steep
    low = np.where(flat, 0.0, np.maximum(np.minimum(near, far), 0.0))
    high = np.where(flat, width, np.minimum(np.maximum(near, far), width))
    doubtful = np.where(flat, np.abs(at) <= reach, low <= high)
    if doubtful.any():
        gap.mesh.doubt((edges[:-1] + low)[doubtful], (edges[:-1] + high)[doubtful])


def _cross_every_step(steps: Lines) -> None:
    """Add the prices at which `steps` passes 0, 1, 2 … to the mesh, and doubt what lies close to them."""
    at, slope = steps.now()
    left, width = steps.mesh.edges[:-1], np.diff(steps.mesh.edges)
    end, reach = at + slope * width, steps.slack + steps.mesh.blur
    low = np.maximum(np.ceil(np.minimum(at, end) - reach), 0)
    counts = np.maximum(np.floor(np.maximum(at, end) + reach) - low + 1, 0).astype(np.intp)
    piece = np.repeat(np.arange(len(at)), counts)
    level = low[piece] + np.arange(len(piece)) - np.repeat(np.cumsum(counts) - counts, counts)
    flat = slope[piece] == 0
    steep = np.where(flat, 1.0, slope[piece])
    where = np.where(flat, left[piece], left[piece] + (level - at[piece]) / steep)
    spread = np.where(flat, width[piece], reach / np.abs(steep))
    steps.mesh.doubt(where - spread, where + spread)
    steps.mesh.refine(where[~flat])


LINES: Final = LinesArithmetic()
# Insurance goes up in steps without end; without them the other break points end somewhere.
WITHOUT_STEPS: Final = LinesArithmetic(steps=False)
# For telling which price traps come from rounding alone: here even the constants stay as they are.
NOTHING_ROUNDED: Final = LinesArithmetic(rounds_constants=False)
