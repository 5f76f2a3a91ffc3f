"""Giveaways: what giving some units away costs, how many extra sales pay for it, and with what chance they come.

Section 8 of the money model. Each unit that is given away is made, packed and sent like an order of its own, to the
zones in which buyers live. A winner who had already bought keeps that order and gets all of the money back instead.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.answer.ask import PriceAsk
from netprice.answer.at_price import AtPrice, Source, at_price, must_be_carried
from netprice.answer.chance import MOST_EXPECTED, MOST_PEOPLE, Binomial, ExtraSales, Poisson, most_sales
from netprice.answer.opened import Wishes
from netprice.answer.refunded import HowRefunded, delivered, refunded, refunded_as
from netprice.answer.result import decimal_price
from netprice.answer.spoken import Number, amount_said, share_said
from netprice.answer.volumes import orders_to_cover
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.explain import average_order_cost
from netprice.ledger.measures import contribution
from netprice.ledger.order import expected, order_ledger
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms

MOST_UNITS: Final = 1_000_000


class GiveawayWishes(Wishes, total=False):
    """What is given away: `units` sent to winners, `refunded` orders of winners who had bought; one unit unless said.

    `promotion_cost` is in the shop's currency. Extra sales, orders as large as any other, come as a Poisson number of
    `expected_sales`, or from `people` of whom the share `conversion` buys, or both ways are answered. With a `chance`
    the greatest number of units that still breaks even with it is found. `price` is the list price, the one that
    solve gives unless said.
    """

    units: int | None
    refunded: int | None
    promotion_cost: Number | None
    expected_sales: Number | None
    people: int | None
    conversion: Number | None
    chance: Number | None
    price: Number | None


class Gift(NamedTuple):
    """A giveaway as the rules work on it; `promotion_cost` in whole units of the shop's currency."""

    units: int = 1
    refunded: int = 0
    promotion_cost: Fraction = Fraction(0)
    poisson: Poisson | None = None
    binomial: Binomial | None = None
    chance: Fraction | None = None


class Odds(NamedTuple):
    """The chance to break even and, for a wished chance, the most units that reach it.

    `greatest` is None where not even giving nothing away does, and where no chance was wished for; `any_number` tells
    of units that cost nothing to give away.
    """

    chance: Fraction
    greatest: int | None
    any_number: bool


class Way(NamedTuple):
    """What a giveaway costs and takes to pay for, either by contribution (overhead left out) or by profit.

    `extra_sales` is the smallest whole number of orders that covers `cost`; None where no number does.
    """

    one_given: Fraction
    cost: Fraction
    per_order: Fraction
    extra_sales: int | None
    poisson: Odds | None
    binomial: Odds | None


class Giveaway(NamedTuple):
    """The answer for one product on one channel. Money is in whole units of the channel's currency, exact.

    One unit given away costs `unit_cost`, `order_cost` with the packing, and `label` on average over the zones;
    `one_refunded` is the lost profit of a refunded order, the same by contribution and by profit.
    """

    product: str
    channel: str
    currency: str
    digits: int
    quantity: int
    price: Decimal
    source: Source
    gift: Gift
    unit_cost: Fraction
    order_cost: Fraction
    label: Fraction
    one_refunded: Fraction
    promotion_cost: Fraction
    by_contribution: Way
    by_profit: Way

    @property
    def breaks_even(self) -> bool:
        """Whether enough sales, by contribution, are possible and come with the chance wished for, if any was."""
        way, wished = self.by_contribution, self.gift.chance
        odds = [each for each in (way.poisson, way.binomial) if each is not None]
        return way.extra_sales is not None and (wished is None or all(each.chance >= wished for each in odds))


def giveaway(book: Book, asked: PriceAsk, wishes: GiveawayWishes) -> Giveaway:
    """Return what a giveaway on this channel costs and whether it breaks even."""
    gift = gift_said(wishes)
    one = settle(book, asked.ask._replace(quantity=1))
    must_be_carried(one)
    return give_away(at_price(book, asked, wishes.get("price")), one, gift)


def gift_said(wishes: GiveawayWishes) -> Gift:
    """Return a giveaway from what a caller says about it."""
    units, refunded_orders, people = wishes.get("units"), wishes.get("refunded"), wishes.get("people")
    for what, number in (("units to give away", units), ("winners to refund", refunded_orders)):
        if number is not None and not 0 <= number <= MOST_UNITS:
            raise QuestionError(f"{number} {what}; write a whole number from 0 to {MOST_UNITS}")
    promotion, sales, chance = wishes.get("promotion_cost"), wishes.get("expected_sales"), wishes.get("chance")
    exact_chance = None if chance is None else share_said(chance, "the chance")
    if exact_chance == 0:
        raise QuestionError(f"a chance of {chance}, which any giveaway has; write a percent above 0 such as 90 %")
    winners = refunded_orders or 0
    gift = Gift(
        units=units if units is not None else 0 if winners else 1,
        refunded=winners,
        promotion_cost=amount_said(promotion or 0, "the promotion cost"),
        poisson=None if sales is None else Poisson(amount_said(sales, "the extra sales expected")),
        binomial=_binomial_said(people, wishes.get("conversion")),
        chance=exact_chance,
    )
    for extra in (gift.poisson, gift.binomial):
        if extra is not None and extra.mean > MOST_EXPECTED:
            raise QuestionError(f"more than {MOST_EXPECTED} extra sales expected; with so many the average is enough")
    if gift.chance is not None and gift.poisson is None and gift.binomial is None:
        raise QuestionError(
            "a chance, but of how many extra sales? give those you expect, or the people reached and their conversion"
        )
    return gift


def _binomial_said(people: int | None, conversion: Number | None) -> Binomial | None:
    if people is None and conversion is None:
        return None
    if people is None or conversion is None:
        missing, given = ("people reached", "conversion") if people is None else ("conversion", "people reached")
        raise QuestionError(f"the {given} without the {missing}; give both, or the extra sales you expect")
    if not 0 <= people <= MOST_PEOPLE:
        raise QuestionError(f"{people} people reached; write a whole number from 0 to {MOST_PEOPLE}")
    return Binomial(people, share_said(conversion, "the conversion"))


def give_away(at: AtPrice, one: Terms, gift: Gift) -> Giveaway:
    """Return the answer for orders at a price; `one` are the terms of an order of a single unit, for what is sent.

    A label that insures the goods insures a given unit for what it is sold at.
    """
    terms, price = at.terms, at.price
    scale = Fraction(10**terms.digits)
    # An order that brings in nothing but costs what every other does: no fees, no set-asides, certainly delivered.
    sent = delivered(replace(one, fees=(), set_asides=()), price)
    totals, order = expected(sent), order_ledger(terms, price)
    lost = expected(delivered(terms, price)).profit - expected(refunded(terms, price, in_full(terms))).profit
    beside = gift.refunded * Fraction(lost) + gift.promotion_cost * terms.worth
    by_contribution = _Costs(totals.net_sales - contribution(sent), beside, contribution(order))
    by_profit = _Costs(Fraction(totals.goods + totals.labels), beside, Fraction(expected(order).profit))
    return Giveaway(
        product=terms.product,
        channel=terms.channel,
        currency=terms.currency,
        digits=terms.digits,
        quantity=terms.quantity,
        price=decimal_price(price, terms.digits),
        source=at.source,
        gift=gift,
        unit_cost=one.goods_cost / scale,
        order_cost=average_order_cost(sent) / scale,
        label=Fraction(totals.labels) / scale,
        one_refunded=Fraction(lost) / scale,
        promotion_cost=gift.promotion_cost * terms.worth / scale,
        by_contribution=by_contribution.way(gift, scale),
        by_profit=by_profit.way(gift, scale),
    )


def in_full(terms: Terms) -> HowRefunded:
    """Return the refund of a winner who had bought: all of the money, shipping too, and the goods stay with them."""
    return refunded_as(terms, goods_back=False, refund_shipping=True)


class _Costs(NamedTuple):
    """What one unit given away costs, what is due beside them, and what a sale brings. In minor units."""

    one_given: Fraction
    beside: Fraction
    per_order: Fraction

    def way(self, gift: Gift, scale: Fraction) -> Way:
        cost = gift.units * self.one_given + self.beside
        needed = orders_to_cover(cost, self.per_order)
        return Way(
            one_given=self.one_given / scale,
            cost=cost / scale,
            per_order=self.per_order / scale,
            extra_sales=needed,
            poisson=self._odds(gift.poisson, needed, gift.chance),
            binomial=self._odds(gift.binomial, needed, gift.chance),
        )

    def _odds(self, extra: ExtraSales | None, needed: int | None, wished: Fraction | None) -> Odds | None:
        if extra is None:
            return None
        chance = Fraction(0) if needed is None else extra.at_least(needed)
        if wished is None:
            return Odds(chance, None, any_number=False)
        # So many sales come with the chance wished for; what they bring in is there to be given away.
        sales = most_sales(extra, wished) if self.per_order > 0 else 0
        to_give = sales * self.per_order - self.beside
        if self.one_given <= 0:
            return Odds(chance, None, any_number=to_give >= 0)
        return Odds(chance, int(to_give // self.one_given) if to_give >= 0 else None, any_number=False)
