"""Free shipping: what it costs to fold the label into the price, and from which order total it can be given away."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.answer.ask import PriceAsk, goal_of, span_of
from netprice.answer.goal import Goal
from netprice.answer.price import PriceAnswer, price
from netprice.answer.span import Span
from netprice.book.product import Case
from netprice.book.readers import Target
from netprice.book.shop import Book
from netprice.ledger.order import order_ledger
from netprice.ledger.settle import Ask, settle
from netprice.ledger.terms import ShippingTerms, Terms

# More units in one order than anybody waits for free shipping with.
MOST_UNITS: Final = 24
FREE: Final = ShippingTerms(policy="free", flat=0, threshold=Fraction(0), handling=Fraction(0), share=Fraction(0))


class Folded(NamedTuple):
    """The price that meets the target with shipping free, if all orders went to one zone. In minor units, or None."""

    zone: str
    share: Fraction
    price: int | None


class FreeShipping(NamedTuple):
    """What free shipping takes for one product on one channel. Prices and totals are in minor units.

    `now` is the answer under the channel's own policy, `free` the one with shipping free, `folded` the latter zone by
    zone. `units` is how many units at the list price make an order that can be sent free, and
    `total` what its goods come to: the least sensible free-from total for orders of this product.
    """

    terms: Terms
    now: PriceAnswer
    free: PriceAnswer
    folded: tuple[Folded, ...]
    list_price: int | None
    units: int | None
    total: int | None


def free_shipping(book: Book, asked: PriceAsk, list_price: int | None = None) -> FreeShipping:
    """Return what free shipping takes.

    `list_price` is the price in use, in minor units; without one it is the price that meets the target now.
    """
    terms = settle(book, asked.ask)
    goal, span = goal_of(book, asked, terms), span_of(book, asked.ask, terms)
    target, case = goal.target, goal.case
    now = price(terms, goal, span)
    sent_free = replace(terms, shipping=FREE)
    free = price(sent_free, Goal.of(target, case, sent_free), span)
    folded = tuple(
        Folded(zone.name, zone.share, _in_zone(sent_free, zone.name, target, case, span)) for zone in terms.zones
    )
    at = list_price if list_price is not None else now.lowest_price
    units = None if at is None or terms.unreached else _units(book, asked.ask, at, goal)
    total = None if units is None or at is None else _goods(_sent_free(book, asked.ask, units), at)
    return FreeShipping(terms, now, free, folded, at, units, total)


def _in_zone(terms: Terms, zone: str, target: Target, case: Case, span: Span) -> int | None:
    alone = tuple(each._replace(share=Fraction(1)) for each in terms.zones if each.name == zone)
    only = replace(terms, zones=alone)
    return price(only, Goal.of(target, case, only), span).lowest_price


def _units(book: Book, ask: Ask, at: int, goal: Goal) -> int | None:
    """Return the smallest order, in units, that meets the target at this list price with shipping free."""
    for units in range(1, MOST_UNITS + 1):
        terms = _sent_free(book, ask, units)
        if terms.unreached:
            continue
        wanted = Goal.of(goal.target, goal.case, terms)
        if wanted.met_by(order_ledger(terms, at)):
            return units
    return None


def _sent_free(book: Book, ask: Ask, units: int) -> Terms:
    return replace(settle(book, ask._replace(quantity=units)), shipping=FREE)


def _goods(terms: Terms, at: int) -> int:
    return int(order_ledger(terms, at).zones[0].sale.goods)
