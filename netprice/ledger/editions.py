"""Which edition of a rate card holds on a day."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields, replace

from netprice.book.rate_card import RateCard

_DATES = ("from_", "until")


def card_on(card: RateCard, day: dt.date) -> RateCard:
    """Return the card as it holds on `day`: its own keys, and over them those of the edition of that day.

    >>> from fractions import Fraction
    >>> from netprice.book.rate_card import Edition
    >>> newer = Edition(from_=dt.date(2026, 7, 12), volumetric_divisor=Fraction(139))
    >>> card = RateCard(
    ...     name="Post", length_unit="in", weight_unit="lb", volumetric_divisor=Fraction(166), editions=(newer,)
    ... )
    >>> [int(card_on(card, dt.date(2026, 7, day)).volumetric_divisor) for day in (11, 12)]
    [166, 139]
    """
    edition = next((each for each in card.editions if each.holds_on(day)), None)
    if edition is None:
        return card
    stated = {each.name: getattr(edition, each.name) for each in fields(edition) if each.name not in _DATES}
    stated = {key: value for key, value in stated.items() if value is not None}
    # A single divisor or step takes the place of several, and the other way round.
    for one, several in (("volumetric_divisor", "volumetric_divisors"), ("weight_step", "weight_steps")):
        if one in stated and several not in stated:
            stated[several] = ()
        elif several in stated and one not in stated:
            stated[one] = None
    return replace(card, **stated)
