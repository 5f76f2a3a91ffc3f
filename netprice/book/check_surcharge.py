"""What must hold within the surcharges of a rate card, and between them and its zones and groups."""

from __future__ import annotations

from collections.abc import Iterator

from netprice.book.build import MOST_MISTAKES
from netprice.book.mistakes import Mistake, Path, lacking, nearest
from netprice.book.rate_card import Edition, RateCard, Surcharge
from netprice.money import show_exact


def check_surcharges(
    says: RateCard | Edition, at: Path, zones: frozenset[str], groups: frozenset[str]
) -> Iterator[Mistake]:
    """Give every mistake in the surcharges of a card, or of an edition of it.

    `zones` are those that the card has rates for on some day, none if they are not known; `groups` are the card's.
    """
    for place, surcharge in enumerate(says.surcharges or ()):
        here = (*at, "surcharges", place)
        yield from _cost(surcharge, here)
        yield from _limit(surcharge, here)
        for number, zone in enumerate(surcharge.zones):
            if zones and zone not in zones:
                what = f"no such zone on this card (got {zone[:40]!r})"
                lacks = (("rates",), (*at, "rates"))
                yield Mistake((*here, "zones", number), what, nearest(zone, zones, "take it out"), lacks)
        if surcharge.group is not None and surcharge.group not in groups:
            add = f"add [groups] with {surcharge.group[:40]} = 'dearest' or 'first'"
            mend = nearest(surcharge.group, groups, add)
            what = f"no such group on this card (got {surcharge.group[:40]!r})"
            yield Mistake((*here, "group"), what, mend, lacks=((), ("groups",)))


def check_groups(card: RateCard) -> Iterator[Mistake]:
    """Give the groups that no surcharge of the card or of an edition is in."""
    holders = _holders(card)
    used = {each.group for _, says in holders for each in says.surcharges or ()}
    unused = [name for name in card.groups if name not in used][: MOST_MISTAKES + 1]
    if not unused:
        return
    # A surcharge that is misspelt or left out for another mistake may be the one that is in it.
    lacks: list[Path] = []
    for at, says in holders:
        lacks += [at, *((*at, "surcharges", place) for place in range(len(says.surcharges or ())))]
    for name in unused:
        mend = f"write group = {name[:40]!r} in its surcharges, or take it out"
        yield Mistake(("groups", name), f"a group that no surcharge is in (got {name[:40]!r})", mend, tuple(lacks))


def _holders(card: RateCard) -> list[tuple[Path, RateCard | Edition]]:
    return [((), card), *((("editions", place), edition) for place, edition in enumerate(card.editions))]


def zones_of(card: RateCard) -> frozenset[str]:
    """Return the zones that the card has rates for on some day; none where a table could not be read."""
    holders = [says for _, says in _holders(card)]
    if any(says.rates_table is not None and not says.rates for says in holders):
        return frozenset()
    return frozenset(zone for says in holders for zone in says.rates or ())


def _cost(surcharge: Surcharge, at: Path) -> Iterator[Mistake]:
    if surcharge.amount is not None and surcharge.percent is not None:
        yield Mistake((*at, "percent"), "an amount and a percent (got both)", "keep one of the two")
    if surcharge.amount is None and surcharge.percent is None and surcharge.minimum_billable is None:
        yield Mistake(at, "a surcharge that costs nothing", "add an amount or a percent")


def _limit(surcharge: Surcharge, at: Path) -> Iterator[Mistake]:
    limits = {"over": surcharge.over, "at_least": surcharge.at_least}
    if surcharge.when in ("always", "residential"):
        for key, limit in limits.items():
            if limit is not None:
                what = f"a limit for a surcharge that has none (got {show_exact(limit)} for {surcharge.when!r})"
                yield Mistake((*at, key), what, "take it out, or change when")
    elif None not in limits.values():
        yield Mistake((*at, "at_least"), "over and at_least (got both)", "keep one of the two")
    elif surcharge.over is None and surcharge.at_least is None:
        what = f"missing key: the limit of {surcharge.when!r}"
        yield lacking((*at, "over"), what, "add a line such as over = 48, in the card's units")
