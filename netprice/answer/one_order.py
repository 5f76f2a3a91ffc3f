"""One single order, not the average of many: every way it can go, with its exact chance and what it leaves.

An order goes to one zone, is or is not hit by each fee that takes a share of the orders, and is delivered, returned or
damaged. Nothing is sampled: all combinations are worked out by the rules of the ledger, with those fees in it or not.
What comes back counts at its expected worth, and fees per listing and per month at what they are for an average order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product
from typing import Final, NamedTuple

from netprice.ledger.arithmetic import EXACT, Arithmetic, Number
from netprice.ledger.order import OrderLedger, ZoneLedger, expected, order_ledger
from netprice.ledger.outcome import Outcome, OutcomeName
from netprice.ledger.terms import FeeTerms, Terms

# Fees beyond so many that each hit a share of the orders stay averages: each doubles the number of ways.
_MOST_SHARED: Final = 10


class End(NamedTuple):
    """One way an order can go: `hit` names the fees with a share that take it; money is in minor units."""

    zone: str
    hit: tuple[str, ...]
    outcome: OutcomeName
    chance: Number
    net_sales: Number
    profit: Number


class ByOutcome(NamedTuple):
    """All orders that end in one way: their chance, and the lowest, average and highest profit in minor units."""

    outcome: OutcomeName
    chance: Fraction
    lowest: Fraction
    average: Fraction
    highest: Fraction


class OneOrder(NamedTuple):
    """Every way one order can go, from the lowest profit up. All chances and amounts are exact."""

    ends: tuple[End, ...]

    @property
    def expected(self) -> Fraction:
        """Return the average profit; where no net sales are below zero it is the ledger's own."""
        return sum((end.chance * end.profit for end in self.ends), Fraction(0))

    @property
    def chance_of_loss(self) -> Fraction:
        """Return the chance that a single order loses money."""
        return sum((end.chance for end in self.ends if end.profit < 0), Fraction(0))

    @property
    def variance(self) -> Fraction:
        """Return the variance of a single order's profit, in minor units squared."""
        middle = self.expected
        return sum((end.chance * (end.profit - middle) ** 2 for end in self.ends), Fraction(0))

    @property
    def worst(self) -> End:
        """Return the way with the lowest profit, its chance that of all ways with that profit."""
        return self._alike(self.ends[0])

    @property
    def best(self) -> End:
        """Return the way with the highest profit, its chance that of all ways with that profit."""
        return self._alike(self.ends[-1])

    def _alike(self, end: End) -> End:
        same = (other.chance for other in self.ends if other.profit == end.profit)
        return end._replace(chance=sum(same, Fraction(0)))

    def at(self, share: Fraction) -> Fraction:
        """Return the smallest profit that at least this share of the orders stay at or below."""
        below = Fraction(0)
        for end in self.ends:
            below += end.chance
            if below >= share:
                return Fraction(end.profit)
        return Fraction(self.ends[-1].profit)

    def by_outcome(self) -> tuple[ByOutcome, ...]:
        """Return the orders that are delivered, returned and damaged, those that never happen left out."""
        names: Sequence[OutcomeName] = ("delivered", "returned", "damaged")
        groups = ((name, [end for end in self.ends if end.outcome == name]) for name in names)
        return tuple(_together(name, ends) for name, ends in groups if ends)


def _together(name: OutcomeName, ends: Sequence[End]) -> ByOutcome:
    chance = sum((end.chance for end in ends), Fraction(0))
    average = sum((end.chance * end.profit for end in ends), Fraction(0)) / chance
    return ByOutcome(name, chance, Fraction(ends[0].profit), average, Fraction(ends[-1].profit))


def one_order(terms: Terms, price: Fraction | int) -> OneOrder:
    """Return every way a single order at a price (minor units) can go, with exact chances."""
    ends = [end for end in every_end(terms, price) if end.chance]
    return OneOrder(tuple(sorted(ends, key=lambda end: end.profit)))


def ways(terms: Terms) -> int:
    """Return in how many ways an order can go, at most."""
    return 3 * len(terms.zones) << len(_shared(terms.fees))


def every_end(terms: Terms, price: Fraction | int, m: Arithmetic = EXACT) -> Iterator[End]:
    """Yield every way an order can go, also those with a chance of zero."""
    for fees, hit, chance in _patterns(terms.fees):
        ledger = order_ledger(replace(terms, fees=fees), price, m)
        for zone in ledger.zones:
            for outcome in zone.outcomes:
                net_sales, profit = _left(ledger, zone, outcome, m)
                weight = chance * zone.zone.share * outcome.chance
                yield End(zone.zone.name, hit, outcome.name, weight, net_sales, profit)


def _left(ledger: OrderLedger, zone: ZoneLedger, outcome: Outcome, m: Arithmetic) -> tuple[Number, Number]:
    """Return net sales and profit of an order that is certain to go this way; set-asides are of its own sales."""
    certain = zone._replace(
        zone=zone.zone._replace(share=Fraction(1)), outcomes=(outcome._replace(chance=Fraction(1)),)
    )
    totals = expected(ledger._replace(zones=(certain,)), m)
    return totals.net_sales, totals.profit


def _shared(fees: Sequence[FeeTerms]) -> list[int]:
    return [place for place, fee in enumerate(fees) if fee.share != 1][:_MOST_SHARED]


def _patterns(fees: Sequence[FeeTerms]) -> Iterator[tuple[tuple[FeeTerms, ...], tuple[str, ...], Number]]:
    """Yield each pattern of fees that hit an order or do not: the fees, the names of those that hit, the chance."""
    shared = _shared(fees)
    for hits in product((True, False), repeat=len(shared)):
        chance: Number = Fraction(1)
        for place, hit in zip(shared, hits, strict=True):
            chance = chance * (fees[place].share if hit else 1 - fees[place].share)
        hit_by = {place for place, hit in zip(shared, hits, strict=True) if hit}
        charged = tuple(
            fee._replace(share=Fraction(1)) if place in hit_by else fee
            for place, fee in enumerate(fees)
            if place in hit_by or place not in shared
        )
        yield charged, tuple(fees[place].name for place in sorted(hit_by)), chance
