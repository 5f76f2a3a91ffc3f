"""How an order travels: packed into parcels, offered to every rate card, zone by zone."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from netprice.book.product import Packing, Product
from netprice.book.rate_card import RateCard
from netprice.book.shop import Book, Channel, Delivery, Shop
from netprice.ledger.cost import CostLine, labour_rate
from netprice.ledger.freight import Quote, Refusal, quote, worth_having
from netprice.ledger.parcel import Parcel
from netprice.ledger.terms import PackingTerms, ZoneTerms
from netprice.money import Rounding, minor_digits, round_to_whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
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
    quantity = sum(packed.units for packed in parcels)
    zones, refusals, unreached = [], [], []
    for zone, share in (shares or {"all": Fraction(1)}).items():
        offered = []
        for packed in parcels if delivery.rate_cards else ():
            quotes, refused = _quotes(book, channel, delivery, packed.parcel, zone, currency)
            refusals += refused
            if not quotes and share and zone not in unreached:
                unreached.append(zone)
            offered.append((Fraction(packed.units, quantity), quotes))
        if not delivery.rate_cards:
            offered = [(Fraction(1), (_flat_quote(shop, channel, delivery, currency, rounding),))]
        if zone not in unreached:
            packing = PackingTerms(name=parcels[0].name if parcels else "", parcels=tuple(offered))
            zones.append(ZoneTerms(name=zone, share=share, packing=packing))
    return tuple(zones), tuple(refusals), tuple(unreached)


def _quotes(
    book: Book, channel: Channel, delivery: Delivery, parcel: Parcel, zone: str, currency: str
) -> tuple[tuple[Quote, ...], list[Refusal]]:
    quotes, refused = [], []
    for name in (delivery.service,) if delivery.service else delivery.rate_cards:
        card: RateCard = book.rate_cards[name]
        charged_in = card.currency or book.shop.currency
        answer = quote(
            card,
            parcel,
            zone,
            residential=book.shop.buyers.residential if channel.residential is None else channel.residential,
            card_digits=minor_digits(charged_in),
            worth=_worth(channel, charged_in, currency),
        )
        if isinstance(answer, Refusal):
            refused.append(answer)
        else:
            quotes.append(answer)
    return worth_having(quotes), refused


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
