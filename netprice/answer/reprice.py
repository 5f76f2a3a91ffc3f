"""The list prices in use held against today's costs and fees: which fall short, and which will when fees change.

A price in use falls short exactly where an order's ledger at that price misses the target. That takes one ledger; a
price is only looked for where one falls short.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path as FilePath
from typing import Literal, NamedTuple

from netprice.answer.ask import PriceAsk, goal_of, list_price_of, span_of
from netprice.answer.dated import DatedChange, changes_on, days_of_change
from netprice.answer.goal import Goal
from netprice.answer.price import PriceAnswer, price
from netprice.answer.result import decimal_price
from netprice.answer.span import Span
from netprice.book.mistakes import Path
from netprice.book.rewrite import Change, Value, change_all
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms

Stand = Literal["holds", "short", "refused", "unpriced"]


class Standing(NamedTuple):
    """How the price in use of one product on one channel stands on a day. Prices are in minor units.

    `profit` is what an order leaves at that price, `measure` the measure of the goal, `to_spare` by how much the profit
    is above what the target wants, negative where it falls short; all in minor units or a ratio, None where nobody
    carries the order or the measure has no meaning. `needed` is the answer for a price, where one was looked for;
    `new_price` the price to list instead, None where the price stays or none would do.
    """

    terms: Terms
    goal: Goal
    stand: Stand
    price: int | None = None
    profit: Fraction | None = None
    measure: Fraction | None = None
    to_spare: Fraction | None = None
    needed: PriceAnswer | None = None
    new_price: int | None = None

    @property
    def fails(self) -> bool:
        """Whether there is a price in use and it misses the target."""
        return self.stand in ("short", "refused")


class Turned(NamedTuple):
    """A price in use that begins to fall short or to hold, or still falls short and then needs another new price."""

    before: Standing
    after: Standing


class Turn(NamedTuple):
    """A day on which fees or rate cards change: what changes, and the prices that stand otherwise from then on."""

    on: dt.date
    changes: tuple[DatedChange, ...]
    prices: tuple[Turned, ...]


class Repricing(NamedTuple):
    """How every price in use stands on a day, and every change of fees up to and with the day `until`."""

    on: dt.date
    until: dt.date
    prices: tuple[Standing, ...]
    turns: tuple[Turn, ...]


def reprice(book: Book, asked: Sequence[PriceAsk], *, ahead: int, exact: bool = False) -> Repricing:
    """Hold prices in use against what their targets want on a day, and on every day of the next `ahead` days.

    New prices are never lower than those in use, unless `exact`: then each is the lowest that meets the target. All
    questions must be about one day.
    """
    on = asked[0].ask.on
    until = on + min(dt.timedelta(days=ahead), dt.date.max - on)
    prices = [standing(book, each, exact=exact) for each in asked]
    by_day: dict[dt.date, list[Turned]] = {}
    for each, today in zip(asked, prices, strict=True):
        if today.price is None:
            continue
        before = today
        for day in days_of_change(book, each.ask.channel, after=on, until=until):
            after = standing(book, each._replace(ask=each.ask._replace(on=day)), exact=exact)
            by_day.setdefault(day, []).append(Turned(before, after))
            before = after
    turns = (_turn(book, day, by_day[day]) for day in sorted(by_day))
    if exact:
        prices = [_lowered(book, each, stands) for each, stands in zip(asked, prices, strict=True)]
    return Repricing(on, until, tuple(prices), tuple(turn for turn in turns if turn.changes or turn.prices))


def _turn(book: Book, day: dt.date, turned: Sequence[Turned]) -> Turn:
    """Return what changes on a day; a change that several channels have in common is named once."""
    channels = dict.fromkeys(each.after.terms.channel for each in turned)
    changes = dict.fromkeys(change for channel in channels for change in changes_on(book, channel, day))
    return Turn(day, tuple(changes), tuple(each for each in turned if _differs(each.before, each.after)))


def standing(book: Book, asked: PriceAsk, *, exact: bool = False) -> Standing:
    """Return how the price in use stands on the day that is asked for, and where it falls short, the new price."""
    terms = settle(book, asked.ask)
    goal, listed = goal_of(book, asked, terms), list_price_of(book, asked.ask)
    if listed is None:
        return Standing(terms, goal, "unpriced")
    at = int(listed * 10**terms.digits)
    if terms.unreached:
        return Standing(terms, goal, "refused", at, needed=PriceAnswer(terms, goal, "refused", None))
    found = bottom(order_ledger(terms, at), goal.case)
    measure, surplus = goal.measure(found), Fraction(goal.surplus(found))
    holds = measure is not None and surplus >= 0
    stands = Standing(
        terms=terms,
        goal=goal,
        stand="holds" if holds else "short",
        price=at,
        profit=Fraction(found.profit),
        measure=measure,
        to_spare=None if measure is None else surplus,
    )
    if holds:
        return stands
    span = span_of(book, asked.ask, terms)
    needed = price(terms, goal, span)
    return stands._replace(needed=needed, new_price=needed.lowest_price if exact else _raised(needed, span, at))


def _lowered(book: Book, asked: PriceAsk, stands: Standing) -> Standing:
    """Return how a price stands with the lowest one as its new price, where that is lower than a price that holds."""
    if stands.stand != "holds" or stands.price is None:
        return stands
    needed = price(stands.terms, stands.goal, span_of(book, asked.ask, stands.terms))
    lower = needed.lowest_price is not None and needed.lowest_price < stands.price
    return stands._replace(needed=needed, new_price=needed.lowest_price if lower else None)


def _raised(needed: PriceAnswer, span: Span, at: int) -> int | None:
    """Return the lowest allowed price above one that falls short which meets the target.

    It is above the lowest price of all where the price in use lies in a price trap.
    """
    if needed.lowest_price is None or needed.highest is None or at <= needed.lowest_price:
        return needed.lowest_price
    allowed = span.allowed(needed.highest)
    place = allowed.first_from(at)
    for trap in needed.traps:
        if trap.first <= allowed.price(place) <= trap.last:
            place = allowed.first_from(trap.last + 1)
    return allowed.price(place) if place < allowed.count else None


def _differs(before: Standing, after: Standing) -> bool:
    """Whether a price begins to fall short or to hold, or still falls short and needs another new price."""
    return after.fails != before.fails or (after.fails and after.new_price != before.new_price)


# --- what is to be written into the product files --------------------------------------------------------------------


class NewPrice(NamedTuple):
    """One price to write into a product's file: the path of its key, the old price and the new one.

    `channels` are those that it counts for.
    """

    product: str
    path: Path
    channels: tuple[str, ...]
    old: Decimal
    new: Decimal


def new_prices(book: Book, answer: Repricing) -> tuple[NewPrice, ...]:
    """Return what is to be written so that every price with a new one is that.

    A price goes back to the key that it came from. One that came from a key for several channels, and is not to be the
    same on all of them, goes to the product's `list_prices`; those of the other channels stay.
    """
    by_product: dict[str, list[Standing]] = {}
    for each in answer.prices:
        if each.new_price is not None:
            by_product.setdefault(each.terms.product, []).append(each)
    return tuple(new for name, changed in by_product.items() for new in _of_product(book, name, changed))


def _of_product(book: Book, name: str, changed: Sequence[Standing]) -> Iterator[NewPrice]:
    old = {each.terms.channel: decimal_price(each.price or 0, each.terms.digits) for each in changed}
    new = {each.terms.channel: decimal_price(each.new_price or 0, each.terms.digits) for each in changed}
    common = _in_common(book, name)
    if common and all(new.get(channel) == new.get(common[0]) is not None for channel in common):
        yield NewPrice(name, ("prices", "list_price"), common, old[common[0]], new[common[0]])
    else:
        common = ()
    for channel, value in new.items():
        if channel not in common:
            yield NewPrice(name, ("list_prices", channel), (channel,), old[channel], value)


def _in_common(book: Book, name: str) -> tuple[str, ...]:
    """Return the channels on which the product is listed at its `prices.list_price`."""
    product = book.products[name]
    if product.prices.list_price is None:
        return ()
    sold_on = book.shop.channels if product.channels is None else product.channels
    return tuple(channel for channel in sold_on if channel not in product.list_prices)


def write_prices(files: Mapping[str, tuple[FilePath, bytes]], prices: Sequence[NewPrice]) -> None:
    """Write new prices into the products' files, into all of them or none.

    `files` are those of `rewrite.files_in`, read before the shop was. Raises `InputError` where one has changed since
    then or cannot be written.
    """
    values: dict[str, dict[Path, Value]] = {}
    for each in prices:
        if each.product not in files:
            raise QuestionError(f"the file of {each.product} came while the shop was read; ask again")
        values.setdefault(each.product, {})[each.path] = each.new
    change_all([Change(files[name][0], changed, files[name][1]) for name, changed in values.items()])
