"""What must hold between a product and the channels that it is sold on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from netprice.book.around import Around, Names
from netprice.book.check_prices import Layer, PriceRules, finer_than_minor
from netprice.book.mistakes import Mistake, Path, lacking, nearest
from netprice.book.product import Breakage, Product, Returns
from netprice.book.route import route_of
from netprice.book.shelf import packings_of
from netprice.book.shop import Channel, Shop
from netprice.money import show_exact

_PRICE_KEYS = ("step", "endings", "lowest", "highest", "list_price")


def check_selling(product: Product, around: Around) -> Iterator[Mistake]:
    """Give every mistake in how a product is sold."""
    for place, name in enumerate(product.channels or ()):
        if around.channels is not None and name not in around.channels:
            what = f"no such channel in the shop (got {name[:40]!r})"
            yield Mistake(("channels", place), what, nearest(name, around.channels, "take it out"))
    yield from _by_channel(product, around.channels)
    shop = around.shop
    if shop is None:
        return
    sold_on = shop.channels if product.channels is None else product.channels
    channels = {name: shop.channels[name] for name in sold_on if name in shop.channels}
    yield from _packed(product, shop, channels)
    yield from _once_each(_prices(product, shop, channels, around))
    yield from _once_each(_outcomes(product, shop, channels))


def _by_channel(product: Product, channels: Names) -> Iterator[Mistake]:
    """Check the channels that stand as names in the product's tables."""
    if channels is None:
        return
    sold_on = channels if product.channels is None else frozenset(product.channels)
    named = [("demand", name) for name in product.demand] + [("list_prices", name) for name in product.list_prices]
    for key, name in named:
        if name not in channels:
            what = f"no such channel in the shop (got {name[:40]!r})"
            yield Mistake((key, name), what, nearest(name, channels, "take it out"))
        elif name not in sold_on and sold_on <= channels:  # one of its channels that is misspelt may be this one
            what = f"not sold on this channel (got {name[:40]!r})"
            yield Mistake((key, name), what, f"take it out, or add {name[:40]!r} to channels")


def _once_each(mistakes: Iterator[Mistake]) -> Iterator[Mistake]:
    """Give only the first mistake at each key: the next channel would tell the same again."""
    told = set()
    for each in mistakes:
        if each.path not in told:
            told.add(each.path)
            yield each


def _packed(product: Product, shop: Shop, channels: dict[str, Channel]) -> Iterator[Mistake]:
    carried = (name for name, channel in channels.items() if route_of(shop, channel).delivery.rate_cards)
    by_card = next(carried, None)
    if product.size is not None and shop.boxes and not packings_of(product, shop.boxes):
        yield lacking(("size",), "fits in none of the boxes on the shelf", "add a larger box, or a packing of its own")
    elif by_card is not None and not packings_of(product, shop.boxes):
        what = f"missing table: {by_card[:40]} sends parcels by rate card, so their size must be known"
        yield lacking(("packing",), what, "add a table such as [packing.box] with length, width and height")


def _prices(product: Product, shop: Shop, channels: dict[str, Channel], around: Around) -> Iterator[Mistake]:
    if not product.list_prices and not any(getattr(product.prices, key) is not None for key in _PRICE_KEYS):
        return
    for name, channel in channels.items():
        currency = around.sells_in(channel)
        if currency is not None:
            listed = product.list_prices.get(name)
            if listed is not None and (finer := finer_than_minor(listed, currency)):
                yield Mistake(("list_prices", name), finer, "write a multiple of it")
            own = Layer(("prices",), product.prices if listed is None else replace(product.prices, list_price=None))
            rules = PriceRules((Layer((), shop.prices), Layer((), channel.prices, one_channel=True), own), currency)
            yield from (mistake for layer, mistake in rules.mistakes() if layer is own)


def _outcomes(product: Product, shop: Shop, channels: dict[str, Channel]) -> Iterator[Mistake]:
    own = Failing((), product.returns, product.breakage)
    for channel in channels.values():
        above = (Failing(None, shop.returns, shop.breakage), Failing(None, channel.returns, channel.breakage))
        yield from too_many_fail((*above, own))


class Failing(NamedTuple):
    """What one place says about returns and breakage; a path of None is a place that is looked at on its own."""

    path: Path | None
    returns: Returns
    breakage: Breakage


def too_many_fail(layers: tuple[Failing, ...]) -> Iterator[Mistake]:
    """Check that returned and damaged orders are together no more than all orders.

    A rate that a layer leaves out is taken from the layer before it. The mistake stands at the rate that was given
    last, unless that layer has no path.
    """
    returned = damaged = Fraction(0)
    at: Path | None = None
    for layer in layers:
        for key, rate in (("returns", layer.returns.rate), ("breakage", layer.breakage.rate)):
            if rate is not None:
                returned, damaged = (rate, damaged) if key == "returns" else (returned, rate)
                at = None if layer.path is None else (*layer.path, key, "rate")
    if returned + damaged > 1 and at is not None:
        total = show_exact((returned + damaged) * 100, 4)
        what = f"more failed orders than orders (got {total} % returned and damaged together)"
        yield Mistake(at, what, "lower one of the two rates")
