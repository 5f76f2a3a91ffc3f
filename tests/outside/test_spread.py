"""Spreads and chances against published figures and rules."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.answer.ask import PriceAsk
from netprice.answer.draws import in_doubt
from netprice.answer.one_order import one_order
from netprice.answer.risk import Draw, risk
from netprice.book.product import BoughtLine, LabourLine
from netprice.book.readers import read_target
from netprice.ledger.settle import Ask
from netprice.spread import Spread
from tests.build import fee, terms
from tests.build_book import DAY, book, product


# To win 10 with a chance of 1/6 and else to lose 1 is worth 0.83; to win 2 with 1/4 and else to lose 1 is worth -0.25.
# Contemporary Mathematics, section 7.11, OpenStax, 2023 (read).
@pytest.mark.parametrize(("win", "chance", "worth"), [(10, Fraction(1, 6), "0.83"), (2, Fraction(1, 4), "-0.25")])
def test_the_expected_value_of_a_published_game(win: int, chance: Fraction, worth: str) -> None:
    # Goods of `win` that cost nothing; a fee of win + 1 hits all orders but the winners.
    found = one_order(terms(fees=(fee(fixed=win + 1, base=None, share=1 - chance),)), win)
    assert float(found.expected) == pytest.approx(float(worth), abs=0.005)
    assert [found.chance_of_loss, found.worst.profit, found.best.profit] == [1 - chance, -1, win]


# Variances of independent inputs add up, each times the square of what it moves the result by: Guide to the expression
# of uncertainty in measurement, JCGM 100:2008, section 5.1.2, and section 4.3.7 for a rectangle: (b - a)² / 12 (both
# from memory).
def test_independent_inputs_add_up_by_their_variances() -> None:
    hours = {"throwing": LabourLine(time=Fraction(1), rate=Spread.uniform(Fraction(12), Fraction(18)))}
    parts = {"part": BoughtLine(price=Spread.uniform(Fraction(8), Fraction(18)))}
    whole, ask = book(product(bought=parts, labour=hours)), Ask("vase", "fair", DAY)
    asked = PriceAsk(ask, target=read_target("break-even"))
    found = risk(whole, asked, 5000, in_doubt(whole, ask), Draw()).with_doubt
    assert found is not None
    part, wage = found.drivers
    # A part of 10.00 between its ends: 100/12. An hour of 6.00 between its ends: 36/12. Together 136/12.
    assert part.doubt.input.name == "bought.part.price"
    assert part.share == pytest.approx(100 / 136, abs=0.01)
    assert wage.share == pytest.approx(36 / 136, abs=0.01)
    assert found.profit.mean.value == pytest.approx(5000 - 1300 - 1500, abs=0.5)
    # Five in a hundred lie in a corner of the rectangle, the triangle of the dearest: (36.00 - x)² / 2 = 5 % of 10 × 6.
    assert found.profit.percentiles[0].value == pytest.approx(5000 - 3600 + 100 * 6**0.5, abs=2)
