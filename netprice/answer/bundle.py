"""A bundle: several products in one order, at the sum of their list prices less a bundle discount.

The order's terms are those of a made-up product, and its ledger is made by the same function as every other:

* a unit of it is the average unit of the bundle, so that all units together cost, weigh and take as many hours as the
  products do; what is paid once per order is paid once per product;
* shipping is charged once, for so many units; fees per order are due once; a fee per unit is worked out on the average
  unit, as often as there are units; a listing is paid for every unit;
* the order goes in the products' own parcels, each insured for its products' part of the price, or in one box that is
  named; a flat label is paid once;
* it comes back as often, and on the terms, of the product that comes back most, and breaks as often, and with the
  remedy, of the one that breaks most; what can be sold again is each product's share of it, by cost.

Common practice, no source. Two of the same product are an order of two but for the listing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product as every_combination
from typing import Final, NamedTuple

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.discount import DiscountAnswer, ListPrice, Wanted, discounted, price_said
from netprice.book.product import Case, Packing, Product, Size
from netprice.book.route import route_of
from netprice.book.shelf import how_many, packings_of
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.carry import MOST_WAYS
from netprice.ledger.cost import CostLine, CostStack
from netprice.ledger.explain import average
from netprice.ledger.order import expected, order_ledger
from netprice.ledger.settle import Ask, settle
from netprice.ledger.terms import FeeTerms, OutcomeTerms, PackingTerms, Terms, ZoneTerms

ZERO: Final = Fraction(0)


class Part(NamedTuple):
    """One product of a bundle: its question, with the quantity that is in the bundle, and the list price of a unit."""

    asked: PriceAsk
    price: ListPrice
    terms: Terms

    @property
    def units(self) -> int:
        """Return how many of the product are in the bundle."""
        return self.terms.quantity

    @property
    def listed(self) -> Fraction:
        """Return what the product's units come to at the list price, in minor units."""
        return Fraction(self.price.minor * self.units)


class Apart(NamedTuple):
    """The same products, each bought in an order of its own at its list price; in minor units, expected."""

    buyer_pays: Fraction
    profit: Fraction


class BundleAnswer(NamedTuple):
    """What a bundle leaves on one channel: the discount on it, its list price in minor units, and the same apart.

    `saves` is what a buyer saves with the greatest discount that meets the target, shipping and tax included; None
    where there is none.
    """

    parts: tuple[Part, ...]
    packed_as: str | None
    listed: Fraction
    discount: DiscountAnswer
    apart: Apart | None
    saves: Fraction | None


def part_of(book: Book, asked: PriceAsk, in_use: int | None) -> Part:
    """Return a product as a part of a bundle; `asked` has the number of units in its quantity.

    Without a list price in use its price is the one that meets the target in an order of one.
    """
    single = asked._replace(ask=asked.ask._replace(quantity=1))
    return Part(asked, price_said(book, single, None, in_use), settle(book, asked.ask))


def bundle(book: Book, parts: Sequence[Part], wanted: Wanted, packed_as: str | None = None) -> BundleAnswer:
    """Return how far the bundle's price can come down. The parts differ in product and units, and in nothing else.

    `packed_as` is the one box it goes in: a box on the shelf, or "product.packing". Raises `QuestionError` for a box
    that there is not, or that the products do not fit in.
    """
    box = None if packed_as is None else _box(book, parts, packed_as)
    bundled, asked = _as_product(book, parts, box)
    terms = _terms(bundled, asked.ask, parts, in_one_box=box is not None)
    goal, with_off = goal_of(bundled, asked, terms), terms
    if wanted.off is not None:
        further = asked.ask._replace(discounts=(*asked.ask.discounts, wanted.off))
        with_off = replace(terms, discounts=settle(bundled, further).discounts)
    listed = sum((part.listed for part in parts), ZERO)
    in_use = all(part.price.source == "in use" for part in parts)
    price = ListPrice(listed / terms.quantity, "in use" if in_use else "solved")
    answer = discounted(with_off, goal, price, wanted, None)
    apart = _apart(parts)
    left = None if answer.order is None else answer.order.target.left
    saves = None if left is None or apart is None else apart.buyer_pays - left.buyer_pays
    return BundleAnswer(tuple(parts), packed_as, listed, answer, apart, saves)


def _apart(parts: Sequence[Part]) -> Apart | None:
    """Return what the products come to in orders of their own; None where one cannot be sent by itself."""
    if any(part.terms.unreached for part in parts):
        return None
    orders = [order_ledger(part.terms, part.price.minor) for part in parts]
    return Apart(
        buyer_pays=sum((average(order, "buyer_total") for order in orders), ZERO),
        profit=sum((Fraction(expected(order).profit) for order in orders), ZERO),
    )


def bundle_name(parts: Iterable[Part]) -> str:
    """Return the bundle in words: "2 × mug + vase"."""
    counted = ((part.units, part.terms.product) for part in parts)
    return " + ".join(name if units == 1 else f"{units} × {name}" for units, name in counted)


class _Box(NamedTuple):
    """The one box of a bundle, and the product whose work and overhead of packing count for it."""

    name: str
    packing: Packing
    owner: Product


def _box(book: Book, parts: Sequence[Part], said: str) -> _Box:
    """Return the box that is named: one on the shelf, else a packing of a product's own."""
    shelf, products = book.shop.boxes, book.products
    if said in shelf:
        box = shelf[said]
        room = box.inside or (box.length, box.width, box.height)
        _held_against(room, [(products[part.asked.ask.product].size, part) for part in parts], said)
        # A product as large as the room inside goes into this box once: the shelf makes the packing of it.
        filling = replace(
            products[parts[0].asked.ask.product], size=Size(length=room[0], width=room[1], height=room[2]), packing={}
        )
        return _Box(said, packings_of(filling, {said: box})[said], filling)
    name, _, packing = said.partition(".")
    if name not in products or packing not in products[name].packing:
        known = [*shelf, *(f"{name}.{each}" for name in _names(parts) for each in products[name].packing)]
        raise QuestionError(f"no box is called {said[:60]!r}; there are: {', '.join(known) or 'none yet'}")
    chosen = products[name].packing[packing]
    inside = sum(part.units for part in parts if part.asked.ask.product == name)
    if inside > chosen.holds:
        raise QuestionError(f"{said} holds {chosen.holds}, not {inside}; name a larger packing, or leave it out")
    return _Box(said, chosen, products[name])


def _names(parts: Iterable[Part]) -> list[str]:
    return [part.asked.ask.product for part in parts]


def _held_against(room: tuple[Fraction, Fraction, Fraction], sizes: list[tuple[Size | None, Part]], box: str) -> None:
    """Raise an error where the products cannot fit in the box; whether they do for certain is the maker's to say."""
    volume = ZERO
    for size, part in sizes:
        if size is not None:
            sides = (size.length, size.width, size.height)
            volume += part.units * math.prod(sides)
            if how_many(sides, room) < part.units:
                raise QuestionError(f"{part.units} of {part.terms.product} do not fit in {box}; name a larger box")
    if volume > math.prod(room):
        raise QuestionError(f"the products have more volume than {box}; name a larger box")


def _as_product(book: Book, parts: Sequence[Part], box: _Box | None) -> tuple[Book, PriceAsk]:
    """Return the book with the bundle as one more product, and the question for an order of it.

    The product weighs what an average unit weighs. A target or a case of its own it has where all products share it.
    """
    products = [book.products[name] for name in _names(parts)]
    units = sum(part.units for part in parts)
    weight = sum((Fraction(each.weight or 0) * part.units for each, part in zip(products, parts, strict=True)), ZERO)
    targets, cases = {each.target for each in products}, {each.case for each in products}
    case: Case | None = cases.pop() if len(cases) == 1 else None
    whole = Product(
        name=bundle_name(parts),
        target=targets.pop() if len(targets) == 1 else None,
        case=case,
        overhead=box.owner.overhead if box else {},
        weight=weight / units,
        packing={box.name: replace(box.packing, holds=units, at_least=units)} if box else {},
    )
    first = parts[0].asked
    ask = first.ask._replace(product=whole.name, quantity=units)
    return replace(book, products={**book.products, whole.name: whole}), first._replace(ask=ask)


def _terms(book: Book, ask: Ask, parts: Sequence[Part], *, in_one_box: bool) -> Terms:
    """Return the terms of the bundle: the channel's as for so many units of a product, the rest from the parts."""
    base, each = settle(book, ask), [part.terms for part in parts]
    zones, refusals, unreached = base.zones, base.refusals, base.unreached
    route = route_of(book.shop, book.shop.channels[ask.channel])
    if not in_one_box:
        flat = not route.delivery.rate_cards
        names = [name for name in route.zones if all(name in {zone.name for zone in t.zones} for t in each)]
        zones = tuple(_zone(name, parts, flat=flat) for name in names)
        refusals = tuple(dict.fromkeys(refusal for terms in each for refusal in terms.refusals))
        unreached = tuple(name for name, share in route.zones.items() if share and name not in names)
    return replace(
        base,
        stack=CostStack(tuple(line for part in parts for line in _lines(part, base.quantity))),
        goods_cost=sum((terms.goods_cost for terms in each), ZERO),
        order_cost=sum((terms.order_cost for terms in each), ZERO),
        fees=tuple(_fee(fee, base.quantity) for fee in base.fees),
        outcomes=_outcomes(each),
        zones=zones,
        refusals=refusals,
        unreached=unreached,
    )


def _lines(part: Part, units: int) -> Iterable[CostLine]:
    """Yield the lines of one product as they fall on the average unit of the bundle, or on the order."""
    weight = Fraction(part.units, units)
    for line in part.terms.stack.lines:
        named = line._replace(name=f"{part.terms.product}: {line.name}")
        yield (
            named
            if line.per_order
            else named._replace(
                share=line.share * weight,
                machine_hours=line.machine_hours * weight,
                labour_hours=line.labour_hours * weight,
            )
        )


def _fee(fee: FeeTerms, units: int) -> FeeTerms:
    return fee._replace(spread=fee.spread * units) if fee.per == "listing" else fee


def _outcomes(each: Sequence[Terms]) -> OutcomeTerms:
    returned = max((terms.outcomes for terms in each), key=lambda ends: ends.return_rate)
    damaged = max((terms.outcomes for terms in each), key=lambda ends: ends.damage_rate)
    cost = sum(terms.goods_cost for terms in each)
    resold = sum((terms.outcomes.resellable * terms.goods_cost for terms in each), ZERO)
    return returned._replace(
        resellable=resold / cost if cost else returned.resellable,
        damage_rate=damaged.damage_rate,
        replaces=damaged.replaces,
        recovered=damaged.recovered,
    )


def _zone(name: str, parts: Sequence[Part], *, flat: bool) -> ZoneTerms:
    """Return a zone to which the parts' own parcels go together, in every combination of their ways of packing."""
    listed = sum(part.listed for part in parts)
    units = sum(part.units for part in parts)
    zones = [next(zone for zone in part.terms.zones if zone.name == name) for part in parts]
    if math.prod(1 + len(zone.others) for zone in zones) > MOST_WAYS:
        raise QuestionError("the products can be packed together in too many ways; name one box with --packed-as")
    shares = [part.listed / listed if listed else Fraction(part.units, units) for part in parts]
    combinations = every_combination(*((zone.packing, *zone.others) for zone in zones))
    ways = sorted((_together(parts, way, shares, flat=flat) for way in combinations), key=lambda way: len(way.parcels))
    return zones[0]._replace(packing=ways[0], others=tuple(ways[1:]))


def _together(
    parts: Sequence[Part], ways: Sequence[PackingTerms], shares: Sequence[Fraction], *, flat: bool
) -> PackingTerms:
    """Return the parts' packings as one; each parcel insures its part of the price, a flat label is paid once."""
    parcels = [(share * own, quotes) for way, share in zip(ways, shares, strict=True) for own, quotes in way.parcels]
    return PackingTerms(
        name=" + ".join(f"{way.name} ({name})" for way, name in zip(ways, _names(parts), strict=True) if way.name),
        parcels=ways[0].parcels if flat else tuple(parcels),
        names=tuple(name for way in ways for name in way.names),
        lines=tuple(line for way in ways for line in way.lines),
        cost=sum((way.cost for way in ways), ZERO),
        order_cost=sum((way.order_cost for way in ways), ZERO),
        overhead=sum((way.overhead for way in ways), ZERO),
        labour_hours=sum((way.labour_hours for way in ways), ZERO),
    )
