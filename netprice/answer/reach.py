"""Every step of a discount at once: at which of them an order holds, exactly.

The one function that makes an order's ledger is run on an array of discounts, as a search for a price runs it on an
array of prices.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from netprice.answer.goal import Goal
from netprice.answer.many import MANY, Many
from netprice.ledger.arithmetic import EXACT, Arithmetic, Condition
from netprice.ledger.order import OrderLedger, bottom, order_ledger
from netprice.ledger.terms import DiscountTerms, Terms

_AT_ONCE: Final = 65_536

Bools: TypeAlias = npt.NDArray[np.bool_]
Test: TypeAlias = Callable[[OrderLedger, Arithmetic], Condition]


class Reach(NamedTuple):
    """The discounts that hold, as shares of the goods or in minor units an order; None where not even none holds.

    `greatest` is the greatest that holds, `greatest_unbroken` the greatest up to which every step holds. They differ
    where a tier, a threshold or rounding breaks it in between: `gaps` has those runs by first and last discount.
    """

    greatest: Fraction | None
    greatest_unbroken: Fraction | None
    gaps: tuple[tuple[Fraction, Fraction], ...]


def one_more(terms: Terms, *, percent: Fraction | Many | None = None, amount: int | Many = 0) -> Terms:
    """Return the terms with one more discount, after all others; or with many of them at once."""
    return replace(terms, discounts=(*terms.discounts, DiscountTerms(percent, amount)))  # type: ignore[arg-type]


def scan(
    terms: Terms,
    price: Fraction | int,
    tests: Sequence[Test],
    count: int,
    *,
    percent: Fraction | None = None,
    amount: int = 0,
) -> list[Bools]:
    """Return for each test at which of the discounts 0, 1, 2 … times `percent` or `amount` it holds, exactly."""
    parts: list[list[Bools]] = []
    for start in range(0, count, _AT_ONCE):
        places = np.arange(start, min(start + _AT_ONCE, count), dtype=np.int64)
        times = Many(places, 1, count)
        many = one_more(terms, percent=None if percent is None else times * percent, amount=times * amount)
        order = order_ledger(many, price, MANY)
        parts.append([np.broadcast_to(np.asarray(test(order, MANY)), len(places)) for test in tests])
    return [np.concatenate(each) for each in zip(*parts, strict=True)]


def meets(goal: Goal, order: OrderLedger, m: Arithmetic = EXACT) -> Condition:
    """Return whether the order meets the goal, or where it does if it is worked out for many discounts at once."""
    return goal.meets(bottom(order, goal.case, m))


def reach_of(holds: Bools, step: Fraction) -> Reach:
    """Return how far discounts go that hold at these multiples of `step`.

    >>> reach_of(np.array([True, True, False, True, False]), Fraction(5))
    Reach(greatest=Fraction(15, 1), greatest_unbroken=Fraction(5, 1), gaps=((Fraction(10, 1), Fraction(10, 1)),))
    """
    if not holds.any():
        return Reach(None, None, ())
    greatest = int(np.flatnonzero(holds)[-1])
    changes = np.flatnonzero(np.diff(holds[: greatest + 1].astype(np.int8), prepend=1))
    gaps = [(int(first) * step, (int(end) - 1) * step) for first, end in zip(changes[::2], changes[1::2], strict=True)]
    unbroken = greatest * step if not gaps else gaps[0][0] - step
    return Reach(greatest * step, unbroken if unbroken >= 0 else None, tuple(gaps))
