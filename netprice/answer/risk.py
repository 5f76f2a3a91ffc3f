"""How far a price can be relied on: what the average order leaves while inputs are in doubt, and what one order leaves.

Two kinds of luck are told apart. The average order depends on numbers that nobody knows for sure, written as ranges:
they are drawn many times, and the rules of an order are run on all draws at once. A single order besides depends on
where it goes, on which fees hit it and on how it ends: that is counted out exactly (`one_order.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.stats import rankdata

from netprice.answer.ask import PriceAsk, goal_of, span_of
from netprice.answer.at_price import must_be_carried
from netprice.answer.drawn import AtPrice, Drawn, corners, drawn
from netprice.answer.draws import MOST_DRAWS, SCRAMBLES, Doubt, Draws, InDoubt, draw
from netprice.answer.goal import Goal
from netprice.answer.holding import BLUR, Holding, holding_price
from netprice.answer.one_order import OneOrder, every_end, one_order, ways
from netprice.answer.sweep import Floats, Sweeping, floats
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.order import expected, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms

DRAWS: Final = 8192
SEED: Final = 1
LEVELS: Final = (5, 25, 50, 75, 95)
"""The percentiles that are told."""
# So many orders, ways times draws, are looked at for what a single order leaves while inputs are in doubt.
_MOST_ORDERS: Final = 4_000_000
_SLICES: Final = 32


class Estimate(NamedTuple):
    """A figure counted on draws, and its standard error: how far other draws would take it, as a rule."""

    value: float
    error: float


class Spreads(NamedTuple):
    """How a figure is spread over the draws: its mean and its percentiles at `LEVELS`.

    Draws in which it has no meaning (a margin of no sales) count as lowest, minus infinity, and not in the mean.
    """

    mean: Estimate
    percentiles: tuple[Estimate, ...]


class Driver(NamedTuple):
    """What an input in doubt has to do with the margin.

    `rank` is Spearman's correlation with it, -1 to 1; `share` the part of the margin's variance that would go if this
    input alone were known (its first-order index). None where the margin does not vary.
    """

    doubt: Doubt
    rank: float | None
    share: float | None


class OneWithDoubt(NamedTuple):
    """What a single order leaves while inputs are in doubt: profits at `LEVELS`, in minor units."""

    chance_of_loss: float
    percentiles: tuple[float, ...]


class WithDoubt(NamedTuple):
    """What the average order leaves while inputs are in doubt; profits in minor units."""

    draws: Draws
    refused: float
    """The share of the draws in which nobody carries the order to some zone: they meet no target."""
    margin: Spreads
    profit: Spreads
    chance_of_loss: Estimate
    chance_to_meet: Estimate
    drivers: tuple[Driver, ...]
    """Those that the margin follows most come first."""
    holding: Holding | None
    one: OneWithDoubt


class Risk(NamedTuple):
    """How far a price can be relied on. `profit` and `margin` are those of the average order, every range at its mean.

    `with_doubt` is None where no input is in doubt.
    """

    terms: Terms
    goal: Goal
    price: Fraction | int
    profit: Fraction
    margin: Fraction | None
    chance: Fraction
    one: OneOrder
    with_doubt: WithDoubt | None
    idle: tuple[str, ...]
    """Inputs that a range was given for, and that move nothing here."""

    @property
    def out_of_reach(self) -> bool:
        """Whether no allowed price meets the target with the chance."""
        found = self.with_doubt
        return found is not None and (found.holding is None or not found.holding.meets)


class Draw(NamedTuple):
    """How draws are made, and with what chance a price is to hold on them."""

    chance: Fraction = Fraction(9, 10)
    how_many: int = DRAWS
    seed: int = SEED


def risk(book: Book, asked: PriceAsk, price: Fraction | int, doubted: InDoubt, wish: Draw) -> Risk:
    """Return how far a price, in minor units, can be relied on; the same seed gives the same answer.

    Raises `QuestionError` where nobody carries the order, and for a wish that makes no sense.
    """
    if not 0 < wish.chance <= 1:
        raise QuestionError("a chance of nothing; write a percent above 0, such as '90 %'")
    draws = draw(doubted.doubts, wish.how_many, wish.seed)
    at_means, ask = doubted.at_means(book, asked.ask)
    terms = settle(at_means, ask)
    must_be_carried(terms)
    goal = goal_of(at_means, asked._replace(ask=ask), terms)
    totals = expected(order_ledger(terms, price))
    net, profit = Fraction(totals.net_sales), Fraction(totals.profit)
    return Risk(
        terms=terms,
        goal=goal,
        price=price,
        profit=profit,
        margin=profit / net if net > 0 else None,
        chance=wish.chance,
        one=one_order(terms, price),
        with_doubt=_with_doubt(book, asked, price, draws, goal, wish.chance) if doubted.doubts else None,
        idle=doubted.idle,
    )


def _with_doubt(
    book: Book, asked: PriceAsk, price: Fraction | int, draws: Draws, goal: Goal, chance: Fraction
) -> WithDoubt:
    orders = drawn(book, asked, draws)
    found = orders.at(price)
    margin = _margins(found)
    sent = ~np.isnan(found.profit)
    return WithDoubt(
        draws=draws,
        refused=orders.refused,
        margin=_spreads(margin, sent),
        profit=_spreads(found.profit, sent),
        chance_of_loss=_estimate(_mean, (found.profit < -BLUR).astype(np.float64)),
        chance_to_meet=_estimate(_mean, (found.surplus >= -BLUR).astype(np.float64)),
        drivers=tuple(_drivers(draws, margin)),
        holding=holding_price(orders, chance, goal, span_of(book, asked.ask, goal.terms), corners(book, asked, draws)),
        one=_one_with_doubt(book, asked, price, orders),
    )


def _margins(found: AtPrice) -> Floats:
    """Return the margin in each draw; minus infinity where nothing is left of the sales to take it of."""
    sold = found.net_sales > 0
    return np.where(sold, found.profit / np.where(sold, found.net_sales, 1.0), -np.inf)


def _spreads(values: Floats, sent: npt.NDArray[np.bool_]) -> Spreads:
    """Return mean and percentiles over the draws that are sent."""
    known = np.where(sent, values, np.nan)
    return Spreads(_estimate(_mean, known), tuple(_estimate(_percentile(level), known) for level in LEVELS))


def _mean(values: Floats) -> float:
    finite = values[np.isfinite(values)]
    return float(np.mean(finite)) if len(finite) else np.nan


def _percentile(level: int) -> Callable[[Floats], float]:
    def of(values: Floats) -> float:
        told = values[~np.isnan(values)]
        return float(np.quantile(told, level / 100, method="inverted_cdf")) if len(told) else np.nan

    return of


def _estimate(figure: Callable[[Floats], float], values: Floats) -> Estimate:
    """Return a figure of all draws; its error is that of the mean of what the independent scrambles give."""
    each = [figure(some) for some in values.reshape(SCRAMBLES, -1)]
    if not np.all(np.isfinite(each)):
        return Estimate(figure(values), np.nan)
    return Estimate(figure(values), float(np.std(each, ddof=1)) / SCRAMBLES**0.5)


def _drivers(draws: Draws, margin: Floats) -> Iterator[Driver]:
    told = np.isfinite(margin)
    varies = told.any() and float(np.ptp(margin[told])) > 1e-12
    found = []
    for doubt, values in zip(draws.doubts, draws.values, strict=True):
        if not varies or not np.ptp(values[told]):
            found.append(Driver(doubt, None, None))
            continue
        rank = float(np.corrcoef(rankdata(values[told]), rankdata(margin[told]))[0, 1])
        found.append(Driver(doubt, rank, _share(values[told], margin[told])))
    yield from sorted(found, key=lambda each: -abs(each.rank or 0))


def _share(values: Floats, margin: Floats) -> float:
    """Return the part of the variance that lies between slices of the input: its first-order index.

    Slices hold equally many draws, so what chance alone puts between them is one part in as many as each holds.
    """
    ordered = margin[np.argsort(values, kind="stable")]
    slices = np.array_split(ordered, max(min(_SLICES, len(ordered) // 8), 1))
    sizes = np.array([len(some) for some in slices])
    means = np.array([np.mean(some) for some in slices])
    between = float(np.average((means - np.mean(margin)) ** 2, weights=sizes))
    return min(between / float(np.var(margin)), 1.0)


def _one_with_doubt(book: Book, asked: PriceAsk, price: Fraction | int, orders: Drawn) -> OneWithDoubt:
    """Count out a single order in each draw; in fewer draws where there are very many ways it can go."""
    draws = orders.draws
    most = max(_MOST_ORDERS // max(ways(part.terms) for part in orders.parts), 1)
    if draws.how_many > most:
        draws = draw(draws.doubts, min(most // 2 + 1, MOST_DRAWS), draws.seed)
        orders = drawn(book, asked, draws)
    profits, chances = [], []
    for part in orders.carried():
        cases = len(part.chosen)
        for end in every_end(part.terms, price, Sweeping(cases)):
            profits.append(np.broadcast_to(floats(end.profit), cases))
            chances.append(np.broadcast_to(floats(end.chance), cases))
    if not profits:
        return OneWithDoubt(np.nan, tuple(np.nan for _ in LEVELS))
    profit, chance = np.concatenate(profits), np.concatenate(chances)
    order = np.argsort(profit, kind="stable")
    below = np.cumsum(chance[order])
    at = np.searchsorted(below, np.array(LEVELS) / 100 * below[-1])
    lost = float(np.sum(chance[profit < -BLUR]) / below[-1])
    return OneWithDoubt(lost, tuple(profit[order[np.minimum(at, len(order) - 1)]].tolist()))
