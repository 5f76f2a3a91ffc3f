"""How an order travels: packed into parcels, offered to every rate card, zone by zone."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.book.product import Packing, Product
from netprice.book.rate_card import RateCard
from netprice.book.shop import Book, Channel, Delivery, Shop
from netprice.ledger.cost import CostLine, labour_rate
from netprice.ledger.freight import Quote, Refusal, Weighed, quote, weigh, worth_having
from netprice.ledger.parcel import Parcel
from netprice.ledger.terms import PackingTerms, ZoneTerms
from netprice.money import Rounding, minor_digits, round_to_whole


class Packed(NamedTuple):
    """One parcel of an order: how it is packed and how many of the order's units are in it."""

    name: str
    packing: Packing
    units: int
    parcel: Parcel


def parcels_of(product: Product, quantity: int) -> tuple[Packed, ...]:
    """Pack an order: into the first packing that holds it all, else into several of the one that holds most."""
    if not product.packing:
        return ()
    names = sorted(product.packing, key=lambda name: -product.packing[name].holds)
    whole = (name for name in product.packing if product.packing[name].holds >= quantity)
    name = next(whole, names[0])
    packing = product.packing[name]
    parcels = []
    while quantity > 0:
        units = min(quantity, packing.holds)
        weight = (packing.empty_weight or Fraction(0)) + units * (product.weight or Fraction(0))
        sides = (packing.length, packing.width, packing.height)
        parcels.append(Packed(name=name, packing=packing, units=units, parcel=Parcel(sides_mm=sides, weight_g=weight)))
        quantity -= units
    return tuple(parcels)


def packing_lines(shop: Shop, parcels: tuple[Packed, ...]) -> tuple[CostLine, ...]:
    """Return what the parcels of an order cost to pack: the packaging itself and the work of packing."""
    lines = []
    for packed in parcels:
        packing = packed.packing
        name = f"packing: {packed.name}"
        if packing.cost:
            lines.append(CostLine(name=name, kind="packing", per="order", share=packing.cost, how="outer packaging"))
        if packing.time:
            rate = labour_rate(shop, packing.paid_as or "packing")
            lines.append(
                CostLine(
                    name=f"{name}, work", kind="packing", per="order", share=rate * packing.time,
                    labour_hours=packing.time, how="packing time",
                )
            )  # fmt: skip
    return tuple(lines)


def carry(
    book: Book, channel: Channel, parcels: tuple[Packed, ...], *, currency: str, rounding: Rounding
) -> tuple[tuple[ZoneTerms, ...], tuple[Refusal, ...], tuple[str, ...]]:
    """Return the zones with the quotes for every parcel, the refusals, and the zones that nobody carries to."""
    shop = book.shop
    delivery = channel.delivery or shop.delivery
    shares = channel.zones if channel.zones is not None else shop.buyers.zones
    residential = shop.buyers.residential if channel.residential is None else channel.residential
    quantity = sum(packed.units for packed in parcels)
    weighed = [
        (Fraction(packed.units, quantity), _weighed(book, channel, delivery, packed.parcel, currency))
        for packed in parcels
        if delivery.rate_cards
    ]
    flat = None if delivery.rate_cards else _flat_quote(shop, channel, delivery, currency, rounding)
    zones, refusals, unreached = [], [], []
    for zone, share in (shares or {"all": Fraction(1)}).items():
        offered: list[tuple[Fraction, tuple[Quote, ...]]] = [] if flat is None else [(Fraction(1), (flat,))]
        for part, cards in weighed:
            answers = [quote(card, zone, residential=residential, worth=worth) for card, worth in cards]
            refusals += [answer for answer in answers if isinstance(answer, Refusal)]
            offered.append((part, worth_having([answer for answer in answers if isinstance(answer, Quote)])))
        if all(quotes for _, quotes in offered):
            name = parcels[0].name if parcels else ""
            zones.append(ZoneTerms(name=zone, share=share, packing=PackingTerms(name=name, parcels=tuple(offered))))
        elif share:
            unreached.append(zone)
    return tuple(zones), tuple(refusals), tuple(unreached)


def _weighed(
    book: Book, channel: Channel, delivery: Delivery, parcel: Parcel, currency: str
) -> list[tuple[Weighed, Fraction]]:
    """Return the parcel as each card measures it, and what the card's minor unit is worth in the channel's."""
    weighed = []
    for name in (delivery.service,) if delivery.service else delivery.rate_cards:
        card: RateCard = book.rate_cards[name]
        charged_in = card.currency or book.shop.currency
        worth = _worth(channel, charged_in, currency)
        weighed.append((weigh(card, parcel, card_digits=minor_digits(charged_in)), worth))
    return weighed


def _worth(channel: Channel, charged_in: str, currency: str) -> Fraction:
    """Return what a minor unit of the currency a label is charged in is in minor units of the channel's currency."""
    rate = (channel.exchange_rate or 1) if charged_in != currency else 1
    return Fraction(10 ** minor_digits(currency), 10 ** minor_digits(charged_in)) * rate


def _flat_quote(shop: Shop, channel: Channel, delivery: Delivery, currency: str, rounding: Rounding) -> Quote:
    cost = (delivery.label_cost or Fraction(0)) * 10 ** minor_digits(shop.currency)
    return Quote(
        service="flat",
        rate=round_to_whole(cost, rounding),
        surcharges=(),
        fuel=0,
        cover=None,
        worth=_worth(channel, shop.currency, currency),
    )
