"""What must hold between a channel and the fee profiles and rate cards that it names."""

from __future__ import annotations

from collections.abc import Iterator

from netprice.book.around import Around
from netprice.book.check_prices import Layer, PriceRules
from netprice.book.check_selling import Failing, too_many_fail
from netprice.book.fee_profile import FeeProfile
from netprice.book.mistakes import Mistake, Path, lacking, nearest, quoted
from netprice.book.shop import Channel, Delivery, Shop
from netprice.money import show_exact


def check_channels(shop: Shop, around: Around) -> Iterator[Mistake]:
    """Give every mistake in how the channels go with the other files and with the shop's own settings."""
    told = set()
    for each in _all(shop, around):
        # What is wrong with the shop's own settings is found again in every channel.
        if each.path not in told or each.path[:1] == ("channels",):
            told.add(each.path)
            yield each


def _all(shop: Shop, around: Around) -> Iterator[Mistake]:
    yield from _cards(shop.delivery, ("delivery",), around)
    for name, channel in shop.channels.items():
        at = ("channels", name)
        yield from _profile(channel, at, around)
        profile = around.profile(channel)
        if profile is not None:
            yield from _uses(channel, profile, at)
        yield from _exchange(channel, at, around)
        if channel.delivery is not None:
            yield from _cards(channel.delivery, (*at, "delivery"), around)
        yield from _card_currencies(channel, at, shop, around)
        currency = around.sells_in(channel)
        if currency is not None:
            layers = (Layer(("prices",), shop.prices), Layer((*at, "prices"), channel.prices, one_channel=True))
            yield from (mistake for _, mistake in PriceRules(layers, currency).mistakes())
        yield from too_many_fail(
            (Failing((), shop.returns, shop.breakage), Failing(at, channel.returns, channel.breakage))
        )


def _profile(channel: Channel, at: Path, around: Around) -> Iterator[Mistake]:
    name = channel.fee_profile
    if name is not None and name not in around.profiles and name not in around.shipped:
        mend = nearest(name, {*around.profiles, *around.shipped}, f"write fee_profiles/{name[:40]}.toml")
        yield Mistake((*at, "fee_profile"), f"no such fee profile (got {name[:40]!r})", mend)


def _uses(channel: Channel, profile: FeeProfile, at: Path) -> Iterator[Mistake]:
    monthly = [fee.name for fee in profile.fees if fee.per == "month"]
    if monthly and channel.orders_per_month is None:
        what = f"missing key: {quoted(monthly, 'and')} is paid per month and spread over the orders of a month"
        yield lacking((*at, "orders_per_month"), what, "add orders_per_month = the orders you expect here")
    names = {fee.name for fee in profile.fees}
    for name in channel.fee_shares:
        if name not in names:
            what = f"no fee of this name in the profile (got {name[:40]!r})"
            yield Mistake((*at, "fee_shares", name), what, nearest(name, names, "take it out"))


def _exchange(channel: Channel, at: Path, around: Around) -> Iterator[Mistake]:
    sells_in, counts_in = around.sells_in(channel), around.currency
    if channel.fee_profile is None and channel.fee_shares:
        first = next(iter(channel.fee_shares))
        yield lacking((*at, "fee_shares"), f"no fee profile to have fees (got {first[:40]!r})", "add fee_profile")
    if sells_in is None or counts_in is None:
        return
    if sells_in != counts_in and channel.exchange_rate is None:
        what = f"missing key: the channel sells in {sells_in} and the shop counts in {counts_in}"
        yield lacking((*at, "exchange_rate"), what, f"add exchange_rate = the {sells_in} for one {counts_in}")
    if sells_in == counts_in and channel.exchange_rate is not None:
        what = f"no use: the channel sells in {sells_in}, as the shop does (got {show_exact(channel.exchange_rate)})"
        yield lacking((*at, "exchange_rate"), what, "take it out")


def _cards(delivery: Delivery, at: Path, around: Around) -> Iterator[Mistake]:
    for place, name in enumerate(delivery.rate_cards):
        if name not in around.cards:
            mend = nearest(name, around.cards, f"write rate_cards/{name[:40]}.toml")
            yield Mistake((*at, "rate_cards", place), f"no such rate card (got {name[:40]!r})", mend)


def _card_currencies(channel: Channel, at: Path, shop: Shop, around: Around) -> Iterator[Mistake]:
    delivery, where = (channel.delivery, (*at, "delivery")) if channel.delivery else (shop.delivery, ("delivery",))
    currencies = (around.currency, around.sells_in(channel))
    for place, name in enumerate(delivery.rate_cards):
        card = around.cards.get(name)
        charged_in = card.currency if card else None
        if charged_in is not None and None not in currencies and charged_in not in currencies:
            what = f"a card in {charged_in}, which is neither the shop's nor the channel's currency (got {name[:40]!r})"
            mend = f"use cards in {' or '.join(each for each in dict.fromkeys(currencies) if each)}"
            yield Mistake((*where, "rate_cards", place), what, mend)
