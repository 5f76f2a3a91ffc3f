"""What is around a file: the names that it may use, taken from the other files of the folder.

A name counts as known as soon as some file has it, even if what it stands for is wrong: that is a mistake of its own.
`None` in place of names means that nobody can know, because the file that would say so could not be read.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

from netprice.book.fee_profile import FeeProfile
from netprice.book.rate_card import RateCard
from netprice.book.shop import Channel, Shop
from netprice.book.toml_text import Table

Names = frozenset[str] | None

LINE_KINDS = ("material", "machine", "labour", "bought")


def names_in(table: Table | None, key: str) -> Names:
    """Return the names of the tables below a key; None if that cannot be known.

    >>> sorted(names_in({"labour": {"default": {}, "glazing": {}}}, "labour"))
    ['default', 'glazing']
    """
    if table is None:
        return None
    inside = table.get(key, {})
    if not isinstance(inside, dict):
        return None
    return frozenset(unicodedata.normalize("NFC", name) for name in inside)


def lines_of(table: Table | None) -> Names:
    """Return the cost lines of a product as `kind.name`; None if they cannot be known."""
    lines: set[str] = set()
    for kind in LINE_KINDS:
        names = names_in(table, kind)
        if names is None:
            return None
        lines |= {f"{kind}.{name}" for name in names}
    return frozenset(lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """The other files. A profile or card that is there but wrong is None; `shop` is None if it could not be read."""

    shop: Shop | None = None
    currency: str | None = None
    """The currency that the shop counts in; None if it names none that there is."""
    labour: Names = None
    machines: Names = None
    stock: Names = None
    channels: Names = None
    profiles: Mapping[str, FeeProfile | None] = field(default_factory=dict)
    currencies: Mapping[str, str] = field(default_factory=dict)
    """The currencies of the profiles, of those that name one that there is."""
    cards: Mapping[str, RateCard | None] = field(default_factory=dict)
    shipped: frozenset[str] = frozenset()
    """The names of the fee profiles that come with netprice."""
    lines: Names = None
    """The cost lines of all products together; None if there are no products or one could not be read."""

    def profile(self, channel: Channel) -> FeeProfile | None:
        """Return the channel's fee profile, if it has one that could be read."""
        return self.profiles.get(channel.fee_profile) if channel.fee_profile is not None else None

    def sells_in(self, channel: Channel) -> str | None:
        """Return the currency that the channel sells in; None if that cannot be known."""
        if channel.fee_profile is None:
            return self.currency
        return self.currencies.get(channel.fee_profile)
