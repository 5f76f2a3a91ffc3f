"""What free shipping takes, as text and JSON."""

from __future__ import annotations

from typing import Any

from netprice.answer.free_shipping import MOST_UNITS, FreeShipping
from netprice.money import show_exact, show_money
from netprice.show.text import bullets, table, wrapped


def free_shipping_text(answer: FreeShipping, *, width: int) -> str:
    """Return the price with shipping folded in, zone by zone, and from which order total it can be given away."""
    rows = [
        (folded.zone, f"{show_exact(folded.share * 100, 1)} %", _price(answer, folded.price))
        for folded in answer.folded
    ]
    header = ("if all orders went to", "orders", "list price")
    blocks = [wrapped(_head(answer), width), table(rows, header, align=("left", "right", "right"))]
    watch = [_from(answer)]
    for trap in answer.now.traps:
        if not trap.from_rounding:
            first, last = _price(answer, trap.first), _price(answer, trap.last)
            watch.append(f"With today's shipping charge, prices from {first} to {last} fail the target again: a trap.")
    return "\n\n".join((*blocks, bullets("To watch", watch, width)))


def _price(answer: FreeShipping, minor: int | None) -> str:
    return "out of reach" if minor is None else show_money(minor, answer.terms.digits)


def _head(answer: FreeShipping) -> str:
    terms = answer.terms
    if terms.unreached:
        return f"{terms.product} on {terms.channel}: cannot be sent everywhere."
    free, now = answer.free.lowest_price, answer.now.lowest_price
    where = f"{terms.product} on {terms.channel}"
    if free is None:
        return f"{where}: no list price leaves the target with shipping free."
    head = f"{where}: with shipping free list it at {_price(answer, free)} {terms.currency}"
    if now is not None and now != free:
        more = f"{show_money(abs(free - now), terms.digits)} {terms.currency} {'more' if free > now else 'less'}"
        head += f", {more} than with today's shipping charge"
    return f"{head}."


def _from(answer: FreeShipping) -> str:
    currency, digits = answer.terms.currency, answer.terms.digits
    if answer.list_price is None:
        return "Without a list price that meets the target there is no order total to ship free from."
    at = f"At a list price of {show_money(answer.list_price, digits)} {currency}"
    if answer.units is None or answer.total is None:
        return f"{at} no order of up to {MOST_UNITS} leaves the target with shipping free."
    units = "a single one" if answer.units == 1 else f"an order of {answer.units}"
    total = f"{show_money(answer.total, digits)} {currency}"
    return f"{at} {units} can be sent free and still leave the target: free from a goods total of {total}."


def free_shipping_json(answer: FreeShipping) -> dict[str, Any]:
    """Return the answer with every price as a decimal string."""

    def text(minor: int | None) -> str | None:
        return None if minor is None else show_money(minor, answer.terms.digits)

    return {
        "product": answer.terms.product,
        "channel": answer.terms.channel,
        "currency": answer.terms.currency,
        "price_now": text(answer.now.lowest_price),
        "price_free": text(answer.free.lowest_price),
        "safe_floor_free": text(answer.free.safe_floor),
        "zones": [
            {"zone": folded.zone, "share": show_exact(folded.share), "price_free": text(folded.price)}
            for folded in answer.folded
        ],
        "list_price": text(answer.list_price),
        "units_free_from": answer.units,
        "total_free_from": text(answer.total),
        "traps_now": [[text(trap.first), text(trap.last)] for trap in answer.now.traps],
    }
