"""The greatest value of an input at which a target still holds, by trying every value of its grid."""

from copy import deepcopy
from fractions import Fraction
from typing import Any

from .channel import Channel, read_channel, wanted
from .cost import read_cost
from .exact import ONE, ZERO, JsonDict, amount_or_none, field, number

Path = list[str | int]

RETURN_RATE: Path = ["channels", 0, "outcomes", "return_rate"]


def refunds_result(case: JsonDict, price: Fraction | None) -> JsonDict:
    """The greatest return rates of the first channel at which break-even and the target still hold."""
    rates = _grid(
        ZERO, ONE - field(case["channels"][0].get("outcomes", {}), "damage_rate"), case["refunds"]["rate_step"]
    )
    # Break-even is held in the expected case: in the worst one every order arrives, whatever the return rate.
    break_even = deepcopy(case)
    break_even["channels"][0]["target"] = {"measure": "break_even"}
    return {
        "price": amount_or_none(price),
        "break_even": _greatest(break_even, RETURN_RATE, rates, price),
        "target": _greatest(case, RETURN_RATE, rates, price),
    }


def limit_result(case: JsonDict, limit: JsonDict, price: Fraction | None) -> JsonDict:
    """The greatest value of the input at a path of the case at which its channel's target still holds."""
    values = _grid(number(limit["from"]), number(limit["to"]), limit["step"])
    found = _greatest(case, limit["path"], values, price, int(limit.get("channel", 0)))
    return {"path": limit["path"], "price": amount_or_none(price), **found}


def meets(channel: Channel, price: Fraction) -> bool:
    """Whether a price meets the channel's target."""
    if not channel.carried:
        return False
    value = channel.measure(channel.target["measure"], channel.target_totals(channel.zones_at(price)))
    return value is not None and value >= wanted(channel.target)


def _grid(first: Fraction, last: Fraction, step: str) -> list[Fraction]:
    """The first value and every one that is a whole number of steps above it, up to the last."""
    return [first + count * number(step) for count in range((last - first) // number(step) + 1)]


def _greatest(case: JsonDict, path: Path, values: list[Fraction], price: Fraction | None, place: int = 0) -> JsonDict:
    """The greatest value that meets, and the greatest one up to which every value meets."""
    greatest = unbroken = None
    if price is not None:
        held = [meets(_changed(case, path, value, place), price) for value in values]
        greatest = next((value for value, holds in zip(values[::-1], held[::-1], strict=True) if holds), None)
        first_miss = held.index(False) if False in held else len(held)
        unbroken = values[first_miss - 1] if first_miss else None
    return {"greatest": amount_or_none(greatest), "greatest_unbroken": amount_or_none(unbroken)}


def _changed(case: JsonDict, path: Path, value: Fraction, place: int) -> Channel:
    """A channel of the case, read anew with another value at a path."""
    changed = deepcopy(case)
    inner: Any = changed
    for key in path[:-1]:
        inner = inner[key] if isinstance(key, int) else inner.setdefault(key, {})
    inner[path[-1]] = value
    return read_channel(changed, changed["channels"][place], read_cost(changed["cost"]))
