"""How far a price can be relied on, as text and JSON."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any, Final

from netprice.answer.draws import Doubt
from netprice.answer.one_order import End, OneOrder
from netprice.answer.risk import LEVELS, Driver, Estimate, Risk, Spreads, WithDoubt
from netprice.money import show_exact, show_money
from netprice.show.json import goal_json, order_json
from netprice.show.text import bullets, money, percent, table, wrapped
from netprice.show.words import target_words

_NAME: Final = 34
HOW_TO_WRITE: Final = (
    "Write a number that you are not sure of as a range, in the files or with --range: '35..50 min', '35..40..50 min'"
    " (lowest, most likely, highest) or '40 +- 4 min'."
)


def risk_text(answer: Risk, *, width: int) -> str:
    """Return the answer in a sentence or two, how the average order is spread, what drives that, and a single order."""
    found = answer.with_doubt
    blocks = [wrapped(_head(answer), width)]
    if found is not None:
        blocks += [_levels(answer, found), _drivers(found)]
    return "\n\n".join((*blocks, _one_order(answer), bullets("To watch", list(_watch(answer)), width)))


def _head(answer: Risk) -> str:
    terms, found = answer.terms, answer.with_doubt
    where = f"{terms.product} on {terms.channel} at {_price(answer, answer.price)}"
    if found is None:
        return (
            f"{where}: no input is in doubt, so the average order leaves {_money(answer, answer.profit)}"
            f" {terms.currency}, a margin of {percent(answer.margin)}. A single order loses money with a chance of"
            f" {_chance(answer.one.chance_of_loss)}."
        )
    ends = found.margin.percentiles
    goal = target_words(answer.goal.target, answer.goal.case, terms.currency)
    return (
        f"{where}: in 9 of 10 cases the average order leaves a margin between {_percent(ends[0].value)} and"
        f" {_percent(ends[-1].value)}; it leaves {goal} with a chance of {_percent(found.chance_to_meet.value)}."
        f" {_holding(answer, found, goal)}"
    )


def _holding(answer: Risk, found: WithDoubt, goal: str) -> str:
    chance, holding = f"{show_exact(answer.chance * 100)} %", found.holding
    if holding is None:
        return f"No price leaves {goal}: it has no meaning for this product."
    at = _price(answer, holding.price)
    if not holding.meets:
        return f"No price leaves it with a chance of {chance}; at best, at {at}, it is {_percent(holding.share)}."
    return f"The lowest price that does with a chance of {chance} is {at}."


def _levels(answer: Risk, found: WithDoubt) -> str:
    """Return the table of percentiles: below how much so many cases of a hundred stay."""
    header = ("", *(f"{level} %" for level in LEVELS), "mean", "±")

    def shown(minor: float) -> str:
        return "–" if not math.isfinite(minor) else _money(answer, Fraction(minor))

    def row(name: str, spreads: Spreads, show: Callable[[float], str], error: str) -> tuple[str, ...]:
        return (name, *(show(each.value) for each in spreads.percentiles), show(spreads.mean.value), error)

    margin, profit, currency = found.margin, found.profit, answer.terms.currency
    rows = [
        row("average order, margin", margin, _percent, _percent(margin.mean.error, 2)),
        row(f"average order, {currency}", profit, shown, shown(profit.mean.error)),
        (f"single order, {currency}", *map(shown, found.one.percentiles), "", ""),
    ]
    return table(rows, header, align=("left", *["right"] * (len(header) - 1)))


def _drivers(found: WithDoubt) -> str:
    rows = []
    for each in found.drivers:
        rank = "–" if each.rank is None else f"{each.rank:+.2f}".replace("-0.00", "0.00").replace("+0.00", "0.00")
        share = "–" if each.share is None else percent(Fraction(each.share), 0)
        rows.append((_in_lines(each.doubt.input.name), _range(each.doubt), rank, share))
    return table(
        rows, ("input in doubt", "is", "margin follows", "of its spread"), align=("left", "right", "right", "right")
    )


def _in_lines(name: str) -> str:
    """Return a path in lines that fit their column, broken behind a dot."""
    lines = textwrap.wrap(name.replace(".", ".\N{ZERO WIDTH SPACE} "), _NAME, break_on_hyphens=False)
    return "\n".join(lines).replace("\N{ZERO WIDTH SPACE} ", "").replace("\N{ZERO WIDTH SPACE}", "")


def _range(doubt: Doubt) -> str:
    """Return a range as a file has it, in the unit of the input: "35..50 min"."""
    shape, low, likely, high = doubt.spread.ends
    unit = doubt.input.unit
    if shape == "normal":
        return f"{_number(doubt, likely)} ± {unit.shown(high - likely)}"
    middle = f"{_number(doubt, likely)}.." if shape == "triangular" else ""
    return f"{_number(doubt, low)}..{middle}{unit.shown(high)}"


def _number(doubt: Doubt, value: Fraction) -> str:
    return doubt.input.unit.shown(value).removesuffix(doubt.input.unit.name).rstrip()


def _one_order(answer: Risk) -> str:
    rows = [
        (each.outcome, _chance(each.chance), *(_money(answer, x) for x in (each.lowest, each.average, each.highest)))
        for each in answer.one.by_outcome()
    ]
    header = (f"a single order, {answer.terms.currency}", "chance", "lowest", "average", "highest")
    return table(rows, header, align=("left", *["right"] * 4))


def _watch(answer: Risk) -> Iterator[str]:
    found, one = answer.with_doubt, answer.one
    yield f"{_single_loss(one, found)} The worst way an order can go: {_way(answer, one.worst)}."
    for name in answer.idle:
        yield f"{name} moves nothing in this order, whatever it is."
    if found is None:
        yield HOW_TO_WRITE
        return
    if found.refused:
        yield f"In {_percent(found.refused)} of the draws nobody carries the parcel; they count as missing the target."
    yield (
        f"The average order loses money with a chance of {_percent(found.chance_of_loss.value)}. Margin follows: how"
        " strictly, from -1 to +1 (rank correlation). Of its spread: how much of it the input makes alone."
    )
    yield (
        f"{found.draws.how_many} draws, seed {found.draws.seed}; ±: the standard error of the mean, and"
        f" {_percent(found.chance_to_meet.error, 2)} of the chance. Each input is drawn on its own: where several go up"
        " together (clay and glaze, say), the spread is wider than this."
    )
    if found.draws.in_places:
        names = " and ".join(doubt.input.name for doubt in found.draws.in_places)
        yield f"{names}: drawn at {len(set(found.draws.places.tolist()))} values, each of them packed and sent anew."


def _single_loss(one: OneOrder, found: WithDoubt | None) -> str:
    loss = f"A single order loses money with a chance of {_chance(one.chance_of_loss)}"
    if found is None:
        return f"{loss}: counted out exactly."
    return f"{loss} with every input at its mean, counted out exactly, and {_percent(found.one.chance_of_loss)} in all."


def _way(answer: Risk, end: End) -> str:
    fees = f", {' and '.join(end.hit)} charged" if end.hit else ""
    left = f"leaves {_money(answer, end.profit)}" if end.profit >= 0 else f"loses {_money(answer, -end.profit)}"
    return f"{end.outcome}, to {end.zone}{fees}; it {left} {answer.terms.currency} (chance {_chance(end.chance)})"


def _price(answer: Risk, minor: Fraction | int) -> str:
    return f"{show_money(minor, answer.terms.digits)} {answer.terms.currency}"


def _money(answer: Risk, minor: Fraction) -> str:
    digits = answer.terms.digits
    return money(Fraction(minor) / 10**digits, digits)


def _percent(share: float, places: int = 1) -> str:
    return "–" if not math.isfinite(share) else percent(Fraction(share), places)


def _chance(share: Fraction) -> str:
    """Return an exact chance as a percent, with more places where it is small.

    >>> _chance(Fraction(1, 8)), _chance(Fraction(1, 1600)), _chance(Fraction(0))
    ('12.5 %', '0.063 %', '0.0 %')
    """
    return percent(share, 1 if not 0 < share < Fraction(1, 100) else 3)


def risk_json(answer: Risk) -> dict[str, Any]:
    """Return everything: what is counted out as exact decimals, what was drawn to eight places."""
    terms = answer.terms
    return {
        **order_json(terms, answer.price),
        "measure": goal_json(answer.goal),
        "at_means": {
            "profit": _whole(answer, answer.profit),
            "margin": None if answer.margin is None else show_exact(answer.margin),
        },
        "one_order": _one_json(answer),
        "in_doubt": None if answer.with_doubt is None else _doubt_json(answer, answer.with_doubt),
        "without_effect": list(answer.idle),
    }


def _whole(answer: Risk, minor: Fraction) -> str:
    return show_exact(Fraction(minor) / 10**answer.terms.digits)


def _one_json(answer: Risk) -> dict[str, Any]:
    one = answer.one
    return {
        "expected_profit": _whole(answer, one.expected),
        "chance_of_loss": show_exact(one.chance_of_loss),
        "standard_deviation": _drawn(math.sqrt(one.variance) / 10**answer.terms.digits),
        **{f"p{level}": _whole(answer, one.at(Fraction(level, 100))) for level in LEVELS},
        "ways": [
            {
                "outcome": end.outcome,
                "zone": end.zone,
                "fees": list(end.hit),
                "chance": show_exact(end.chance),
                "profit": _whole(answer, end.profit),
            }
            for end in one.ends
        ],
    }


def _doubt_json(answer: Risk, found: WithDoubt) -> dict[str, Any]:
    scale, holding = 10**answer.terms.digits, found.holding
    return {
        "draws": found.draws.how_many,
        "seed": found.draws.seed,
        "refused": _drawn(found.refused),
        "margin": _spreads_json(found.margin, 1),
        "profit": _spreads_json(found.profit, scale),
        "chance_of_loss": _estimate_json(found.chance_of_loss),
        "chance_to_meet": _estimate_json(found.chance_to_meet),
        "one_order": {
            "chance_of_loss": _drawn(found.one.chance_of_loss),
            **{f"p{level}": _drawn(x / scale) for level, x in zip(LEVELS, found.one.percentiles, strict=True)},
        },
        "holding": {
            "chance": show_exact(answer.chance),
            "price": show_money(holding.price, answer.terms.digits) if holding and holding.meets else None,
            "best_price": show_money(holding.price, answer.terms.digits) if holding else None,
            "share_there": _drawn(holding.share) if holding else None,
        },
        "drivers": [_driver_json(each) for each in found.drivers],
    }


def _driver_json(each: Driver) -> dict[str, Any]:
    one, (shape, low, likely, high) = each.doubt.input, each.doubt.spread.ends
    return {
        "path": one.name,
        "unit": one.unit.name,
        "shape": shape,
        "low": show_exact(low / one.unit.size),
        "likely": show_exact(likely / one.unit.size),
        "high": show_exact(high / one.unit.size),
        "rank_correlation": None if each.rank is None else _drawn(each.rank),
        "share_of_variance": None if each.share is None else _drawn(each.share),
    }


def _spreads_json(of: Spreads, scale: int) -> dict[str, Any]:
    levels = {f"p{level}": _estimate_json(each, scale) for level, each in zip(LEVELS, of.percentiles, strict=True)}
    return {"mean": _estimate_json(of.mean, scale), **levels}


def _estimate_json(of: Estimate, scale: int = 1) -> dict[str, str | None]:
    return {"value": _drawn(of.value / scale), "standard_error": _drawn(of.error / scale)}


def _drawn(value: float) -> str | None:
    return show_exact(Fraction(value), 8) if math.isfinite(value) else None
