"""What of a fee is kept on a refund, fees on the payout, and the days on which a fee counts. Amounts are in cents."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

import pytest

from netprice.book.fee_profile import Fee
from netprice.book.shop import Channel
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.fees import Charge, FeeLine, charge, fees_of
from netprice.ledger.order import expected, order_ledger
from netprice.ledger.terms import Terms
from tests.build import ends, fee, sold, tax, terms
from tests.build_book import book, product, profile, settled

RETURNS = ends(return_rate="1/10")


def kept(base: int, percent: str = "10 %", **more: Any) -> tuple[Any, Any]:
    quantity = more.pop("quantity", 1)
    found: Charge = charge(terms(outcomes=RETURNS, quantity=quantity), fee(percent, **more), base, EXACT)
    return found.kept, found.kept_tax


def on_payout(order: Terms, price: int) -> FeeLine:
    return fees_of(order, sold(order, price), EXACT)[-1]


def test_a_fee_is_kept_on_a_refund_unless_it_says_otherwise() -> None:
    assert kept(2000, tax="20 %") == (200, 40)


def test_a_returned_fee_goes_back_whole_with_its_tax() -> None:
    assert kept(2000, tax="20 %", kept="returned", fixed=30) == (0, 0)


# A fee of 2.00 of which 0.30 and 7 % stay: 0.30 + 0.14 = 0.44, and 20 % of it is 0.088 -> 0.09.
def test_a_fixed_part_and_a_percent_of_the_fee_are_kept_together() -> None:
    assert kept(2000, tax="20 %", kept="partly", kept_fixed=30, kept_percent="7 %") == (44, 9)


def test_what_is_kept_is_what_is_rounded() -> None:
    assert kept(2050, kept="partly", kept_percent="10 %") == (21, 0)  # 10 % of 2.05 is 0.205


# 25 % of the fee is kept, at most 5.00: the fee reaches 20.00 at a base of 200.00.
@pytest.mark.parametrize(("base", "stays"), [(19960, 499), (20000, 500), (20040, 500), (10**6, 500)])
def test_the_kept_part_is_capped(base: int, stays: int) -> None:
    assert kept(base, kept="partly", kept_percent="25 %", kept_cap=500)[0] == stays


def test_no_more_than_the_fee_is_kept() -> None:
    assert kept(200, kept="partly", kept_fixed=30) == (20, 0)


def test_what_is_kept_of_a_fee_per_unit_is_worked_out_on_the_orders_amount() -> None:
    # 0.15 a unit, 3 units: 0.45, a tenth of it 0.045 -> 0.05; unit by unit it would be 3 × 0.02.
    assert kept(450, per="unit", quantity=3, kept="partly", kept_percent="10 %")[0] == 5


def test_a_fee_on_a_share_of_orders_is_kept_by_that_share() -> None:
    order = terms(outcomes=RETURNS, fees=fee("10 %", share="1/4", kept="partly", kept_fixed=30))
    assert on_payout(order, 2000).expected.kept == Fraction(30, 4)


def test_a_fee_per_month_is_always_kept() -> None:
    monthly = Fee(name="shop window", per="month", fixed=Fraction(21), on_refund="returned")
    order = settled(
        book(product(), Channel(fee_profile="profile", orders_per_month=Fraction(7)), profile=profile(monthly))
    )
    assert charge(order, order.fees[0], 0, EXACT).kept == 300


# The buyer pays 110.00, 10.00 of it tax. 5 % of the goods is 5.00, and 20 % tax on it 1.00. Listing and month fees
# are billed apart. Payout 104.00, or 94.00 where the storefront remits the tax; 3 % + 0.25 of it is 3.37 or 3.07.
@pytest.mark.parametrize(("remitted", "payout", "amount"), [(False, 10400, 337), (True, 9400, 307)])
def test_the_payout_is_what_the_buyer_pays_less_tax_remitted_and_order_fees(
    remitted: bool,
    payout: int,
    amount: int,
) -> None:
    apart = [fee(fixed=20, per="listing"), fee(fixed=900, per="month", spread="1/9")]
    order = terms(
        tax=tax("10 %", remitted=remitted),
        fees=[fee("3 %", base="payout", fixed=25), fee("5 %", tax="20 %"), *apart],
    )
    line = on_payout(order, 10000)
    assert (line.base, line.in_full.amount) == (payout, amount)


def test_fees_per_unit_and_without_a_base_lower_the_payout() -> None:
    order = terms(quantity=2, fees=[fee(fixed=45), fee("5 %", per="unit"), fee("10 %", base="payout")])
    assert on_payout(order, 1000).base == 2000 - 45 - 100


def test_fees_on_the_payout_do_not_lower_each_others_base() -> None:
    first, second = fee("10 %", base="payout", name="one"), fee("10 %", base="payout", name="two")
    order = terms(fees=[first, second])
    found = fees_of(order, sold(order, 1000), EXACT)
    assert [line.base for line in found] == [1000, 1000]
    assert [line.in_full.amount for line in found] == [100, 100]


# An advertising fee of 12 % hits a quarter of the orders of 10.01: it is 1.20 (1.2012). 2.5 % of 8.81 is 0.22025 ->
# 0.22, of 10.01 it is 0.25025 -> 0.25. On average (0.22 + 3 × 0.25) / 4.
def test_a_payout_fee_is_averaged_over_one_shared_fee() -> None:
    order = terms(fees=[fee("12 %", share="1/4"), fee("2.5 %", base="payout")])
    line = on_payout(order, 1001)
    assert line.in_full.amount == 22
    assert line.expected.amount == Fraction(22 + 3 * 25, 4)
    assert line.base == Fraction(881 + 3 * 1001, 4)


# Two shared fees: 1.20 on a quarter and 2.00 on a third of the orders of 10.00. The payout is 6.80, 8.80, 8.00 or
# 10.00, with chances of 1/12, 2/12, 3/12 and 6/12; 10 % with a minimum of 0.85 is 0.85, 0.88, 0.85 or 1.00.
def test_a_payout_fee_is_averaged_over_every_pattern_of_two_shared_fees() -> None:
    shared = [fee(fixed=120, share="1/4", name="ads"), fee(fixed=200, share="1/3", name="offers")]
    order = terms(fees=[*shared, fee("10 %", base="payout", minimum=85)])
    line = on_payout(order, 1000)
    assert line.in_full.amount == 85
    assert line.expected.amount == Fraction(1 * 85 + 2 * 88 + 3 * 85 + 6 * 100, 12)


def test_a_payout_fee_with_a_share_of_its_own_counts_by_it() -> None:
    order = terms(fees=[fee(fixed=120, share="1/4"), fee("10 %", base="payout", share="1/2")])
    line = on_payout(order, 1000)
    assert line.expected.amount == Fraction(88 + 3 * 100, 4) / 2
    assert line.in_full.amount == 88


def test_a_payout_below_zero_counts_as_zero() -> None:
    order = terms(fees=[fee(fixed=1500), fee("10 %", base="payout", fixed=25)])
    assert on_payout(order, 1000).in_full.amount == 25


FIRST, LAST = dt.date(2026, 3, 1), dt.date(2026, 3, 31)
ONE_DAY = dt.timedelta(days=1)


def dated() -> Fee:
    return Fee(name="season", per="order", fixed=Fraction("0.50"), from_=FIRST, until=LAST)


# One day before, on the first day, on the last day, one day after.
@pytest.mark.parametrize(
    ("day", "counts"), [(FIRST - ONE_DAY, False), (FIRST, True), (LAST, True), (LAST + ONE_DAY, False)]
)
def test_a_fee_counts_from_its_first_day_to_its_last(day: dt.date, counts: bool) -> None:
    whole = book(product(), Channel(fee_profile="profile"), profile=profile(dated()))
    assert dated().counts_on(day) is counts
    assert [each.name for each in settled(whole, on=day).fees] == (["season"] if counts else [])


def test_a_fee_without_days_counts_always() -> None:
    always = Fee(name="commission", fixed=Fraction(1))
    assert always.counts_on(dt.date.min)
    assert always.counts_on(dt.date.max)


def test_a_fee_with_a_share_of_nothing_never_occurs_not_even_at_worst() -> None:
    never = Fee(name="ads", fixed=Fraction(1), share=Fraction(0))
    order = settled(book(product(), Channel(fee_profile="profile"), profile=profile(never)))
    assert order.fees == ()


def test_a_channel_says_which_share_of_its_orders_a_fee_hits() -> None:
    ads = Fee(name="ads", fixed=Fraction(1), share=Fraction(1, 2))
    channel = Channel(fee_profile="profile", fee_shares={"ads": Fraction(1, 8)})
    order = settled(book(product(), channel, profile=profile(ads)))
    assert expected(order_ledger(order, 1000)).fees == Fraction(100, 8)


def test_amounts_of_a_profile_are_in_minor_units_of_its_currency() -> None:
    yen = Fee(name="fixed", fixed=Fraction(40), cap=Fraction(30))
    channel = Channel(fee_profile="profile", exchange_rate=Fraction(150))
    order = settled(book(product(), channel, profile=profile(yen, currency="JPY")))
    assert order.digits == 0
    assert order.fees[0].fixed == 40
    assert order.fees[0].cap == 30
