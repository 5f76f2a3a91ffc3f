"""Which inputs are in doubt, and draws of them: many joint values, spread as evenly as they can be.

A draw is one joint value of all inputs in doubt, each drawn on its own. Draws come from several independent scrambles
of a Sobol sequence; how far those differ from one another tells how far chance alone moves what is counted on them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any, Final, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt
from scipy.stats import norm, qmc, triang, uniform

from netprice.answer.inputs import Input, find_input, inputs_of, is_count, sweeps, with_value
from netprice.answer.paths import value_at, with_value_at
from netprice.answer.sweep import Floats
from netprice.book.mistakes import Path
from netprice.book.shop import Book
from netprice.errors import QuantityError, QuestionError
from netprice.ledger.arithmetic import Number
from netprice.ledger.settle import Ask, settle
from netprice.ledger.terms import Terms
from netprice.spread import Spread, is_range, read_range

Places: TypeAlias = npt.NDArray[np.int64]

SCRAMBLES: Final = 8
MOST_DRAWS: Final = 2**20
# So many joint values, in each scramble, of what decides which way a parcel goes: each needs a settlement of its own.
PLACES: Final = 16
_BITS: Final = 30
# What an input may be outside these chances does not tell whether it matters.
_TAIL: Final = 1e-4


class Doubt(NamedTuple):
    """An input that is in doubt, and how."""

    input: Input
    spread: Spread

    def values(self, chances: Floats) -> Floats:
        """Return the values under which the input stays with these chances, in base units.

        A normal spread is cut off where the number could not be: below zero, and above 100 % of a share.
        """
        shape, low, likely, high = self.spread.ends
        start, width = float(low), float(high - low)
        least, most = float(self.input.least), np.inf if self.input.most is None else float(self.input.most)
        if shape == "uniform":
            values = uniform.ppf(chances, start, width)
        elif shape == "triangular":
            values = triang.ppf(chances, float((likely - low) / (high - low)), start, width)
        else:
            mean, deviation = float(likely), width / 2
            under, over = norm.cdf(least, mean, deviation), norm.cdf(most, mean, deviation)
            values = norm.ppf(under + chances * (over - under), mean, deviation)
        return np.clip(np.asarray(values, dtype=np.float64), least, most)

    @property
    def sweeps(self) -> bool:
        """Whether an order can be worked out for many of its values at once."""
        return sweeps(self.input)


class Draws(NamedTuple):
    """Draws of some inputs: `values[i, j]` is the value of doubt `i` in draw `j`, scramble after scramble.

    Draws with the same number in `places` have the same values of every input that cannot be swept.
    """

    doubts: tuple[Doubt, ...]
    values: Floats
    places: Places
    seed: int

    @property
    def how_many(self) -> int:
        """Return how many draws there are."""
        return int(self.values.shape[1])

    @property
    def in_places(self) -> tuple[Doubt, ...]:
        """Return the inputs that cannot be swept: they have as many joint values as there are places."""
        return tuple(doubt for doubt in self.doubts if not doubt.sweeps)


class InDoubt(NamedTuple):
    """The inputs in doubt that an order depends on, and the names of those asked about that move nothing."""

    doubts: tuple[Doubt, ...]
    idle: tuple[str, ...]

    def at_means(self, book: Book, ask: Ask) -> tuple[Book, Ask]:
        """Return the book and the question with every range at its mean: what the average order is worked out on."""
        return with_values(book, ask, self.doubts, [doubt.spread for doubt in self.doubts])


def in_doubt(book: Book, ask: Ask, ranges: Mapping[str, str] | None = None) -> InDoubt:
    """Return the inputs in doubt that an order depends on.

    In doubt is what the files have as a range, and what `ranges` says: {"labour.throwing.time": "35..50 min"}.
    """
    said = [_said(book, ask, name, amount) for name, amount in (ranges or {}).items()]
    written = [Doubt(one, one.value) for one in inputs_of(book, ask) if isinstance(one.value, Spread)]
    every = {doubt.input.name: doubt for doubt in (*written, *said)}
    terms = settle(book, ask)
    doubts = tuple(doubt for doubt in every.values() if _moves(book, ask, doubt, terms))
    return InDoubt(doubts, tuple(sorted({doubt.input.name for doubt in said} - {doubt.input.name for doubt in doubts})))


def _said(book: Book, ask: Ask, name: str, amount: str) -> Doubt:
    one = find_input(book, ask, name)
    if not is_range(amount):
        raise QuestionError(f"{one.name}: no range (got {amount[:40]!r}); write it like '35..50 min' or '40 +- 4 min'")
    if one.place is not None and is_count(one.place):
        raise QuestionError(f"{one.name}: counted, so it has no range (got {amount[:40]!r}); change it in the file")
    try:
        spread = read_range(amount, lambda part: one.unit.read(part, one.name))
    except QuantityError as error:
        raise QuestionError(f"{one.name}: {error}") from None
    low, high = (spread, spread) if spread.shape == "normal" else (spread.ends.low, spread.ends.high)
    if low < one.least or (one.most is not None and high > one.most):
        most = "on" if one.most is None else f"to {one.shown(one.most)}"
        raise QuestionError(
            f"{one.name}: outside of what makes sense, from {one.shown(one.least)} {most} (got"
            f" {amount.strip()[:40]!r}); narrow the range"
        )
    return Doubt(one, spread)


def _moves(book: Book, ask: Ask, doubt: Doubt, terms: Terms) -> bool:
    """Whether an order's terms are others near either end of what the input may be."""
    ends = doubt.values(np.array([_TAIL, 1 - _TAIL]))
    return any(settle(*with_value(book, ask, doubt.input, Fraction(float(end)))) != terms for end in ends)


def draw(doubts: tuple[Doubt, ...], draws: int, seed: int) -> Draws:
    """Return at least so many draws: `SCRAMBLES` times a power of two. The same seed gives the same draws.

    What cannot be swept is drawn at `PLACES` joint values in each scramble, each of which stands for as many draws.
    """
    if not 1 <= draws <= MOST_DRAWS:
        raise QuestionError(f"{draws} draws; ask for 1 to {MOST_DRAWS}")
    if seed < 0:
        raise QuestionError(f"a seed of {seed}; give a whole number from 0")
    each = max(2 ** (-(-draws // SCRAMBLES) - 1).bit_length(), PLACES)
    fixed = np.array([not doubt.sweeps for doubt in doubts], dtype=bool)
    chances = np.empty((len(doubts), SCRAMBLES, each))
    for scramble, dice in enumerate(np.random.default_rng(seed).spawn(SCRAMBLES)):
        chances[~fixed, scramble] = _even(int(np.sum(~fixed)), each, dice)
        # Each run of points that follow one another in the sequence is spread evenly by itself, so it takes one place.
        at_places = _even(int(np.sum(fixed)), PLACES, dice)
        chances[fixed, scramble] = np.repeat(at_places, each // PLACES, axis=1)
    values = np.empty((len(doubts), SCRAMBLES * each))
    for row, doubt in enumerate(doubts):
        values[row] = doubt.values(chances[row].ravel())
    _no_more_than_all(doubts, values)
    runs = np.arange(SCRAMBLES * each) // (each // PLACES)
    return Draws(doubts, values, runs if fixed.any() else np.zeros_like(runs), seed)


def _even(dimensions: int, count: int, dice: np.random.Generator) -> Floats:
    """Return `count` points of a scrambled Sobol sequence, one row for each dimension, none of them 0 or 1."""
    if not dimensions:
        return np.empty((0, count))
    points = qmc.Sobol(dimensions, scramble=True, bits=_BITS, seed=dice).random(count)
    return np.asarray(points.T + 0.5 ** (_BITS + 1), dtype=np.float64)


def _no_more_than_all(doubts: tuple[Doubt, ...], values: Floats) -> None:
    """Cut returns off where they and breakage together would be more than all orders."""
    rows = {doubt.input.name: row for row, doubt in enumerate(doubts)}
    returned, broken = rows.get("returns.rate"), rows.get("breakage.rate")
    if returned is not None and broken is not None:
        values[returned] = np.minimum(values[returned], 1 - values[broken])


def with_values(book: Book, ask: Ask, doubts: Sequence[Doubt], values: Sequence[Any]) -> tuple[Book, Ask]:
    """Return the book and the question with a value for each doubt, exact or a `Sweep`, in base units.

    Of one zone's share the other zones share out the rest; of several, all zones are taken in proportion.
    """
    zones: dict[Path, dict[str, Number]] = {}
    for doubt, value in zip(doubts, values, strict=True):
        place = doubt.input.place
        if place is not None and place.kind == "shop" and place.path[-2:-1] == ("zones",):
            zones.setdefault(place.path[:-1], {})[str(place.path[-1])] = value
    for doubt, value in zip(doubts, values, strict=True):
        place = doubt.input.place
        if place is None or len(zones.get(place.path[:-1], ())) < 2:
            book, ask = with_value(book, ask, doubt.input, value)
    for path, drawn in zones.items():
        if len(drawn) > 1:
            shares = {**value_at(book.shop, path), **drawn}
            whole: Number = sum(shares.values())
            in_proportion = {zone: share / whole for zone, share in shares.items()}
            book = replace(book, shop=with_value_at(book.shop, path, in_proportion))
    return book, ask
