"""An answer as text for a terminal: the answer in one line, then the ledger, then what to watch."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence
from fractions import Fraction

from netprice.answer.result import Ledger, Solution
from netprice.ledger.explain import TAX_PASSED_ON
from netprice.money import show_money
from netprice.show.words import target_words

_NAME = 27
_LEAST_HOW = 24
_RATIOS = ("margin", "markup")
_HEADINGS = {
    "sale": "What the buyer pays, and what of it are net sales",
    "fee": "What the storefront takes",
    "shipping": "Shipping",
    "cost": "What it costs to make and pack",
    "refund": "Returns and breakage",
    "recovery": "What comes back",
    "set_aside": "Set aside",
}


def money(amount: Fraction, digits: int) -> str:
    """Return an amount in whole units with the currency's digits."""
    return show_money(amount * 10**digits, digits)


def percent(share: Fraction | None, places: int = 1) -> str:
    """Return a share as a percent, rounded for display.

    >>> percent(Fraction(3001, 10000))
    '30.0 %'
    """
    return "–" if share is None else f"{show_money(share * 100 * 10**places, places)} %"


def wrapped(text: str, width: int, first: str = "", further: str = "") -> str:
    """Return the text in lines of at most `width`; an amount is never parted from its unit or currency."""
    kept = re.sub(r"(?<=\d) (?=%|[A-Z]{3}\b)", "\N{NO-BREAK SPACE}", text)
    lines = textwrap.fill(kept, width, initial_indent=first, subsequent_indent=further)
    return lines.replace("\N{NO-BREAK SPACE}", " ")


def solve_text(solutions: Sequence[Solution], *, width: int, brief: bool = False) -> str:
    """Return the answers to `solve`: an overview where there are several, then each in full unless `brief`."""
    parts = []
    if len(solutions) > 1:
        parts.append(_overview(solutions, width))
    if not brief or len(solutions) == 1:
        parts += [solution_text(solution, width=width, brief=brief) for solution in solutions]
    return "\n\n".join(parts)


def solution_text(solution: Solution, *, width: int, brief: bool = False) -> str:
    """Return one answer: the price in one line, the ledger, what to watch."""
    blocks = [wrapped(answer_line(solution), width)]
    if solution.ledger is not None and not brief:
        blocks.append(ledger_table(solution.ledger, width=width))
    watch = list(_watch(solution))
    if watch:
        blocks.append(bullets("To watch", watch, width))
    return "\n\n".join(blocks)


def ledger_text(ledger: Ledger, *, width: int) -> str:
    """Return one order at a price: what is left in one line, then every line."""
    digits, currency = ledger.digits, ledger.currency
    left = "leaves" if ledger.profit >= 0 else "loses"
    head = (
        f"{ledger.product} on {ledger.channel} at {ledger.price} {currency}: an order{_of(ledger.quantity)} {left}"
        f" {money(abs(ledger.profit), digits)} {currency}, a margin of {percent(ledger.margin)}."
    )
    watch = list(_shares_and_worst(ledger))
    return "\n\n".join((wrapped(head, width), ledger_table(ledger, width=width), bullets("To watch", watch, width)))


def answer_line(solution: Solution) -> str:
    """Return the answer in one sentence."""
    where = f"{solution.product} on {solution.channel}"
    if solution.status == "met":
        price = f"list it at {solution.lowest_price} {solution.currency}{_of(solution.quantity, ' in orders')}"
        return f"{where}: {price} for {_wanted(solution)} (reaches {_reached(solution)})."
    if solution.status == "refused":
        return f"{where}: cannot be sold there; {solution.reason}."
    highest = f"{solution.highest_price} {solution.currency}"
    return f"{where}: no price up to {highest} leaves {_wanted(solution)}; {solution.reason}."


def _of(quantity: int, words: str = "") -> str:
    return f"{words} of {quantity}" if quantity > 1 else ""


def _wanted(solution: Solution) -> str:
    return target_words(solution.target, solution.case, solution.currency)


def _reached(solution: Solution) -> str:
    if solution.reached is None:
        return "–"
    if solution.target.kind in _RATIOS:
        return percent(solution.reached, 2)
    return f"{money(solution.reached, solution.digits)} {solution.currency}"


def _overview(solutions: Sequence[Solution], width: int) -> str:
    currencies = {solution.currency for solution in solutions}
    rows, before = [], ""
    for solution in solutions:
        ledger = solution.ledger if solution.status == "met" else None
        unit = f" {solution.currency}" if len(currencies) > 1 else ""
        rows.append(
            (
                "" if solution.product == before else solution.product,
                solution.channel,
                f"{solution.lowest_price or '–'}{unit}",
                f"{solution.safe_floor or '–'}",
                money(ledger.profit, ledger.digits) if ledger else solution.status,
                percent(ledger.margin) if ledger else "",
                percent(_taken(ledger)) if ledger else "",
            )
        )
        before = solution.product
    header = ("product", "channel", "list price", "safe floor", "profit", "margin", "taken")
    note = "taken: the share of what the buyer pays, without tax, that fees and shipping labels take."
    if len(currencies) == 1:
        note = f"Amounts in {currencies.pop()}; {note}"
    body = table(rows, header, align=("left", "left", *["right"] * 5))
    return f"{body}\n\n{wrapped(note, width)}"


def table(rows: Sequence[Sequence[str]], header: Sequence[str] = (), *, align: Sequence[str]) -> str:
    """Return a plain table; numbers are never re-read, so that names such as "1e5" stay as they are."""
    import tabulate as tables

    tables.MIN_PADDING = 0  # headings are not padded: seven columns have to fit a narrow terminal
    return tables.tabulate(rows, headers=header, tablefmt="simple", colalign=align, disable_numparse=True)


def ledger_table(ledger: Ledger, *, width: int) -> str:
    """Return every line of an order with the sums between, from what the buyer pays down to the profit."""
    amounts = [money(line.amount, ledger.digits) for line in ledger.lines]
    column = max(12, *(len(amount) + 2 for amount in amounts))
    out: list[str] = []
    for group, heading in _HEADINGS.items():
        lines = [line for line in ledger.lines if line.group == group]
        if not lines:
            continue
        out.append(heading)
        for line in lines:
            if line.name == TAX_PASSED_ON:
                out += _row("  = buyer pays", money(ledger.buyer_pays, ledger.digits), "", width, column)
            out += _row(f"  {line.name}", money(line.amount, ledger.digits), line.how, width, column)
        if group == "sale":
            taxed = any(line.name == TAX_PASSED_ON for line in lines)
            sum_name = "  = net sales" if taxed else "  = buyer pays, net sales"
            out += _row(
                sum_name, money(sum((line.amount for line in lines), Fraction(0)), ledger.digits), "", width, column
            )
    out.append("-" * (_NAME + column))
    out += _row(f"Profit, {ledger.currency}", money(ledger.profit, ledger.digits), _profit_how(ledger), width, column)
    return "\n".join(out)


def _row(name: str, amount: str, how: str, width: int, column: int) -> Iterator[str]:
    room = max(width - _NAME - column - 2, _LEAST_HOW)
    names = textwrap.wrap(name, _NAME, subsequent_indent="    ", drop_whitespace=False) or [""]
    hows = wrapped(how, room).split("\n")
    for place in range(max(len(names), len(hows))):
        left = names[place] if place < len(names) else ""
        middle = amount if place == 0 else ""
        right = hows[place] if place < len(hows) else ""
        yield f"{left:<{_NAME}}{middle:>{column}}  {right}".rstrip()


def _profit_how(ledger: Ledger) -> str:
    return f"margin {percent(ledger.margin)} of net sales {money(ledger.net_sales, ledger.digits)}"


def _taken(ledger: Ledger) -> Fraction | None:
    """Return the share of what the buyer pays, without tax, that fees and labels take."""
    paid = ledger.buyer_pays - ledger.tax
    return (ledger.fees + ledger.labels) / paid if paid > 0 else None


def _shares_and_worst(ledger: Ledger) -> Iterator[str]:
    yield _share_taken(ledger)
    if ledger.worst_profit < ledger.profit:
        yield _worst(ledger)


def _share_taken(ledger: Ledger) -> str:
    paid = ledger.buyer_pays - ledger.tax
    if paid <= 0:
        return "The buyer pays nothing at this price."
    if not ledger.fees and not ledger.labels:
        return "Nothing goes to a storefront or a carrier here."
    fees, labels = percent(ledger.fees / paid), percent(ledger.labels / paid)
    return f"Fees take {fees} and shipping labels {labels} of what the buyer pays without tax."


def _worst(ledger: Ledger) -> str:
    shown = money(ledger.worst_profit, ledger.digits)
    return (
        f"In the worst case, to {ledger.worst_zone} with every fee charged, an order leaves {shown} {ledger.currency}."
    )


def _watch(solution: Solution) -> Iterator[str]:
    if solution.ledger is None:
        return
    if solution.status == "met":
        yield from _floor(solution)
    yield from _shares_and_worst(solution.ledger)


def _floor(solution: Solution) -> Iterator[str]:
    real = [trap for trap in solution.traps if not trap.from_rounding]
    for trap in real:
        yield f"Price trap: from {trap.first} to {trap.last} the target fails again, though the price is higher."
    if len(solution.traps) > len(real):
        count = len(solution.traps) - len(real)
        cents = "1 run of prices" if count == 1 else f"{count} runs of prices"
        yield f"Rounding alone makes {cents} above the lowest price fall short by a hair."
    if solution.safe_floor is None:
        yield f"No safe floor: the target fails again at the highest price looked at, {solution.highest_price}."
    elif solution.safe_floor != solution.lowest_price:
        yield f"Safe floor: from {solution.safe_floor} on every price up to {solution.highest_price} meets the target."


def bullets(heading: str, items: Sequence[str], width: int) -> str:
    """Return a heading and below it each item behind a dash."""
    return "\n".join((heading, *(wrapped(item, width, "  - ", "    ") for item in items)))
