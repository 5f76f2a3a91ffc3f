"""A vase that is listed on a few channels, and how its prices in use stand."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

from netprice.answer.ask import PriceAsk
from netprice.answer.reprice import Repricing, Standing, reprice
from netprice.book.fee_profile import Fee, FeeProfile
from netprice.book.product import Prices, Product
from netprice.book.readers import read_target
from netprice.book.shop import Book, Channel
from netprice.ledger.settle import Ask
from tests.build_book import bought, product, profile, shop

TODAY = dt.date(2026, 11, 25)
CHANGE = dt.date(2027, 1, 15)
DAY = dt.timedelta(days=1)

# 6.5 % of the goods, and from 15 January 2027 6.9 %.
BEFORE = Fee(name="sale", base="goods", percent=Fraction("0.065"), until=CHANGE - DAY)
SINCE = Fee(name="sale", base="goods", percent=Fraction("0.069"), from_=CHANGE)
DATED = profile(BEFORE, SINCE)


def vase(list_price: str | None = None, cost: str = "10", **more: Any) -> Product:
    """Return a vase that costs so much to make; `prices` are those of single channels."""
    by_channel = {name: Fraction(price) for name, price in more.pop("prices", {}).items()}
    own = Prices(list_price=None if list_price is None else Fraction(list_price))
    return product(bought={"blank": bought(cost)}, prices=own, list_prices=by_channel, **more)


def whole(made: Product, *fees: FeeProfile, target: str = "margin 30 %", **more: Any) -> Book:
    """Return a shop with a channel for each fee profile, fair, web and so on."""
    names = ("fair", "web", "club")[: len(fees)]
    channels = {name: more.pop(name, Channel(fee_profile=name, **more.pop(f"{name}_says", {}))) for name in names}
    cards = more.pop("cards", {})
    return Book(
        shop=shop(channels=channels, target=read_target(target), **more),
        products={"vase": made},
        fee_profiles=dict(zip(names, fees, strict=True)),
        rate_cards=cards,
    )


def asks(book: Book, on: dt.date = TODAY) -> list[PriceAsk]:
    return [PriceAsk(Ask(product="vase", channel=name, on=on)) for name in book.shop.channels]


def held(book: Book, on: dt.date = TODAY, *, ahead: int = 180, exact: bool = False) -> Repricing:
    return reprice(book, asks(book, on), ahead=ahead, exact=exact)


def only(book: Book, *, exact: bool = False) -> Standing:
    (stands,) = held(book, exact=exact).prices
    return stands
