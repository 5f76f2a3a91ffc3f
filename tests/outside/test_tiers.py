"""Tiered percents by slice and on the whole, against tax tables."""

from __future__ import annotations

import pytest

from netprice.ledger.arithmetic import EXACT
from netprice.ledger.fees import charge
from netprice.ledger.terms import FeeTerms
from tests.build import fee, frac, terms, tiers


def due(rate: FeeTerms, amount: str) -> str:
    """Return the charge on an amount, both in whole units with two digits."""
    return f"{charge(terms(), rate, frac(amount) * 100, EXACT).amount / 100:.2f}"


def whole_units(*steps: tuple[int | None, str]) -> tuple[tuple[int | None, str], ...]:
    return tuple((None if up_to is None else up_to * 100, percent) for up_to, percent in steps)


# Federal income tax brackets for single filers, 2022, US Internal Revenue Service, as printed in Contemporary
# Mathematics, section 6.13, OpenStax, 2023 (read). The brackets above 170,050 are left out.
BRACKETS = whole_units((10_275, "10 %"), (41_775, "12 %"), (89_075, "22 %"), (None, "24 %"))


# Contemporary Mathematics, section 6.13, OpenStax, 2023 (read): 1,027.50 + 3,780 + 10,406 + 3,498.
@pytest.mark.parametrize(
    ("income", "total"),
    [("10275", "1027.50"), ("41775", "4807.50"), ("89075", "15213.50"), ("103650", "18711.50")],
)
def test_brackets_charge_each_percent_on_its_own_slice(income: str, total: str) -> None:
    assert due(fee(tiers=tiers(*BRACKETS)), income) == total


# Contemporary Mathematics, section 6.13, OpenStax, 2023 (question read, value worked out here): 1,027.50 + 3,780 +
# 22 % of 34,725. The common mistake takes 22 % of everything, which is what tiers on the whole do.
def test_the_bracket_that_an_income_falls_in_is_not_charged_on_all_of_it() -> None:
    assert due(fee(tiers=tiers(*BRACKETS)), "76500") == "12447.00"
    assert due(fee(tiers=tiers(*BRACKETS), whole=True), "76500") == "16830.00"


# Contemporary Mathematics, section 6.13, OpenStax, 2023 (read): 6.2 % of earnings up to 147,000.
@pytest.mark.parametrize("limit", ["cap", "slice"])
def test_a_percent_with_a_ceiling_stops_there(limit: str) -> None:
    capped = fee("6.2 %", cap=911_400)
    sliced = fee(tiers=tiers(*whole_units((147_000, "6.2 %"), (None, "0 %"))))
    rate = capped if limit == "cap" else sliced
    assert due(rate, "195000") == "9114.00"
    assert due(rate, "147000") == "9114.00"
    assert due(rate, "146999") == "9113.94"


# Stamp duty land tax before and after 4 December 2014, fact sheet, HMRC, 2014 (read as quoted by others; 8,250
# derived).
SLAB = fee(
    tiers=tiers(
        *whole_units(
            (125_000, "0 %"), (250_000, "1 %"), (500_000, "3 %"), (1_000_000, "4 %"), (2_000_000, "5 %"), (None, "7 %")
        )
    ),
    whole=True,
)
SLICE = fee(
    tiers=tiers(*whole_units((125_000, "0 %"), (250_000, "2 %"), (925_000, "5 %"), (1_500_000, "10 %"), (None, "12 %")))
)


# Stamp duty land tax fact sheet, HMRC, 2014 (185,000, 275,000 and 300,000 read as quoted by others; 8,250 derived).
@pytest.mark.parametrize(
    ("price", "on_the_whole", "by_slice"),
    [("185000", "1850.00", "1200.00"), ("275000", "8250.00", "3750.00"), ("300000", "9000.00", "5000.00")],
)
def test_the_same_house_pays_a_slab_or_its_slices(price: str, on_the_whole: str, by_slice: str) -> None:
    assert due(SLAB, price) == on_the_whole
    assert due(SLICE, price) == by_slice


# Stamp duty land tax fact sheet, HMRC, 2014 (bands read as quoted by others; the edges derived from "up to" and
# "above").
@pytest.mark.parametrize(
    ("price", "on_the_whole", "by_slice"),
    [
        ("125000", "0.00", "0.00"),
        ("125001", "1250.01", "0.02"),
        ("250000", "2500.00", "2500.00"),
        ("250001", "7500.03", "2500.05"),
    ],
)
def test_a_slab_jumps_at_its_edge_and_a_slice_does_not(price: str, on_the_whole: str, by_slice: str) -> None:
    assert due(SLAB, price) == on_the_whole
    assert due(SLICE, price) == by_slice
