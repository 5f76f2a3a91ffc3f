"""What changes on which day for a channel: fees that begin or end, and editions of rate cards."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import fields
from fractions import Fraction
from typing import Any, Final, Literal, NamedTuple

from netprice.book.editions import card_on
from netprice.book.fee_profile import Fee
from netprice.book.rate_card import Edition
from netprice.book.route import route_of
from netprice.book.shop import Book
from netprice.ledger.explain import percent
from netprice.money import show_exact

_PERCENTS: Final = ("percent", "share", "tax", "kept_percent", "fuel")
# What says nothing about what is charged.
_SILENT: Final = ("name", "about", "source", "checked", "from_", "until", "editions", "rates_table")
_DAY: Final = dt.timedelta(days=1)


class DatedChange(NamedTuple):
    """One change: of the fee `name` in a profile, or of a rate card; `file` is the profile's or card's file."""

    kind: Literal["fee", "rate card"]
    file: str
    name: str
    what: str


def days_of_change(book: Book, channel: str, *, after: dt.date, until: dt.date) -> list[dt.date]:
    """Return the first days, after one day and up to another, of what begins, and of what follows on what ends."""
    return sorted({day for day in _days(book, channel) if after < day <= until})


def _days(book: Book, channel: str) -> Iterator[dt.date]:
    selling = book.shop.channels[channel]
    profile = book.fee_profiles.get(selling.fee_profile or "")
    dated: list[Fee | Edition] = [*(profile.fees if profile else ())]
    for name in route_of(book.shop, selling).cards:
        dated += book.rate_cards[name].editions
    for each in dated:
        if each.from_ is not None:
            yield each.from_
        if each.until is not None and each.until < dt.date.max:
            yield each.until + _DAY


def changes_on(book: Book, channel: str, day: dt.date) -> list[DatedChange]:
    """Return what is different from `day` on; two fees of one name are one fee that changed."""
    return [*_fees(book, channel, day), *_cards(book, channel, day)]


def _fees(book: Book, channel: str, day: dt.date) -> Iterator[DatedChange]:
    file = book.shop.channels[channel].fee_profile or ""
    profile = book.fee_profiles.get(file)
    if profile is None:
        return
    before = {fee.name: fee for fee in profile.fees if fee.counts_on(day - _DAY)}
    since = {fee.name: fee for fee in profile.fees if fee.counts_on(day)}
    for name in dict.fromkeys((*before, *since)):
        old, new = before.get(name), since.get(name)
        if old is None and new is not None:
            yield DatedChange("fee", file, name, f"begins, {_in_short(new)}")
        elif new is None and old is not None:
            yield DatedChange("fee", file, name, f"ends, was {_in_short(old)}")
        elif what := _difference(old, new):
            yield DatedChange("fee", file, name, what)


def _cards(book: Book, channel: str, day: dt.date) -> Iterator[DatedChange]:
    for file in route_of(book.shop, book.shop.channels[channel]).cards:
        card = book.rate_cards[file]
        if what := _difference(card_on(card, day - _DAY), card_on(card, day)):
            yield DatedChange("rate card", file, card.name, what)


def _in_short(fee: Fee) -> str:
    """Return what a fee takes, in a few words."""
    parts = []
    if fee.base is not None:
        parts.append(f"{'by tiers' if fee.percent is None else percent(fee.percent)} of {fee.base}")
    if fee.fixed is not None:
        parts.append(show_exact(fee.fixed))
    per = "" if fee.per == "order" else f" a {fee.per}"
    return f"{' + '.join(parts)}{per}"


def _difference(old: Any, new: Any) -> str:
    """Return in which keys two fees or two cards differ, and how, where that can be said in a word."""
    told = []
    for each in fields(old):
        before, since = getattr(old, each.name), getattr(new, each.name)
        if each.name not in _SILENT and before != since:
            words = _word(each.name, before), _word(each.name, since)
            key = each.name.replace("_", " ")
            label = "" if key == "percent" else f"{key} "
            told.append(f"other {key}" if None in words else f"{label}{words[0]} → {words[1]}")
    return ", ".join(told)


def _word(key: str, value: object) -> str | None:
    """Return a value in a word; None where it takes more than that."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Fraction):
        return percent(value) if key in _PERCENTS else show_exact(value, 4)
    return value if isinstance(value, str) else None
