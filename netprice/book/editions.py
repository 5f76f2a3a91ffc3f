"""Which edition of a rate card holds on a day, and the card as it stands then."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields, replace
from typing import Any, Final

from netprice.book.rate_card import Edition, RateCard

_DATES: Final = ("from_", "until")

# Ways of saying one thing: an edition that says it in one of them takes the place of the card's other one.
_INSTEAD: Final[tuple[tuple[dict[str, Any], dict[str, Any]], ...]] = (
    ({"volumetric_divisor": None}, {"volumetric_divisors": ()}),
    ({"weight_step": None}, {"weight_steps": ()}),
    ({"fuel": None}, {"fuel_index": None, "fuel_table": ()}),
    ({"rates": {}}, {"rates_table": None}),
)


def card_on(card: RateCard, day: dt.date) -> RateCard:
    """Return the card as it holds on `day`: its own keys, and over them those of the edition of that day.

    >>> from fractions import Fraction
    >>> newer = Edition(from_=dt.date(2026, 7, 12), volumetric_divisor=Fraction(139))
    >>> card = RateCard(
    ...     name="Post", length_unit="in", weight_unit="lb", volumetric_divisor=Fraction(166), editions=(newer,)
    ... )
    >>> [int(card_on(card, dt.date(2026, 7, day)).volumetric_divisor) for day in (11, 12)]
    [166, 139]
    """
    edition = next((each for each in card.editions if each.holds_on(day)), None)
    return card if edition is None else with_edition(card, edition)


def with_edition(card: RateCard, edition: Edition) -> RateCard:
    """Return the card as it stands while the edition holds."""
    said = stated(edition)
    for ways in _INSTEAD:
        for one, other in (ways, ways[::-1]):
            if not said.keys().isdisjoint(one) and said.keys().isdisjoint(other):
                said |= other
                break
    return replace(card, **said)


def stated(edition: Edition) -> dict[str, Any]:
    """Return the keys of the card that the edition says, and what it says."""
    said = {each.name: getattr(edition, each.name) for each in fields(edition) if each.name not in _DATES}
    return {key: value for key, value in said.items() if value is not None}
