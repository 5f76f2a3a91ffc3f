"""A month of a small shop: products that leave a round amount and take round hours, without any files.

A product's list price is what an order of it leaves, since nothing is paid for anything else unless a test says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from netprice.answer.capacity import Capacity, Use
from netprice.answer.shop import OpenShop
from netprice.book.fee_profile import FeeProfile
from netprice.book.product import Demand, MachineLine, Prices, Product
from netprice.book.shop import Book, Channel, Machine
from tests.build import Amount, frac
from tests.build_book import DAY, product, shop


def made(leaves: Amount, demand: Demand | None = None, *, on: str = "fair", **more: Any) -> Product:
    """Return a product by its list price; `hours` is what a unit takes of each machine."""
    hours: Mapping[str, Amount] = more.pop("hours", {})
    return product(
        prices=Prices(list_price=frac(leaves)),
        machine={name: MachineLine(time=frac(each), rate=Fraction(0)) for name, each in hours.items()},
        demand={on: demand} if demand else {},
        **more,
    )


def month(
    products: Mapping[str, Product],
    hours: Mapping[str, Amount],
    channels: Mapping[str, Channel] | None = None,
    profiles: Mapping[str, FeeProfile] | None = None,
    **more: Any,
) -> OpenShop:
    """Return a shop whose machines have so many hours a month."""
    machines = {name: Machine(rate=Fraction(0), hours_per_month=frac(each)) for name, each in hours.items()}
    whole = shop(machines=machines, channels=dict(channels or {"fair": Channel()}), **more)
    return OpenShop(Book(shop=whole, products=products, fee_profiles=profiles or {}, rate_cards={}))


def best(opened: OpenShop, *products: str, **more: Any) -> Capacity:
    return opened.capacity(*products, on=DAY, **more)


def orders(answer: Capacity) -> dict[str, int | None]:
    """Return the orders of each product of a shop that sells in one place."""
    return {offer.product: offer.orders for offer in answer.offers}


def use(answer: Capacity, name: str, kind: str = "machine") -> Use:
    (found,) = (each for each in answer.uses if each.resource == (kind, name))
    return found


def told(*values: object) -> tuple[object, ...]:
    """Return the values as one, so that fractions and whole numbers can be held against each other."""
    return values
