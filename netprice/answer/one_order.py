"""One single order: every way it can turn out, with its chance and what it leaves.

Where an order goes, which of the fees that hit only some orders it is hit by, and whether it is delivered, returned or
damaged are independent of one another, so all ways can be counted out. Each is worked out by the rules of an order, in
which a fee that hits is due in full and one that does not is not there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import product
from typing import Final, NamedTuple

from netprice.errors import QuestionError
from netprice.ledger.arithmetic import EXACT, Arithmetic, Number
from netprice.ledger.order import order_ledger
from netprice.ledger.outcome import OutcomeName
from netprice.ledger.terms import FeeTerms, Terms

MOST_SHARED: Final = 10
"""So many fees that hit only some orders are counted out: each doubles the ways."""


class Ending(NamedTuple):
    """One way an order can turn out: its chance, and its profit and net sales in minor units."""

    zone: str
    outcome: OutcomeName
    fees: tuple[str, ...]
    """The fees that it is hit by, of those that hit only some orders."""
    chance: Number
    profit: Number
    net_sales: Number


def endings(terms: Terms, price: Number, m: Arithmetic = EXACT) -> Iterator[Ending]:
    """Yield every way an order can turn out that has a chance above zero.

    Set-asides are taken of what this order brings in, so the profits, weighted by their chances, add up to the expected
    profit wherever no order brings in less than nothing.
    """
    percent = sum((laid_by.percent for laid_by in terms.set_asides), Fraction(0))
    for names, chance, fees in _fees_hit(terms):
        for zone in order_ledger(replace(terms, fees=fees), price, m).zones:
            for outcome in zone.outcomes:
                if zone.zone.share and outcome.chance:
                    set_aside = m.most(outcome.net_sales, 0) * percent if percent else 0
                    yield Ending(
                        zone=zone.zone.name,
                        outcome=outcome.name,
                        fees=names,
                        chance=chance * zone.zone.share * outcome.chance,
                        profit=outcome.profit - set_aside,
                        net_sales=outcome.net_sales,
                    )


def _fees_hit(terms: Terms) -> Iterator[tuple[tuple[str, ...], Number, tuple[FeeTerms, ...]]]:
    """Yield which of the shared fees hit, the chance of just those, and all the fees that are due then."""
    shared = [fee for fee in terms.fees if fee.share != 1]
    if len(shared) > MOST_SHARED:
        raise QuestionError(
            f"{len(shared)} fees that hit only some orders on {terms.channel}; up to {MOST_SHARED} can be counted out"
        )
    for hits in product((True, False), repeat=len(shared)):
        hit = {id(fee): hits[place] for place, fee in enumerate(shared)}
        chance: Number = Fraction(1)
        for fee, is_hit in zip(shared, hits, strict=True):
            chance = chance * (fee.share if is_hit else 1 - fee.share)
        due = tuple(fee._replace(share=Fraction(1)) for fee in terms.fees if hit.get(id(fee), True))
        yield tuple(fee.name for fee in shared if hit[id(fee)]), chance, due
