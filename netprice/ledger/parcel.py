"""A parcel as a rate card measures it: rounded sides, girth, volume, volumetric and billable weight.

Section 5 of the money model. Sides and weights are in the card's own units, converted exactly.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.book.rate_card import RateCard, SizeRounding

MILLIMETRES: Final = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)}
# The pound is 453.59237 g exactly (16 CFR 500.19); an ounce is a sixteenth of it.
GRAMS: Final = {"g": Fraction(1), "kg": Fraction(1000), "lb": Fraction("453.59237"), "oz": Fraction("453.59237") / 16}


class Parcel(NamedTuple):
    """A packed parcel as it stands on the bench: sides in millimetres, weight in grams."""

    sides_mm: tuple[Fraction, Fraction, Fraction]
    weight_g: Fraction


class Measured(NamedTuple):
    """The parcel in one card's units: sides rounded and sorted, and the weights that decide the rate."""

    length: Fraction
    width: Fraction
    height: Fraction
    actual_weight: Fraction
    volumetric_weight: Fraction
    billable_weight: Fraction

    @property
    def girth(self) -> Fraction:
        """Return twice the sum of the two shorter sides."""
        return 2 * (self.width + self.height)

    @property
    def length_plus_girth(self) -> Fraction:
        """Return the longest side plus the girth."""
        return self.length + self.girth

    @property
    def volume(self) -> Fraction:
        """Return the product of the rounded sides."""
        return self.length * self.width * self.height


def round_side(side: Fraction, rule: SizeRounding, step: Fraction = Fraction(1)) -> Fraction:
    """Round one side to the card's step: up, nearest (halves up), down, or not at all.

    >>> [round_side(Fraction("1.5"), rule) for rule in ("up", "nearest", "down")]
    [Fraction(2, 1), Fraction(2, 1), Fraction(1, 1)]
    """
    if rule == "none":
        return side
    steps = side / step
    if rule == "up":
        return math.ceil(steps) * step
    if rule == "down":
        return math.floor(steps) * step
    return math.floor(steps + Fraction(1, 2)) * step


def measure(parcel: Parcel, card: RateCard) -> Measured:
    """Measure the parcel by the card's rules.

    The volumetric weight counts only where the volume of the rounded sides is over the card's threshold; the billable
    weight is the greater of the two weights, rounded up to the weight step.
    """
    unit = MILLIMETRES[card.length_unit]
    step = card.size_step or Fraction(1)
    sides = sorted((round_side(side / unit, card.size_rounding, step) for side in parcel.sides_mm), reverse=True)
    volume = sides[0] * sides[1] * sides[2]
    actual = parcel.weight_g / GRAMS[card.weight_unit]
    volumetric = Fraction(0)
    if card.volumetric_divisor is not None and volume > (card.volumetric_above or 0):
        volumetric = volume / card.volumetric_divisor
    billable = math.ceil(max(actual, volumetric) / card.weight_step) * card.weight_step
    return Measured(
        length=sides[0],
        width=sides[1],
        height=sides[2],
        actual_weight=actual,
        volumetric_weight=volumetric,
        billable_weight=billable,
    )
