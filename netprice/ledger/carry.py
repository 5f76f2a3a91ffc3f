"""How an order travels: packed into parcels, offered to every rate card, zone by zone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.book.editions import card_on
from netprice.book.product import Product
from netprice.book.route import Route, route_of
from netprice.book.shelf import packings_of
from netprice.book.shop import Book, Channel, Delivery
from netprice.ledger.arithmetic import EXACT, Arithmetic
from netprice.ledger.cost import CostLine, packing_lines
from netprice.ledger.freight import Quote, Refusal, Weighed, label, quote, weigh, worth_having
from netprice.ledger.packing import Box, Way, boxes_of, cheapest_way, every_way, way_name
from netprice.ledger.terms import PackingTerms, ZoneTerms
from netprice.money import USUAL_ROUNDING, minor_digits

# Where insurance makes the cheapest way a matter of the price, so many ways are weighed against each other.
MOST_WAYS: Final = 300
# What the goods of an order may be worth, in whole units of the shop's currency, where there are more ways than that.
_TYPICAL_GOODS: Final = (0, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000)
ZERO = Fraction(0)


class Order(NamedTuple):
    """What is sent: so many units of a product, on a channel, on a day; in which currency."""

    product: Product
    channel: Channel
    quantity: int
    on: dt.date
    currency: str

    def worth(self, charged_in: str) -> Fraction:
        """Return what a minor unit of the currency a label is charged in is in minor units of the channel's."""
        rate = (self.channel.exchange_rate or 1) if charged_in != self.currency else 1
        return Fraction(10 ** minor_digits(self.currency), 10 ** minor_digits(charged_in)) * rate

    def worth_of_one(self, currency: str) -> Fraction:
        """Return what a whole unit of a currency is in minor units of the channel's."""
        return self.worth(currency) * Fraction(10 ** minor_digits(currency))


class Carried(NamedTuple):
    """The zones with the ways of sending the order there, the refusals, and the zones that nobody carries to."""

    zones: tuple[ZoneTerms, ...]
    refusals: tuple[Refusal, ...]
    unreached: tuple[str, ...]


def carry(book: Book, order: Order, m: Arithmetic = EXACT) -> Carried:
    """Offer the order to every rate card, zone by zone, packed in the cheapest way.

    Where what packing costs stands for many values at once, all ways to pack are kept, and the order's rules choose.
    """
    shop, route = book.shop, route_of(book.shop, order.channel)
    delivery = route.delivery
    product, packings = order.product, {} if delivery.handed_over else packings_of(order.product, shop.boxes)
    boxes = boxes_of(packings, product.weight or ZERO, order.quantity)
    packing = [packing_lines(product, shop, box.name, packings[box.name]) for box in boxes]
    weighed = [_weighed(book, order, route, box) for box in boxes] if delivery.rate_cards else []
    zones: list[ZoneTerms] = []
    refusals: list[Refusal] = []
    unreached: list[str] = []
    for zone, share in route.zones.items():
        if delivery.rate_cards:
            at_home = route.residential
            answers = [[quote(card, zone, residential=at_home, worth=worth) for card, worth in w] for w in weighed]
            ways = _sent_by_cards(book, order, boxes, packing, answers)
        else:
            answers, ways = [], _sent_flat(book, order, delivery, boxes, packing, m)
        if ways:
            zones.append(ZoneTerms(name=zone, share=share, packing=ways[0], others=tuple(ways[1:])))
        elif share:
            unreached.append(zone)
        refusals += _refused(answers, ways)
    return Carried(tuple(zones), tuple(dict.fromkeys(refusals)), tuple(unreached))


def _weighed(book: Book, order: Order, route: Route, box: Box) -> list[tuple[Weighed, Fraction]]:
    """Return the parcel as each card measures it, and what the card's minor unit is worth in the channel's."""
    weighed = []
    for name in route.cards:
        card = card_on(book.rate_cards[name], order.on)
        charged_in = card.currency or book.shop.currency
        weighed.append((weigh(card, box.parcel, card_digits=minor_digits(charged_in)), order.worth(charged_in)))
    return weighed


def _sent_flat(  # what an order is sent with
    book: Book,
    order: Order,
    delivery: Delivery,
    boxes: Sequence[Box],
    packing: Sequence[tuple[CostLine, ...]],
    m: Arithmetic,
) -> list[PackingTerms]:
    """Return the order packed in the cheapest way, with one flat label for all of it."""
    scale = 10 ** minor_digits(book.shop.currency)
    flat = Quote(
        service="flat",
        rate=m.rounded((delivery.label_cost or ZERO) * scale, USUAL_ROUNDING),  # by the carrier, not the storefront
        surcharges=(),
        fuel=0,
        cover=None,
        worth=order.worth(book.shop.currency),
    )
    if _settled(packing):
        ways = [cheapest_way(boxes, order.quantity, [_cost(lines) for lines in packing]) or ()]
    else:
        ways = every_way(boxes, order.quantity, [True] * len(boxes), MOST_WAYS) or [()]
    return [_terms(book, order, boxes, way, packing)._replace(parcels=((Fraction(1), (flat,)),)) for way in ways]


def _settled(packing: Sequence[tuple[CostLine, ...]]) -> bool:
    """Whether what packing costs is known; otherwise it stands for many values at once."""
    return all(isinstance(_cost(lines), (int, Fraction)) for lines in packing)


def _sent_by_cards(
    book: Book,
    order: Order,
    boxes: Sequence[Box],
    packing: Sequence[tuple[CostLine, ...]],
    answers: Sequence[Sequence[Quote | Refusal]],
) -> list[PackingTerms]:
    """Return the cheapest way to pack and send the order, or all that may be the cheapest at some price."""
    quotes = [worth_having([each for each in answer if isinstance(each, Quote)]) for answer in answers]
    worth = order.worth_of_one(book.shop.currency)
    settled = _settled(packing) and isinstance(worth, (int, Fraction))
    if settled and not any(offer.depends_on_price for offered in quotes for offer in offered):
        way = cheapest_way(boxes, order.quantity, _costs_at(ZERO, order.quantity, boxes, quotes, packing, worth))
        return [] if way is None else [_terms(book, order, boxes, way, packing, quotes)]
    ways = every_way(boxes, order.quantity, [bool(offered) for offered in quotes], MOST_WAYS)
    if settled and (
        len(ways) >= MOST_WAYS or not ways
    ):  # then those are among them that are the cheapest at some typical prices
        for goods in _TYPICAL_GOODS:
            costs = _costs_at(goods * worth, order.quantity, boxes, quotes, packing, worth)
            way = cheapest_way(boxes, order.quantity, costs)
            ways += [way] if way is not None and way not in ways else []
    terms = [_terms(book, order, boxes, way, packing, quotes) for way in ways]
    return _worth_packing(terms) if settled else terms


def _costs_at(
    goods: Fraction,
    quantity: int,
    boxes: Sequence[Box],
    quotes: Sequence[tuple[Quote, ...]],
    packing: Sequence[tuple[CostLine, ...]],
    worth: Fraction,
) -> list[Fraction | None]:
    """Return what each box costs to send and to pack where the order's goods are worth so much; None: not carried."""
    return [
        label(offered, goods * box.units / quantity, EXACT).cost + _cost(lines) * worth if offered else None
        for box, offered, lines in zip(boxes, quotes, packing, strict=True)
    ]


def _cost(lines: tuple[CostLine, ...]) -> Fraction:
    return sum((line.share for line in lines if line.kind == "packing"), ZERO)


def _terms(
    book: Book,
    order: Order,
    boxes: Sequence[Box],
    way: Way,
    packing: Sequence[tuple[CostLine, ...]],
    quotes: Sequence[tuple[Quote, ...]] = (),
) -> PackingTerms:
    """Return one way of packing: its parcels with their quotes, and what it adds to the order."""
    worth = order.worth_of_one(book.shop.currency)
    lines = tuple(line for place in way for line in packing[place])
    parcels = [(Fraction(boxes[place].units, order.quantity), quotes[place]) for place in way] if quotes else []
    return PackingTerms(
        name=way_name(boxes, way),
        parcels=tuple(parcels),
        boxes=way,
        names=tuple(boxes[place].name for place in way),
        lines=lines,
        cost=_cost(lines) * worth,
        order_cost=sum((line.share for line in lines), ZERO) * worth,
        overhead=sum((line.share for line in lines if line.kind == "overhead"), ZERO) * worth,
        labour_hours=sum((line.labour_hours for line in lines), ZERO),
    )


def _worth_packing(ways: list[PackingTerms]) -> list[PackingTerms]:
    """Leave out ways that another one is never dearer than, whatever the price is."""
    kept: list[PackingTerms] = []
    for way in ways:
        if not any(_never_dearer(other, way) for other in kept):
            # One that stands before it goes only if it is dearer at every price: of equal ways the first is taken.
            kept = [other for other in kept if not (way.cost < other.cost and _never_dearer(way, other))] + [way]
    return kept


def _never_dearer(one: PackingTerms, other: PackingTerms) -> bool:
    """Whether `one` costs at most as much as `other` at every price: parcel by parcel and service by service."""
    parts, others = [part for part, _ in one.parcels], [part for part, _ in other.parcels]
    if parts != others or one.cost > other.cost:
        return False
    return all(
        any(_covers_as_well(mine, offer) and mine.bare <= offer.bare for mine in ours)
        for (_, ours), (_, theirs) in zip(one.parcels, other.parcels, strict=True)
        for offer in theirs
    )


def _covers_as_well(mine: Quote, other: Quote) -> bool:
    """Whether insuring with `mine` costs no more at any price: it costs nothing, or it is the same insurance."""
    return mine.cover is None or (mine.cover == other.cover and mine.worth == other.worth)


def _refused(answers: Sequence[Sequence[Quote | Refusal]], ways: Sequence[PackingTerms]) -> Iterator[Refusal]:
    """Yield the refusals of parcels that are sent, or of all where none can be."""
    sent = {place for way in ways for place in way.boxes}
    for place, answer in enumerate(answers):
        if not ways or place in sent:
            yield from (each for each in answer if isinstance(each, Refusal))
