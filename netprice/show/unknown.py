"""At which values of an input a price leaves the target, as text and JSON."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from netprice.answer.reason import measure_words
from netprice.answer.unknown import Unknown
from netprice.money import show_exact, show_money
from netprice.show.json import goal_json, order_json
from netprice.show.text import bullets, wrapped
from netprice.show.words import target_words


def unknown_text(answer: Unknown, *, width: int) -> str:
    """Return the greatest or smallest value in one sentence, then what to watch."""
    head = f"{_where(answer)}: {_verdict(answer)}."
    watch = list(_watch(answer))
    return "\n\n".join((wrapped(head, width), *([bullets("To watch", watch, width)] if watch else [])))


def _where(answer: Unknown) -> str:
    terms = answer.terms
    return f"{terms.product} on {terms.channel} at {show_money(answer.price, terms.digits)} {terms.currency}"


def _verdict(answer: Unknown) -> str:
    terms, name, one = answer.terms, answer.input.name, answer.input
    goal = target_words(answer.goal.target, answer.goal.case, terms.currency)
    reach = "" if answer.reach is None else one.shown(answer.reach)
    now = f" (it is {one.shown(one.value)})" if one.value is not None and one.place is not None else ""
    match answer.direction:
        case "greatest":
            return f"{name} may be {reach} at most{now} to leave {goal}"
        case "smallest":
            return f"{name} must be {reach} at least{now} to leave {goal}"
        case "any":
            low, high = (one.shown(end) for end in (answer.values.low, answer.values.high))
            return f"whatever {name} is, from {low} to {high}{now}, it leaves {goal}"
        case "between":
            runs = " or ".join(f"from {one.shown(first)} to {one.shown(last)}" for first, last in answer.holds[:3])
            return f"{name} must be {runs}{now} to leave {goal}"
        case _:
            return f"no value of {name} does{now}: {_nearest(answer)}, and {goal} is wanted"


def _nearest(answer: Unknown) -> str:
    """Say what is reached at that end of the values that reaches more."""
    ends = zip((answer.values.low, answer.values.high), answer.at_ends, strict=True)
    end, measure = max(ends, key=lambda pair: (pair[1] is not None, pair[1] or 0))
    return f"at {answer.input.shown(end)} it reaches {_reached(answer, measure)}"


def _reached(answer: Unknown, measure: Fraction | None) -> str:
    if measure is None:
        return "none"
    return measure_words(answer.terms, answer.goal.target.kind, measure)


def _watch(answer: Unknown) -> list[str]:
    one, said = answer.input, []
    if answer.holds_now is False and answer.direction in ("greatest", "smallest", "between"):
        said.append("The value in the files is not among them: at this price the target is missed today.")
    if answer.direction in ("greatest", "smallest") and answer.unbroken != answer.reach:
        rest = "on the way" if answer.unbroken is None else f"beyond {one.shown(answer.unbroken)}"
        said.append(f"Not every value does: {rest} some fail again, where a step, tier or threshold makes them dearer.")
    if answer.direction != "none":
        said.append(f"Looked at in steps of {one.shown(answer.values.step)}; --step takes finer or coarser ones.")
    return said


def unknown_json(answer: Unknown) -> dict[str, Any]:
    """Return the answer; values are decimal strings in the unit of the input."""
    one, terms = answer.input, answer.terms
    money = answer.goal.target.kind not in ("margin", "markup")

    def text(value: Fraction | None) -> str | None:
        return None if value is None else show_exact(value / one.unit.size)

    def measure(value: Fraction | None) -> str | None:
        return None if value is None else show_exact(value / 10**terms.digits if money else value)

    return {
        **order_json(terms, answer.price),
        "measure": goal_json(answer.goal),
        "input": {"path": one.name, "unit": one.unit.name, "value": text(one.value)},
        "from": text(answer.values.low),
        "to": text(answer.values.high),
        "step": text(answer.values.step),
        "direction": answer.direction,
        "value": text(answer.reach),
        "unbroken": text(answer.unbroken),
        "holds": [[text(first), text(last)] for first, last in answer.holds],
        "measure_at_ends": [measure(end) for end in answer.at_ends],
    }
