"""What a giveaway costs and whether it breaks even, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from netprice.answer.giveaway import Giveaway, Odds, Way
from netprice.money import show_exact
from netprice.show.text import bullets, money, percent, table, wrapped
from netprice.show.words import counted

Row = tuple[str, str, str]
_PLACES = 20
# What both giveaways and refunds have to say.
NO_NUMBER = "none is enough"
WHAT_CONTRIBUTION_IS = "Contribution leaves out overhead and fees per month, which are due anyway; profit has them in."
NEAREST_PRICE = "No price meets the target; this is the one that gets nearest."
CAUTION = (
    "Giveaway and sweepstakes law differs from place to place: who may enter, what must be published, which taxes fall"
    " on prizes. Check the rules where you and the entrants live, and ask a licensed adviser."
)


def giveaway_text(answer: Giveaway, *, width: int) -> str:
    """Return the answer in one sentence, what the giveaway costs and takes to pay for, and what to watch."""
    body = table(list(_rows(answer)), ("", "contribution", "profit"), align=("left", "right", "right"))
    blocks = (wrapped(_head(answer), width), body, bullets("To watch", list(_watch(answer)), width))
    return "\n\n".join(blocks)


def _head(answer: Giveaway) -> str:
    gift, way = answer.gift, answer.by_contribution
    at = f"{answer.product} on {answer.channel} at {answer.price} {answer.currency}"
    parts = [f"giving {gift.units} away"] if gift.units or not gift.refunded else []
    parts += [f"refunding {counted(gift.refunded, 'winner')}"] if gift.refunded else []
    cost = f"{money(way.cost, answer.digits)} {answer.currency}"
    head = f"{at}: {' and '.join(parts)} costs {cost}"
    if way.extra_sales is None:
        return f"{head}, and no number of extra orders pays for it, since none leaves anything."
    size = f" of {answer.quantity}" if answer.quantity > 1 else ""
    head += f"; {counted(way.extra_sales, 'extra order')}{size} {'pays' if way.extra_sales == 1 else 'pay'} for it"
    odds = way.poisson or way.binomial
    if odds is not None:
        head += f", with a chance of {percent(odds.chance)}"
    return f"{head}, overhead left out."


def _rows(answer: Giveaway) -> Iterator[Row]:
    gift, ways = answer.gift, (answer.by_contribution, answer.by_profit)

    def row(name: str, *amounts: Fraction) -> Row:
        first, last = (money(amount, answer.digits) for amount in amounts)
        return name, first, last

    yield row("one given away", *(way.one_given for way in ways))
    if gift.units != 1:
        yield row(f"{gift.units} given away", *(gift.units * way.one_given for way in ways))
    if gift.refunded:
        lost = gift.refunded * answer.one_refunded
        yield row(f"{counted(gift.refunded, 'winner')} refunded", lost, lost)
    if answer.promotion_cost:
        yield row("promotion", answer.promotion_cost, answer.promotion_cost)
    yield row("= cost", *(way.cost for way in ways))
    yield row("an extra order leaves", *(way.per_order for way in ways))
    first, last = (NO_NUMBER if way.extra_sales is None else str(way.extra_sales) for way in ways)
    yield "extra orders to break even", first, last
    for name, by_contribution, by_profit in _odds(answer):
        yield f"chance, {name}", percent(by_contribution.chance), percent(by_profit.chance)
    if gift.chance is not None:
        for name, by_contribution, by_profit in _odds(answer):
            wished = f"most to give away with {show_exact(gift.chance * 100, 4)} %, {name}"
            yield wished, _greatest(by_contribution), _greatest(by_profit)


def _odds(answer: Giveaway) -> Iterator[tuple[str, Odds, Odds]]:
    gift, first, last = answer.gift, answer.by_contribution, answer.by_profit
    if gift.poisson is not None and first.poisson and last.poisson:
        yield f"{show_exact(gift.poisson.expected, 4)} expected", first.poisson, last.poisson
    if gift.binomial is not None and first.binomial and last.binomial:
        people = f"{gift.binomial.people} × {show_exact(gift.binomial.conversion * 100, 4)} %"
        yield people, first.binomial, last.binomial


def _greatest(odds: Odds) -> str:
    if odds.any_number:
        return "any number"
    return "none" if odds.greatest is None else str(odds.greatest)


def _watch(answer: Giveaway) -> Iterator[str]:
    unit, order, label = (money(part, answer.digits) for part in (answer.unit_cost, answer.order_cost, answer.label))
    packed = f"{order} to pack and the like, " if answer.order_cost else ""
    yield f"One given away, by profit: {unit} to make, {packed}{label} to send on average over the zones."
    yield WHAT_CONTRIBUTION_IS
    if answer.gift.poisson or answer.gift.binomial:
        yield "The chances hold if buyers decide on their own; where one post sways many of them, the spread is wider."
    if answer.source == "best":
        yield NEAREST_PRICE
    yield CAUTION


def giveaway_json(answer: Giveaway) -> dict[str, Any]:
    """Return the answer with money and chances as decimal strings; what no number of orders reaches is null."""
    gift = answer.gift
    return {
        "product": answer.product,
        "channel": answer.channel,
        "currency": answer.currency,
        "quantity": answer.quantity,
        "price": str(answer.price),
        "price_is": answer.source,
        "units": gift.units,
        "winners_refunded": gift.refunded,
        "promotion_cost": show_exact(answer.promotion_cost),
        "expected_extra_sales": None if gift.poisson is None else show_exact(gift.poisson.expected),
        "people_reached": None if gift.binomial is None else gift.binomial.people,
        "conversion": None if gift.binomial is None else show_exact(gift.binomial.conversion),
        "chance_wished_for": None if gift.chance is None else show_exact(gift.chance),
        "breaks_even": answer.breaks_even,
        "unit_cost": show_exact(answer.unit_cost),
        "order_cost": show_exact(answer.order_cost),
        "label": show_exact(answer.label),
        "lost_profit_of_one_refunded": show_exact(answer.one_refunded),
        "by_contribution": _way_json(answer.by_contribution),
        "by_profit": _way_json(answer.by_profit),
    }


def _way_json(way: Way) -> dict[str, Any]:
    return {
        "cost_of_one_given": show_exact(way.one_given),
        "cost": show_exact(way.cost),
        "per_order": show_exact(way.per_order),
        "extra_sales_to_break_even": way.extra_sales,
        "poisson": _odds_json(way.poisson),
        "binomial": _odds_json(way.binomial),
    }


def _odds_json(odds: Odds | None) -> dict[str, Any] | None:
    if odds is None:
        return None
    return {
        "chance": show_exact(odds.chance, _PLACES),
        "greatest_units": odds.greatest,
        "any_number_of_units": odds.any_number,
    }
