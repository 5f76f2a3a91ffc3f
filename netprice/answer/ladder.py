"""A quantity price ladder: the unit price that meets the target in orders of 1, 2, 3 … units."""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from netprice.answer.ask import PriceAsk, price_of, span_of
from netprice.answer.goal import Goal
from netprice.answer.price import PriceAnswer
from netprice.answer.span import Span
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.terms import Terms

# Every rung is a whole search, and the ways to pack an order grow with it.
MOST_RUNGS: Final = 24


class Rung(NamedTuple):
    """Orders of `quantity` units. Prices are of one unit, in minor units.

    `answer` is what `solve` gives for that quantity. `off` is the discount on the single price, below zero where the
    rung is dearer, None where one of the two has no price. `dearer` says that the rung is dearer than the one before
    it. `even` is the rung's price in a ladder that never goes up: it too meets the target; None where there is none.
    """

    quantity: int
    answer: PriceAnswer
    off: Fraction | None
    dearer: bool
    even: int | None
    even_off: Fraction | None

    @property
    def price(self) -> int | None:
        """Return the lowest unit price that meets the target; None where none does or nobody carries the order."""
        return self.answer.lowest_price

    @property
    def packed_as(self) -> tuple[str, ...]:
        """Return the ways in which the order is packed, as they differ from zone to zone."""
        ledger = self.answer.ledger
        return () if ledger is None else tuple(dict.fromkeys(zone.packing.name for zone in ledger.zones))


class Ladder(NamedTuple):
    """The rungs of one product on one channel, from 1 unit an order up."""

    terms: Terms
    goal: Goal
    rungs: tuple[Rung, ...]

    @property
    def goes_up(self) -> bool:
        """Whether any rung is dearer than the one before it."""
        return any(rung.dearer for rung in self.rungs)

    @property
    def complete(self) -> bool:
        """Whether every rung has a price."""
        return all(rung.price is not None for rung in self.rungs)


def ladder(book: Book, asked: PriceAsk, most: int) -> Ladder:
    """Return the price ladder for orders of 1 to `most` units; each rung is met exactly as `solve` meets it."""
    if not 2 <= most <= MOST_RUNGS:
        raise QuestionError(f"a ladder of {most}; ask for one of 2 to {MOST_RUNGS} units an order")
    answers = [price_of(book, asked._replace(ask=asked.ask._replace(quantity=units))) for units in range(1, most + 1)]
    span = span_of(book, asked.ask, answers[0].terms)
    even = _never_up(answers, span)
    single, even_single = answers[0].lowest_price, even[0]
    rungs, before = [], single
    for units, (answer, price) in enumerate(zip(answers, even, strict=True), start=1):
        this = answer.lowest_price
        dearer = this is not None and before is not None and this > before
        rungs.append(Rung(units, answer, _off(this, single), dearer, price, _off(price, even_single)))
        before = this if this is not None else before
    return Ladder(answers[0].terms, answers[0].goal, tuple(rungs))


def _off(price: int | None, single: int | None) -> Fraction | None:
    return None if price is None or not single else 1 - Fraction(price, single)


def _never_up(answers: list[PriceAnswer], span: Span) -> list[int | None]:
    """Return the lowest prices that meet the target and never go up with the quantity, from the last rung down.

    A rung that would go up lifts those before it; where that takes one into a price trap, it goes to the trap's end.
    """
    even: list[int | None] = []
    least = 0
    for answer in reversed(answers):
        price = _lowest_from(answer, least, span)
        even.append(price)
        least = price if price is not None else least
    return even[::-1]


def _lowest_from(answer: PriceAnswer, least: int, span: Span) -> int | None:
    """Return the lowest allowed price from `least` on that meets the target, of those that were looked at."""
    if answer.lowest_price is None or answer.highest is None or least > answer.highest:
        return None
    price, allowed = max(answer.lowest_price, least), span.allowed(answer.highest)
    for trap in answer.traps:
        if trap.first <= price <= trap.last:
            place = allowed.first_from(trap.last + 1)
            if place >= allowed.count:
                return None
            price = allowed.price(place)
    return price
