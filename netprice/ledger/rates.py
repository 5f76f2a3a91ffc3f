"""The base rate of a label and the limits of a card. Section 5 of the money model."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import NamedTuple

from netprice.book.rate_card import Limits, RateCard
from netprice.ledger.parcel import GRAMS, MILLIMETRES, Measured, Parcel


class Over(NamedTuple):
    """A limit that a parcel is over, in the card's unit; `limit` is None where the card has no rates for the zone."""

    what: str
    got: Fraction
    limit: Fraction | None
    unit: str


def over_a_limit(card: RateCard, parcel: Parcel, measured: Measured) -> Over | None:
    """Name the first limit that the parcel is over: sizes are held as rounded, the weight as it is."""
    limits: Limits = card.tube_limits if parcel.shape == "tube" and card.tube_limits else card.limits
    one, pound = MILLIMETRES[card.length_unit], GRAMS[card.weight_unit]
    spare = limits.tolerance or Fraction(0)
    if limits.weight is not None and measured.actual_weight > limits.weight / pound:
        return Over("weight", measured.actual_weight, limits.weight / pound, card.weight_unit)
    held = (
        ("length", measured.length, limits.length),
        ("length + girth", measured.length_plus_girth, limits.length_plus_girth),
        ("sum of sides", measured.sum_of_sides, limits.sum_of_sides),
    )
    for what, got, limit in held:
        if limit is not None and got > (limit + spare) / one:
            return Over(what, got, limit / one, card.length_unit)
    return _does_not_fit(card, limits, measured)


def _does_not_fit(card: RateCard, limits: Limits, measured: Measured) -> Over | None:
    """Say which side is too long for a box that the parcel must fit in, turned as suits it best."""
    one = MILLIMETRES[card.length_unit]
    inside = sorted(limits.fits or (), reverse=True)
    sides = (measured.length, measured.width, measured.height)
    for name, side, room in zip(("longest", "second", "shortest"), sides, inside, strict=False):
        if side > (room + (limits.tolerance or 0)) / one:
            return Over(f"{name} side", side, room / one, card.length_unit)
    return None


def priced_amount(card: RateCard, measured: Measured) -> Fraction:
    """Return what the rates are looked up by: the billable weight, or the volume in the card's volume units."""
    if card.priced_by == "volume":
        return measured.volume / (card.volume_unit or 1)
    return measured.billable_weight


def base_rate(card: RateCard, zone: str, amount: Fraction) -> Fraction | None:
    """Return the card's price for an amount, before rounding; None past the last break of a card that ends there.

    It is the price at the smallest break that holds the amount, or by further steps past the last. Where the card says
    so it is times the weight, no more than a heavier break would cost, and at least the minimum charge.
    """
    breaks = card.rates[zone]
    per_weight = card.rate_per == "weight"
    place = next((at for at, (up_to, _) in enumerate(breaks) if amount <= up_to), None)
    if place is None:
        if card.further_step_price is None:
            return None
        last, price = breaks[-1]
        step = card.further_step or card.weight_step or Fraction(1)
        rate = price * (last if per_weight else 1) + math.ceil((amount - last) / step) * card.further_step_price
    else:
        rate = breaks[place][1] * (amount if per_weight else 1)
        if card.next_break_if_cheaper:
            # A heavier break is charged from the weight at which it begins: where the one before it ends.
            heavier = zip(breaks[place:], breaks[place + 1 :], strict=False)
            rate = min([rate, *(price * (begins if per_weight else 1) for (begins, _), (_, price) in heavier)])
    return max(rate, card.minimum_charge or Fraction(0))
