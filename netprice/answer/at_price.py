"""The list price at which a question is answered: the one that is asked about, else the one that solve gives."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

from netprice.answer.ask import PriceAsk, goal_of, price_of
from netprice.answer.goal import Goal
from netprice.answer.reason import why_refused
from netprice.answer.spoken import Number, amount_said
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms
from netprice.money import in_minor

Source = Literal["asked", "solved", "best"]


class AtPrice(NamedTuple):
    """An order's terms, its goal, and the price in minor units; `source` is "best" where the target is out of reach."""

    terms: Terms
    goal: Goal
    price: Fraction | int
    source: Source


def at_price(book: Book, asked: PriceAsk, stated: Number | None = None) -> AtPrice:
    """Return the price to answer at: `stated`, in whole units, or the lowest that meets the target, or the best one.

    Raises `QuestionError` where nobody carries the product, or where no price leaves any sales.
    """
    terms = settle(book, asked.ask)
    must_be_carried(terms)
    if stated is not None:
        minor = in_minor(amount_said(stated, "the price"), terms.digits)
        return AtPrice(terms, goal_of(book, asked, terms), minor, "asked")
    found = price_of(book, asked)
    if found.lowest_price is not None:
        return AtPrice(terms, found.goal, found.lowest_price, "solved")
    if found.best is None:
        raise QuestionError(f"{terms.product} has no price on {terms.channel} to answer at; give one with --price")
    return AtPrice(terms, found.goal, found.best.price, "best")


def must_be_carried(terms: Terms) -> None:
    """Raise `QuestionError` for an order that cannot be sent to every zone with orders."""
    if terms.unreached:
        units = "" if terms.quantity == 1 else f" in orders of {terms.quantity}"
        raise QuestionError(
            f"{terms.product} cannot be sent{units} from {terms.channel}: {why_refused(terms)}; offer another rate card"
            " or packing, or ask about other channels with --channel"
        )
