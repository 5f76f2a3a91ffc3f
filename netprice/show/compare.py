"""The selling channels side by side, as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple, TypeAlias

from netprice.answer.channel_at import AtPrices, ChannelAt, deductions
from netprice.answer.compare import Comparison, OnePrice
from netprice.money import show_exact
from netprice.show.text import answer_line, bullets, money, percent, table, wrapped

_NAME = 14
_A_CELL = 12  # how wide a column of an overview is, with the space before it
_HEADINGS = {
    "order": "an\norder", "labour_hour": "an hour\nof work", "machine_hour": "a machine\nhour", "month": "a\nmonth",
}  # fmt: skip
_MEASURES = {
    "order": "an order", "labour_hour": "an hour of work", "machine_hour": "a machine hour", "month": "a month",
}  # fmt: skip


# A product, its currency's digits, and the channels that it is compared on.
_GridRow: TypeAlias = tuple[str, int, Sequence[ChannelAt]]


def compare_text(comparisons: Sequence[Comparison], *, width: int, brief: bool = False) -> str:
    """Return an overview where there are several products, then each in full unless `brief`."""
    parts = []
    if len(comparisons) > 1:
        parts.append(_overview(comparisons, width))
    if not brief or len(comparisons) == 1:
        parts += [comparison_text(each, width=width) for each in comparisons]
    return "\n\n".join(parts)


class _Side(NamedTuple):
    """Channels at certain prices, and how to speak of these prices."""

    title: str
    at: AtPrices
    priced: bool
    """Whether each channel has a price of its own, so that a table has to show it."""


def _sides(answer: Comparison) -> list[_Side]:
    """Return the prices to show: those asked about or else in use today, and each channel's own."""
    several = len(answer.solutions) > 1
    sides = [
        _Side(f"{'All at' if several else 'At'} {group.common} {group.currency}", group.at_common, priced=False)
        for group in answer.one_price
        if group.at_common is not None and group.at_common.channels
    ]
    if not sides and answer.in_use.channels:
        prices = {f"{each.price} {each.currency}" for each in answer.in_use.channels}
        one = len(prices) == 1
        title = (
            f"At the list price in use, {prices.pop()}" if one else f"At the list prices in use, in {answer.currency}"
        )
        sides.append(_Side(title, answer.in_use, priced=not one))
    if answer.own.channels:
        title = f"{'Each at' if several else 'At'} its own price, in {answer.currency}"
        sides.append(_Side(title, answer.own, priced=True))
    return sides


def comparison_text(answer: Comparison, *, width: int) -> str:
    """Return one product: which channel leaves most, the channels side by side, what is taken, what to watch."""
    sides = _sides(answer)
    blocks = [wrapped(_head(answer, sides), width)]
    blocks += [_titled(side.title, _leaves(answer, side), width) for side in sides]
    if answer.own.channels:
        blocks += [
            _titled("What becomes of what the buyer pays without tax, at the same prices", _taken(answer), width),
            _titled("How many orders a month cover what is due anyway, at the same prices", _covers(answer), width),
        ]
    lists = {
        "One price for all": list(_one_price(answer)),
        "Which channel at how many orders a month, equally many on each": [
            f"{side.title}: {_by_volume(side.at)}." for side in sides if len(side.at.channels) > 1
        ],
        "To watch": list(_watch(answer, sides)),
    }
    return "\n\n".join((*blocks, *(bullets(heading, items, width) for heading, items in lists.items() if items)))


def _titled(title: str, body: str, width: int) -> str:
    return f"{wrapped(title, width)}\n\n{body}"


def _head(answer: Comparison, sides: Sequence[_Side]) -> str:
    count = len(answer.solutions)
    where = f"{answer.product} on {f'{count} channels' if count > 1 else answer.solutions[0].channel}"
    where += f" in orders of {answer.quantity}" if answer.quantity > 1 else ""
    if not sides:
        return f"{where}: the target is out of reach."
    # A price asked about makes a side for each currency; only at their own prices are all channels together then.
    apart = len(answer.one_price) > 1 and any(group.common is not None for group in answer.one_price)
    side = sides[-1] if apart else sides[0]
    return f"{where}, {side.title[0].lower()}{side.title[1:]}: {_most(answer, side.at)}."


def _most(answer: Comparison, at: AtPrices) -> str:
    """Say which channel leaves most by which measure, channel by channel."""
    said: dict[str, list[str]] = {}
    by_name = {each.channel: each for each in at.channels}
    for measure, words in _MEASURES.items():
        name = getattr(at.best, measure)
        amount = None if name is None else _amounts(by_name[name])[measure]
        if amount is not None:
            said.setdefault(name, []).append(f"{words} ({money(amount, answer.digits)})")
    most = "leaves most" if len(at.channels) > 1 else "leaves"
    return "; ".join(f"{name} {most} {_and(words)}" for name, words in said.items())


def _and(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]


def _amounts(each: ChannelAt) -> dict[str, Fraction | None]:
    """Return what a channel leaves by every measure, in the shop's currency."""
    found = (
        each.ledger.profit,
        each.ledger.profit_per_labour_hour,
        each.ledger.profit_per_machine_hour,
        each.profit_per_month,
    )
    return {
        name: None if amount is None else each.in_shop_currency(amount)
        for name, amount in zip(_MEASURES, found, strict=True)
    }


def _leaves(answer: Comparison, side: _Side) -> str:
    """Return a table of what each channel leaves an order, an hour and a month, with the best of each marked."""
    found = {each.channel: each for each in side.at.channels}
    best = side.at.best._asdict() if len(found) > 1 else {}
    names = [solution.channel for solution in answer.solutions if solution.channel in found or side.at is answer.own]
    columns: dict[str, list[str]] = {}
    if side.priced:
        unit = {each.channel: f" {each.currency}" if len(answer.one_price) > 1 else "" for each in side.at.channels}
        columns["list\nprice"] = [f"{found[name].price}{unit[name]}" if name in found else "–" for name in names]
    for measure, heading in _HEADINGS.items():
        amounts = {name: _amounts(each)[measure] for name, each in found.items()}
        if measure == "month":
            orders = {name: each.orders_per_month for name, each in found.items()}
            columns["orders\na month"] = [_orders(orders.get(name)) for name in names]
        if any(amount is not None for amount in amounts.values()):
            columns[heading] = [
                _cell(amounts.get(name), answer.digits, best=best.get(measure) == name) for name in names
            ]
    rows = list(zip([_short(name) for name in names], *columns.values(), strict=True))
    return table(rows, ("channel", *columns), align=("left", *["right"] * len(columns)))


def _cell(amount: Fraction | None, digits: int, *, best: bool = False) -> str:
    return "–" if amount is None else f"{'* ' if best else ''}{money(amount, digits)}"


def _orders(orders: Fraction | int | None, nothing: str = "–") -> str:
    return nothing if orders is None else show_exact(orders, 1)


def _short(name: str, width: int = _NAME) -> str:
    return textwrap.fill(name, width)


def _taken(answer: Comparison) -> str:
    header = ("channel", "fees", "labels", "making,\npacking", "returns,\nbreakage", "set\naside", "profit")
    rows = []
    for each in answer.own.channels:
        shares = deductions(each.ledger) or [None] * (len(header) - 1)
        rows.append((_short(each.channel), *map(percent, shares)))
    return table(rows, header, align=("left", *["right"] * (len(header) - 1)))


def _covers(answer: Comparison) -> str:
    """Return the table of orders that cover fees per month, then the shop's monthly totals, then the profit wanted."""
    asked = {"fees": "fees", "overhead": "fees and\noverhead", "profit": "fees, over-\nhead, profit"}
    if not answer.overhead_per_month:
        asked |= {"profit": "fees and\nprofit"}
        del asked["overhead"]
    if answer.monthly_profit is None:
        del asked["profit"]
    rows = []
    for each in answer.own.channels:
        amounts = (each.ledger.contribution, each.fees_per_month)
        money_cells = (_cell(each.in_shop_currency(amount), answer.digits) for amount in amounts)
        needed = (_orders(getattr(each.orders_to_cover, name), "never") for name in asked)
        rows.append((_short(each.channel), *money_cells, *needed))
    header = ("channel", "an order\nadds", "fees\na month", *(f"orders for\n{name}" for name in asked.values()))
    return table(rows, header, align=("left", *["right"] * (len(header) - 1)))


def _one_price(answer: Comparison) -> Iterator[str]:
    for group in answer.one_price:
        if len(group.channels) > 1:
            every = "every channel" if len(answer.one_price) == 1 else f"every channel in {group.currency}"
            yield _on_all(group, every)
            yield _of_mix(group)


def _on_all(group: OnePrice, every: str) -> str:
    if group.on_all is not None:
        return f"{group.on_all} {group.currency} is the lowest price that meets the target on {every}."
    if not group.without:
        return f"No price that is allowed on {every} meets the target on all of them."
    said = f"No one price meets the target on {every}: {_and(group.without)} cannot reach it"
    if group.on_the_rest is None:
        return f"{said}."
    return f"{said}; elsewhere {group.on_the_rest} {group.currency} is the lowest that does."


def _of_mix(group: OnePrice) -> str:
    left_out = f", but for those on {_and(group.left_out)}" if group.left_out else ""
    if len(group.left_out) == len(group.channels):
        return "All orders of a month together have no price: no channel that can sell it says its orders_per_month."
    if group.of_mix is None:
        return f"No price that is allowed everywhere meets the target on all orders of a month together{left_out}."
    return f"{group.of_mix} {group.currency} is the lowest that meets it on all orders of a month together{left_out}."


def _by_volume(at: AtPrices) -> str:
    if not at.changes:
        return f"{at.best_with_few_orders} leaves most, however many there are"
    first, *further = (f"{change.best_below} {{}}up to {show_exact(change.orders, 1)}" for change in at.changes)
    above = f"{at.changes[-1].best_above} above that"
    return ", ".join((first.format("leaves most "), *(each.format("") for each in further), above))


def _watch(answer: Comparison, sides: Sequence[_Side]) -> Iterator[str]:
    yield from (answer_line(solution) for solution in answer.solutions if solution.status != "met")
    for side in sides:
        missed = [each.channel for each in side.at.channels if not each.meets_target]
        if missed:
            yield f"{side.title}, the target is missed on {_and(missed)}."
    if len(answer.own.channels) > 1:
        yield (
            "Where more is taken the own price is higher, and so is what an order leaves: all at one price shows what"
            " the channels themselves take, and whether buyers pay the higher price you know best."
        )
    if any(each.orders_per_month is not None for each in answer.own.channels):
        yield f"A month counts all orders of a channel as if they were of {answer.product}."
    if answer.overhead_per_month and answer.own.channels:
        overhead = f"{money(answer.overhead_per_month, answer.digits)} {answer.currency}"
        yield f"Overhead is the shop's {overhead} a month, as if this channel alone had to earn it."
    if len({(solution.target, solution.case) for solution in answer.solutions}) > 1:
        yield "The channels have targets of their own: all orders together have to leave what those want together."
    if any(solution.case == "worst" for solution in answer.solutions):
        yield "The target is held in the worst case; the amounts are those of the average order."
    if len(answer.one_price) > 1:
        others = _and([group.currency for group in answer.one_price if group.currency != answer.currency])
        yield (
            f"Amounts are in {answer.currency}, those in {others} at the rates that the shop states. One price for"
            " several channels is a matter of one currency, so it is worked out for each apart."
        )


def _overview(comparisons: Sequence[Comparison], width: int) -> str:
    """Return what an order of each product leaves on each channel, and the best channel of each marked."""
    grids: dict[str, list[_GridRow]] = {"At the prices asked about or in use today": [], "Each at its own price": []}
    for answer in comparisons:
        now = [side.at for side in _sides(answer) if side.at is not answer.own]
        for title, sides in zip(grids, (now, [answer.own]), strict=True):
            found = [each for at in sides for each in at.channels]
            if found:
                grids[title].append((answer.product, answer.digits, found))
    head = f"What an order leaves, in {comparisons[0].currency}; * marks the channel that leaves most."
    return "\n\n".join(
        (wrapped(head, width), *(_titled(title, _grid(rows, width), width) for title, rows in grids.items() if rows))
    )


def _grid(rows: Sequence[_GridRow], width: int) -> str:
    """Return a table of products and channels, in as many parts as it takes to fit the width."""
    channels = list(dict.fromkeys(each.channel for _, _, found in rows for each in found))
    at_once = max((width - _NAME - 4) // _A_CELL, 1)
    parts = [channels[start : start + at_once] for start in range(0, len(channels), at_once)]
    return "\n\n".join(_part_of_grid(rows, part) for part in parts)


def _part_of_grid(rows: Sequence[_GridRow], channels: Sequence[str]) -> str:
    lines = []
    for product, digits, found in rows:
        leaves = {each.channel: each.in_shop_currency(each.ledger.profit) for each in found}
        most = max(leaves.values(), default=None) if len(leaves) > 1 else None
        cells = [_cell(leaves.get(name), digits, best=name in leaves and leaves[name] == most) for name in channels]
        lines.append((_short(product, _NAME + 2), *cells))
    header = ("product", *(_short(name, _A_CELL - 2) for name in channels))
    return table(lines, header, align=("left", *["right"] * len(channels)))
