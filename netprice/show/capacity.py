"""The mix that a month's hours are best used for, as text and JSON."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any, Final

from netprice.answer.capacity import Capacity, Use
from netprice.answer.hours import Resource
from netprice.answer.offers import Offer
from netprice.money import show_exact, show_money
from netprice.show.text import bullets, money, table, wrapped

# So many offers are listed in text, and so many names in one sentence; JSON has all of them.
_LISTED: Final = 40
_NAMED: Final = 8
_SCARCE_COLUMNS: Final = 2


def capacity_text(answer: Capacity, *, width: int) -> str:
    """Return the mix in one sentence, order by order, then what is used of every hour and what to watch."""
    watch = list(_watch(answer))
    if not answer.offers:
        head = "There is nothing to fill a month with: no product has a price to be sold at."
        return "\n\n".join((head, bullets("To watch", watch, width)))
    if answer.contribution is None:
        return "\n\n".join((wrapped(_too_much_promised(answer), width), _lacking(answer)))
    what = "Contribution: what orders leave before overhead. What one more adds comes on top of what the hour costs."
    blocks = [
        wrapped(_head(answer, answer.contribution), width),
        _offers(answer),
        _uses(answer),
        wrapped(f"Amounts in {answer.currency}. {what}", width),
    ]
    return "\n\n".join((*blocks, bullets("To watch", watch, width)) if watch else blocks)


def _head(answer: Capacity, contribution: Fraction) -> str:
    if not any(offer.orders for offer in answer.offers):
        return "Nothing is worth making: at these prices no mix leaves a contribution."
    head = f"The best mix leaves a contribution of {_amount(answer, contribution)} a month"
    fees = sum(answer.fees.values(), Fraction(0))
    head += f", after fees per month of {_amount(answer, fees)}" if fees else ""
    if not answer.scarce:
        return f"{head}; there are hours enough for every order that is worth taking."
    (first, worth), *others = [(_called(answer, use.resource), _amount(answer, _adds(use))) for use in answer.scarce]
    more = "".join(f", {name} ({adds})" for name, adds in others)
    return f"{head}; scarce: {first} (one more hour adds {worth}){more}."


def _adds(use: Use) -> Fraction:
    """Return what one more hour adds: where it is worth nothing at the edge, what it adds in whole orders."""
    return use.worth or use.one_more


def _too_much_promised(answer: Capacity) -> str:
    lacks = [f"{_called(answer, use.resource)} lacks {_much(use.resource, use.lacking)}" for use in answer.lacks]
    return f"The orders that are promised cannot all be made: {'; '.join(lacks)}."


def _lacking(answer: Capacity) -> str:
    rows = [
        (
            _called(answer, use.resource),
            _much(use.resource, use.used),
            _there_is(use),
            _much(use.resource, use.lacking) if use.lacking else "",
        )
        for use in answer.uses
        if use.used
    ]
    return table(rows, ("", "promised", "there is", "lacking"), align=("left", "right", "right", "right"))


def _offers(answer: Capacity) -> str:
    scarce = [use.resource for use in answer.scarce[:_SCARCE_COLUMNS]]
    several = any(offer.quantity > 1 for offer in answer.offers)
    header = ["product", "channel", "list price", "orders\n× units" if several else "orders", "an order\nleaves"]
    rows = []
    for offer in answer.offers[:_LISTED]:
        unit = "" if offer.currency == answer.currency else f" {offer.currency}"
        orders = str(offer.orders) if offer.orders else "–"
        rows.append(
            (
                offer.product,
                offer.channel,
                f"{show_money(offer.price, offer.digits)}{unit}",
                f"{orders} × {offer.quantity}" if several and offer.orders else orders,
                money(offer.leaves, answer.digits),
                *(_an_hour(answer, offer, resource) for resource in scarce),
            )
        )
    header += [f"an hour of\n{_called(answer, resource)}" for resource in scarce]
    shown = table(rows, header, align=("left", "left", *["right"] * (len(header) - 2)))
    more = len(answer.offers) - _LISTED
    return f"{shown}\n({more} more earn less; --json has them)" if more > 0 else shown


def _an_hour(answer: Capacity, offer: Offer, resource: Resource) -> str:
    earned = offer.an_hour(resource)
    return "none taken" if earned is None else money(earned, answer.digits)


def _uses(answer: Capacity) -> str:
    rows = [
        (
            _called(answer, use.resource),
            _much(use.resource, use.used),
            _there_is(use),
            "" if use.wanted is None else _much(use.resource, use.wanted),
            money(use.worth, answer.digits) if use.scarce else "",
            money(use.one_more, answer.digits) if use.scarce else "",
        )
        for use in answer.uses
    ]
    header = ("", "used", "there is", "wanted", "one more\nadds", "in whole\norders")
    return table(rows, header, align=("left", *["right"] * 5))


def _there_is(use: Use) -> str:
    return "no end" if use.there_is is None else _much(use.resource, use.there_is)


def _much(resource: Resource, amount: Fraction) -> str:
    if resource.kind == "channel":
        return f"{show_exact(amount)} order{'' if amount == 1 else 's'}"
    return f"{show_exact(amount, 2)} h"


def _called(answer: Capacity, resource: Resource) -> str:
    """Return a name in words; work that is called as a machine is gets a word to tell it apart."""
    if resource.kind == "channel":
        return f"on {resource.name}"
    if resource.kind == "machine":
        return resource.name
    machines = {use.resource.name for use in answer.uses if use.resource.kind == "machine"}
    return f"{resource.name} work" if resource.name in machines else resource.name


def _amount(answer: Capacity, amount: Fraction) -> str:
    return f"{money(amount, answer.digits)} {answer.currency}"


def _watch(answer: Capacity) -> Iterator[str]:
    yield from _batches(answer)
    if answer.promises_cost:
        more = _amount(answer, answer.promises_cost)
        yield f"Without the orders that are promised the best mix would leave {more} more."
    for channel, fee in answer.unused.items():
        yield f"Nothing is sold on {channel}; leaving it saves its fees per month of {_amount(answer, fee)}."
    solved = dict.fromkeys(offer.product for offer in answer.offers if not offer.in_use)
    if solved:
        yield f"No list price is in use for {_some(list(solved))}: at the lowest price that meets the target."
    for out in answer.left_out[:_NAMED]:
        promised = f" though {out.at_least} orders are promised" if out.at_least else ""
        yield f"{out.product} on {out.channel} is left out{promised}: {out.why}."
    if len(answer.left_out) > _NAMED:
        yield f"{len(answer.left_out) - _NAMED} more are left out; --json has them."
    if answer.not_asked:
        yield f"The hours and the fees per month are all for these products; not counted: {_some(answer.not_asked)}."
    if answer.short_of_best:
        more = _amount(answer, answer.short_of_best)
        yield f"The search ended before it had proved that no mix leaves more: at most {more} more."


def _batches(answer: Capacity) -> Iterator[str]:
    if all(filled.denominator == 1 for filled in answer.batches.values()):
        return
    filled = [f"{show_exact(each, 2)} of {product}" for product, each in answer.batches.items()]
    said = f"A batch counts by the part that the orders fill: {_some(filled)}."
    for use in answer.uses:
        if use.there_is is not None and use.in_whole_batches > use.there_is:
            whole = show_exact(math.ceil(use.in_whole_batches * 100) * Fraction(1, 100), 2)
            said += (
                f" Each made in full, they would take {whole} of {_there_is(use)} of {_called(answer, use.resource)}."
            )
    yield f"{said} Let products share a batch, or make the rest for stock."


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return ", ".join(names[:_NAMED]) + more


def capacity_json(answer: Capacity) -> dict[str, Any]:
    """Return the answer with hours, amounts and worths as decimal strings, and prices with their currency's digits."""
    contribution = answer.contribution
    return {
        "currency": answer.currency,
        "status": "met" if answer.met else "short",
        "contribution": None if contribution is None else show_exact(contribution),
        "promises_cost": show_exact(answer.promises_cost),
        "short_of_best": show_exact(answer.short_of_best),
        "fees_per_month": {channel: show_exact(fee) for channel, fee in answer.fees.items()},
        "fees_saved": {channel: show_exact(fee) for channel, fee in answer.unused.items()},
        "mix": [_offer_json(offer) for offer in answer.offers],
        "uses": [_use_json(use) for use in answer.uses],
        "batches": {product: show_exact(filled) for product, filled in answer.batches.items()},
        "left_out": [out._asdict() for out in answer.left_out],
        "not_asked": list(answer.not_asked),
    }


def _offer_json(offer: Offer) -> dict[str, Any]:
    return {
        "product": offer.product,
        "channel": offer.channel,
        "price": show_money(offer.price, offer.digits),
        "price_currency": offer.currency,
        "price_in_use": offer.in_use,
        "quantity": offer.quantity,
        "orders": offer.orders,
        "at_least": offer.demand.at_least,
        "most": offer.demand.most,
        "contribution": show_exact(offer.leaves),
        "hours": [
            {
                "kind": resource.kind,
                "name": resource.name,
                "hours": show_exact(hours),
                "contribution_per_hour": show_exact(offer.leaves / hours),
            }
            for resource, hours in offer.takes.items()
        ],
    }


def _use_json(use: Use) -> dict[str, Any]:
    return {
        "kind": use.resource.kind,
        "name": use.resource.name,
        "used": show_exact(use.used),
        "there_is": None if use.there_is is None else show_exact(use.there_is),
        "in_whole_batches": show_exact(use.in_whole_batches),
        "lacking": show_exact(use.lacking),
        "worth_of_one_more": show_exact(use.worth),
        "one_more_adds": show_exact(use.one_more),
        "wanted": None if use.wanted is None else show_exact(use.wanted),
    }
