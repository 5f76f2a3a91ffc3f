"""Products on channels at their prices, as things that a month can be filled with: what an order leaves and takes."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from netprice.answer.ask import PriceAsk, price_of
from netprice.answer.hours import Hours, Resource, batch_hours_of, hours_of
from netprice.answer.reason import reason
from netprice.book.product import Demand
from netprice.book.shop import Book
from netprice.ledger.cost import share_of_one
from netprice.ledger.measures import contribution, month_fees, with_replacements
from netprice.ledger.order import OrderLedger, order_ledger
from netprice.ledger.settle import settle


class Offered(NamedTuple):
    """A product on a channel; `list_price` in minor units of the channel's currency, or None for the one to solve."""

    asked: PriceAsk
    list_price: int | None


class Offer(NamedTuple):
    """A product on a channel at a price (in minor units of the channel's currency).

    `leaves` is the contribution of one order, in whole units of the shop's currency, and `takes` its hours; `made` is
    the good units that are made for it, replacements included. `in_use` is whether the price is the list price in use,
    rather than the lowest that meets the target. `orders` is how many of them a mix has; None where there is no mix.
    """

    product: str
    channel: str
    price: int
    currency: str
    digits: int
    in_use: bool
    quantity: int
    leaves: Fraction
    takes: Hours
    made: Fraction
    batch: Fraction
    """The good units of one batch."""
    batch_hours: Hours
    """The hours that a whole batch takes, whatever is in it."""
    demand: Demand
    fees_per_month: Fraction
    """What the channel takes a month if anything is sold on it, in whole units of the shop's currency."""
    orders: int | None = None

    def an_hour(self, resource: Resource) -> Fraction | None:
        """Return what an order leaves for each hour of a machine or of work that it takes; None if it takes none."""
        hours = self.takes.get(resource)
        return self.leaves / hours if hours else None

    def needs(self, resource: Resource) -> Fraction:
        """Return how much one order takes of a resource: hours, or one of the orders of its own channel."""
        if resource.kind == "channel":
            return Fraction(self.channel == resource.name)
        return self.takes.get(resource, Fraction(0))


class LeftOut(NamedTuple):
    """A product on a channel that has no price to be sold at, and why; `at_least` orders of it are promised."""

    product: str
    channel: str
    why: str
    at_least: int


def offers_of(book: Book, offered: Iterable[Offered]) -> tuple[tuple[Offer, ...], tuple[LeftOut, ...]]:
    """Return every product on a channel that has a price, and those that have none."""
    offers: list[Offer] = []
    left_out: list[LeftOut] = []
    for asked, list_price in offered:
        ask, terms = asked.ask, settle(book, asked.ask)
        price = list_price
        if price is None or terms.unreached:
            solved = price_of(book, asked)
            price = solved.lowest_price
        if price is None:
            promised = _demand(book, ask.product, ask.channel).at_least
            left_out.append(LeftOut(ask.product, ask.channel, reason(solved), promised))
        else:
            offers.append(_offer(book, order_ledger(terms, price), in_use=list_price is not None))
    return tuple(offers), tuple(left_out)


def _offer(book: Book, ledger: OrderLedger, *, in_use: bool) -> Offer:
    terms = ledger.terms
    batch = 1 / share_of_one(book.products[terms.product], "batch")
    orders_a_month = book.shop.channels[terms.channel].orders_per_month or 1
    return Offer(
        product=terms.product,
        channel=terms.channel,
        price=int(ledger.price),
        currency=terms.currency,
        digits=terms.digits,
        in_use=in_use,
        quantity=terms.quantity,
        leaves=contribution(ledger) / terms.worth,
        takes=hours_of(ledger),
        made=Fraction(with_replacements(terms, Fraction(terms.quantity))),
        batch=batch,
        batch_hours={resource: hours * batch for resource, hours in batch_hours_of(ledger).items()},
        demand=_demand(book, terms.product, terms.channel),
        fees_per_month=month_fees(ledger) * orders_a_month / terms.worth,
    )


def _demand(book: Book, product: str, channel: str) -> Demand:
    return book.products[product].demand.get(channel, Demand())
