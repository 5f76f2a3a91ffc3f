"""One product on several channels, compared, from a few keywords. Amounts in whole units of the currency."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from netprice.answer.ask import PriceAsk
from netprice.answer.compare import Comparison, compare, contender
from netprice.book.fee_profile import Fee, FeeProfile
from netprice.book.product import Product
from netprice.book.readers import read_target
from netprice.book.shop import Book, Channel
from netprice.ledger.settle import Ask
from tests.build import Amount, frac, maybe
from tests.build_book import DAY, profile, shop


def a_month(amount: Amount) -> Fee:
    """Return a fee per month."""
    return Fee(name="rent", per="month", fixed=frac(amount))


def of_goods(percent: Amount) -> Fee:
    return Fee(name="commission", base="goods", percent=frac(percent))


def an_order(amount: Amount) -> Fee:
    return Fee(name="handling", fixed=frac(amount))


def channel(*fees: Fee, orders: Amount | None = None, **more: Any) -> tuple[Channel, FeeProfile]:
    """Return a channel with its fees; `orders` a month."""
    sells_in = more.pop("currency", "USD")
    selling = Channel(orders_per_month=maybe(orders), **more)
    return selling, profile(*fees, currency=sells_in)


def compared(
    made: Product,
    channels: Mapping[str, tuple[Channel, FeeProfile]],
    *,
    target: str = "break-even",
    at: Amount | None = None,
    monthly_profit: Amount | None = None,
    **more: Any,
) -> Comparison:
    """Return the channels of one product side by side; `more` is what else the shop says, `cards` its rate cards."""
    cards = more.pop("cards", {})
    selling = {name: replace(each, fee_profile=name) for name, (each, _) in channels.items()}
    book = Book(
        shop=shop(channels=selling, target=read_target(target), **more),
        products={"vase": made},
        fee_profiles={name: fees for name, (_, fees) in channels.items()},
        rate_cards=cards,
    )
    asks = [PriceAsk(Ask(product="vase", channel=name, on=DAY)) for name in channels]
    return compare(
        [contender(book, each) for each in asks],
        currency=book.shop.currency,
        common=None if at is None else frac(at),
        monthly_profit=None if monthly_profit is None else frac(monthly_profit),
    )
