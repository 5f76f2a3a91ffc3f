"""Numbers written as ranges: how they are read, what they count as, and what is wrong with some."""

from __future__ import annotations

import copy
import pickle
from fractions import Fraction

import pytest

from netprice.book.build import build
from netprice.book.product import LabourLine, MaterialLine, Product, Returns
from netprice.book.shop import Machine, Stock
from netprice.spread import Spread


def read(model: type, key: str, value: object, **more: object) -> Spread:
    built = build(model, {key: value, **more}, "USD")
    assert built.mistakes == ()
    found = getattr(built.model, key)
    return getattr(found, "amount", getattr(found, "price", found))  # type: ignore[no-any-return]


@pytest.mark.parametrize(
    ("model", "key", "text", "mean", "shape"),
    [
        (LabourLine, "time", "35..50 min", Fraction(85, 120), "uniform"),
        (LabourLine, "time", "35..40..51 min", Fraction(42, 60), "triangular"),
        (LabourLine, "time", "40 +- 4 min", Fraction(2, 3), "normal"),
        (LabourLine, "time", "40 ± 4 min", Fraction(2, 3), "normal"),
        (LabourLine, "time", "40 +/- 4 min", Fraction(2, 3), "normal"),
        (LabourLine, "time", "0.5..1.5 hour", Fraction(1), "uniform"),
        (Stock, "price", "28..34 USD / 12.5 kg", Fraction(31), "uniform"),
        (Stock, "price", "30 +/- 2 USD / 12.5 kg", Fraction(30), "normal"),
        (Stock, "price", "3..4", Fraction(7, 2), "uniform"),
        (MaterialLine, "quantity", "0.9..1.1 kg", Fraction(1000), "uniform"),
        (MaterialLine, "getting_cost", "2..4 USD", Fraction(3), "uniform"),
        (Returns, "rate", "2..3..7 %", Fraction(4, 100), "triangular"),
        (Machine, "rate", "20..30 USD/hour", Fraction(25), "uniform"),
        (Machine, "tariff", "0.2..0.4 USD/kWh", Fraction(3, 10), "uniform"),
    ],
)
def test_a_range_counts_as_its_mean(model: type, key: str, text: str, mean: Fraction, shape: str) -> None:
    found = read(model, key, text)
    assert found == mean
    assert found.shape == shape


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("50..35 min", "a range that does not rise"),
        ("35..35 min", "a range that does not rise"),
        ("35..60..50 min", "a range that does not rise"),
        ("35.. min", "no range"),
        ("..50 min", "no range"),
        ("35..50", "expected a duration"),
        ("35..50 kg", "expected a duration"),
        ("40 +- 0 min", "a deviation of zero"),
        ("4 +- 5 min", "a deviation of zero, or one that is not below the number"),
        ("1..2..3..4 min", "no range"),
        ("-2..4 min", "no range"),
        ("1" * 200 + "..2 min", "no range"),
    ],
)
def test_a_wrong_range_is_told(text: str, what: str) -> None:
    built = build(Product, {"name": "Vase", "labour": {"throwing": {"time": text}}}, "USD")
    (mistake,) = built.mistakes
    assert mistake.path == ("labour", "throwing", "time")
    assert what in mistake.what


def test_a_share_stays_below_a_hundred_percent() -> None:
    (mistake,) = build(Returns, {"rate": "90..120 %"}, "USD").mistakes
    assert "over 100 %" in mistake.what


def test_sums_are_plain_numbers_and_copies_keep_the_ends() -> None:
    spread = Spread.uniform(Fraction(2), Fraction(4))
    assert type(spread + 1) is Fraction
    assert type(2 * spread) is Fraction
    assert copy.deepcopy(spread) is spread
    assert copy.copy(spread) is spread
    again = pickle.loads(pickle.dumps(spread))
    assert (again, again.ends) == (spread, spread.ends)
