"""The lowest price, the safe floor and the price traps of small orders, worked out by hand. Amounts are in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.best import Best
from netprice.answer.price import PriceAnswer
from netprice.errors import QuestionError
from netprice.ledger.arithmetic import UNROUNDED
from netprice.ledger.freight import Refusal
from netprice.ledger.order import bottom_line, order_ledger
from tests.answer.orders import dearest
from tests.build import cover, ends, fee, priced, quoted, set_aside, shipping, span, terms, tiers, zone

EVERYTHING = span(1, 10_000)


def found(answer: PriceAnswer) -> tuple[int | None, int | None, list[tuple[int, int]]]:
    return answer.lowest_price, answer.safe_floor, [(trap.first, trap.last) for trap in answer.traps]


# 10.00 / (1 − 0.30) = 14.2857: 14.28 leaves 4.28 of 14.28, 29.97 %.
@pytest.mark.parametrize(
    ("target", "price"),
    [("break-even", 1000), ("margin 30 %", 1429), ("markup 30 %", 1300), ("profit 2.50", 1250), ("margin 0 %", 1000)],
)
def test_without_deductions_the_price_follows_from_the_cost(target: str, price: int) -> None:
    answer = priced(terms(cost=1000), target)
    assert found(answer) == (price, price, [])
    assert answer.status == "met"
    assert answer.ledger is not None
    assert answer.ledger.price == price


def test_the_answer_tells_the_measure_that_is_reached() -> None:
    assert priced(terms(cost=1000), "margin 30 %").reached == Fraction(429, 1429)
    assert priced(terms(cost=1000), "profit 2.50").reached == Fraction("2.50")


# 5 % up to 50.00, 10 % of everything above. Cost 46.00: 48.41 leaves 48.41 − 2.42, 48.42 leaves 46.00. From 50.01
# on it takes 51.11 − 5.11 = 46.00; 51.10 − 5.11 is a cent short.
WHOLE = terms(cost=4600, fees=fee(tiers=tiers((5000, "5 %"), (None, "10 %")), whole=True))


def test_a_whole_tier_makes_a_trap_behind_its_edge() -> None:
    answer = priced(WHOLE, "break-even", EVERYTHING)
    assert found(answer) == (4842, 5111, [(5001, 5110)])
    assert not answer.traps[0].from_rounding


def test_a_bracket_makes_no_trap() -> None:
    # 5 % of 50.00 is 2.50 and 10 % of the rest: 48.42 leaves 46.00 all the same.
    answer = priced(terms(cost=4600, fees=fee(tiers=tiers((5000, "5 %"), (None, "10 %")))), "break-even", EVERYTHING)
    assert found(answer) == (4842, 4842, [])


def test_where_the_highest_price_fails_there_is_no_safe_floor() -> None:
    assert found(priced(WHOLE, "break-even", span(1, 5100))) == (4842, None, [(5001, 5100)])
    assert found(priced(WHOLE, "break-even", span(1, 5000))) == (4842, 4842, [])


def test_a_lowest_price_in_the_trap_is_answered_from_above_it() -> None:
    assert found(priced(WHOLE, "break-even", span(5050, 10_000))) == (5111, 5111, [])


# Free shipping from 50.00; below it the buyer pays the label of 6.00. Cost 44.50.
def test_free_shipping_makes_a_trap() -> None:
    order = terms(cost=4450, label=600, shipping=shipping("free-from", flat=600, threshold=5000))
    assert found(priced(order, "break-even", EVERYTHING)) == (4450, 5050, [(5000, 5049)])


# 1.00 for each started 50.00 of goods. Cost 48.50: 49.50 − 1.00; from 50.01 to 50.49 it is 2.00.
def test_an_insurance_step_makes_a_trap() -> None:
    order = terms(cost=4850, zones=[zone(quoted(0, insured=cover(step=5000, price=100)))])
    assert found(priced(order, "break-even", EVERYTHING)) == (4950, 5050, [(5001, 5049)])


# 20 % but at most 5.00: below 25.00 a fifth is gone. Cost 16.00 and a margin of 30 %: 0.8 p − 16 = 0.3 p at 32.00,
# above the cap's edge; p − 5 − 16 = 0.3 p at 30.00.
def test_a_cap_lets_a_lower_price_do() -> None:
    assert found(priced(terms(cost=1600, fees=fee("20 %", cap=500)), "margin 30 %", EVERYTHING)) == (3000, 3000, [])


# Eight fees of 2.5 % with 19 % tax on each, cost 0.80, margin 74 %. Unrounded, 1 − 8 × 0.025 × 1.19 − 0.74 = 0.022
# of the price are left for the cost: 0.80 / 0.022 = 36.36. Rounded cent by cent (the example of section 7 of the
# money model) 34.16 does it first.
EIGHT = terms(cost=80, fees=[fee("2.5 %", tax="19 %", name=f"fee {place}") for place in range(8)])


def left_of_eight(price: int) -> int:
    """Return what is left of a price, worked out here: a fee of 2.5 % and 19 % of it, each half up, eight times."""
    commission = (price * 25 + 500) // 1000
    return price - 80 - 8 * (commission + (commission * 19 + 50) // 100)


def test_rounding_moves_the_lowest_price_far_under_the_root_and_the_safe_floor_above_it() -> None:
    answer = priced(EIGHT, "margin 74 %", EVERYTHING)
    assert (answer.lowest_price, answer.safe_floor) == (3416, 3908)
    for price, meets in ((3636, False), (3637, True)):
        net, profit = bottom_line(order_ledger(EIGHT, Fraction(price), UNROUNDED), "expected", UNROUNDED)
        assert (profit >= Fraction("0.74") * net) is meets


def test_traps_that_come_from_rounding_alone_are_marked() -> None:
    answer = priced(EIGHT, "margin 74 %", EVERYTHING)
    failing = [price for price in range(3417, 10_001) if left_of_eight(price) * 100 < 74 * price]
    starts = [price for price in failing if price - 1 not in failing]
    lasts = [price for price in failing if price + 1 not in failing]
    assert [(trap.first, trap.last) for trap in answer.traps] == list(zip(starts, lasts, strict=True))
    # Below the root of 36.3636 a price fails for good, so only what lies above it is a matter of rounding.
    assert [trap.from_rounding for trap in answer.traps] == [trap.first > 3636 for trap in answer.traps]


# 60 % of every price is gone and 1.00 more: at 100.00 the margin is 39.00 / 100.00. At 99.99 the fee is 59.994,
# charged as 59.99, and 39.00 of 99.99 are a little more, the best of all.
def test_an_unreachable_target_names_the_best_there_is() -> None:
    answer = priced(terms(cost=100, fees=fee("60 %")), "margin 50 %", EVERYTHING)
    assert answer.status == "unreachable"
    assert found(answer) == (None, None, [])
    assert answer.best == Best(price=9_999, measure=Fraction(3_900, 9_999))
    assert answer.ledger is not None
    assert answer.ledger.price == 9_999


# Every cent of the price is taken, so the loss is the cost at every price.
def test_of_equal_best_measures_the_smallest_price_is_named() -> None:
    answer = priced(terms(cost=500, fees=fee("100 %")), "profit 1", EVERYTHING)
    assert answer.best == Best(price=1, measure=Fraction(-500))


def test_a_best_below_the_ends_is_found_where_a_tier_begins() -> None:
    # 5 % up to 50.00 and half of everything above: at 50.00 the profit is 50 − 2.50 − 46; at 100.00 it is 50 − 46.
    answer = priced(
        terms(cost=4600, fees=fee(tiers=tiers((5000, "5 %"), (None, "50 %")), whole=True)), "profit 20", EVERYTHING
    )
    assert answer.best == Best(price=10_000, measure=Fraction(400))
    lower = priced(answer.terms, "profit 20", span(1, 9_000))
    assert lower.best == Best(price=5_000, measure=Fraction(150))


def test_a_measure_that_means_nothing_is_unreachable_without_a_best() -> None:
    answer = priced(terms(cost=500), "machine-hour 10", EVERYTHING)
    assert (answer.status, answer.best, answer.ledger) == ("unreachable", None, None)


def test_a_zone_that_nobody_carries_to_is_refused() -> None:
    refusal = Refusal(service="Van", zone="far", what="weight", got=Fraction(9), limit=Fraction(5), unit="kg")
    answer = priced(terms(cost=500, unreached=["far"], refusals=[refusal]), "break-even")
    assert answer.status == "refused"
    assert found(answer) == (None, None, [])


# The last break point is the cap's: 5 % reaches 500.00 at 10,000.00.
def test_without_a_highest_price_one_beyond_every_break_point_is_named() -> None:
    answer = priced(terms(cost=1000, fees=fee("5 %", cap=50_000)), "break-even")
    assert answer.highest is not None
    assert answer.highest > 1_000_000
    assert answer.lowest_price == 1053  # 0.05265 -> 0.53


# Far above the lowest price a tier takes nearly everything: without a highest price the trap is seen all the same.
def test_without_a_highest_price_no_trap_is_overlooked() -> None:
    steps = tiers((2_000_000, "5 %"), (2_100_000, "99.99 %"), (None, "5 %"))
    answer = priced(terms(cost=1000, fees=fee(tiers=steps, whole=True)), "break-even")
    assert [(trap.first, trap.last) for trap in answer.traps] == [(2_000_001, 2_100_000)]
    assert answer.safe_floor == 2_100_001


def test_only_multiples_of_the_step_and_the_endings_are_answered() -> None:
    order = terms(cost=1000, fees=fee("6.5 %"))  # 10.70 − 0.70 (0.6955) = 10.00, and 10.69 − 0.69 (0.69485) as well
    assert priced(order, "break-even", span(1, 10_000)).lowest_price == 1069
    assert priced(order, "break-even", span(5, 10_000, step=5)).lowest_price == 1070
    assert priced(order, "break-even", span(1, 10_000, endings=[(95, 100), (0, 100)])).lowest_price == 1095


def test_no_allowed_price_is_an_error() -> None:
    with pytest.raises(QuestionError):
        priced(terms(cost=1000), "break-even", span(10, 90, endings=[(95, 100)]))


# On average the ads cost a quarter of 12 % and the label 7.50; at worst 12 % and 9.00.
#   expected  p × (1 − 0.03) ≥ 10 + 7.50 -> 18.04        worst  p × 0.88 ≥ 19 -> 21.59
def test_a_target_at_worst_takes_the_dearest_zone_and_every_fee_in_full() -> None:
    zones = (zone(600, name="near", share="1/2"), zone(900, name="far", share="1/2"))
    order = terms(cost=1000, zones=zones, fees=fee("12 %", share="1/4"))
    assert priced(order, "break-even", EVERYTHING).lowest_price == 1804  # a quarter of 2.16 (2.1648) is 0.54
    assert priced(order, "break-even", EVERYTHING, case="worst").lowest_price == 2159  # 2.59 (2.5908)


# A tenth comes back for nothing and the goods are lost: 0.9 p ≥ 10.00, and with 5 % set aside 0.95 × 0.9 p ≥ 10.00.
def test_returns_and_set_asides_raise_the_price() -> None:
    lost: dict[str, Any] = {"cost": 1000, "outcomes": ends(return_rate="1/10")}
    assert priced(terms(**lost), "break-even", EVERYTHING).lowest_price == 1112
    assert priced(terms(**lost, set_asides=[set_aside("5 %")]), "break-even", EVERYTHING).lowest_price == 1170


# Tax in 5.89 of shipping is 5.89 / 21 = 0.28048 -> 0.29. At 25.63 the tax in the goods is 1.22048 -> 1.23: 25.63 +
# 5.89 − 1.23 − 0.29 = 30.00, three tenths of a cent short of 30.003. At 25.64 it is 1.22095 -> 1.23 as well, and
# 30.01 are left.
def test_a_constant_charge_that_is_rounded_up_is_counted_as_rounded() -> None:
    assert bottom_line(order_ledger(dearest(), 2563), "expected")[1] < 0
    assert bottom_line(order_ledger(dearest(), 2564), "expected")[1] >= 0
    assert priced(dearest(), "break-even", EVERYTHING).lowest_price == 2564


def test_a_constant_charge_that_is_rounded_up_is_counted_as_rounded_without_a_highest_price() -> None:
    assert priced(dearest(), "break-even").lowest_price == 2564


def test_without_a_highest_price_the_first_price_with_the_ending_is_found() -> None:
    assert priced(terms(cost=500), "break-even", span(endings=[(8000, 10_000)])).lowest_price == 8000


# A third of the orders to a zone, given as 33.3333333333 %, and a return rate of 1.23456789 %: an average over both
# has 20 digits.
def test_shares_with_many_digits_are_answered() -> None:
    near = Fraction("0.333333333333")
    order = terms(
        cost=500,
        zones=(zone(600, name="near", share=near), zone(900, name="far", share=1 - near)),
        shipping=shipping("label"),
        outcomes=ends(return_rate="0.0123456789"),
        fees=fee("6.5 %"),
        set_asides=[set_aside("1 %")],
    )
    assert priced(order, "margin 30 %", EVERYTHING).status == "met"


# (5.35) / (1 − 0.065 − 0.40) is 10.00 and a fee of 6.5 % on it is 0.65: 4.00 are left, 40 %.
def test_a_root_at_a_round_price_is_answered() -> None:
    assert priced(terms(cost=535, fees=fee("6.5 %")), "margin 40 %", EVERYTHING).lowest_price == 1000


def test_a_root_at_a_round_price_is_answered_without_a_highest_price() -> None:
    assert priced(terms(cost=535, fees=fee("6.5 %")), "margin 40 %").lowest_price == 1000
