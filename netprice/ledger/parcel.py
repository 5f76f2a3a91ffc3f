"""A parcel as a rate card measures it: rounded sides, girth, volume, volumetric and billable weight.

Section 5 of the money model. Sides and weights are in the card's own units, converted exactly.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final, Literal, NamedTuple

from netprice.book.rate_card import RateCard, SizeRounding

MILLIMETRES: Final = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)}
# The pound is 453.59237 g exactly (16 CFR 500.19); an ounce is a sixteenth of it.
GRAMS: Final = {"g": Fraction(1), "kg": Fraction(1000), "lb": Fraction("453.59237"), "oz": Fraction("453.59237") / 16}


class Parcel(NamedTuple):
    """A packed parcel as it stands on the bench: sides in millimetres, weight in grams.

    A tube's second and third side are its diameter; `girth_mm` is given where it is not that of a box.
    """

    sides_mm: tuple[Fraction, Fraction, Fraction]
    weight_g: Fraction
    shape: Literal["box", "tube", "irregular"] = "box"
    girth_mm: Fraction | None = None


class Measured(NamedTuple):
    """The parcel in one card's units: sides rounded and sorted, and the weights that decide the rate."""

    length: Fraction
    width: Fraction
    height: Fraction
    actual_weight: Fraction
    volumetric_weight: Fraction
    billable_weight: Fraction
    volume: Fraction
    """The volume that counts: of the rounded sides, times the card's factor where the parcel is no box."""
    girth: Fraction
    """Twice the sum of the two shorter sides, unless another one was measured."""

    @property
    def length_plus_girth(self) -> Fraction:
        """Return the longest side plus the girth."""
        return self.length + self.girth

    @property
    def sum_of_sides(self) -> Fraction:
        """Return length + width + height; for a tube that is its length plus twice its diameter."""
        return self.length + self.width + self.height


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

    The volumetric weight counts only where the volume is over the card's threshold; the billable weight is the greater
    of the two weights, rounded up to the weight step and no more than the card's heaviest billable weight.
    """
    unit = MILLIMETRES[card.length_unit]
    step = card.size_step or Fraction(1)

    def size(millimetres: Fraction) -> Fraction:
        return round_side(millimetres / unit, card.size_rounding, step)

    length, width, height = sorted(map(size, parcel.sides_mm), reverse=True)
    volume = length * width * height
    if parcel.shape != "box" and card.irregular_factor is not None:
        volume *= card.irregular_factor
    actual = parcel.weight_g / GRAMS[card.weight_unit]
    divisor = divisor_for(card, volume)
    volumetric = volume / divisor if divisor is not None and volume > (card.volumetric_above or 0) else Fraction(0)
    return Measured(
        length=length,
        width=width,
        height=height,
        actual_weight=actual,
        volumetric_weight=volumetric,
        billable_weight=billable(card, max(actual, volumetric)),
        volume=volume,
        girth=2 * (width + height) if parcel.girth_mm is None else size(parcel.girth_mm),
    )


def divisor_for(card: RateCard, volume: Fraction) -> Fraction | None:
    """Return the divisor that holds for a volume, or None where the card knows no volumetric weight."""
    for tier in card.volumetric_divisors:
        if tier.up_to is None or volume <= tier.up_to:
            return tier.divisor
    return card.volumetric_divisor


def billable(card: RateCard, weight: Fraction) -> Fraction:
    """Return the weight rounded up to the card's step for it, and no more than its heaviest billable weight."""
    step = card.weight_step or Fraction(1)
    for tier in card.weight_steps:
        if tier.up_to is None or weight <= tier.up_to:
            step = tier.step
            break
    rounded = math.ceil(weight / step) * step
    return rounded if card.heaviest_billable is None else min(rounded, card.heaviest_billable)
