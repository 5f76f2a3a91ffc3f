"""How an order travels to a zone at a price: the way of packing and the services with the lowest cost.

Labels of a zone plus what packing costs decide. Of equal ways the first stands: fewer parcels, then the file's order.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple, TypeAlias

from netprice.ledger.arithmetic import Arithmetic, Number
from netprice.ledger.freight import Label, label
from netprice.ledger.terms import PackingTerms, ZoneTerms

# Premiums that are known already, by the share of the goods that a parcel holds and the card's cover.
Premiums: TypeAlias = dict[Fraction, dict[int, Number]]


class Sent(NamedTuple):
    """How the order goes: what the labels cost, with and without insurance, and what packing adds to the order."""

    packing: PackingTerms
    labels: tuple[Label, ...]
    cost: Number
    bare: Number
    order_cost: Number
    hours: Number
    weighed: Number
    """Labels plus packing: what the ways of packing are compared by."""


def send(zone: ZoneTerms, goods: Number, m: Arithmetic, premiums: Premiums) -> Sent:
    """Return the cheapest way to send an order with these goods to the zone."""
    best = packed(zone.packing, goods, m, premiums)
    for other in zone.others:
        best = _cheaper(best, packed(other, goods, m, premiums), m)
    return best


def packed(packing: PackingTerms, goods: Number, m: Arithmetic, premiums: Premiums) -> Sent:
    """Return what it costs to send the order packed in this way; a parcel insures its units' share of the goods."""
    labels = tuple(
        label(quotes, goods * share if share != 1 else goods, m, premiums.setdefault(share, {}))
        for share, quotes in packing.parcels
    )
    cost, bare = labels[0].cost, labels[0].bare
    for further in labels[1:]:
        cost, bare = cost + further.cost, bare + further.bare
    return Sent(packing, labels, cost, bare, packing.order_cost, packing.labour_hours, cost + packing.cost)


def _cheaper(best: Sent, other: Sent, m: Arithmetic) -> Sent:
    wins = m.is_over(best.weighed, other.weighed)
    if isinstance(wins, bool):
        return other if wins else best
    return best._replace(
        cost=m.choose(wins, other.cost, best.cost),
        bare=m.choose(wins, other.bare, best.bare),
        order_cost=m.choose(wins, other.order_cost, best.order_cost),
        hours=m.choose(wins, other.hours, best.hours),
        weighed=m.choose(wins, other.weighed, best.weighed),
    )
