"""Random shops, written as real files and read by the real reader."""

from __future__ import annotations

import random
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.goal import Goal
from netprice.answer.span import Span
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms
from tests.cases.adapter import ask_of, book_of
from tests.referee import random_case

__all__ = ["book_of", "case_of", "orders", "seeds"]

JsonDict = dict[str, Any]

# A seed rather than a tree of strategies: the referee's own dice make the shop, and a failing seed can be replayed.
seeds = st.integers(min_value=0, max_value=10**9)


def fewer(by: int) -> settings:
    """Return settings for a test of which one example costs as much as `by` of the others."""
    return settings(max_examples=max((settings.default or settings()).max_examples // by, 10))


def case_of(seed: int, prices: int = 250) -> JsonDict:
    """Return the random case of a seed."""
    return random_case(random.Random(seed), prices=prices)


def orders(case: JsonDict) -> list[tuple[Terms, Goal, Span]]:
    """Return the terms, goal and allowed prices of every channel of the case that can sell."""
    book, found = book_of(case), []
    for place in range(len(case["channels"])):
        ask = ask_of(case, place)
        terms = settle(book, ask)
        if not terms.unreached:
            prices = book.shop.channels[ask.channel].prices
            found.append((terms, goal_of(book, PriceAsk(ask=ask), terms), Span.of(prices, digits=terms.digits)))
    return found
