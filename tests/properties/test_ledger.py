"""What holds for every ledger: lines add up, averages are averages, and the order of fees does not matter."""

from __future__ import annotations

import random
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from netprice.ledger.explain import lines_of
from netprice.ledger.order import OrderLedger, expected, order_ledger, worst
from tests.cases.answer import answer
from tests.properties.shops import case_of, orders, seeds

prices = st.integers(min_value=1, max_value=200_000)


def ledgers(seed: int, price: int) -> list[OrderLedger]:
    return [order_ledger(terms, price) for terms, _, _ in orders(case_of(seed))]


@given(seeds, prices)
def test_lines_add_up_to_the_expected_profit_exactly(seed: int, price: int) -> None:
    for ledger in ledgers(seed, price):
        assert sum((line.amount for line in lines_of(ledger)), Fraction(0)) == expected(ledger).profit


@given(seeds, prices)
def test_expected_profit_is_the_sum_over_zones_and_outcomes_less_set_asides(seed: int, price: int) -> None:
    for ledger in ledgers(seed, price):
        by_hand, net = Fraction(0), Fraction(0)
        for zone in ledger.zones:
            for outcome in zone.outcomes:
                chance = zone.zone.share * outcome.chance
                net += chance * outcome.net_sales
                by_hand += chance * (
                    outcome.net_sales - outcome.fees - outcome.labels - outcome.goods + outcome.recoveries
                )
        for laid_by in ledger.terms.set_asides:
            by_hand -= laid_by.percent * max(net, Fraction(0))
        assert by_hand == expected(ledger).profit
        assert net == expected(ledger).net_sales


@given(seeds, prices)
def test_chances_and_shares_add_up_to_one(seed: int, price: int) -> None:
    for ledger in ledgers(seed, price):
        assert sum(zone.zone.share for zone in ledger.zones) == 1
        for zone in ledger.zones:
            assert sum(outcome.chance for outcome in zone.outcomes) == 1


@given(seeds, prices)
def test_no_zone_is_worse_than_the_worst(seed: int, price: int) -> None:
    for ledger in ledgers(seed, price):
        _, at_worst = worst(ledger)
        full = [sum(line.in_full.amount + line.in_full.tax for line in zone.fees) for zone in ledger.zones]
        for zone, fees in zip(ledger.zones, full, strict=True):
            goods = ledger.terms.goods_cost + ledger.terms.order_cost
            left = (
                zone.sale.net_sales - fees - zone.label_cost - goods - at_worst_set_aside(ledger, zone.sale.net_sales)
            )
            assert at_worst.profit <= left


def at_worst_set_aside(ledger: OrderLedger, net_sales: int) -> Fraction:
    return sum((laid_by.percent for laid_by in ledger.terms.set_asides), Fraction(0)) * max(net_sales, 0)


@given(seeds)
def test_the_order_of_fees_in_the_file_never_matters(seed: int) -> None:
    case = case_of(seed, prices=60)
    case.pop("limits", None)  # they name fees by their place, which is what is turned here
    turned = {**case, "channels": [dict(channel) for channel in case["channels"]]}
    for channel in turned["channels"]:
        channel["fees"] = random.Random(seed).sample(channel.get("fees", []), len(channel.get("fees", [])))
    for one, other in zip(answer(case)["channels"], answer(turned)["channels"], strict=True):
        for key in ("status", "lowest_price", "safe_floor", "traps", "best_reachable"):
            assert one.get(key) == other.get(key)
        if "ledger" in one:
            assert one["ledger"]["expected"] == other["ledger"]["expected"]
            assert one["ledger"]["worst"] == other["ledger"]["worst"]
