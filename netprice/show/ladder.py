"""A quantity price ladder as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from netprice.answer.ladder import Ladder, Rung
from netprice.ledger.measures import measures
from netprice.money import show_money
from netprice.show.discount_json import amount_json, charged_json, share_json, target_json
from netprice.show.text import bullets, percent, table, wrapped
from netprice.show.words import target_words


def ladder_text(ladder: Ladder, *, width: int) -> str:
    """Return the unit price for each quantity, and a ladder that never goes up where this one does."""
    terms = ladder.terms
    even = ("never up", "off") if ladder.goes_up else ()
    header = ("units", "list price", "off", *even, "profit", "packed as")
    rows = []
    for rung in ladder.rungs:
        level = (_price(ladder, rung.even), percent(rung.even_off)) if even else ()
        cells = (str(rung.quantity), _price(ladder, rung.price), percent(rung.off), *level, _profit(ladder, rung))
        rows.append((*cells, ", ".join(rung.packed_as)))
    wanted = target_words(ladder.goal.target, ladder.goal.case, terms.currency)
    head = f"{terms.product} on {terms.channel}: the price of a unit that leaves {wanted}, by the units"
    blocks = [wrapped(f"{head} in an order, in {terms.currency}.", width)]
    blocks.append(table(rows, header, align=(*["right"] * (len(header) - 1), "left")))
    watch = list(_watch(ladder))
    return "\n\n".join((*blocks, bullets("To watch", watch, width)) if watch else blocks)


def _price(ladder: Ladder, minor: int | None) -> str:
    return "–" if minor is None else show_money(minor, ladder.terms.digits)


def _profit(ladder: Ladder, rung: Rung) -> str:
    if rung.price is None or rung.answer.ledger is None:
        return "cannot be sent" if rung.answer.status == "refused" else "out of reach"
    return show_money(measures(rung.answer.ledger).profit, ladder.terms.digits)


def _watch(ladder: Ladder) -> Iterator[str]:
    priced = [rung for rung in ladder.rungs if rung.price is not None]
    for before, rung in pairwise(priced):
        if rung.dearer:
            packed = f" (packed as {', '.join(rung.packed_as)})" if any(rung.packed_as) else ""
            yield f"In orders of {rung.quantity} a unit has to be dearer than in orders of {before.quantity}{packed}."
    if ladder.goes_up:
        yield (
            "The prices under 'never up' fall or stay with every unit and all meet the target; they start higher,"
            " so that the dearer orders are paid for."
        )
    for rung in priced:
        for trap in rung.answer.traps:
            if not trap.from_rounding:
                run = f"from {_price(ladder, trap.first)} to {_price(ladder, trap.last)}"
                yield f"In orders of {rung.quantity}, {run} the target fails again, though the price is higher."


def ladder_json(ladder: Ladder) -> dict[str, Any]:
    """Return every rung: prices with the currency's digits, discounts as shares of the single price."""
    terms = ladder.terms
    return {
        "product": terms.product,
        "channel": terms.channel,
        "currency": terms.currency,
        "target": target_json(ladder.goal),
        "goes_up": ladder.goes_up,
        "rungs": [
            {
                "quantity": rung.quantity,
                "status": rung.answer.status,
                "price": charged_json(terms, rung.price),
                "off": share_json(rung.off),
                "dearer": rung.dearer,
                "price_never_up": charged_json(terms, rung.even),
                "off_never_up": share_json(rung.even_off),
                "profit": None
                if rung.price is None or rung.answer.ledger is None
                else amount_json(terms, measures(rung.answer.ledger).profit),
                "packed_as": list(rung.packed_as),
            }
            for rung in ladder.rungs
        ],
    }
