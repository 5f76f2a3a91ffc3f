"""Inputs in doubt, drawn: for every number written as a range many values, spread as the range says.

Draws are quasi-random (Sobol's sequence, scrambled with the seed): they lie more evenly than chance would have it, so
fewer are needed. They come as several independent sequences, whose means tell how far off the result may be.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, Final, NamedTuple

import numpy as np
from scipy import stats
from scipy.stats import qmc

from netprice.answer.inputs import Input, find_input, inputs_of, sweeps, with_value
from netprice.answer.sweep import Floats
from netprice.book.shop import Book
from netprice.errors import QuantityError, QuestionError
from netprice.ledger.settle import Ask, settle
from netprice.spread import Ends, Spread, is_range, read_range

SEQUENCES: Final = 8
"""How many independent sequences the draws are made of."""
PLACES: Final = 128
"""So many values are tried together of numbers that decide how an order is packed: each takes its own packing."""


class Doubt(NamedTuple):
    """An input in doubt and how it is spread."""

    input: Input
    ends: Ends

    @property
    def sweeps(self) -> bool:
        """Whether an order can be worked out for many values of it at once."""
        return sweeps(self.input)


class Drawn(NamedTuple):
    """What was drawn: for each doubt as many values as there are draws, and which sequence each draw is of.

    Draws with the same `place` share the values of all numbers that decide how an order is packed.
    """

    doubts: tuple[Doubt, ...]
    values: tuple[Floats, ...]
    sequence: Any
    place: Any


def with_ranges(book: Book, ask: Ask, ranges: Mapping[str, str]) -> tuple[Book, Ask]:
    """Return the book with ranges in place of numbers: {"labour.throwing.time": "35..50 min"}."""
    for name, text in ranges.items():
        one = find_input(book, ask, name)
        if not is_range(text):
            raise QuestionError(f"{one.name}: no range (got {text[:40]!r}); write it like '35..50 min'")
        try:
            spread = read_range(text, lambda part, one=one: one.unit.read(part, one.name))  # type: ignore[misc]
        except QuantityError as error:
            raise QuestionError(f"{one.name}: {error}") from None
        if spread.ends.low < one.least or (one.most is not None and spread.ends.high > one.most):
            raise QuestionError(f"{one.name}: a range that leaves what makes sense (got {text[:40]!r}); narrow it")
        book, ask = with_value(book, ask, one, spread)
    return book, ask


def doubts_of(book: Book, ask: Ask) -> tuple[Doubt, ...]:
    """Return the inputs that are written as ranges and make any difference to this order."""
    found = (Doubt(one, one.value.ends) for one in inputs_of(book, ask) if isinstance(one.value, Spread))
    return tuple(each for each in found if _matters(book, ask, each))


def _matters(book: Book, ask: Ask, doubt: Doubt) -> bool:
    low, high = (settle(*with_value(book, ask, doubt.input, end)) for end in (doubt.ends.low, doubt.ends.high))
    return low != high


def draw(doubts: tuple[Doubt, ...], draws: int, seed: int) -> Drawn:
    """Return at least `draws` draws (the next power of two in each sequence); the same seed gives the same draws."""
    each = 2 ** max((max(draws, 1) - 1).bit_length() - (SEQUENCES - 1).bit_length(), 0)
    seeds = np.random.SeedSequence(seed).spawn(SEQUENCES)
    even = np.concatenate([_evenly(len(doubts), each, np.random.default_rng(one)) for one in seeds])
    place = np.zeros(len(even), dtype=np.intp)
    if not all(doubt.sweeps for doubt in doubts):
        place = np.arange(len(even)) % PLACES
        for column, doubt in enumerate(doubts):
            if not doubt.sweeps:
                even[:, column] = even[place, column]
    values = tuple(_spread_out(doubt, even[:, column]) for column, doubt in enumerate(doubts))
    return Drawn(doubts, values, np.repeat(np.arange(SEQUENCES), each), place)


def _evenly(dimensions: int, draws: int, rng: np.random.Generator) -> Floats:
    if not dimensions:
        return np.zeros((draws, 0))
    try:
        sequence = qmc.Sobol(dimensions, scramble=True, rng=rng)
    except TypeError:  # as older releases of scipy call it
        sequence = qmc.Sobol(dimensions, scramble=True, seed=rng)
    return np.asarray(sequence.random(draws), dtype=np.float64)


def _spread_out(doubt: Doubt, even: Floats) -> Floats:
    """Return values spread as the range says, for numbers that lie evenly between 0 and 1."""
    low, likely, high = (float(end) for end in doubt.ends[1:])
    if doubt.ends.shape == "uniform":
        values = low + even * (high - low)
    elif doubt.ends.shape == "triangular":
        values = stats.triang.ppf(even, (likely - low) / (high - low), loc=low, scale=high - low)
    else:
        values = stats.norm.ppf(even, loc=likely, scale=likely - low)
    most = np.inf if doubt.input.most is None else float(doubt.input.most)
    return np.clip(values, float(doubt.input.least), most)


def whole_steps(doubt: Doubt, value: float) -> Fraction:
    """Return a drawn value as an exact number, in the steps that the input is written in."""
    step = doubt.input.unit.step
    return round(Fraction(value) / step) * step
