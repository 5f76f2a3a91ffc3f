"""What must hold within a rate card, beyond the kinds of its single values."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from netprice.book.mistakes import Mistake, Path, lacking
from netprice.book.rate_card import RateCard, Surcharge
from netprice.money import show_exact


def check_card(card: RateCard) -> Iterator[Mistake]:
    """Give every mistake in a rate card.

    >>> from fractions import Fraction
    >>> card = RateCard(name="Van", length_unit="cm", weight_unit="kg", weight_step=Fraction(1), rates={"home": ()})
    >>> [mistake.what for mistake in check_card(card)]
    ['a zone without prices']
    """
    yield from _rates(card)
    yield from _steps(card)
    for place, surcharge in enumerate(card.surcharges):
        yield from _surcharge(surcharge, ("surcharges", place))


def _rates(card: RateCard) -> Iterator[Mistake]:
    if not card.rates:
        yield Mistake(("rates",), "no zones", "add a zone, such as home = [[1, 6.20], [2, 8.40]]")
    for zone, breaks in card.rates.items():
        at = ("rates", zone)
        if not breaks:
            yield Mistake(at, "a zone without prices", "add breaks of weight and price, such as [[1, 6.20], [2, 8.40]]")
        for place, ((one, _), (next_one, _)) in enumerate(pairwise(breaks), start=1):
            if next_one <= one:
                what = f"weights that do not rise (got {show_exact(next_one)} after {show_exact(one)})"
                yield Mistake((*at, place), what, "put the breaks in order, lightest first")


def _steps(card: RateCard) -> Iterator[Mistake]:
    if card.further_step is not None and card.further_step_price is None:
        what = f"missing key: what each further step costs (got a step of {show_exact(card.further_step)})"
        yield lacking(("further_step_price",), what, "add it, or take further_step out")
    if card.volumetric_above is not None and card.volumetric_divisor is None:
        what = f"volumetric weight without a divisor (got {show_exact(card.volumetric_above)})"
        yield lacking(("volumetric_above",), what, "add volumetric_divisor, or take it out")
    if card.size_step is not None and card.size_rounding == "none":
        what = f"a step for sizes that are not rounded (got {show_exact(card.size_step)})"
        yield lacking(("size_step",), what, "write size_rounding = 'up', 'nearest' or 'down', or take it out")


def _surcharge(surcharge: Surcharge, at: Path) -> Iterator[Mistake]:
    if surcharge.amount is not None and surcharge.percent is not None:
        yield Mistake((*at, "percent"), "an amount and a percent (got both)", "keep one of the two")
    if surcharge.amount is None and surcharge.percent is None:
        yield Mistake(at, "a surcharge that costs nothing", "add an amount or a percent")
    unconditional = surcharge.when in ("always", "residential")
    if unconditional and surcharge.over is not None:
        what = f"a limit for a surcharge that has none (got {show_exact(surcharge.over)} for {surcharge.when!r})"
        yield Mistake((*at, "over"), what, "take it out, or change when")
    if not unconditional and surcharge.over is None:
        what = f"missing key: the limit of {surcharge.when!r}"
        yield lacking((*at, "over"), what, "add a line such as over = 48, in the card's units")
