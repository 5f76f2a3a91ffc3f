"""How far a price can be relied on, as text and JSON."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Final

from netprice.answer.one_order import Ending
from netprice.answer.risk import PERCENTILES, InDoubt, Risk, Spreads
from netprice.money import round_to_whole, show_exact, show_money
from netprice.show.text import bullets, percent, table, wrapped
from netprice.show.words import target_words

_WAYS: Final = 3
_HOW: Final = {
    "uniform": "from {low} to {high}",
    "triangular": "from {low} to {high}, most likely {likely}",
    "normal": "about {likely}, {off} either way",
}
NOBODY_IN_DOUBT: Final = (
    "No input is written as a range, so only chance between orders is counted. Write a number as '35..50 min',"
    " '35..40..50 min' (lowest, likely, highest) or '40 +- 4 min' in the files, or ask with --range"
    " 'labour.throwing.time=35..50 min'."
)


def risk_text(answer: Risk, *, width: int) -> str:
    """Return the spread of the average order, what drives it, and what a single order may come to."""
    blocks = [wrapped(_head(answer), width)]
    if answer.in_doubt is not None:
        blocks += [_spreads(answer, answer.in_doubt), _drivers(answer.in_doubt)]
    blocks += [_one_order(answer), bullets("To watch", list(_watch(answer)), width)]
    return "\n\n".join(blocks)


def _head(answer: Risk) -> str:
    terms, found = answer.terms, answer.in_doubt
    where = f"{terms.product} on {terms.channel} at {_money(answer, answer.price)} {terms.currency}"
    goal = target_words(answer.goal.target, answer.goal.case, terms.currency)
    if found is None:
        return (
            f"{where}: one order in {_one_in(answer.loses_money)} loses money."
            if answer.loses_money
            else f"{where}: no order loses money, however it turns out."
        )
    low, high = (_percent(end) for end in (found.margin.percentiles[0], found.margin.percentiles[-1]))
    head = (
        f"{where}: in nine of ten cases the average order leaves a margin between {low} and {high}; it leaves {goal}"
        f" with a chance of {_percent(found.chance_to_meet)}"
    )
    wanted = f"{show_exact(answer.chance * 100, 2)} %"
    if found.holding_price is None:
        return f"{head}. No price looked at does so with {wanted}."
    price = f"{show_money(found.holding_price, terms.digits)} {terms.currency}"
    return f"{head}. The lowest price that does so with {wanted} is {price}."


def _one_in(chance: Fraction) -> str:
    return show_exact(Fraction(round_to_whole(10 / chance, "half-up"), 10), 1)


def _spreads(answer: Risk, found: InDoubt) -> str:
    header = ("the average order", *(f"{each} %" for each in PERCENTILES), "mean", "±")
    rows = [
        ("profit", *map(answer_money(answer), (*found.profit.percentiles, found.profit.mean, 2 * found.profit.error))),
        ("margin", *map(_percent, (*found.margin.percentiles, found.margin.mean, 2 * found.margin.error))),
    ]
    return table(rows, header, align=("left", *["right"] * (len(header) - 1)))


def answer_money(answer: Risk) -> Any:
    """Return what shows floats in minor units as money."""
    return lambda minor: "–" if math.isnan(minor) else show_money(Fraction(minor), answer.terms.digits)


def _drivers(found: InDoubt) -> str:
    rows = []
    for each in found.drivers:
        one, ends = each.doubt.input, each.doubt.ends
        said = _HOW[ends.shape].format(
            low=one.shown(ends.low), likely=one.shown(ends.likely), high=one.shown(ends.high),
            off=one.shown(ends.high - ends.likely),
        )  # fmt: skip
        rows.append((one.name, said, f"{each.correlation:+.2f}"))
    return table(rows, ("input in doubt", "is", "moves the profit"), align=("left", "left", "right"))


def _one_order(answer: Risk) -> str:
    ways = answer.endings if len(answer.endings) <= 2 * _WAYS else (*answer.endings[:_WAYS], *answer.endings[-_WAYS:])
    rows = [(_way(each), percent(each.chance, 2), _money(answer, each.profit)) for each in ways]
    if len(ways) < len(answer.endings):
        rows.insert(_WAYS, (f"… {len(answer.endings) - len(ways)} more ways between", "", ""))
    return table(rows, ("one order", "chance", "profit"), align=("left", "right", "right"))


def _way(each: Ending) -> str:
    fees = "".join(f", {name}" for name in each.fees)
    return f"{each.outcome}, {each.zone}{fees}"


def _watch(answer: Risk) -> Iterator[str]:
    terms, found = answer.terms, answer.in_doubt
    loss = f"One order loses money with a chance of {percent(answer.loses_money, 2)}"
    if found is None:
        yield f"{loss}; worked out exactly, way by way."
        yield NOBODY_IN_DOUBT
        return
    yield (
        f"{loss} if all is as written, {_percent(found.loses_on_one, 2)} with the doubt; the average order with"
        f" {_percent(found.chance_of_loss, 2)}."
    )
    yield (
        "Moves the profit: rank correlation, 1 or -1 where it alone decides. ±: two standard errors of the mean from"
        f" {found.draws} draws (seed {answer.seed})."
    )
    if found.worked_out_together:
        yield (
            f"Sizes and weights decide how {terms.product} is packed: {found.worked_out_together} sets of them stand"
            " for all."
        )


def _money(answer: Risk, minor: Fraction | int) -> str:
    return show_money(minor, answer.terms.digits)


def _percent(share: float, places: int = 1) -> str:
    return "–" if math.isnan(share) else percent(Fraction(share), places)


def risk_json(answer: Risk) -> dict[str, Any]:
    """Return everything; what is exact as exact decimals, what was drawn to six places."""
    terms, found = answer.terms, answer.in_doubt
    scale = 10**terms.digits
    return {
        "product": terms.product,
        "channel": terms.channel,
        "currency": terms.currency,
        "quantity": terms.quantity,
        "price": _money(answer, answer.price),
        "measure": {"kind": answer.goal.target.kind, "target": show_exact(answer.goal.target.amount),
                    "case": answer.goal.case},
        "one_order": {
            "chance_of_loss": show_exact(answer.loses_money),
            "ways": [
                {
                    "zone": each.zone,
                    "outcome": each.outcome,
                    "fees": list(each.fees),
                    "chance": show_exact(each.chance),
                    "profit": show_exact(Fraction(each.profit) / scale),
                }
                for each in answer.endings
            ],
        },
        "in_doubt": None if found is None else _in_doubt_json(answer, found),
    }  # fmt: skip


def _in_doubt_json(answer: Risk, found: InDoubt) -> dict[str, Any]:
    scale = 10**answer.terms.digits

    def spread(of: Spreads, by: int) -> dict[str, Any]:
        points = {f"p{place}": _drawn(value / by) for place, value in zip(PERCENTILES, of.percentiles, strict=True)}
        return {"mean": _drawn(of.mean / by), "standard_error": _drawn(of.error / by), **points}

    return {
        "draws": found.draws,
        "seed": answer.seed,
        "profit": spread(found.profit, scale),
        "margin": spread(found.margin, 1),
        "chance_of_loss": _drawn(found.chance_of_loss),
        "chance_of_loss_on_one_order": _drawn(found.loses_on_one),
        "chance_to_meet": _drawn(found.chance_to_meet),
        "standard_error_of_chance": _drawn(found.error_of_chance),
        "wanted_chance": show_exact(answer.chance),
        "price_that_holds": None
        if found.holding_price is None
        else show_money(found.holding_price, answer.terms.digits),
        "drivers": [
            {"path": each.doubt.input.name, "shape": each.doubt.ends.shape, "correlation": _drawn(each.correlation)}
            for each in found.drivers
        ],
    }


def _drawn(value: float) -> str | None:
    return None if math.isnan(value) else show_exact(Fraction(value), 6)
