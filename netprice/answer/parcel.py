"""How an order travels: each packing as each card measures it, every label, and what a smaller box would save."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.book.editions import card_on
from netprice.book.product import Product
from netprice.book.rate_card import RateCard
from netprice.book.route import Route, route_of
from netprice.book.shelf import packings_of
from netprice.book.shop import Book
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.freight import Quote, Refusal, premium, quote, weigh
from netprice.ledger.packing import Box, boxes_of
from netprice.ledger.parcel import GRAMS, MILLIMETRES, Measured
from netprice.ledger.sale import goods_of
from netprice.ledger.send import send
from netprice.ledger.settle import Ask, settle
from netprice.ledger.terms import Terms
from netprice.money import minor_digits


class ZoneLabel(NamedTuple):
    """One service's label to one zone in whole units of the card's currency, or why it does not carry the parcel."""

    zone: str
    rate: Fraction
    surcharges: tuple[tuple[str, Fraction], ...]
    fuel: Fraction
    insurance: Fraction
    total: Fraction
    refused: str


class Rung(NamedTuple):
    """One weight break of a card and its price to each zone; `here` marks the one that the parcel falls in."""

    up_to: Fraction
    prices: tuple[tuple[str, Fraction | None], ...]
    here: bool


class CardView(NamedTuple):
    """A parcel as one rate card sees it. Sides, weights and the volume are in the card's own units."""

    service: str
    length_unit: str
    weight_unit: str
    currency: str
    digits: int
    as_measured: tuple[Fraction, Fraction, Fraction]
    weight: Fraction
    measured: Measured
    labels: tuple[ZoneLabel, ...]
    ladder: tuple[Rung, ...]


class ParcelView(NamedTuple):
    """One way to pack some units of the product, in millimetres and grams, as every card sees it."""

    packing: str
    units: int
    sides_mm: tuple[Fraction, Fraction, Fraction]
    weight_g: Fraction
    cards: tuple[CardView, ...]


class SentTo(NamedTuple):
    """How an order really goes to a zone: the way of packing, the services, and what labels cost altogether."""

    zone: str
    share: Fraction
    way: str
    packings: tuple[str, ...]
    services: tuple[str, ...]
    label_cost: Fraction


class Trim(NamedTuple):
    """The least that comes off one side of a packing before an order gets cheaper to send, and by how much."""

    packing: str
    side: str
    off_mm: int
    saves: Fraction


class ParcelAnswer(NamedTuple):
    """Everything about the parcels of an order. `sent` and `trims` are in whole units of `currency`, the channel's."""

    product: str
    channel: str
    currency: str
    digits: int
    quantity: int
    price: Fraction
    parcels: tuple[ParcelView, ...]
    sent: tuple[SentTo, ...]
    average: Fraction | None
    refused: tuple[str, ...]
    trims: tuple[Trim, ...]


def parcel_of(book: Book, ask: Ask, price: Fraction) -> ParcelAnswer:
    """Return how an order at this list price (whole units of the channel's currency) travels."""
    terms, product = settle(book, ask), book.products[ask.product]
    scale = Fraction(10**terms.digits)
    sent = tuple(_sent(terms, price * scale))
    average = None if terms.unreached else label_average(terms, price * scale) / scale
    return ParcelAnswer(
        product=ask.product,
        channel=ask.channel,
        currency=terms.currency,
        digits=terms.digits,
        quantity=terms.quantity,
        price=price,
        parcels=_parcels(book, ask, product, terms, price),
        sent=sent,
        average=average,
        refused=tuple(str(refusal) for refusal in terms.refusals if refusal.zone in terms.unreached),
        trims=() if terms.unreached else _trims(book, ask, product, terms, price * scale),
    )


def label_average(terms: Terms, price: Fraction) -> Fraction:
    """Return what labels and packing cost an order on average over its zones, in minor units."""
    goods = goods_of(terms, price, EXACT).goods
    return sum((zone.share * Fraction(send(zone, goods, EXACT, {}).weighed) for zone in terms.zones), Fraction(0))


def _sent(terms: Terms, price: Fraction) -> list[SentTo]:
    goods, found = goods_of(terms, price, EXACT).goods, []
    for zone in terms.zones:
        sent = send(zone, goods, EXACT, {})
        services = tuple(label.quote.service for label in sent.labels if label.quote)
        cost = Fraction(sent.cost) / 10**terms.digits
        found.append(SentTo(zone.name, zone.share, sent.packing.name, sent.packing.names, services, cost))
    return found


def _parcels(book: Book, ask: Ask, product: Product, terms: Terms, price: Fraction) -> tuple[ParcelView, ...]:
    """Return each packing as full as the order fills it."""
    route = route_of(book.shop, book.shop.channels[ask.channel])
    packings = {} if route.delivery.handed_over else packings_of(product, book.shop.boxes)
    boxes = boxes_of(packings, product.weight or Fraction(0), terms.quantity)
    fullest = {box.name: box for box in boxes}
    goods = goods_of(terms, price * 10**terms.digits, EXACT).goods
    views = []
    for box in fullest.values():
        declared = Fraction(goods) * box.units / terms.quantity
        cards = tuple(
            _seen(card_on(book.rate_cards[name], ask.on), book, box, route, declared / terms.worth)
            for name in route.cards
        )
        views.append(ParcelView(box.name, box.units, box.parcel.sides_mm, box.parcel.weight_g, cards))
    return tuple(views)


def _seen(card: RateCard, book: Book, box: Box, route: Route, declared: Fraction) -> CardView:
    """Return the parcel as the card sees it; `declared` is its value in whole units of the shop's currency."""
    currency = card.currency or book.shop.currency
    digits = minor_digits(currency)
    weighed = weigh(card, box.parcel, card_digits=digits)
    unit = MILLIMETRES[card.length_unit]
    answers = [(zone, quote(weighed, zone, residential=route.residential, worth=Fraction(1))) for zone in route.zones]
    billable = next((each.measured for _, each in answers if isinstance(each, Quote)), None) or weighed.measured
    return CardView(
        service=card.name,
        length_unit=card.length_unit,
        weight_unit=card.weight_unit,
        currency=currency,
        digits=digits,
        as_measured=tuple(side / unit for side in box.parcel.sides_mm),  # type: ignore[arg-type]
        weight=box.parcel.weight_g / GRAMS[card.weight_unit],
        measured=billable,
        labels=tuple(_label(zone, each, declared, 10**digits) for zone, each in answers),
        ladder=tuple(_ladder(card, tuple(route.zones), billable)),
    )


def _label(zone: str, answer: Quote | Refusal, declared: Fraction, scale: int) -> ZoneLabel:
    if isinstance(answer, Refusal):
        zero = Fraction(0)
        return ZoneLabel(zone, zero, (), zero, zero, zero, answer.why)
    insured = Fraction(premium(answer.cover, declared * scale, EXACT))
    return ZoneLabel(
        zone=zone,
        rate=Fraction(answer.rate, scale),
        surcharges=tuple((name, Fraction(amount, scale)) for name, amount in answer.surcharges),
        fuel=Fraction(answer.fuel, scale),
        insurance=insured / scale,
        total=(answer.bare + insured) / scale,
        refused="",
    )


def _ladder(card: RateCard, zones: tuple[str, ...], measured: Measured) -> list[Rung]:
    """Return the weight breaks around the parcel: two below, its own, and three above."""
    if card.priced_by == "volume":
        return []
    breaks = sorted({up_to for zone in zones for up_to, _ in card.rates.get(zone, ())})
    place = next((at for at, up_to in enumerate(breaks) if measured.billable_weight <= up_to), len(breaks))
    rungs = []
    for at in range(max(place - 2, 0), min(place + 4, len(breaks))):
        prices = tuple((zone, dict(card.rates.get(zone, ())).get(breaks[at])) for zone in zones)
        rungs.append(Rung(breaks[at], prices, at == place))
    return rungs


_MOST_OFF_MM = 150


def _trims(book: Book, ask: Ask, product: Product, terms: Terms, price: Fraction) -> tuple[Trim, ...]:
    """Return for each packing in use and each side the least millimetres off it that make an order cheaper to send."""
    now = label_average(terms, price)
    trims = []
    for name in dict.fromkeys(name for zone in terms.zones for name in zone.packing.names if name in product.packing):
        for side in ("length", "width", "height"):
            trim = _trim(book, ask, product, name, side, now, price)
            if trim is not None:
                trims.append(trim)
    return tuple(sorted(trims, key=lambda trim: (trim.off_mm, -trim.saves)))


def _trim(book: Book, ask: Ask, product: Product, name: str, side: str, now: Fraction, price: Fraction) -> Trim | None:
    """Look for the first millimetre at which the order gets cheaper, by halving: a smaller box never costs more."""
    from dataclasses import replace

    packing = product.packing[name]

    def cost(off: int) -> Fraction:
        smaller = replace(packing, **{side: getattr(packing, side) - off})
        changed = replace(product, packing={**product.packing, name: smaller})
        terms = settle(replace(book, products={**book.products, ask.product: changed}), ask)
        return label_average(terms, price)

    most = min(_MOST_OFF_MM, int(getattr(packing, side)) - 1)
    if most < 1 or cost(most) >= now:
        return None
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if cost(middle) < now else (middle, high)
    return Trim(name, side, high, (now - cost(high)) / 10 ** settle(book, ask).digits)
