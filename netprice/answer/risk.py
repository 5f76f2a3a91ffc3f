"""How far a price can be relied on while inputs are in doubt, and the price that holds with a given chance.

Two kinds of doubt are told apart. What a single order leaves depends on where it goes, on the fees that hit it and on
how it ends: that is counted out exactly (`one_order.py`). What the average order leaves depends on numbers that nobody
knows for sure, written as ranges in the files: those are drawn, and the rules of an order are run on all draws at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
from scipy import stats

from netprice.answer.allowed import Allowed
from netprice.answer.ask import PriceAsk, goal_of, span_of
from netprice.answer.curve import Curve
from netprice.answer.draws import SEQUENCES, Doubt, Drawn, doubts_of, draw, whole_steps
from netprice.answer.goal import Goal
from netprice.answer.inputs import with_value
from netprice.answer.one_order import Ending, endings
from netprice.answer.price import look
from netprice.answer.sweep import Floats, Sweep, Sweeping, floats, surplus_of
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.order import Bottom, bottom, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms

DRAWS: Final = 16_384
SEED: Final = 1
PERCENTILES: Final = (5, 50, 95)
# Below a price that holds, so many allowed prices are tried one by one: rounding makes the share that meets jagged.
_BELOW: Final = 60
# Of more break points than this some that lie evenly among them are looked at; and so many prices in between.
_BREAK_POINTS: Final = 400
_BETWEEN: Final = 48


class Spreads(NamedTuple):
    """How a measure is spread over the draws: floats, money in minor units. `error` is the mean's standard error."""

    mean: float
    error: float
    percentiles: tuple[float, ...]


class Driver(NamedTuple):
    """An input in doubt and its rank correlation with the profit (Spearman's): from -1 to 1, 0 where it has no say."""

    doubt: Doubt
    correlation: float


class InDoubt(NamedTuple):
    """What the average order leaves at a price while inputs are in doubt."""

    draws: int
    profit: Spreads
    margin: Spreads
    chance_of_loss: float
    chance_to_meet: float
    error_of_chance: float
    """The standard error of the chance to meet the target."""
    drivers: tuple[Driver, ...]
    """Those with the most say first."""
    holding_price: int | None
    """The lowest allowed price that meets the target with the chance that is wanted; None where none does."""
    loses_on_one: float
    """The chance that a single order loses money, the doubt about the inputs included."""
    worked_out_together: int
    """How many different packings were tried; 0 where no input in doubt decides how an order is packed."""


class Risk(NamedTuple):
    """How far a price can be relied on. `endings` are all the ways one order can turn out, the worst first."""

    terms: Terms
    goal: Goal
    price: Fraction | int
    chance: Fraction
    seed: int
    endings: tuple[Ending, ...]
    in_doubt: InDoubt | None

    @property
    def loses_money(self) -> Fraction:
        """Return the exact chance that a single order loses money, all inputs as they are written."""
        return sum((each.chance for each in self.endings if each.profit < 0), Fraction(0))


def risk(
    book: Book,
    asked: PriceAsk,
    price: Fraction | int,
    *,
    chance: Fraction = Fraction(9, 10),
    draws: int = DRAWS,
    seed: int = SEED,
) -> Risk:
    """Return how far a price (in minor units) can be relied on; the same seed gives the same answer."""
    if not 0 < chance < 1:
        raise QuestionError("the chance: nothing is certain, and nothing impossible; write a percent such as '90 %'")
    if not SEQUENCES <= draws <= 2**22:
        raise QuestionError(f"{draws} draws; ask for {SEQUENCES} to {2**22}")
    terms = settle(book, asked.ask)
    if terms.unreached:
        raise QuestionError(f"{terms.product} cannot be sent from {terms.channel} to every zone; see netprice parcel")
    goal = goal_of(book, asked, terms)
    doubts = doubts_of(book, asked.ask)
    found = None
    if doubts:
        drawn = draw(doubts, draws, seed)
        curve, highest = look(terms, goal, span_of(book, asked.ask, terms))
        allowed = span_of(book, asked.ask, terms).allowed(highest)
        found = _in_doubt(Trials.of(book, asked, drawn), price, (allowed, _looked_at(curve, allowed)), chance)
    ways = sorted(endings(terms, price), key=lambda each: each.profit)
    return Risk(terms, goal, price, chance, seed, tuple(ways), found)


def _looked_at(curve: Curve, allowed: Allowed) -> list[int]:
    """Return the places of the prices that are looked at first: on either side of every break point, and between."""
    edges = curve.mesh.edges
    few = edges[np.unique(np.linspace(0, len(edges) - 1, min(len(edges), _BREAK_POINTS)).astype(np.intp))]
    places = {int(place) - 1 for place in np.geomspace(1, allowed.count, _BETWEEN)}
    for edge in few.tolist():
        at = allowed.first_from(edge)
        places |= {place for place in (at - 1, at) if 0 <= place < allowed.count}
    return sorted(places)


class Trial(NamedTuple):
    """The draws that share a packing: which they are, and an order's terms and goal with their values."""

    places: npt.NDArray[np.intp]
    terms: Terms
    goal: Goal


@dataclass(frozen=True, slots=True)
class Trials:
    """All draws, ready to be worked out at any price."""

    drawn: Drawn
    trials: tuple[Trial, ...]

    @classmethod
    def of(cls, book: Book, asked: PriceAsk, drawn: Drawn) -> Trials:
        """Settle an order on the values of every draw."""
        trials = []
        for place in np.unique(drawn.place):
            places = np.flatnonzero(drawn.place == place)
            changed, ask = book, asked.ask
            for doubt, values in zip(drawn.doubts, drawn.values, strict=True):
                value = Sweep(values[places]) if doubt.sweeps else whole_steps(doubt, float(values[places[0]]))
                changed, ask = with_value(changed, ask, doubt.input, value)
            terms = settle(changed, ask, Sweeping(len(places)))
            if not terms.unreached:
                trials.append(Trial(places, terms, goal_of(changed, asked._replace(ask=ask), terms)))
        return cls(drawn, tuple(trials))

    def worked_out(self, price: Fraction | int) -> Iterator[tuple[Trial, Bottom]]:
        """Yield what measures are made of at a price, packing by packing."""
        for trial in self.trials:
            m = Sweeping(len(trial.places))
            yield trial, bottom(order_ledger(trial.terms, price, m), trial.goal.case, m)

    def meeting(self, price: Fraction | int) -> float:
        """Return the share of draws that meet the target at a price; an order that nobody carries does not."""
        met = 0
        for trial, found in self.worked_out(price):
            met += int((surplus_of(trial.goal, found, len(trial.places)) >= 0).sum())
        return met / len(self.drawn.place)


def _in_doubt(trials: Trials, price: Fraction | int, prices: tuple[Allowed, list[int]], chance: Fraction) -> InDoubt:
    drawn = trials.drawn
    profit, net, meets = (np.full(len(drawn.place), np.nan) for _ in range(3))
    for trial, found in trials.worked_out(price):
        profit[trial.places] = floats(found.profit)
        net[trial.places] = floats(found.net_sales)
        meets[trial.places] = surplus_of(trial.goal, found, len(trial.places)) >= 0
    sent = ~np.isnan(profit)
    margin = np.where(net > 0, profit / np.where(net > 0, net, 1.0), np.nan)
    meets = np.where(sent, meets, 0.0)
    return InDoubt(
        draws=len(drawn.place),
        profit=_spread(profit, drawn),
        margin=_spread(margin, drawn),
        chance_of_loss=float((profit < 0).mean()),
        chance_to_meet=float(meets.mean()),
        error_of_chance=_error(meets, drawn),
        drivers=_drivers(drawn, profit),
        holding_price=_holding_price(trials, *prices, float(chance)),
        loses_on_one=_loses_on_one(trials, price),
        worked_out_together=len(np.unique(drawn.place)) if drawn.place.any() else 0,
    )


def _spread(values: Floats, drawn: Drawn) -> Spreads:
    known = values[~np.isnan(values)]
    if not len(known):
        return Spreads(float("nan"), float("nan"), tuple(float("nan") for _ in PERCENTILES))
    return Spreads(float(known.mean()), _error(values, drawn), tuple(np.percentile(known, PERCENTILES).tolist()))


def _error(values: Floats, drawn: Drawn) -> float:
    """Return the standard error of the mean, from how far the means of the independent sequences are apart."""
    means = [np.nanmean(values[drawn.sequence == each]) for each in range(SEQUENCES)]
    return float(np.std(means, ddof=1) / np.sqrt(SEQUENCES))


def _drivers(drawn: Drawn, profit: Floats) -> tuple[Driver, ...]:
    sent = ~np.isnan(profit)
    found = []
    for doubt, values in zip(drawn.doubts, drawn.values, strict=True):
        moves = np.ptp(values[sent]) > 0 and np.ptp(profit[sent]) > 0
        correlation = float(stats.spearmanr(values[sent], profit[sent]).statistic) if moves else 0.0
        found.append(Driver(doubt, correlation))
    return tuple(sorted(found, key=lambda each: -abs(each.correlation)))


def _loses_on_one(trials: Trials, price: Fraction | int) -> float:
    """Return the chance that one order loses money: every way it can turn out, for every draw."""
    total = 0.0
    for trial in trials.trials:
        cases = len(trial.places)
        for each in endings(trial.terms, price, Sweeping(cases)):
            lost = np.broadcast_to(floats(each.profit), cases) < 0
            total += float((np.broadcast_to(floats(each.chance), cases) * lost).sum())
    return total / len(trials.drawn.place)


def _holding_price(trials: Trials, allowed: Allowed, looked_at: list[int], chance: float) -> int | None:
    """Return the lowest allowed price at which enough draws meet the target: the same draws at every price.

    Between break points the share that meets rises with the price, but for rounding. So the first price that is looked
    at and holds is found, the stretch before it halved down to a step, and every price somewhat below is then tried.
    """
    high = next((place for place in looked_at if trials.meeting(allowed.price(place)) >= chance), None)
    if high is None:
        return None
    low = max((place for place in looked_at if place < high), default=-1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if trials.meeting(allowed.price(middle)) >= chance else (middle, high)
    below = range(max(high - _BELOW, 0), high)
    return allowed.price(next((place for place in below if trials.meeting(allowed.price(place)) >= chance), high))
