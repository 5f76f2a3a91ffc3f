"""What giveaways and refunds promise, on random shops with every feature, against trying every number and rate."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from netprice.answer.at_price import AtPrice
from netprice.answer.chance import Binomial, Poisson
from netprice.answer.giveaway import Gift, Giveaway, Odds, Way, give_away
from netprice.answer.goal import Goal
from netprice.answer.refund import refund_at
from netprice.answer.refunded import HowRefunded, refunded_as
from netprice.answer.return_rate import greatest_rate, with_every_outcome, with_rate
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.terms import Terms
from tests.properties.shops import case_of, fewer, orders, seeds

prices = st.integers(min_value=1, max_value=60_000)
shares = st.fractions(min_value=0, max_value=1, max_denominator=60)
STEP = Fraction(1, 40)


def at_prices(seed: int, price: int) -> list[AtPrice]:
    return [AtPrice(terms, goal, price, "asked") for terms, goal, _ in orders(case_of(seed))]


@st.composite
def hows(draw: st.DrawFn, *, whole: bool = False) -> dict[str, Any]:
    """Return how an order is refunded: all as the shop has it, or some of it otherwise."""
    how: dict[str, Any] = {
        "shop_pays_label": draw(st.none() | st.booleans()),
        "resellable": draw(st.none() | shares),
        "refund_shipping": draw(st.none() | st.booleans()),
        "goods_back": draw(st.booleans()),
    }
    return how if whole else {**how, "share": draw(shares)}


def holds(goal: Goal, terms: Terms, price: Fraction | int) -> bool:
    found = bottom(order_ledger(terms, price), goal.case)
    return bool(goal.divisor(found) > 0 and goal.surplus(found) >= 0)


def tried(at: AtPrice, how: HowRefunded) -> list[Fraction]:
    """Return every rate that holds, each from terms and a ledger of its own."""
    most = 1 - at.terms.outcomes.damage_rate
    rates = [place * STEP for place in range(int(most / STEP) + 1)]
    of_rate = (replace(at.terms, outcomes=how.ends._replace(return_rate=rate)) for rate in rates)
    return [rate for rate, terms in zip(rates, of_rate, strict=True) if holds(at.goal, terms, at.price)]


@fewer(4)
@given(seeds, prices, hows(whole=True))
def test_the_greatest_return_rate_equals_trying_every_one(seed: int, price: int, said: dict[str, Any]) -> None:
    for at in at_prices(seed, price):
        how = refunded_as(at.terms, **said)
        rates = tried(at, how)
        found = greatest_rate(at, at.goal, how, STEP)
        assert found.rate == (rates[-1] if rates else None)
        unbroken = [rate for place, rate in enumerate(rates) if rate == place * STEP]
        assert found.unbroken == (unbroken[-1] if unbroken else None)


@fewer(4)
@given(seeds, prices, hows())
def test_with_refunds_in_part_too(seed: int, price: int, said: dict[str, Any]) -> None:
    for at in at_prices(seed, price):
        how = refunded_as(at.terms, **said)
        every, most = with_every_outcome(at, how), 1 - at.terms.outcomes.damage_rate
        rates = []
        for place in range(int(most / STEP) + 1):
            left = bottom(with_rate(every, place * STEP), at.goal.case)
            if at.goal.divisor(left) > 0 and at.goal.surplus(left) >= 0:
                rates.append(place * STEP)
        found = greatest_rate(at, at.goal, how, STEP)
        assert found.rate == (rates[-1] if rates else None)
        assert (found.unbroken is not None) == (0 in rates)


@fewer(4)
@given(seeds, prices, hows())
def test_the_changes_add_up_to_what_a_refund_costs(seed: int, price: int, said: dict[str, Any]) -> None:
    for at in at_prices(seed, price):
        found = refund_at(at, refunded_as(at.terms, **said), STEP)
        changes = found.paid_back + found.fees_back + found.return_label + found.resold + found.not_set_aside
        assert changes == -found.cost.profit


# At the shop's own rate, refunds as the shop has them and nothing damaged: an average order is so many delivered and so
# many refunded. Set-asides are taken on the average, which is the same as long as none of them falls below zero.
@fewer(4)
@given(seeds, prices)
def test_an_average_order_is_delivered_or_refunded(seed: int, price: int) -> None:
    for at in at_prices(seed, price):
        ends = at.terms.outcomes._replace(damage_rate=Fraction(0))
        terms = replace(at.terms, outcomes=ends, set_asides=())
        found = refund_at(at._replace(terms=terms), refunded_as(terms), STEP)
        rate = ends.return_rate
        assert found.sold.profit == (1 - rate) * found.delivered.profit + rate * found.refunded.profit
        assert found.sold.contribution == (1 - rate) * found.delivered.contribution + rate * found.refunded.contribution


# Each refund rounds the goods, extras and taxes that it pays back, and what each fee keeps with its tax; "up" and
# "down" by a whole minor unit, for each listing at worst. Sales and fees in a whole refund are rounded too.
@fewer(4)
@given(seeds, prices, shares)
def test_a_part_pays_back_its_share_within_what_is_rounded(seed: int, price: int, share: Fraction) -> None:
    for at in at_prices(seed, price):
        scale = Fraction(10**at.terms.digits)
        kept: dict[str, Any] = {"refund_shipping": False, "goods_back": False}
        whole = refund_at(at, refunded_as(at.terms, **kept), STEP)
        part = refund_at(at, refunded_as(at.terms, share=share, **kept), STEP)
        lines = 3 + sum(extra.times for extra in at.terms.extras) + at.terms.quantity
        assert abs(part.paid_back - share * whole.paid_back) * scale <= 2 * lines
        by_fee = sum(4 * max(fee.spread, Fraction(1)) * max(fee.share, Fraction(1)) for fee in at.terms.fees)
        assert abs(part.fees_back - share * whole.fees_back) * scale <= by_fee


# --- giveaways -------------------------------------------------------------------------------------------------------


def given_away(at: AtPrice, gift: Gift) -> Giveaway:
    # What the random shops say of a parcel is of the whole order, so a single unit goes in it too.
    one = replace(at.terms, quantity=1, goods_cost=at.terms.goods_cost / at.terms.quantity)
    return give_away(at, one, gift)


extras = st.builds(
    Binomial, st.integers(0, 40), st.fractions(min_value=0, max_value=1, max_denominator=20)
) | st.builds(Poisson, st.fractions(min_value=0, max_value=30, max_denominator=20))
chances = st.fractions(min_value=Fraction(1, 100), max_value=1, max_denominator=100)


def both(found: Giveaway, extra: Binomial | Poisson) -> list[tuple[Way, Odds]]:
    ways = (found.by_contribution, found.by_profit)
    odds = [way.poisson if isinstance(extra, Poisson) else way.binomial for way in ways]
    return [(way, each) for way, each in zip(ways, odds, strict=True) if each is not None]


def gift_of(units: int, extra: Binomial | Poisson, **more: Any) -> Gift:
    gift = Gift(units, **more)
    return gift._replace(poisson=extra) if isinstance(extra, Poisson) else gift._replace(binomial=extra)


@fewer(4)
@given(seeds, prices, extras, chances, st.integers(0, 2), st.integers(0, 30))
def test_the_most_to_give_away_equals_trying_every_number(
    seed: int, price: int, extra: Binomial | Poisson, chance: Fraction, refunded: int, promotion: int
) -> None:
    at = at_prices(seed, price)[0]
    more: dict[str, Any] = {"refunded": refunded, "promotion_cost": Fraction(promotion), "chance": chance}
    tries = [both(given_away(at, gift_of(units, extra, **more)), extra) for units in range(30)]
    for place in range(2):
        reach = [units for units, found in enumerate(tries) if found[place][1].chance >= chance]
        odds = tries[0][place][1]
        if odds.any_number:
            assert len(reach) == len(tries)
        elif odds.greatest is None or odds.greatest < len(tries) - 1:
            assert odds.greatest == (reach[-1] if reach else None)
        else:
            assert reach[-1] == len(tries) - 1


@fewer(4)
@given(seeds, prices, st.integers(0, 9), st.integers(0, 9), st.integers(0, 99))
def test_extra_sales_are_the_fewest_that_cover_the_cost(
    seed: int, price: int, units: int, refunded: int, promotion: int
) -> None:
    for at in at_prices(seed, price):
        found = given_away(at, Gift(units, refunded, Fraction(promotion)))
        for way in (found.by_contribution, found.by_profit):
            if way.extra_sales is None:
                assert way.cost > 0 >= way.per_order
            else:
                assert way.extra_sales * way.per_order >= way.cost or way.cost <= 0 == way.extra_sales
                assert not way.extra_sales or (way.extra_sales - 1) * way.per_order < way.cost


# Told from the fees and sales of each zone: what the buyer paid, less the fees that are given back and what is not set
# aside of it.
@fewer(4)
@given(seeds, prices)
def test_a_refunded_winner_costs_the_sale_less_fees_given_back_and_set_asides(seed: int, price: int) -> None:
    for at in at_prices(seed, price):
        ledger, scale = order_ledger(at.terms, price), Fraction(10**at.terms.digits)
        laid_by = sum((each.percent for each in at.terms.set_asides), Fraction(0))
        lost = Fraction(0)
        for zone in ledger.zones:
            charges = [line.expected for line in zone.fees]
            back = sum(each.amount + each.tax - each.kept - each.kept_tax for each in charges)
            lost += zone.zone.share * (zone.sale.net_sales * (1 - laid_by) - back)
        assert given_away(at, Gift(refunded=1)).one_refunded == lost / scale
