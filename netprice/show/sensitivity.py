"""What moves the profit and the price most, as text and JSON."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any, Final

from netprice.answer.sensitivity import Effect, Moved, Sensitivity
from netprice.money import show_exact, show_money
from netprice.show.json import order_json
from netprice.show.text import bullets, table, wrapped
from netprice.show.words import target_words

# How wide the names of inputs may be, and from which width of the terminal on the wider one fits.
_NARROW: Final = 25
_WIDE: Final = 48
_WIDE_FROM: Final = 100
_SHOWN: Final = 12


def sensitivity_text(answer: Sensitivity, *, width: int, every: bool = False) -> str:
    """Return the largest effects first, then how far each input can go before an order loses money."""
    rows = answer.moved if every else answer.moved[:_SHOWN]
    blocks = [wrapped(_head(answer), width), _effects(answer, rows, _NARROW if width < _WIDE_FROM else _WIDE)]
    far = [each for each in rows if each.break_even is not None]
    if far:
        blocks.append(_break_even(far))
    return "\n\n".join((*blocks, bullets("To watch", list(_watch(answer, len(rows))), width)))


def _head(answer: Sensitivity) -> str:
    terms, by = answer.terms, show_exact(answer.by * 100)
    at = f"{show_money(answer.price, terms.digits)} {terms.currency}"
    left = f"{show_money(answer.profit, terms.digits)} {terms.currency}"
    if not answer.moved:
        return f"{terms.product} on {terms.channel} at {at}: nothing that is written down moves its profit of {left}."
    first = answer.moved[0]
    swing = show_money(first.swing(answer.profit), terms.digits)
    return (
        f"{terms.product} on {terms.channel} at {at}, where an order leaves {left}: {first.input.name} moves it most,"
        f" by up to {swing} {terms.currency} for {by} %."
    )


def _effects(answer: Sensitivity, rows: Sequence[Moved], column: int) -> str:
    by = show_exact(answer.by * 100)
    header = ("", "", f"-{by} %", f"+{by} %", f"-{by} %", f"+{by} %")
    second = ("input", "is", "profit", "profit", "price", "price")
    body: list[tuple[str, ...]] = []
    for each in rows:
        name, *more = _in_lines(each.input.name, column)
        changes = (_change(answer, each.less), _change(answer, each.more))
        body.append((name, _value(each), *changes, _price(answer, each.less), _price(answer, each.more)))
        body += [(f"  {line}", "", "", "", "", "") for line in more]
    return table(body, [f"{top}\n{name}".strip("\n") for top, name in zip(header, second, strict=True)],
                 align=("left", *["right"] * 5))  # fmt: skip


def _break_even(rows: Sequence[Moved]) -> str:
    body = [
        (each.input.name, _value(each), each.input.shown(each.break_even))
        for each in rows
        if each.break_even is not None
    ]
    return table(body, ("input", "is", "loses money from"), align=("left", "right", "right"))


def _in_lines(name: str, column: int) -> list[str]:
    """Return a path in lines that fit its column, broken behind a dot."""
    spaced = name.replace(".", ".\N{ZERO WIDTH SPACE}")
    parts, lines = spaced.split("\N{ZERO WIDTH SPACE}"), [""]
    for part in parts:
        if lines[-1] and len(lines[-1]) + len(part) > column - 2:
            lines.append("")
        lines[-1] += part
    return [piece for line in lines for piece in textwrap.wrap(line, column)]


def _value(each: Moved) -> str:
    return each.input.shown(each.input.value or Fraction(0))


def _change(answer: Sensitivity, effect: Effect) -> str:
    if effect.profit is None:
        return "refused"
    change = show_money(effect.profit - answer.profit, answer.terms.digits)
    return change if change.startswith("-") else f"+{change}"


def _price(answer: Sensitivity, effect: Effect) -> str:
    return "–" if effect.price is None else show_money(effect.price, answer.terms.digits)


def _watch(answer: Sensitivity, shown: int) -> Iterator[str]:
    terms = answer.terms
    goal = target_words(answer.goal.target, answer.goal.case, terms.currency)
    now = "out of reach" if answer.now.lowest_price is None else show_money(answer.now.lowest_price, terms.digits)
    yield f"Price: the lowest that leaves {goal}; as things are {now}. Profit: the change of what an order leaves."
    yield "One input at a time, all else as it is; ranges in the files are tried at their ends."
    if shown < len(answer.moved):
        yield f"{len(answer.moved) - shown} more inputs move it less; --all shows them."


def sensitivity_json(answer: Sensitivity) -> dict[str, Any]:
    """Return every input that moves anything, the largest effect first; amounts in whole units."""
    terms = answer.terms

    def money(minor: Fraction | None) -> str | None:
        return None if minor is None else show_exact(minor / 10**terms.digits)

    def effect(each: Moved, one: Effect) -> dict[str, str | None]:
        return {
            "value": show_exact(one.value / each.input.unit.size),
            "profit": money(one.profit),
            "price": None if one.price is None else show_money(one.price, terms.digits),
        }

    return {
        **order_json(terms, answer.price),
        "profit": money(answer.profit),
        "lowest_price": None if answer.now.lowest_price is None else show_money(answer.now.lowest_price, terms.digits),
        "by": show_exact(answer.by),
        "inputs": [
            {
                "path": each.input.name,
                "unit": each.input.unit.name,
                "value": show_exact((each.input.value or Fraction(0)) / each.input.unit.size),
                "less": effect(each, each.less),
                "more": effect(each, each.more),
                "loses_money_from": None
                if each.break_even is None
                else show_exact(each.break_even / each.input.unit.size),
            }
            for each in answer.moved
        ],
        "without_effect": list(answer.unmoved),
    }
