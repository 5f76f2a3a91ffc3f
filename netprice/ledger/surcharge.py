"""Surcharges and fuel. Section 5 of the money model.

A new kind of condition is a value of `When` in the book and, where it is no attribute of `Measured` yet, one there.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.book.rate_card import RateCard, Surcharge
from netprice.ledger.parcel import Measured
from netprice.money import round_to_whole


class Charged(NamedTuple):
    """A surcharge that applies and what it comes to, in minor units of the card."""

    surcharge: Surcharge
    amount: int


def holding(card: RateCard, measured: Measured, zone: str, *, residential: bool) -> tuple[Surcharge, ...]:
    """Return the surcharges whose condition holds; in a group of which the first applies the others are left out."""
    found: list[Surcharge] = []
    taken: set[str] = set()
    for surcharge in card.surcharges:
        if not applies(surcharge, measured, zone, residential=residential) or surcharge.group in taken:
            continue
        found.append(surcharge)
        if surcharge.group is not None and card.groups.get(surcharge.group) == "first":
            taken.add(surcharge.group)
    return tuple(found)


def applies(surcharge: Surcharge, measured: Measured, zone: str, *, residential: bool) -> bool:
    """Whether the surcharge's condition holds: strictly over its limit, or at least at it, as it says."""
    if surcharge.zones and zone not in surcharge.zones:
        return False
    if surcharge.when == "always":
        return True
    if surcharge.when == "residential":
        return residential
    got: Fraction = getattr(measured, "width" if surcharge.when == "second_side" else surcharge.when)
    if surcharge.at_least is not None:
        return got >= surcharge.at_least
    return got > (surcharge.over or 0)


def least_billable(measured: Measured, surcharges: tuple[Charged, ...]) -> Measured:
    """Return the parcel with the billable weight that the surcharges that are charged ask for at least."""
    least = max((each.surcharge.minimum_billable or Fraction(0) for each in surcharges), default=Fraction(0))
    return measured._replace(billable_weight=max(measured.billable_weight, least))


def charged(card: RateCard, surcharges: tuple[Surcharge, ...], rate: int, scale: int) -> tuple[Charged, ...]:
    """Return what each surcharge comes to, rounded on its own; of a group of which the dearest applies, only that."""
    every = [Charged(each, round_to_whole(_amount(each, rate, scale), card.rounding)) for each in surcharges]
    dearest: dict[str, Charged] = {}
    for this in every:
        group = this.surcharge.group
        if group is not None and (group not in dearest or this.amount > dearest[group].amount):
            dearest[group] = this
    return tuple(this for this in every if this.surcharge.group is None or dearest[this.surcharge.group] is this)


def _amount(surcharge: Surcharge, rate: int, scale: int) -> Fraction:
    if surcharge.amount is not None:
        return surcharge.amount * scale
    return (surcharge.percent or Fraction(0)) * rate


def fuel(card: RateCard, rate: int, surcharges: tuple[Charged, ...]) -> int:
    """Return the fuel charge: the card's percent, or the one of its index table, of the rate and fuelled surcharges."""
    percent = fuel_percent(card)
    parts = (rate if card.fuel_on_rate else 0) + sum(each.amount for each in surcharges if each.surcharge.fuelled)
    return round_to_whole(percent * parts, card.rounding)


def fuel_percent(card: RateCard) -> Fraction:
    """Return the card's fuel percent; from a table, that of the first row whose index is not below today's."""
    if card.fuel_index is not None:
        for up_to, percent in card.fuel_table:
            if card.fuel_index <= up_to:
                return percent
    return card.fuel or Fraction(0)
