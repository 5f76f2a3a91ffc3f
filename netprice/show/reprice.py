"""How the list prices in use stand, as text and JSON: which fall short, which hold, and what changes when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any, Final

from netprice.answer.price import PriceAnswer
from netprice.answer.reason import reason
from netprice.answer.reprice import NewPrice, Repricing, Standing, Turn
from netprice.answer.result import solution_of
from netprice.money import show_exact, show_money
from netprice.show.text import answer_line, bullets, percent, table, wrapped
from netprice.show.words import counted

_RATIOS: Final = ("margin", "markup")
# From so many columns on there is room for what an order leaves and for the safe floor.
_WIDE: Final = 104
_FIRST: Final = ("product", "channel", "in use", "reached", "target")
_WORDS: Final = {"holds": "holds", "short": "falls short", "refused": "cannot be sold"}


def reprice_text(answer: Repricing, *, width: int) -> str:
    """Return what falls short and its new price, what holds, and the days on which that changes."""
    short = [each for each in answer.prices if each.fails]
    hold = [each for each in answer.prices if each.stand == "holds"]
    blocks = [wrapped(_head(answer, len(short), len(short) + len(hold)), width)]
    if short:
        blocks.append(_titled("Fall short", _standings(short, width)))
    if hold:
        blocks.append(_titled("Hold", _standings(hold, width)))
    if answer.turns:
        blocks.append(f"Changes ahead, up to {answer.until}")
        blocks += [_turn(turn, width) for turn in answer.turns]
    if short or hold:
        blocks.append(wrapped(_note(answer.prices), width))
    watch = list(_watch(answer))
    return "\n\n".join((*blocks, *([bullets("To watch", watch, width)] if watch else [])))


def written_text(prices: Sequence[NewPrice], files: dict[str, str], width: int) -> str:
    """Return what was written into which file; `files` are the paths to show, by product."""
    items = [f"{files[each.product]}: {', '.join(each.channels)} {each.old} → {each.new}" for each in prices]
    return bullets("Written", items, width) if items else "Nothing to write."


def to_write_text(prices: Sequence[NewPrice], width: int) -> str:
    """Return what would be written."""
    files = len({each.product for each in prices})
    what = f"{counted(len(prices), 'new price')} into {counted(files, 'product file')}"
    return wrapped(f"Nothing was written; --write puts {what}.", width)


def _titled(title: str, body: str) -> str:
    return f"{title}\n\n{body}"


def _head(answer: Repricing, short: int, count: int) -> str:
    if not count:
        return "No list price is in use here; write them under [prices] or [list_prices] in the product files."
    if not short:
        which = f"All {count} list prices in use hold" if count > 1 else "The list price in use holds"
        return f"{which} on {answer.on}."
    which = f"{short} of {count} list prices in use" if count > 1 else "The list price in use"
    return f"{which} {'falls' if short == 1 else 'fall'} short of the target on {answer.on}."


# --- tables ----------------------------------------------------------------------------------------------------------


def _standings(standings: Sequence[Standing], width: int) -> str:
    short, wide = standings[0].fails, width >= _WIDE
    lists = short or any(each.new_price is not None for each in standings)
    header = [*_FIRST, *(["leaves"] if wide else []), "short by" if short else "to spare"]
    header += [*(["list at"] if lists else []), *(["safe floor"] if lists and wide else [])]
    rows = []
    for each, first in zip(standings, _first_cells(standings), strict=True):
        spare, floor = each.to_spare, each.needed.safe_floor if each.needed else None
        more = [_money(each, each.profit)] if wide else []
        more.append(_money(each, None if spare is None else abs(spare)))
        more += [_money(each, each.new_price)] if lists else []
        more += [_money(each, floor)] if lists and wide else []
        rows.append([*first, *more])
    return table(rows, header, align=("left", "left", *["right"] * (len(header) - 2)))


def _turn(turn: Turn, width: int) -> str:
    """Return what changes on a day, and the prices that stand otherwise from then on."""
    changes = [f"{each.file}: {f'{each.name} ' if each.kind == 'fee' else ''}{each.what}" for each in turn.changes]
    if not turn.prices:
        return bullets(f"From {turn.on}", (*changes, "every price in use stands as before"), width)
    firsts = _first_cells([turned.after for turned in turn.prices])
    rows = [
        [*first, "still short" if before.stand == after.stand else _WORDS[after.stand], _money(after, after.new_price)]
        for first, (before, after) in zip(firsts, turn.prices, strict=True)
    ]
    body = table(rows, (*_FIRST, "then", "list at"), align=("left", "left", *["right"] * 3, "left", "right"))
    return _titled(bullets(f"From {turn.on}", changes, width), body)


def _first_cells(standings: Sequence[Standing]) -> Iterator[list[str]]:
    """Give the first cells of each row: the product where it is another one, the channel, the price and the measure."""
    before = ""
    several = len({each.terms.currency for each in standings}) > 1
    for each in standings:
        terms = each.terms
        price = f"{_money(each, each.price)}{f' {terms.currency}' if several else ''}"
        yield ["" if terms.product == before else terms.product, terms.channel, price, _reached(each), _target(each)]
        before = terms.product


def _money(each: Standing, minor: Fraction | int | None) -> str:
    """Show an amount in minor units of the currency that a price is in."""
    return "–" if minor is None else show_money(minor, each.terms.digits)


def _reached(each: Standing) -> str:
    if each.measure is None:
        return "–"
    is_ratio = each.goal.target.kind in _RATIOS
    return percent(each.measure, 2) if is_ratio else show_money(each.measure, each.terms.digits)


def _target(each: Standing) -> str:
    """Return a target as it is written in a shop's files, with a mark where the worst case is meant."""
    kind, amount = each.goal.target.kind, each.goal.target.amount
    shown = f" {show_exact(amount * 100, 4)} %" if kind in _RATIOS else f" {show_exact(amount)}"
    return f"{kind}{'' if kind == 'break-even' else shown}{'*' if each.goal.case == 'worst' else ''}"


def _note(standings: Sequence[Standing]) -> str:
    currencies = {each.terms.currency for each in standings}
    amounts = f"Amounts in {currencies.pop()}. " if len(currencies) == 1 else ""
    worst = " * In the worst case." if any(each.goal.case == "worst" for each in standings) else ""
    return f"{amounts}Short by, to spare: what an order leaves less or more than the target wants at that price.{worst}"


# --- in words --------------------------------------------------------------------------------------------------------


def _watch(answer: Repricing) -> Iterator[str]:
    for each in answer.prices:
        if each.fails and each.needed is not None:
            yield from _needed(each, each.needed)
    unpriced = [each for each in answer.prices if each.stand == "unpriced"]
    if unpriced and len(unpriced) < len(answer.prices):
        yield f"No price in use: {'; '.join(_unpriced(answer.prices))}."


def _needed(each: Standing, needed: PriceAnswer) -> Iterator[str]:
    where, lowest = f"{each.terms.product} on {each.terms.channel}", _money(each, needed.lowest_price)
    if needed.lowest_price is None:
        yield answer_line(solution_of(needed))
    elif each.new_price is None:
        yield f"{where}: no price above the one in use holds; {lowest} below it does (--exact)."
    elif needed.lowest_price != each.new_price:
        yield f"{where}: {_money(each, each.price)} lies in a price trap; {lowest} below it holds too."
    for trap in needed.traps:
        if each.new_price is not None and trap.first > each.new_price and not trap.from_rounding:
            first, last = _money(each, trap.first), _money(each, trap.last)
            yield f"{where}: prices from {first} to {last} fail again, though they are higher."


def _unpriced(standings: Sequence[Standing]) -> Iterator[str]:
    """Name the products without a price in use, and on which channels if it is not all of them."""
    for product in dict.fromkeys(each.terms.product for each in standings if each.stand == "unpriced"):
        of_product = [each for each in standings if each.terms.product == product]
        without = [each.terms.channel for each in of_product if each.stand == "unpriced"]
        yield product if len(without) == len(of_product) else f"{product} on {', '.join(without)}"


# --- JSON ------------------------------------------------------------------------------------------------------------


def reprice_json(answer: Repricing, written: Sequence[NewPrice], files: dict[str, str]) -> dict[str, Any]:
    """Return the answer with every figure as a decimal string, and what was written."""
    return {
        "until": answer.until.isoformat(),
        "results": [_standing_json(each) for each in answer.prices],
        "changes_ahead": [
            {
                "on": turn.on.isoformat(),
                "changes": [change._asdict() for change in turn.changes],
                "results": [{**_standing_json(after), "before": before.stand} for before, after in turn.prices],
            }
            for turn in answer.turns
        ],
        "written": [
            {
                "file": files[each.product],
                "product": each.product,
                "channels": list(each.channels),
                "old": str(each.old),
                "new": str(each.new),
            }
            for each in written
        ],
    }


def _standing_json(each: Standing) -> dict[str, Any]:
    terms, needed = each.terms, each.needed

    def price(minor: int | None) -> str | None:
        return None if minor is None else show_money(minor, terms.digits)

    def amount(minor: Fraction | None) -> str | None:
        return None if minor is None else show_exact(minor / 10**terms.digits)

    is_ratio = each.goal.target.kind in _RATIOS
    return {
        "product": terms.product,
        "channel": terms.channel,
        "currency": terms.currency,
        "quantity": terms.quantity,
        "status": each.stand,
        "measure": {
            "kind": each.goal.target.kind,
            "target": show_exact(each.goal.target.amount),
            "reached": None if each.measure is None else show_exact(each.measure) if is_ratio else amount(each.measure),
            "case": each.goal.case,
        },
        "list_price": price(each.price),
        "profit": amount(each.profit),
        "to_spare": amount(each.to_spare),
        "lowest_price": price(needed.lowest_price) if needed else None,
        "safe_floor": price(needed.safe_floor) if needed else None,
        "new_price": price(each.new_price),
        "reason": (reason(needed) or None) if needed else None,
    }
