"""Channels side by side, by hand. A vase costs 10.00 unless a test says otherwise; nothing is sent or returned."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.channel_at import Deductions, OrdersToCover, deductions
from netprice.answer.compare import Comparison
from netprice.answer.volumes import Change, Monthly, changes_of_best, orders_to_cover
from netprice.book.fee_profile import Fee, Tier
from netprice.book.product import Overhead, Prices
from netprice.book.rate_card import Insurance
from netprice.book.readers import read_target
from netprice.book.shop import Delivery, Discount, SetAside
from tests.answer.compared import a_month, an_order, channel, compared, of_goods
from tests.build_book import bought, card, ending, labour, machine_time, packing, product

VASE = product(bought={"blank": bought(10)})


def prices(answer: Comparison) -> list[Any]:
    return [solution.lowest_price for solution in answer.solutions]


# Stall: p - 10 %, half up, >= 10.00 first at 11.11 (1.11 off). Web: p - 3.00 >= 10.00 at 13.00, where the stall leaves
# 13.00 - 1.30 = 11.70.
def test_the_price_on_all_is_the_dearest_own_price_where_higher_prices_leave_more() -> None:
    answer = compared(VASE, {"stall": channel(of_goods("10 %")), "web": channel(an_order(3))})
    assert prices(answer) == [Decimal("11.11"), Decimal("13.00")]
    assert answer.one_price[0].on_all == Decimal("13.00")


# Making it costs 11.00. Stall: 5 % up to 13.00, 25 % of everything above: 11.58 - 0.58 = 11.00. Web: 14.00. At 14.00
# the stall keeps 3.50 and leaves 10.50; p x 0.75 >= 11.00 is met first at 14.67 (3.6675 is charged as 3.67; 14.66 is
# short).
def test_the_price_on_all_passes_over_a_price_trap_of_another_channel() -> None:
    dearer = Fee(
        name="commission", base="goods", tier_kind="whole",
        tiers=(Tier(up_to=Fraction(13), percent=Fraction(5, 100)), Tier(percent=Fraction(25, 100))),
    )  # fmt: skip
    answer = compared(product(bought={"blank": bought(11)}), {"stall": channel(dearer), "web": channel(an_order(3))})
    assert prices(answer) == [Decimal("11.58"), Decimal("14.00")]
    assert answer.one_price[0].on_all == Decimal("14.67")


# 11.11 or more ending in .25 or .50 is 11.25, 13.00 or more in steps of 0.50 is 13.00; both allow 13.50 first.
def test_the_price_on_all_is_allowed_on_all() -> None:
    stall = channel(of_goods("10 %"), prices=Prices(endings=(ending(".25"), ending(".50"))))
    answer = compared(VASE, {"stall": stall, "web": channel(an_order(3), prices=Prices(step=Fraction(1, 2)))})
    assert prices(answer) == [Decimal("11.25"), Decimal("13.00")]
    assert answer.one_price[0].on_all == Decimal("13.50")


def test_channels_that_allow_no_price_in_common_have_none() -> None:
    stall = channel(prices=Prices(endings=(ending(".95"),)))
    group = compared(VASE, {"stall": stall, "web": channel(prices=Prices(endings=(ending(".50"),)))}).one_price[0]
    assert (group.on_all, group.without, group.on_the_rest, group.of_mix) == (None, (), None, None)


# The stall stops at 12.00, below the web's 13.00.
def test_a_highest_price_of_one_channel_limits_the_price_on_all() -> None:
    stall = channel(of_goods("10 %"), prices=Prices(highest=Fraction(12)))
    assert compared(VASE, {"stall": stall, "web": channel(an_order(3))}).one_price[0].on_all is None


# 30 (p - 10 % - 10) + 10 (p - 3 - 10) >= 0: at 11.62 the stall's fee is 1.16, so 30 x 0.46 = 13.80 = 10 x 1.38. At
# 11.61 it is 1.16 as well: 30 x 0.45 = 13.50 < 13.90.
def test_the_price_of_the_mix_weighs_each_channel_by_its_orders() -> None:
    stall, web = channel(of_goods("10 %"), orders=30), channel(an_order(3), orders=10)
    group = compared(VASE, {"stall": stall, "web": web}).one_price[0]
    assert group.of_mix == Decimal("11.62")
    assert group.at_mix is not None
    assert [each.profit_per_month for each in group.at_mix.channels] == [Fraction("13.8"), Fraction("-13.8")]


# A margin of 20 % of all net sales: 30 p + 10 p; profit 30 (p - fee - 10) + 10 (p - 13). With a fee of 10 %:
# 37 p - 430 >= 8 p from 14.8276; at 14.83 the fee is 1.48: 30 x 3.35 + 10 x 1.83 = 118.80 >= 118.64; at 14.82 it is
# 1.48 too: 30 x 3.34 + 18.20 = 118.40 < 118.56.
def test_the_measure_of_the_mix_is_that_of_the_sums() -> None:
    stall, web = channel(of_goods("10 %"), orders=30), channel(an_order(3), orders=10)
    answer = compared(VASE, {"stall": stall, "web": web}, target="margin 20 %")
    assert answer.one_price[0].of_mix == Decimal("14.83")


# The stall wants 20 %, (p - 10) - 0.2 p; the web to break even, p - 13: 1.8 p >= 23 from 12.7778 on.
def test_targets_of_their_own_are_wanted_together() -> None:
    stall = channel(orders=5, target=read_target("margin 20 %"))
    assert compared(VASE, {"stall": stall, "web": channel(an_order(3), orders=5)}).one_price[0].of_mix == Decimal(
        "12.78"
    )


# Up to 12.00 the stall's buyers pay nothing, so there is no margin of theirs: not even at 11.12, where nine orders on
# the web earn 1.12 each and pay for the vase that the stall gives away.
def test_a_mix_has_no_measure_where_one_kind_of_target_has_none() -> None:
    stall = channel(orders=1, target=read_target("margin 20 %"), discounts=(Discount(amount=Fraction(12)),))
    answer = compared(VASE, {"web": channel(orders=9), "stall": stall})
    assert answer.one_price[0].of_mix == Decimal("12.01")


# The stall takes all: it loses 10.00 an order whatever the price. 9 (p - 13) >= 10 from 14.1111 on.
def test_a_channel_out_of_reach_rules_out_one_price_but_others_can_carry_it() -> None:
    stall = channel(of_goods("100 %"), orders=1)
    answer = compared(VASE, {"stall": stall, "web": channel(an_order(3), orders=9)})
    group = answer.one_price[0]
    assert prices(answer) == [None, Decimal("13.00")]
    assert [each.channel for each in answer.own.channels] == ["web"]
    assert (group.on_all, group.without, group.on_the_rest) == (None, ("stall",), Decimal("13.00"))
    assert group.of_mix == Decimal("14.12")
    assert answer.solutions[0].reason


# Nine orders lose 10.00 each, and the tenth earns 37.00 at the most.
def test_a_mix_that_no_price_carries_has_none() -> None:
    stall = channel(of_goods("100 %"), orders=9)
    web = channel(an_order(3), orders=1, prices=Prices(highest=Fraction(50)))
    assert compared(VASE, {"stall": stall, "web": web}).one_price[0].of_mix is None


# As above without a highest price: (p - 13) >= 9 x 10, far above the web's own 13.00.
def test_the_mix_is_looked_for_far_above_the_own_prices() -> None:
    stall = channel(of_goods("100 %"), orders=9)
    assert compared(VASE, {"stall": stall, "web": channel(an_order(3), orders=1)}).one_price[0].of_mix == Decimal(
        "103.00"
    )


# A label of 6.00 and 1.00 for every started 10.00 of goods, no highest price. Web: 18.00 - 8.00 = 10.00. Stall, handed
# over: p - 20 % >= 10.00 at 12.50. As many orders on each: at 15.56 the stall leaves 15.56 - 3.11 - 10 = 2.45 and the
# web 15.56 - 18.00 = -2.44; at 15.55 it is 2.44 and -2.45.
def test_insurance_in_steps_without_end() -> None:
    insured = card({"all": ((5, 6),)}, insurance=Insurance(step=Fraction(10), price_per_step=Fraction(1)))
    made = product(bought={"blank": bought(10)}, packing={"box": packing("20 cm", "20 cm", "20 cm")})
    web = channel(delivery=Delivery(rate_cards=("van",)), zones={"all": Fraction(1)}, orders=4)
    answer = compared(made, {"stall": channel(of_goods("20 %"), orders=4), "web": web}, cards={"van": insured})
    group = answer.one_price[0]
    assert (prices(answer), group.on_all, group.of_mix) == (
        [Decimal("12.50"), Decimal("18.00")], Decimal("18.00"), Decimal("15.56"),
    )  # fmt: skip


def test_orders_that_nobody_has_counted_are_left_out_of_the_mix() -> None:
    group = compared(VASE, {"stall": channel(), "web": channel(an_order(3), orders=9)}).one_price[0]
    assert (group.of_mix, group.left_out) == (Decimal("13.00"), ("stall",))
    none = compared(VASE, {"stall": channel(), "web": channel(an_order(3))}).one_price[0]
    assert (none.of_mix, none.left_out) == (None, ("stall", "web"))


def test_a_channel_that_nobody_carries_to_is_named_and_compared_at_no_price() -> None:
    made = product(bought={"blank": bought(10)}, packing={"box": packing("20 cm", "20 cm", "20 cm")})
    far = channel(delivery=Delivery(rate_cards=("van",)), zones={"far": Fraction(1)}, orders=4)
    answer = compared(made, {"far": far, "stall": channel(orders=4)}, cards={"van": card()}, at=15)
    group = answer.one_price[0]
    assert [solution.status for solution in answer.solutions] == ["refused", "met"]
    assert (group.on_all, group.without, group.left_out, group.of_mix) == (None, ("far",), ("far",), Decimal("10.00"))
    assert group.at_common is not None
    assert [each.channel for each in group.at_common.channels] == ["stall"]


# At 20.00: the stall leaves 8.00 an order and costs 60.00 a month, the web 7.00 and 10.00. Level at 50 / 1.00 = 50.
# With 40 orders each: 260.00 and 270.00.
def test_a_month_leaves_orders_times_profit_less_the_fees_of_the_month() -> None:
    stall, web = channel(of_goods("10 %"), a_month(60), orders=40), channel(an_order(3), a_month(10), orders=40)
    at = compared(VASE, {"stall": stall, "web": web}, at=20).one_price[0].at_common
    assert at is not None
    assert [each.profit_per_order_without_month_fees for each in at.channels] == [8, 7]
    assert [each.fees_per_month for each in at.channels] == [60, 10]
    assert [each.profit_per_month for each in at.channels] == [260, 270]
    assert [each.ledger.profit for each in at.channels] == [Fraction(26, 4), Fraction(27, 4)]
    assert at.changes == (Change(Fraction(50), "web", "stall"),)
    assert (at.best.order, at.best.month, at.best_with_few_orders) == ("web", "web", "web")


# 2 h of machine and half an hour of work at no pay: 10.00 at 20.00, so 5.00 a machine hour and 20.00 an hour of work.
def test_what_an_hour_leaves() -> None:
    made = product(
        bought={"blank": bought(10)},
        machine={"kiln": machine_time("2 hour", 0)},
        labour={"glazing": labour("30 min", 0)},
    )
    at = compared(made, {"stall": channel(), "web": channel(an_order(1))}, at=20).one_price[0].at_common
    assert at is not None
    first = at.channels[0].ledger
    assert first.profit_per_machine_hour == 5
    assert first.profit_per_labour_hour == 20
    assert at.best._asdict() == {"order": "stall", "labour_hour": "stall", "machine_hour": "stall", "month": None}


def test_without_hours_or_orders_no_channel_is_best_by_them() -> None:
    best = compared(VASE, {"stall": channel(), "web": channel(an_order(3))}).own.best
    assert (best.labour_hour, best.machine_hour, best.month) == (None, None, None)


# Half a euro for a dollar: the vase costs 5.00 EUR. At 8.00 the stall loses 2.00 USD; the fair earns 3.00 EUR = 6.00
# USD. A rent of 4.00 EUR is 8.00 USD: level where 6 n - 8 = -2 n, at one order.
def test_other_currencies_are_compared_in_the_shops_and_priced_apart() -> None:
    fair = channel(a_month(4), orders=2, currency="EUR", exchange_rate=Fraction(1, 2))
    listed = product(bought={"blank": bought(10)}, prices=Prices(list_price=Fraction(8)))
    answer = compared(listed, {"stall": channel(orders=2), "fair": fair}, at=8, monthly_profit=6)
    assert [(group.currency, group.channels) for group in answer.one_price] == [("USD", ("stall",)), ("EUR", ("fair",))]
    assert [group.on_all for group in answer.one_price] == [Decimal("10.00"), Decimal("7.00")]
    assert answer.in_use.best.order == "fair"
    assert answer.in_use.changes == (Change(Fraction(1), "stall", "fair"),)
    at_8 = answer.in_use.channels[1]
    assert at_8.profit_per_order_without_month_fees == 3
    assert at_8.in_shop_currency(Fraction(3)) == 6
    # 4.00 EUR of rent take two orders of 3.00 EUR; with 6.00 USD = 3.00 EUR wanted as well, three.
    assert at_8.orders_to_cover == OrdersToCover(fees=2, overhead=2, profit=3)


# Rent of 100.00 a month over 50 units is 2.00 in each; contribution leaves it out. At 20.00 an order adds 20 - 10 -
# 10 % = 8.00: 60.00 of fees take 8 orders, 160.00 with the rent 20, 200.00 with 40.00 wanted 25.
def test_how_many_orders_cover_what_is_due_anyway() -> None:
    answer = compared(
        VASE, {"stall": channel(of_goods("10 %"), a_month(60), orders=40)}, at=20, monthly_profit=40,
        overhead={"rent": Overhead(per_month=Fraction(100), planned_units=Fraction(50))},
    )  # fmt: skip
    at = answer.one_price[0].at_common
    assert at is not None
    assert at.channels[0].ledger.contribution == 8
    assert at.channels[0].orders_to_cover == OrdersToCover(fees=8, overhead=20, profit=25)
    assert answer.overhead_per_month == 100


def test_a_product_that_says_the_shops_overhead_anew_has_it_once() -> None:
    rent = Overhead(per_month=Fraction(100), planned_units=Fraction(50))
    made = product(
        bought={"blank": bought(10)},
        overhead={"rent": Overhead(per_month=Fraction(100), planned_units=Fraction(20)), "moulds": rent},
    )
    assert compared(made, {"stall": channel()}, overhead={"rent": rent}).overhead_per_month == 200


# At 9.00 an order adds -1.00.
def test_orders_that_lose_money_cover_nothing() -> None:
    at = compared(VASE, {"stall": channel(a_month(60), orders=40)}, at=9).one_price[0].at_common
    assert at is not None
    assert at.channels[0].orders_to_cover == OrdersToCover(fees=None, overhead=None, profit=None)


@pytest.mark.parametrize(("due", "adds", "orders"), [(0, -1, 0), (1, 0, None), (90, 30, 3), ("90.01", 30, 4)])
def test_orders_to_cover(due: int | str, adds: int, orders: int | None) -> None:
    assert orders_to_cover(Fraction(due), Fraction(adds)) == orders


# Of 20.00: fees 10 %, a label of 3.00 is 15 %, the vase 50 %, 5 % laid by; 20 % are left.
def test_deductions_are_shares_of_what_the_buyer_pays() -> None:
    stall = channel(
        of_goods("10 %"),
        delivery=Delivery(label_cost=Fraction(3)),
        set_asides={"new kiln": SetAside(percent=Fraction(5, 100))},
    )
    at = compared(VASE, {"stall": stall}, at=20).one_price[0].at_common
    assert at is not None
    assert deductions(at.channels[0].ledger) == Deductions(
        fees=Fraction(10, 100), labels=Fraction(15, 100), making=Fraction(50, 100), returns=Fraction(0),
        set_aside=Fraction(5, 100), profit=Fraction(20, 100),
    )  # fmt: skip


def test_of_nothing_paid_there_are_no_shares() -> None:
    at = compared(VASE, {"stall": channel()}, at=0).one_price[0].at_common
    assert at is not None
    assert deductions(at.channels[0].ledger) is None


def test_each_channel_meets_its_own_target() -> None:
    stall = channel(target=read_target("margin 50 %"))
    at = compared(VASE, {"stall": stall, "web": channel()}, at=15).one_price[0].at_common
    assert at is not None
    assert [each.meets_target for each in at.channels] == [False, True]


# A list price finer than a cent is worked out as it is.
def test_a_price_that_somebody_typed_is_worked_out_as_it_is() -> None:
    at = compared(VASE, {"stall": channel()}, at="12.345").one_price[0].at_common
    assert at is not None
    assert (at.channels[0].price, at.channels[0].ledger.profit) == (Decimal("12.345"), Fraction("2.345"))


# n - 1, 2 n - 3 and 3 n - 6: level at 2 and 3. A fourth that is level with two of them at 2 but leaves less an order
# never leads.
def test_changes_follow_the_best_of_all_channels() -> None:
    lines = [Monthly("a", Fraction(1), Fraction(1)), Monthly("b", Fraction(2), Fraction(3))]
    lines += [Monthly("c", Fraction(3), Fraction(6)), Monthly("d", Fraction(3, 2), Fraction(2))]
    assert changes_of_best(lines) == (Change(Fraction(2), "a", "b"), Change(Fraction(3), "b", "c"))


def test_no_channels_never_change() -> None:
    assert changes_of_best([]) == ()
