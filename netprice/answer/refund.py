"""Refunds: what one costs against the order delivered, how many sales pay for it, and the greatest return rate.

Section 8 of the money model. A refund is an order of which it is certain that it is returned, worked out by the same
rules as every other; so is an order that is delivered, and one that is sent again.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.answer.ask import PriceAsk
from netprice.answer.at_price import AtPrice, Source, at_price
from netprice.answer.goal import Goal
from netprice.answer.opened import Wishes
from netprice.answer.refunded import HowRefunded, delivered, refunded, refunded_as, sent_again, share_back
from netprice.answer.result import decimal_price
from netprice.answer.return_rate import Greatest, greatest_rate
from netprice.answer.spoken import Number, break_even, share_said
from netprice.answer.volumes import orders_to_cover
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.explain import average
from netprice.ledger.measures import contribution
from netprice.ledger.order import OrderLedger, expected, order_ledger

# Fewer steps between no returns and only returns than a search by halves ever feels.
FINEST_STEP: Final = Fraction(1, 10**9)


class RefundWishes(Wishes, total=False):
    """How the refund that is asked about differs from what the shop wrote down under `returns`.

    `back` is a share of goods and extras ("40 %") or an amount of them ("12.00", without tax that comes on top), the
    whole unless given. `goods_back` says whether the goods come back, which they do unless told; the others are as
    they stand in a file, `label_paid_by` being "shop" or "buyer". `price` is the list price, the one that solve gives
    unless said; `step` is that of return rates.
    """

    price: Number | None
    back: Number | None
    goods_back: bool | None
    label_paid_by: str | None
    resellable: Number | None
    refund_shipping: bool | None
    step: Number | None


class Left(NamedTuple):
    """What is left of an order, in whole units: profit, and contribution, with overhead and fees per month left out."""

    profit: Fraction
    contribution: Fraction


class Enough(NamedTuple):
    """How many sales pay for a refund, by the profit and by the contribution of one; None where no number does."""

    profit: int | None
    contribution: int | None


class Refund(NamedTuple):
    """What a refund costs for one product on one channel. Money is in whole units of the channel's currency, exact.

    The changes add up to what the refund costs, `cost.profit`, below zero: the buyer's money without its tax, the
    fees that the storefront gives back, the return label, the goods that can be sold again, and what is not set aside.
    `buyer_gets` is with the tax. `sold` is the average order, returns and all; `delivered`, `refunded` and `replaced`
    are orders that certainly end so, the goods coming back or not alike for the last two.
    """

    product: str
    channel: str
    currency: str
    digits: int
    quantity: int
    price: Decimal
    source: Source
    how: HowRefunded
    buyer_gets: Fraction
    paid_back: Fraction
    fees_back: Fraction
    return_label: Fraction
    resold: Fraction
    not_set_aside: Fraction
    delivered: Left
    refunded: Left
    replaced: Left
    sold: Left
    goal: Goal
    rate: Fraction
    step: Fraction
    break_even: Greatest
    target_met: Greatest

    @property
    def cost(self) -> Left:
        """Return what the refund costs: the order delivered less the order refunded."""
        return _less(self.delivered, self.refunded)

    @property
    def paid_for_by(self) -> Enough:
        """Return how many average sales pay for one refund."""
        cost, sold = self.cost, self.sold
        return Enough(orders_to_cover(cost.profit, sold.profit), orders_to_cover(cost.contribution, sold.contribution))

    @property
    def replacing_saves(self) -> Left:
        """Return by how much sending a new one leaves more than this refund; below zero where it leaves less."""
        return _less(self.replaced, self.refunded)


def refund(book: Book, asked: PriceAsk, wishes: RefundWishes) -> Refund:
    """Return what a refund costs on this channel, and how many returns its price can bear."""
    at, resellable = at_price(book, asked, wishes.get("price")), wishes.get("resellable")
    label_paid_by = wishes.get("label_paid_by")
    if label_paid_by not in {None, "shop", "buyer"}:
        raise QuestionError(f"a return label paid by {label_paid_by!r:.20}; it is the shop or the buyer")
    goods_back = wishes.get("goods_back")
    how = refunded_as(
        at.terms,
        share=share_back(at.terms, at.price, wishes.get("back")),
        goods_back=goods_back is None or goods_back,
        shop_pays_label=None if label_paid_by is None else label_paid_by == "shop",
        resellable=None if resellable is None else share_said(resellable, "what can be sold again"),
        refund_shipping=wishes.get("refund_shipping"),
    )
    said = wishes.get("step")
    step = Fraction(1, 1000) if said is None else share_said(said, "the step")
    if step < FINEST_STEP:
        raise QuestionError(f"a step of {said}; write a percent such as 0.1 %, not finer than a billionth")
    return refund_at(at, how, step)


def refund_at(at: AtPrice, how: HowRefunded, step: Fraction) -> Refund:
    """Return what such a refund costs at a price, and the greatest return rates if every return went like that."""
    terms, price = at.terms, at.price
    scale = Fraction(10**terms.digits)
    whole, back = delivered(terms, price), refunded(terms, price, how)
    before, after = expected(whole), expected(back)
    again = _left(sent_again(terms, price))
    kept = refunded_as(terms, share=how.share, goods_back=False, refund_shipping=how.ends.refund_shipping)
    # What comes back is worth the same whether money or a new one goes out for it.
    coming_back = _less(_left(back), _left(refunded(terms, price, kept)))
    return Refund(
        product=terms.product,
        channel=terms.channel,
        currency=terms.currency,
        digits=terms.digits,
        quantity=terms.quantity,
        price=decimal_price(price, terms.digits),
        source=at.source,
        how=how,
        buyer_gets=(average(back, "refunded_sales") + average(back, "refunded_tax")) / scale,
        paid_back=Fraction(after.net_sales - before.net_sales) / scale,
        fees_back=Fraction(before.fees - after.fees) / scale,
        return_label=Fraction(before.labels - after.labels) / scale,
        resold=Fraction(after.recoveries) / scale,
        not_set_aside=Fraction(before.set_asides - after.set_asides) / scale,
        delivered=_left(whole),
        refunded=_left(back),
        replaced=Left(again.profit + coming_back.profit, again.contribution + coming_back.contribution),
        sold=_left(order_ledger(terms, price)),
        goal=at.goal,
        rate=terms.outcomes.return_rate,
        step=step,
        break_even=greatest_rate(at, Goal.of(break_even(), "expected", terms), how, step),
        target_met=greatest_rate(at, at.goal, how, step),
    )


def _left(order: OrderLedger) -> Left:
    scale = Fraction(10**order.terms.digits)
    return Left(Fraction(expected(order).profit) / scale, contribution(order) / scale)


def _less(one: Left, other: Left) -> Left:
    return Left(one.profit - other.profit, one.contribution - other.contribution)
