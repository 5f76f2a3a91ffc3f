"""From a question about the shop to its answer: which terms hold, which target, which prices are allowed."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.answer.goal import Goal
from netprice.answer.price import PriceAnswer, price
from netprice.answer.span import Span
from netprice.book.product import Case
from netprice.book.readers import Target
from netprice.book.shop import Book
from netprice.ledger.settle import Ask, settle
from netprice.ledger.terms import Terms


class PriceAsk(NamedTuple):
    """A question for a price: whose, and the target and case where they differ from what the shop wrote down."""

    ask: Ask
    target: Target | None = None
    case: Case | None = None


def goal_of(book: Book, asked: PriceAsk, terms: Terms) -> Goal:
    """Return the goal that holds: the one asked for, else the product's, else the channel's, else the shop's."""
    shop, product, channel = book.shop, book.products[asked.ask.product], book.shop.channels[asked.ask.channel]
    target = asked.target or product.target or channel.target or shop.target
    return Goal.of(target, asked.case or product.case or channel.case or shop.case, terms)


def span_of(book: Book, ask: Ask, terms: Terms) -> Span:
    """Return the allowed prices: each key from the product, else from the channel, else from the shop."""
    product, channel = book.products[ask.product], book.shop.channels[ask.channel]
    return Span.of(product.prices, channel.prices, book.shop.prices, digits=terms.digits)


def list_price_of(book: Book, ask: Ask) -> Fraction | None:
    """Return the list price in use, in whole units of the channel's currency; None where nobody has written one.

    It is the product's own for this channel, else its `prices.list_price`, else the channel's or the shop's.
    """
    shop, product, channel = book.shop, book.products[ask.product], book.shop.channels[ask.channel]
    if ask.channel in product.list_prices:
        return product.list_prices[ask.channel]
    stated = (prices.list_price for prices in (product.prices, channel.prices, shop.prices))
    return next((price for price in stated if price is not None), None)


def price_of(book: Book, asked: PriceAsk) -> PriceAnswer:
    """Return the price that meets the target for one product on one channel."""
    terms = settle(book, asked.ask)
    return price(terms, goal_of(book, asked, terms), span_of(book, asked.ask, terms))
