"""What must hold within a rate card, beyond the kinds of its single values.

The card is held to the rules as it stands without its editions, and again as it stands in each of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

from netprice.book.check_edition import check_editions, says_no_rates
from netprice.book.check_surcharge import check_groups, check_surcharges, zones_of
from netprice.book.editions import stated, with_edition
from netprice.book.mistakes import Mistake, Path, lacking
from netprice.book.rate_card import Breaks, Edition, RateCard
from netprice.money import show_exact

# What says how weights are made, which nobody needs where rates go by volume.
_WEIGHING: Final = (
    "volumetric_divisor",
    "volumetric_divisors",
    "volumetric_above",
    "weight_step",
    "weight_steps",
    "heaviest_billable",
)


def check_card(card: RateCard) -> Iterator[Mistake]:
    """Give every mistake in a rate card.

    >>> card = RateCard(name="Van", length_unit="cm", weight_unit="kg", weight_step=Fraction(1), rates={"home": ()})
    >>> [mistake.what for mistake in check_card(card)]
    ['a zone without prices']
    """
    if says_no_rates(card) and all(says_no_rates(edition) for edition in card.editions):
        yield _no_zones(("rates",))
    zones, groups = zones_of(card), frozenset(card.groups)
    yield from _lists(card, ())
    yield from check_surcharges(card, (), zones, groups)
    # A card without rates of its own only ever stands in its editions, and these may have the step.
    never_stands = says_no_rates(card) and bool(card.editions)
    as_it_stands = [each for each in _standing(card) if not never_stands or each.path != ("weight_step",)]
    yield from as_it_stands
    known = {(each.path, each.what) for each in as_it_stands}
    for place, edition in enumerate(card.editions):
        at = ("editions", place)
        yield from _lists(edition, at)
        yield from check_surcharges(edition, at, zones, groups)
        yield from _edition(card, edition, at, known)
    yield from check_editions(card)
    yield from check_groups(card)


def _edition(card: RateCard, edition: Edition, at: Path, known: set[tuple[Path, str]]) -> Iterator[Mistake]:
    """Give what is wrong in the card as it stands in an edition, and is not wrong without it."""
    then, said = with_edition(card, edition), stated(edition)
    if edition.rates == {} and edition.rates_table is None:
        yield _no_zones((*at, "rates"))
    for each in _standing(then):
        if each.path[0] in said or (each.path, each.what) not in known:
            lacks = tuple((*start, *path) for start in ((), at) for path in each.lacks)
            yield Mistake((*at, *each.path), each.what, each.mend, lacks)


def _lists(says: RateCard | Edition, at: Path) -> Iterator[Mistake]:
    """Give what is wrong within the lists that a card or an edition says itself."""
    yield from _rates(says.rates or {}, (*at, "rates"))
    yield from _tiers([tier.up_to for tier in says.volumetric_divisors or ()], (*at, "volumetric_divisors"))
    yield from _tiers([tier.up_to for tier in says.weight_steps or ()], (*at, "weight_steps"))
    for place, ((one, _), (next_one, _)) in enumerate(pairwise(says.insurance.values if says.insurance else ()), 1):
        if next_one <= one:
            what = f"values that do not rise (got {show_exact(next_one)} after {show_exact(one)})"
            yield Mistake((*at, "insurance", "values", place), what, "put the values in order, lowest first")
    for place, ((one, _), (next_one, _)) in enumerate(pairwise(says.fuel_table or ()), start=1):
        if next_one <= one:
            what = f"indexes that do not rise (got {show_exact(next_one)} after {show_exact(one)})"
            yield Mistake((*at, "fuel_table", place), what, "put the rows in order, lowest first")


def _no_zones(at: Path) -> Mistake:
    return Mistake(at, "no zones", "add a zone, such as home = [[1, 6.20], [2, 8.40]]", lacks=(at[:-1],))


def _rates(rates: Breaks, at: Path) -> Iterator[Mistake]:
    for zone, breaks in rates.items():
        if not breaks:
            mend = "add breaks of weight and price, such as [[1, 6.20], [2, 8.40]]"
            yield Mistake((*at, zone), "a zone without prices", mend)
        for place, ((one, _), (next_one, _)) in enumerate(pairwise(breaks), start=1):
            if next_one <= one:
                what = f"weights that do not rise (got {show_exact(next_one)} after {show_exact(one)})"
                yield Mistake((*at, zone, place), what, "put the breaks in order, lightest first")


def _tiers(ends: Sequence[Fraction | None], at: Path) -> Iterator[Mistake]:
    for place, end in enumerate(ends):
        here = (*at, place, "up_to")
        if place == len(ends) - 1 and end is not None:
            what = f"the last one has no end (got {show_exact(end)})"
            yield Mistake(here, what, "take up_to out of it, or add one after it")
        if place < len(ends) - 1 and end is None:
            yield lacking(here, "missing key: every one but the last has an end", "add up_to = ...")
    for place, (one, next_one) in enumerate(pairwise(ends), start=1):
        if one is not None and next_one is not None and next_one <= one:
            what = f"ends that do not rise (got {show_exact(next_one)} after {show_exact(one)})"
            yield Mistake((*at, place, "up_to"), what, "put them in order, lowest first")


def _standing(card: RateCard) -> Iterator[Mistake]:
    """Give what is wrong between the keys of a card as it stands on some day."""
    if card.volumetric_divisor is not None and card.volumetric_divisors:
        yield Mistake(("volumetric_divisors",), "a single divisor and several (got both)", "keep one of the two")
    if card.weight_step is not None and card.weight_steps:
        yield Mistake(("weight_steps",), "a single weight step and several (got both)", "keep one of the two")
    if card.priced_by == "volume":
        yield from _by_volume(card)
    else:
        yield from _by_weight(card)
    if card.further_step is not None and card.further_step_price is None:
        what = f"missing key: what each further step costs (got a step of {show_exact(card.further_step)})"
        yield lacking(("further_step_price",), what, "add it, or take further_step out")
    if card.size_step is not None and card.size_rounding == "none":
        what = f"a step for sizes that are not rounded (got {show_exact(card.size_step)})"
        yield lacking(("size_step",), what, "write size_rounding = 'up', 'nearest' or 'down', or take it out")
    yield from _fuel(card)


def _by_weight(card: RateCard) -> Iterator[Mistake]:
    if card.weight_step is None and not card.weight_steps:
        yield lacking(("weight_step",), "missing key", "add a line such as weight_step = 1")
    if card.volumetric_above is not None and card.volumetric_divisor is None and not card.volumetric_divisors:
        what = f"volumetric weight without a divisor (got {show_exact(card.volumetric_above)})"
        yield lacking(("volumetric_above",), what, "add volumetric_divisor, or take it out")
    if card.volume_unit is not None:
        what = f"a unit of volume for rates that go by weight (got {show_exact(card.volume_unit)})"
        yield lacking(("volume_unit",), what, "write priced_by = 'volume', or take it out")


def _by_volume(card: RateCard) -> Iterator[Mistake]:
    if card.volume_unit is None:
        mend = "add volume_unit = the volume that is one unit in the rates"
        yield lacking(("volume_unit",), "missing key: the rates go by volume", mend)
    for key in _WEIGHING:
        said = getattr(card, key)
        if said:
            got = f"{len(said)} of them" if isinstance(said, tuple) else show_exact(said)
            what = f"a rule of weight, but the rates go by volume (got {got})"
            yield Mistake((key,), what, "take it out, or write priced_by = 'weight'")
    if card.rate_per == "weight":
        what = "a price per weight, but the rates go by volume (got 'weight')"
        yield Mistake(("rate_per",), what, "take it out, or write priced_by = 'weight'")


def _fuel(card: RateCard) -> Iterator[Mistake]:
    index, table = card.fuel_index, card.fuel_table
    if card.fuel is not None and (table or index is not None):
        key = "fuel_table" if table else "fuel_index"
        yield Mistake((key,), "a fuel percent and a table of them (got both)", "keep one of the two")
    elif index is not None and not table:
        what = f"an index without a table to look it up in (got {show_exact(index)})"
        yield lacking(("fuel_index",), what, "add fuel_table with rows such as [3.50, '9 %'], or take it out")
    elif table and index is None:
        what = f"a table without an index to look up (got {len(table)} row{'' if len(table) == 1 else 's'})"
        yield lacking(("fuel_table",), what, "add fuel_index = what the index is today, or take it out")
    if index is not None and table and index > max(up_to for up_to, _ in table):
        what = f"an index past the last row of the table (got {show_exact(index)} after {show_exact(table[-1][0])})"
        yield Mistake(("fuel_index",), what, "add a row to fuel_table, or correct the index")
