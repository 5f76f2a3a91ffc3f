"""What stands in a shop's book, from a few keywords: products, shops, rate cards and profiles without files.

Amounts are in whole units of the currency, as they stand in a book.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from netprice.book.fee_profile import Fee, FeeProfile
from netprice.book.product import Batch, BoughtLine, LabourLine, MachineLine, MaterialLine, Packing, Product
from netprice.book.rate_card import RateCard
from netprice.book.readers import Ending, Purchase, read_target
from netprice.book.shop import Book, Channel, Shop
from netprice.ledger.settle import Ask, settle
from netprice.ledger.terms import Terms
from netprice.quantity import read_measure, read_purchase, read_quantity
from tests.build import Amount, frac, maybe

DAY = dt.date(2026, 6, 15)


def material(price: str, quantity: str | None = None, **more: Any) -> MaterialLine:
    """Return a material line: `price` such as "31.50 USD / 12.5 kg", or the price of one piece."""
    paid = Purchase(*read_purchase(price, "USD")) if "/" in price else Purchase(Fraction(price), None)
    return MaterialLine(price=paid, quantity=read_measure(quantity) if quantity else None, **_exact(more))


def machine_time(time: str, rate: Amount | None = None, **more: Any) -> MachineLine:
    return MachineLine(time=read_quantity(time, "time"), rate=maybe(rate), **more)


def labour(time: str, rate: Amount | None = None, **more: Any) -> LabourLine:
    return LabourLine(time=read_quantity(time, "time"), rate=maybe(rate), **more)


def bought(price: Amount, count: Amount = 1, **more: Any) -> BoughtLine:
    return BoughtLine(price=frac(price), count=frac(count), **more)


def batch(**numbers: Amount) -> Batch:
    return Batch(**{key: frac(value) for key, value in numbers.items()})


def product(**more: Any) -> Product:
    return Product(name="Vase", **more)


def packing(length: str, width: str, height: str, **more: Any) -> Packing:
    """Return a packing from its sides such as "30 cm"."""
    sides = [read_quantity(side, "length") for side in (length, width, height)]
    return Packing(length=sides[0], width=sides[1], height=sides[2], **more)


def shop(**more: Any) -> Shop:
    more.setdefault("channels", {"fair": Channel()})
    more.setdefault("target", read_target("break-even"))
    more.setdefault("currency", "USD")
    return Shop(name="Shop", **more)


def card(rates: Mapping[str, Iterable[tuple[Amount, Amount]]] | None = None, **more: Any) -> RateCard:
    """Return a rate card in centimetres and kilograms; breaks are (up to, price)."""
    breaks = {name: tuple((frac(w), frac(p)) for w, p in each) for name, each in (rates or {"near": ((5, 6),)}).items()}
    more.setdefault("length_unit", "cm")
    more.setdefault("weight_unit", "kg")
    more.setdefault("weight_step", Fraction(1))
    return RateCard(name=more.pop("name", "Van"), rates=breaks, **more)


def book(made: Product, channel: Channel | None = None, **more: Any) -> Book:
    """Return a shop that sells one product, "vase", on one channel, "fair"."""
    cards, fees = more.pop("cards", {}), more.pop("profile", None)
    return Book(
        shop=shop(channels={"fair": channel or Channel()}, **more),
        products={"vase": made},
        fee_profiles={"profile": fees} if fees else {},
        rate_cards=cards,
    )


def profile(*fees: Fee, **more: Any) -> FeeProfile:
    return FeeProfile(name="Storefront", currency=more.pop("currency", "USD"), fees=fees, **more)


def settled(whole: Book, on: dt.date = DAY, quantity: int | None = None) -> Terms:
    return settle(whole, Ask(product="vase", channel="fair", on=on, quantity=quantity))


def ending(text: str) -> Ending:
    """Return an ending written like ".95" or "80"."""
    return Ending(Fraction(f"0{text}" if text.startswith(".") else text), 10 ** len(text.partition(".")[0]))


def _exact(keywords: dict[str, Any]) -> dict[str, Any]:
    numbers = ("getting_cost", "waste", "units_per_piece")
    return {key: frac(value) if key in numbers else value for key, value in keywords.items()}
