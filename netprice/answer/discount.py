"""Discounts: how far a list price can come down, what a sale takes a month, and how many more orders pay for it.

A discount comes after those that the channel gives anyway, off what they left, and is rounded as any discount is. All
steps of it are worked out at once by the one function that makes an order's ledger: the discount is the array.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import Final, Literal, NamedTuple

from netprice.answer.ask import PriceAsk, goal_of
from netprice.answer.at_price import at_price
from netprice.answer.free_shipping import FREE
from netprice.answer.goal import Goal
from netprice.answer.reach import Bools, Reach, Test, meets, one_more, reach_of, scan
from netprice.answer.spoken import Number, break_even, discount_said, share_said
from netprice.answer.volumes import orders_to_cover
from netprice.book.shop import Book, Discount
from netprice.errors import QuestionError
from netprice.ledger.arithmetic import Arithmetic, Condition
from netprice.ledger.explain import average, percent
from netprice.ledger.measures import contribution, measures, month_fees
from netprice.ledger.order import OrderLedger, expected, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms

STEP: Final = Fraction(1, 1000)
FINEST_STEP: Final = Fraction(1, 100_000)
ALL: Final = Fraction(1)
# With more minor units of goods than these, amounts go in steps of 10, 100 … minor units.
MOST_AMOUNTS: Final = 1_000_000


class ListPrice(NamedTuple):
    """A list price in minor units and whose it is; "best": no price meets the target, this one gets nearest to it."""

    minor: Fraction | int
    source: Literal["asked", "in use", "solved", "best"]


class Wanted(NamedTuple):
    """What is asked about discounts: the step in percent, and a stated discount on a share of the orders."""

    step: Fraction = STEP
    off: Discount | None = None
    share: Fraction = ALL


class Left(NamedTuple):
    """What an order leaves, expected, in minor units; `margin` is None where there are no net sales."""

    goods: Fraction
    buyer_pays: Fraction
    profit: Fraction
    margin: Fraction | None
    meets: bool
    breaks_even: bool


class Room(NamedTuple):
    """How far a discount can go before a goal is missed, and what an order leaves at the greatest percent."""

    percent: Reach
    amount: Reach
    left: Left | None


class SentFree(NamedTuple):
    """Free shipping as a discount: the profit it costs an order, and the greatest percent off that leaves no less."""

    cost: Fraction
    left: Left
    like: Fraction | None


class Volume(NamedTuple):
    """What an order brings before and with a discount, the same a month, and the further orders that pay for it.

    In minor units. `more` is a share of today's orders, None where no number is enough; `orders` is the whole number.
    What is counted by the month is None where nobody has said how many orders there are.
    """

    before: Fraction
    after: Fraction
    month_before: Fraction | None
    month_after: Fraction | None
    more: Fraction | None
    orders: int | None


class Sale(NamedTuple):
    """A stated discount on a share of the orders; the further orders that it brings all use it.

    `contribution` leaves all overhead out, `profit` has it in; `before` and `after` are those of an order without its
    part of `fees_per_month`, which are due once, however many orders come.
    """

    off: Discount
    share: Fraction
    orders_per_month: Fraction | None
    fees_per_month: Fraction
    left: Left
    contribution: Volume
    profit: Volume


class Discounted(NamedTuple):
    """An order at a list price, and everything that can be taken off it."""

    list_price: ListPrice
    now: Left
    target: Room
    break_even: Room
    sent_free: SentFree
    sale: Sale | None


class DiscountAnswer(NamedTuple):
    """The answer for one product, or one bundle, on one channel; `order` is None where nobody carries it.

    `step` is the step of a percent as a share, `amount_step` that of an amount in minor units.
    """

    terms: Terms
    goal: Goal
    step: Fraction
    amount_step: int
    order: Discounted | None

    @property
    def possible(self) -> bool:
        """Whether any discount above zero meets the target."""
        return self.order is not None and bool(self.order.target.percent.greatest or self.order.target.amount.greatest)


def wanted_said(step: Number, off: Discount | str | None, share: Number) -> Wanted:
    """Return what is asked about discounts; raises `QuestionError` for what nobody understands."""
    finest, stated = share_said(step, "the step"), discount_said(off)
    if finest < FINEST_STEP:
        raise QuestionError(f"the step: under {percent(FINEST_STEP)} (got {step}); write a percent such as 0.1 %")
    part = share_said(share, "the share")
    if part != ALL and not stated:
        raise QuestionError("a share of the orders is of no use without a discount; give one with --off")
    return Wanted(finest, stated[0] if stated else None, part)


def price_said(book: Book, asked: PriceAsk, price: Number | None, in_use: int | None) -> ListPrice:
    """Return the list price asked for, in whole units of the channel's currency, else the one in use.

    Without either it is the lowest price that meets the target, or the best one where none does.
    """
    if price is None and in_use is not None:
        return ListPrice(in_use, "in use")
    if settle(book, asked.ask).unreached:  # nobody carries the order, whatever it costs
        return ListPrice(0, "best")
    found = at_price(book, asked, price)
    return ListPrice(found.price, found.source)


def discount(book: Book, asked: PriceAsk, price: ListPrice, wanted: Wanted) -> DiscountAnswer:
    """Return how far this list price can come down on this channel, and what a stated discount takes."""
    terms = with_off = settle(book, asked.ask)
    if wanted.off is not None:
        with_off = settle(book, asked.ask._replace(discounts=(*asked.ask.discounts, wanted.off)))
    orders = book.shop.channels[asked.ask.channel].orders_per_month
    return discounted(with_off, goal_of(book, asked, terms), price, wanted, orders)


def discounted(
    with_off: Terms, goal: Goal, price: ListPrice, wanted: Wanted, orders: Fraction | None
) -> DiscountAnswer:
    """Return the answer for the goal's order; `with_off` are its terms with the stated discount."""
    terms = goal.terms
    if terms.unreached:
        return DiscountAnswer(terms, goal, wanted.step, 1, None)
    order = order_ledger(terms, price.minor)
    goods = int(order.zones[0].sale.goods)
    amount_step = 1
    while goods // amount_step > MOST_AMOUNTS:
        amount_step *= 10
    goals = (goal, Goal.of(break_even(), goal.case, terms))
    now, sent_free = left(order, goals), left(order_ledger(replace(terms, shipping=FREE), price.minor), goals)

    def leaves_as_much(order: OrderLedger, m: Arithmetic) -> Condition:
        return expected(order, m).profit - sent_free.profit >= 0

    tests: list[Test] = [*(partial(meets, each) for each in goals), leaves_as_much]
    *by_percent, as_much = scan(terms, price.minor, tests, 1 + int(1 / wanted.step), percent=wanted.step)
    by_amount = scan(terms, price.minor, tests[:2], 1 + goods // amount_step, amount=amount_step)

    def room(percents: Bools, amounts: Bools) -> Room:
        reach = reach_of(percents, wanted.step)
        at = None if reach.greatest is None else order_ledger(one_more(terms, percent=reach.greatest), price.minor)
        return Room(reach, reach_of(amounts, Fraction(amount_step)), None if at is None else left(at, goals))

    return DiscountAnswer(
        terms=terms,
        goal=goal,
        step=wanted.step,
        amount_step=amount_step,
        order=Discounted(
            list_price=price,
            now=now,
            target=room(by_percent[0], by_amount[0]),
            break_even=room(by_percent[1], by_amount[1]),
            sent_free=SentFree(now.profit - sent_free.profit, sent_free, reach_of(as_much, wanted.step).greatest),
            sale=_sale(order, order_ledger(with_off, price.minor), goals, wanted, orders),
        ),
    )


def left(order: OrderLedger, goals: tuple[Goal, Goal]) -> Left:
    """Return what an order leaves, held against the target and break-even."""
    earned = measures(order)
    return Left(
        goods=Fraction(order.zones[0].sale.goods),
        buyer_pays=average(order, "buyer_total"),
        profit=earned.profit,
        margin=earned.margin,
        meets=goals[0].met_by(order),
        breaks_even=goals[1].met_by(order),
    )


def _sale(
    before: OrderLedger, after: OrderLedger, goals: tuple[Goal, Goal], wanted: Wanted, orders: Fraction | None
) -> Sale | None:
    if wanted.off is None:
        return None
    fees = month_fees(before)
    profits = (measures(before).profit + fees, measures(after).profit + fees)
    return Sale(
        off=wanted.off,
        share=wanted.share,
        orders_per_month=orders,
        fees_per_month=fees * (orders or 0),
        left=left(after, goals),
        contribution=_volume(contribution(before), contribution(after), wanted.share, orders),
        profit=_volume(*profits, wanted.share, orders, due=fees * (orders or 0)),
    )


def _volume(
    before: Fraction, after: Fraction, share: Fraction, orders: Fraction | None, due: Fraction = Fraction(0)
) -> Volume:
    """Return the further orders, all at the discount, that make up for what today's discounted orders lose.

    `due` is what is paid by the month, however many orders there are.
    """
    lost = share * (before - after)
    more = Fraction(0) if lost <= 0 else lost / after if after > 0 else None
    if orders is None:
        return Volume(before, after, None, None, more, None)
    month = orders * before - due
    return Volume(before, after, month, month - orders * lost, more, orders_to_cover(orders * lost, after))
