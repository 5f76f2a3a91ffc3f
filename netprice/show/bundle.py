"""A bundle of products in one order as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from netprice.answer.bundle import BundleAnswer
from netprice.money import show_money
from netprice.show.discount import head, in_currency, tables, watch
from netprice.show.discount_json import amount_json, charged_json, discount_json
from netprice.show.text import bullets, table, wrapped


def bundle_text(answer: BundleAnswer, *, width: int) -> str:
    """Return how far the bundle's price can come down, what is in it, and what the buyer saves."""
    terms, order = answer.discount.terms, answer.discount.order
    if order is None:
        return wrapped(f"{terms.product} on {terms.channel}: cannot be sent everywhere in one order.", width)
    rows = [
        (
            f"{part.units} × {part.terms.product}",
            *(show_money(each, terms.digits) for each in (part.price.minor, part.listed)),
        )
        for part in answer.parts
    ]
    rows.append(("all at list price", "", show_money(answer.listed, terms.digits)))
    contents = table(rows, ("in the bundle", "list price", "together"), align=("left", "right", "right"))
    at = f"in one order at {in_currency(terms, answer.listed)}, the sum of the list prices"
    blocks = [wrapped(head(answer.discount, order, at), width), contents, *tables(answer.discount, order, width)]
    watched = [*_watch(answer), *watch(answer.discount, order)]
    return "\n\n".join((*blocks, bullets("To watch", watched, width)))


def _watch(answer: BundleAnswer) -> Iterator[str]:
    terms, order, apart = answer.discount.terms, answer.discount.order, answer.apart
    if order is None or apart is None:
        return
    ways = ", ".join(dict.fromkeys(zone.packing.name for zone in terms.zones if zone.packing.name))
    orders = "an order of its own" if len(answer.parts) == 1 else f"{len(answer.parts)} orders apart"
    pays, leaves = in_currency(terms, apart.buyer_pays), in_currency(terms, apart.profit)
    if answer.saves is not None and order.target.left is not None:
        then = in_currency(terms, order.target.left.buyer_pays)
        less = f"{in_currency(terms, abs(answer.saves))} {'less' if answer.saves >= 0 else 'more'}"
        yield f"With the greatest discount a buyer pays {then}, {less} than in {orders} at list price ({pays})."
    yield f"In {orders} the same leaves {leaves}; together, without a discount, {in_currency(terms, order.now.profit)}."
    if ways:
        named = "; whether it all fits in there is yours to say" if answer.packed_as else ""
        yield f"Packed as {ways}{named}."


def bundle_json(answer: BundleAnswer) -> dict[str, Any]:
    """Return the bundle: its products, the same apart, what the buyer saves, and how far its price can come down."""
    terms, apart = answer.discount.terms, answer.apart
    return {
        "bundle": [
            {
                "product": part.terms.product,
                "units": part.units,
                "list_price": charged_json(terms, part.price.minor),
                "price_is": part.price.source,
            }
            for part in answer.parts
        ],
        **discount_json(answer.discount),
        "list_price": charged_json(terms, answer.listed),
        "packed_as": list(dict.fromkeys(zone.packing.name for zone in terms.zones)),
        "apart": None
        if apart is None
        else {"buyer_pays": amount_json(terms, apart.buyer_pays), "profit": amount_json(terms, apart.profit)},
        "buyer_saves": amount_json(terms, answer.saves),
    }
