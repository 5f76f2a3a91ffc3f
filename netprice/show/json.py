"""An answer as JSON: money and ratios as decimal strings, prices always with their currency's digits."""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from netprice.answer.goal import Goal
from netprice.answer.result import Ledger, Solution, Trap
from netprice.ledger.terms import Terms
from netprice.money import round_to_whole, show_exact, show_money

JsonDict = dict[str, Any]
_PLACES = 12


def document(command: str, **content: object) -> str:
    """Return a whole JSON document of a command."""
    return json.dumps({"netprice": command, "version": 1, **content}, indent=2, ensure_ascii=False)


def order_json(terms: Terms, price: Fraction | int) -> JsonDict:
    """Return which order a question at a price is about; the price is in minor units."""
    return {
        "product": terms.product,
        "channel": terms.channel,
        "currency": terms.currency,
        "quantity": terms.quantity,
        "price": show_money(price, terms.digits),
    }


def goal_json(goal: Goal) -> JsonDict:
    """Return the measure that is wanted, how much of it and in which case."""
    return {"kind": goal.target.kind, "target": show_exact(goal.target.amount), "case": goal.case}


def solution_json(solution: Solution) -> JsonDict:
    """Return the answer to `solve` for one product on one channel."""
    best = solution.best
    return {
        "product": solution.product,
        "channel": solution.channel,
        "currency": solution.currency,
        "quantity": solution.quantity,
        "status": solution.status,
        "measure": {
            "kind": solution.target.kind,
            "target": show_exact(solution.target.amount),
            "reached": _number(solution.reached),
            "case": solution.case,
        },
        "lowest_price": _text(solution.lowest_price),
        "safe_floor": _text(solution.safe_floor),
        "highest_price": _text(solution.highest_price),
        "traps": [_trap(trap) for trap in solution.traps],
        "traps_from_rounding": [_trap(trap) for trap in solution.traps if trap.from_rounding],
        "reason": None
        if solution.status == "met"
        else {
            "text": solution.reason,
            "best_price": _text(best.price) if best else None,
            "best": show_exact(best.measure) if best else None,
        },
        "ledger": None if solution.ledger is None else ledger_json(solution.ledger),
    }


def ledger_json(ledger: Ledger) -> JsonDict:
    """Return the lines of an order, whose amounts add up to its profit exactly, and its sums."""
    sums = ("buyer_pays", "tax", "net_sales", "fees", "labels", "unit_cost", "order_cost", "profit")
    measures = ("margin", "markup", "contribution", "profit_per_machine_hour", "profit_per_labour_hour")
    return {
        "price": str(ledger.price),
        "lines": list(_lines(ledger)),
        **{name: _number(getattr(ledger, name)) for name in (*sums, *measures)},
        "worst": {"zone": ledger.worst_zone, "profit": _number(ledger.worst_profit)},
    }


def _text(price: object) -> str | None:
    return None if price is None else str(price)


def _number(value: Fraction | None) -> str | None:
    return None if value is None else show_exact(value, _PLACES)


def _trap(trap: Trap) -> list[str]:
    return [str(trap.first), str(trap.last)]


def _lines(ledger: Ledger) -> Iterator[JsonDict]:
    """Yield each line with its amount as a decimal, so that the printed decimals add up to the printed profit.

    An amount without an end is rounded at the twelfth place; rounding the running total instead of each amount keeps
    the sum exact.
    """
    total, printed = Fraction(0), 0
    for line in ledger.lines:
        total += line.amount
        running = round_to_whole(total * 10**_PLACES, "half-up")
        shown = show_exact(Fraction(running - printed, 10**_PLACES), _PLACES)
        printed = running
        yield {"group": line.group, "name": line.name, "amount": shown, "how": line.how}
