"""What must hold between the editions of a rate card, their days and the card's zones."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from netprice.book.mistakes import Mistake, quoted
from netprice.book.rate_card import Edition, RateCard


def says_no_rates(says: RateCard | Edition) -> bool:
    """Whether a card or an edition names neither rates nor a table of them."""
    return not says.rates and says.rates_table is None


def check_editions(card: RateCard) -> Iterator[Mistake]:
    """Give every mistake in the days of the editions, and the zones of the card that they leave without prices."""
    for place, edition in enumerate(card.editions):
        yield from _days(edition, place)
        yield from _zones(card, edition, place)
    yield from _overlaps(card.editions)


def _days(edition: Edition, place: int) -> Iterator[Mistake]:
    at = ("editions", place)
    if edition.from_ is None and edition.until is None:
        mend = "add from = its first day, such as 2026-03-31, or until = its last"
        yield Mistake(at, "an edition without a day (got neither from nor until)", mend, lacks=(at,))
    if edition.from_ is not None and edition.until is not None and edition.from_ > edition.until:
        what = f"a last day before the first (got {edition.until} before {edition.from_})"
        yield Mistake((*at, "until"), what, "put the earlier day in from")


def _overlaps(editions: tuple[Edition, ...]) -> Iterator[Mistake]:
    days = []
    for place, edition in enumerate(editions):
        first, last = edition.from_ or dt.date.min, edition.until or dt.date.max
        if first <= last and (edition.from_ or edition.until):
            days.append((first, last, place))
    latest: tuple[dt.date, int] | None = None
    for first, last, place in sorted(days):
        if latest is not None and first <= latest[0]:
            one, other = sorted((latest[1], place))
            day = first if first > dt.date.min else min(last, latest[0])
            what = f"two editions on the same day (got the {_nth(one)} and the {_nth(other)} on {day})"
            mend = "end the earlier one with until, or begin the later one after it"
            yield Mistake(("editions", other), what, mend, lacks=(("editions", one), ("editions", other)))
        if latest is None or last > latest[0]:
            latest = last, place


def _nth(place: int) -> str:
    """Return a place in a list as people count.

    >>> [_nth(place) for place in (0, 1, 2, 3, 10, 20)]
    ['1st', '2nd', '3rd', '4th', '11th', '21st']
    """
    number = place + 1
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def _zones(card: RateCard, edition: Edition, place: int) -> Iterator[Mistake]:
    if edition.rates and (missing := [zone for zone in card.rates if zone not in edition.rates]):
        at = ("editions", place)
        key = "rates" if edition.rates_table is None else "rates_table"
        what = f"a zone of the card without prices in this edition (got none for {quoted(missing, 'and')})"
        yield Mistake((*at, key), what, "add its prices", lacks=((*at, "rates"),))
