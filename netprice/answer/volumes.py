"""Orders a month: at which number of them another channel is the better one, and how many cover what is due anyway."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple


class Monthly(NamedTuple):
    """What a month on a channel leaves is `orders × per_order − fees`; all channels in one currency."""

    channel: str
    per_order: Fraction
    fees: Fraction


class Change(NamedTuple):
    """The number of orders a month, above zero, at which the two best channels are level."""

    orders: Fraction
    best_below: str
    best_above: str


def best_with_few_orders(channels: Sequence[Monthly]) -> Monthly:
    """Return the channel that leaves most in a month with next to no orders; of equal ones the first."""
    return max(channels, key=lambda each: (-each.fees, each.per_order))


def changes_of_best(channels: Sequence[Monthly]) -> tuple[Change, ...]:
    """Return every change of the best channel as equally many orders on each of them grow from none, exactly.

    >>> stall, shop = Monthly("stall", Fraction(9), Fraction(60)), Monthly("shop", Fraction(4), Fraction(10))
    >>> changes_of_best([stall, shop])
    (Change(orders=Fraction(10, 1), best_below='shop', best_above='stall'),)
    """
    if not channels:
        return ()
    best, changes = best_with_few_orders(channels), []
    # Whatever overtakes the best one leaves more an order and has the higher fees, so the lines cross above zero. Of
    # several that overtake it at once the one that leaves most an order is ahead from there on.
    while steeper := [each for each in channels if each.per_order > best.per_order]:
        orders, above = min(
            ((_level(best, each), each) for each in steeper), key=lambda met: (met[0], -met[1].per_order)
        )
        changes.append(Change(orders, best.channel, above.channel))
        best = above
    return tuple(changes)


def _level(one: Monthly, other: Monthly) -> Fraction:
    return (other.fees - one.fees) / (other.per_order - one.per_order)


def orders_to_cover(due: Fraction, contribution: Fraction) -> int | None:
    """Return the smallest whole number of orders whose contribution covers what is due; None where none do.

    >>> orders_to_cover(Fraction(100), Fraction(30)), orders_to_cover(Fraction(0), Fraction(-1))
    (4, 0)
    """
    if due <= 0:
        return 0
    return None if contribution <= 0 else math.ceil(due / contribution)
