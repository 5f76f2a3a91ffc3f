"""Refunds by hand. An order of 40.00 with a wrap of 2.00 and 5.00 of shipping, 10 % tax on top of goods and wrap:

    net sales 40 + 2 + 5 = 47.00, tax 4.20
    fees      5 % of the goods, 2.00, given back; 3 % of the order + 0.30, 1.71, of which 0.30 is kept
    label     6.00; goods 10.00, of which 2.00 are overhead, and 3.00 the order; 2 % of net sales are set aside, 0.94
    profit    47 − 3.71 − 6 − 13 − 0.94 = 23.35

On a refund the shop pays 6.00 for the return label; half of the goods can be sold again, less 1.00 for refurbishing.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.at_price import AtPrice
from netprice.answer.opened import Opened
from netprice.answer.refund import Refund, RefundWishes, refund, refund_at
from netprice.answer.refunded import refunded, refunded_as
from netprice.answer.return_rate import Greatest
from netprice.errors import QuestionError
from netprice.ledger.cost import CostLine
from netprice.ledger.terms import Terms
from tests.build import cover, ends, extra, fee, goal, quoted, set_aside, shipping, tax, terms, zone
from tests.build_book import DAY, book, bought, product

LINES = (
    CostLine("made", "bought", "unit", Fraction(8)),
    CostLine("rent", "overhead", "good", Fraction(2)),
    CostLine("wrapped", "bought", "order", Fraction(3)),
)
FEES = (
    fee("5 %", name="goods", kept="returned"),
    fee("3 %", name="payment", base="order", fixed=30, kept="partly", kept_fixed=30),
)
TENTH_OF_A_PERCENT = Fraction(1, 1000)


def order(**more: Any) -> Terms:
    given: dict[str, Any] = {
        "lines": LINES,
        "label": 600,
        "fees": FEES,
        "extras": [extra(200, taxed=True)],
        "tax": tax("10 %"),
        "shipping": shipping("flat", flat=500),
        "set_asides": [set_aside("2 %")],
        **more,
    }
    return terms(**given, outcomes=given.pop("outcomes", None) or ends(resellable="1/2", refurbish=100))


def asked(of: Terms | None = None, price: int = 4000, target: str = "break-even", **how: Any) -> Refund:
    sold = of or order()
    at = AtPrice(sold, goal(sold, target, how.pop("case", "expected")), price, "asked")
    return refund_at(at, refunded_as(sold, **how), TENTH_OF_A_PERCENT)


def changes(found: Refund) -> list[Fraction]:
    return [found.paid_back, found.fees_back, found.return_label, found.resold, found.not_set_aside]


def amounts(*written: str) -> list[Fraction]:
    return [Fraction(each) for each in written]


# Left: 5 − 0.30 − 12 − 13 + 4 − 0.10 = −16.40, which is 39.75 less.
def test_a_refund_costs_the_order_delivered_less_the_order_refunded() -> None:
    found = asked()
    assert changes(found) == amounts("-42", "3.41", "-6", "4", "0.84")
    assert found.buyer_gets == Fraction("46.20")
    assert [left.profit for left in (found.delivered, found.refunded, found.cost)] == amounts(
        "23.35", "-16.40", "39.75"
    )


# With overhead left out the order has cost 11.00, and the half that comes back is worth 4.00 − 1.00: no more is spared.
def test_contribution_leaves_overhead_out_of_what_comes_back_too() -> None:
    found = asked()
    assert found.delivered.contribution == Fraction("25.35")
    assert found.refunded.contribution == Fraction("-16.40") + 2 - 1
    assert found.cost.contribution == Fraction("25.35") - Fraction("-15.40")


# 39.75 / 23.35 = 1.7; contribution 40.75 / 25.35 = 1.6.
def test_so_many_sales_pay_for_one_refund() -> None:
    assert asked().paid_for_by == (2, 2)


# At 20.00 an order leaves 27 − 1 − 1.11 − 19 − 0.54 = 5.35 and a refund costs 22 − 1.81 + 6 − 4 − 0.44 = 21.75.
def test_where_less_is_left_more_sales_are_needed() -> None:
    found = asked(price=2000)
    assert [found.sold.profit, found.cost.profit] == amounts("5.35", "21.75")
    assert found.paid_for_by.profit == 5


# At 14.00: 21 − 0.70 − 0.93 − 19 − 0.42 = −0.05.
def test_no_number_of_sales_pays_where_none_leaves_a_profit() -> None:
    found = asked(price=1400)
    assert found.sold.profit == Fraction("-0.05")
    assert found.paid_for_by.profit is None


@pytest.mark.parametrize(
    ("how", "want"),
    [
        ({"goods_back": False}, ("-42", "3.41", "0", "0", "0.84")),
        ({"shop_pays_label": False}, ("-42", "3.41", "0", "4", "0.84")),
        ({"resellable": Fraction(1)}, ("-42", "3.41", "-6", "9", "0.84")),
        ({"resellable": Fraction(0)}, ("-42", "3.41", "-6", "0", "0.84")),
        ({"refund_shipping": True}, ("-47", "3.41", "-6", "4", "0.94")),
    ],
)
def test_how_it_is_refunded_can_differ_from_the_file(how: dict[str, Any], want: tuple[str, ...]) -> None:
    assert changes(asked(**how)) == amounts(*want)


def test_a_return_label_goes_without_insurance() -> None:
    insured = zone(quoted(600, insured=cover(step=1000, price=50)))
    assert asked(order(zones=[insured])).return_label == -6


# --- in part ---------------------------------------------------------------------------------------------------------


# A quarter of 42.00 is 10.50, with 1.05 tax. Of the first fee 0.50 comes back; of the second 1.71 − 0.25 × 1.41 =
# 1.3575 is kept, rounded 1.36.
def test_in_part_the_same_share_of_the_fees_comes_back() -> None:
    found = asked(share=Fraction(1, 4), goods_back=False)
    assert changes(found) == amounts("-10.50", "0.85", "0", "0", "0.21")
    assert found.buyer_gets == Fraction("11.55")


@pytest.mark.parametrize(
    ("kept", "back"),
    [
        ({"kept": "kept"}, "0"),
        ({"kept": "returned"}, "0.43"),  # 1.71 − 0.4275 = 1.2825 kept
        ({"kept": "partly", "kept_percent": "40 %"}, "0.26"),  # 1.71 − 0.25 × 1.026 = 1.4535
        ({"kept": "partly", "kept_percent": "50 %", "kept_cap": 60}, "0.28"),  # 1.71 − 0.25 × 1.11 = 1.4325
        ({"kept": "partly", "kept_percent": "50 %", "kept_cap": 90}, "0.21"),  # 0.855: the cap does not count; 1.49625
        ({"kept": "partly", "kept_fixed": 500}, "0"),  # never more than the fee
    ],
)
def test_what_a_fee_keeps_in_part(kept: dict[str, Any], back: str) -> None:
    one = fee("3 %", base="order", fixed=30, **kept)
    assert asked(order(fees=one), share=Fraction(1, 4)).fees_back == Fraction(back)


# Three charges of 0.20 an order; each gives back a quarter of it, 0.05.
def test_a_fee_for_each_listing_is_given_back_charge_by_charge() -> None:
    listing = fee(None, per="listing", fixed=20, spread=3, kept="returned")
    assert asked(order(fees=listing), share=Fraction(1, 4)).fees_back == Fraction("0.15")


# The buyer pays 40.00 and the label, 8.00 to the one zone and 5.00 to the other.
def test_in_part_each_zone_has_its_own_fees() -> None:
    zones = [zone(800, name="far", share="1/2"), zone(500, name="near", share="1/2")]
    taken = fee("10 %", base="order", kept="partly", kept_percent="50 %", kept_cap=240)
    sold = order(zones=zones, shipping=shipping("label"), fees=taken, tax=tax("0 %"), extras=())
    # Far 4.80, of which 2.40 would be kept, so that 1.20 comes back; near 4.50, of which 2.25 would be kept: 3.375,
    # rounded 3.38, is kept and 1.12 comes back.
    assert asked(sold, share=Fraction(1, 2)).fees_back == Fraction("1.16")


@pytest.mark.parametrize("share", ["1/3", "1/7", "99/100"])
def test_tax_inside_the_price_is_rounded_once_on_what_is_refunded(share: str) -> None:
    found = asked(order(tax=tax("20 %", "inside")), share=Fraction(share))
    gets = Fraction(round(4200 * Fraction(share)), 100)
    assert found.buyer_gets == gets
    assert -found.paid_back == gets - Fraction(round(gets * 100 / 6), 100)


def test_shipping_goes_back_only_with_the_whole() -> None:
    assert asked(share=Fraction(1, 2), refund_shipping=True).paid_back == -21


def test_nothing_paid_back_costs_nothing() -> None:
    found = asked(share=Fraction(0), goods_back=False)
    assert changes(found) == [0, 0, 0, 0, 0]
    assert found.paid_for_by == (0, 0)


def test_the_whole_worked_out_in_part_is_the_whole() -> None:
    sold = order()
    nearly = refunded(sold, 4000, refunded_as(sold, share=Fraction(10**9 - 1, 10**9)))
    whole = refunded(sold, 4000, refunded_as(sold))
    assert nearly.zones[0].outcomes == whole.zones[0].outcomes


# --- a new one instead -----------------------------------------------------------------------------------------------


# A new one costs 10 + 3 + 6 = 19.00; the refund gives up 42 − 3.41 − 0.84 = 37.75. The goods come back either way.
def test_a_new_one_is_held_against_the_refund() -> None:
    found = asked()
    assert found.replaced.profit == Fraction("23.35") - 19 - 6 + 4
    assert found.replacing_saves.profit == Fraction("18.75")
    assert asked(goods_back=False).replacing_saves.profit == Fraction("18.75")
    assert found.replacing_saves.contribution == Fraction("20.75")  # 17.00 without overhead


# A quarter: 10.50 − 0.85 − 0.21 = 9.44 against 19.00.
def test_a_small_refund_beats_a_new_one() -> None:
    assert asked(share=Fraction(1, 4)).replacing_saves.profit == Fraction("9.44") - 19


# --- the greatest return rate ----------------------------------------------------------------------------------------


def rates(price: int, target: str = "break-even", *, cost: int = 500, **more: Any) -> Greatest:
    how = {key: more.pop(key) for key in ("share", "goods_back", "resellable") if key in more}
    return asked(terms(cost=cost, **more), price, target, **how).target_met


# 20 × (1 − r) − 5 is 0 at 75 %. Half of what is kept is profit where 15 − 20 r = 10 − 10 r: at 50 %. With 30 % lost on
# the way: 20 × (0.7 − r) − 5 is 0 at 45 %. With a profit of 12.34: 20 × (1 − r) = 17.34 at 13.3 %.
@pytest.mark.parametrize(
    ("target", "damaged", "greatest"),
    [("break-even", "0", "0.75"), ("margin 50 %", "0", "0.5"), ("break-even", "3/10", "0.45"),
     ("profit 12.34", "0", "0.133"), ("markup 200 %", "0", "0.25"), ("profit 15", "0", "0")],
)  # fmt: skip
def test_the_greatest_return_rate(target: str, damaged: str, greatest: str) -> None:
    want = Fraction(greatest)
    assert rates(2000, target, outcomes=ends(damage_rate=damaged)) == Greatest(want, want)


def test_no_rate_holds_where_the_goal_is_out_of_reach() -> None:
    assert rates(2000, "profit 15.01") == Greatest(None, None)


# Returns and breakage are all orders at most. The goods come back whole, so that each return costs 5.00.
def test_the_greatest_rate_ends_where_every_order_is_returned_or_damaged() -> None:
    kind = ends(damage_rate="1/8", replaces=True)
    assert rates(2000, "profit 1", cost=0, outcomes=kind, share=Fraction(1, 2)).rate == Fraction(7, 8)


# Sold at 4.00 and worth 10.00: delivered it loses 6.00, returned nothing.
def test_a_goal_that_fails_without_returns_can_hold_with_them() -> None:
    assert rates(400, cost=1000, outcomes=ends(resellable=1)) == Greatest(Fraction(1), None)


# Half of 20.00 goes back: 20 − 10 r − 5 never falls below 5.00. With the goods back and whole a return costs 20 − 5.
def test_the_rate_is_that_of_returns_refunded_as_asked() -> None:
    assert rates(2000, share=Fraction(1, 2)).rate == 1
    assert rates(2000, resellable=Fraction(1)).rate == 1
    assert rates(2000, "profit 5.10", share=Fraction(1, 2)).rate == Fraction("0.99")


def test_the_target_in_the_worst_case_does_not_depend_on_returns() -> None:
    found = asked(terms(cost=500), 2000, "margin 75 %", case="worst")
    assert found.target_met == Greatest(Fraction(1), Fraction(1))
    assert found.break_even.rate == Fraction("0.75")


# --- through a shop's book -------------------------------------------------------------------------------------------


def through_a_book(**said: Any) -> Refund:
    shop = Opened(book(product(bought={"blank": bought(10)})))
    wishes: RefundWishes = {"price": "20"}
    wishes.update(said)  # type: ignore[typeddict-item]  # what a caller says, right or wrong
    return refund(shop.book, shop.asked("vase", "fair", {"on": DAY}), wishes)


# 10.00 of 20.00 back: 20 − 10 r − 10 is 0 where all are returned. 20.00 back: at 50 %.
def test_what_is_said_is_read_exactly() -> None:
    assert through_a_book(back="10.00").how.share == Fraction(1, 2)
    assert through_a_book(back="33.5 %").how.share == Fraction(67, 200)
    assert through_a_book(back="1/3").how.share == Fraction(1, 3)
    assert through_a_book(step="7 %").break_even.rate == Fraction(49, 100)
    assert through_a_book(label_paid_by="buyer").how.ends.shop_pays_return_label is False


# A price finer than the minor unit is worked out as it is: 10.00 of 20.005.
def test_a_price_finer_than_the_minor_unit_is_not_cut() -> None:
    assert through_a_book(price="20.005", back="10").how.share == Fraction(2000, 4001)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"back": "20.01"}, "what is paid back: 20.01 is more than goods and extras come to, 20.00 USD"),
        ({"back": "120 %"}, "what is paid back: outside 0 to 100 %"),
        ({"back": "-1"}, "what is paid back: below zero"),
        ({"back": "half"}, "what is paid back: no number"),
        ({"resellable": "2"}, "what can be sold again: outside 0 to 100 %"),
        ({"label_paid_by": "me"}, "a return label paid by 'me'"),
        ({"step": "0 %"}, "a step of 0 %"),
        ({"step": "1e-12"}, "a step of 1e-12"),
        ({"step": "101 %"}, "the step: outside 0 to 100 %"),
        ({"price": "x"}, "the price: no number"),
    ],
)
def test_a_refund_that_makes_no_sense_is_told(said: dict[str, Any], told: str) -> None:
    with pytest.raises(QuestionError) as error:
        through_a_book(**said)
    assert str(error.value).startswith(told)
