"""An order worked out for many values of its inputs at once: the same rules, run on arrays of floats.

A `Sweep` stands for one number in many cases: many values of an input that is looked for, or many draws of inputs in
doubt. `settle` and `order_ledger` run on it with `Sweeping` as they do on exact numbers; floats only search, and
`Sweeping` notes in which cases a float was so close to a tie or an edge that only the ledger can decide.

    >>> import numpy as np
    >>> from fractions import Fraction
    >>> m = Sweeping(3)
    >>> minutes = Sweep(np.array([10.0, 11.0, 12.0]))
    >>> m.rounded(minutes * Fraction(26, 60) * 100, "half-up").values.tolist()
    [433.0, 477.0, 520.0]
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeAlias

import numpy as np
import numpy.typing as npt

from netprice.answer.goal import Goal
from netprice.ledger.arithmetic import EXACT, Number
from netprice.ledger.order import Bottom
from netprice.money import Rounding

Floats: TypeAlias = npt.NDArray[np.float64]
# Closer to a tie or an edge than this, in minor units, a float does not decide.
_BLUR: Final = 1e-6


class Sweep:
    """One number in many cases, as floats."""

    __slots__ = ("values",)

    def __init__(self, values: Floats) -> None:
        self.values = values

    def __neg__(self) -> Sweep:
        return Sweep(-self.values)

    def __add__(self, other: Number) -> Sweep:
        return Sweep(self.values + floats(other))

    __radd__ = __add__

    def __sub__(self, other: Number) -> Sweep:
        return Sweep(self.values - floats(other))

    def __rsub__(self, other: Number) -> Sweep:
        return Sweep(floats(other) - self.values)

    def __mul__(self, other: Number) -> Sweep:
        return Sweep(self.values * floats(other))

    __rmul__ = __mul__

    def __truediv__(self, other: Number) -> Sweep:
        return Sweep(_over(self.values, floats(other)))

    def __rtruediv__(self, other: Number) -> Sweep:
        return Sweep(_over(floats(other), self.values))


def _over(top: Any, bottom: Any) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):  # no orders, no units: there is no such order then
        quotient: Floats = np.nan_to_num(np.divide(top, bottom), nan=np.nan, posinf=np.nan, neginf=np.nan)
    return quotient


def floats(number: Number) -> Any:
    """Return the float or floats of a number."""
    return number.values if isinstance(number, Sweep) else float(number)


class Sweeping:
    """The operations of `Arithmetic` on `Sweep`; numbers that are alike in all cases are worked out exactly."""

    in_full = False

    def __init__(self, cases: int | tuple[int, ...]) -> None:
        self.doubtful: npt.NDArray[np.bool_] = np.zeros(cases, dtype=bool)
        """In which cases a comparison was too close to call: a tier, a threshold or a step may be the other one."""
        self.tied: npt.NDArray[np.bool_] = np.zeros(cases, dtype=bool)
        """In which cases a charge was so close to a tie that it may be one minor unit off."""

    def rounded(self, amount: Number, rule: Rounding) -> Number:
        """Return charged amounts in whole minor units; a tie that a float has blurred goes the way of a tie."""
        if not isinstance(amount, Sweep):
            return EXACT.rounded(amount, rule)
        values = amount.values
        twice = 2 * values
        near = np.rint(twice)
        close = np.abs(twice - near) < _BLUR
        at_edge = close & (near % 2 == (0 if rule in ("up", "down") else 1))
        self.tied |= at_edge
        clean = np.where(close, near / 2, values)
        return Sweep(_ROUNDED[rule](clean))

    def least(self, left: Number, right: Number) -> Number:
        """Return the smaller of the two in each case."""
        if not isinstance(left, Sweep) and not isinstance(right, Sweep):
            return min(left, right)
        return Sweep(np.minimum(floats(left), floats(right)))

    def most(self, left: Number, right: Number) -> Number:
        """Return the larger of the two in each case."""
        if not isinstance(left, Sweep) and not isinstance(right, Sweep):
            return max(left, right)
        return Sweep(np.maximum(floats(left), floats(right)))

    def is_over(self, left: Number, right: Number) -> Any:
        """Return in which cases `left` is strictly more than `right`."""
        if not isinstance(left, Sweep) and not isinstance(right, Sweep):
            return left > right
        gap = floats(left) - floats(right)
        self.doubtful |= np.abs(gap) < _BLUR
        return gap > _BLUR

    def choose(self, where: Any, then: Number, otherwise: Number) -> Number:
        """Return `then` in the cases where the condition holds and `otherwise` in the others."""
        if isinstance(where, (bool, np.bool_)):
            return then if where else otherwise
        return Sweep(np.where(where, floats(then), floats(otherwise)))

    def started_steps(self, amount: Number, step: Number) -> Number:
        """Return how many steps have been started in each case."""
        if not isinstance(amount, Sweep) and not isinstance(step, Sweep):
            return EXACT.started_steps(amount, step)
        steps = _over(floats(amount), floats(step))
        self.doubtful |= np.abs(steps - np.rint(steps)) < _BLUR
        return Sweep(np.maximum(np.ceil(steps - _BLUR), 0.0))


_ROUNDED: Final[dict[Rounding, Callable[[Floats], Floats]]] = {
    "half-up": lambda values: np.where(values < 0, np.ceil(values - 0.5), np.floor(values + 0.5)),
    "half-even": np.rint,
    "half-down": lambda values: np.where(values < 0, np.floor(values + 0.5), np.ceil(values - 0.5)),
    "up": lambda values: np.where(values < 0, np.floor(values), np.ceil(values)),
    "down": np.trunc,
}


def surplus_of(goal: Goal, found: Bottom, cases: int | tuple[int, ...]) -> Floats:
    """Return by how much each case is above the goal, in minor units; minus infinity where there is no measure."""
    divisor = np.broadcast_to(floats(goal.divisor(found)), cases)
    surplus = np.broadcast_to(floats(goal.surplus(found)), cases)
    return np.where((divisor > 0) & np.isfinite(surplus), surplus, -np.inf)
