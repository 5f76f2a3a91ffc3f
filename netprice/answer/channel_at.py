"""Channels at given prices: what each leaves an order, an hour and a month, and which one leaves most."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from netprice.answer.result import Ledger, ledger_of
from netprice.answer.single_price import Contender
from netprice.answer.volumes import Change, Monthly, best_with_few_orders, changes_of_best, orders_to_cover
from netprice.ledger.explain import Group
from netprice.ledger.measures import month_fees
from netprice.ledger.order import order_ledger


class OrdersToCover(NamedTuple):
    """How many orders a month cover, by what each adds, what is due anyway; None where no number of orders does.

    `fees` cover the channel's fees per month, `overhead` also the shop's monthly totals, `profit` also the profit that
    is wanted, or is None where none was asked for.
    """

    fees: int | None
    overhead: int | None
    profit: int | None


class ChannelAt(NamedTuple):
    """One channel at one price. Money is in whole units of the channel's currency, expected and never rounded.

    `profit_per_month` is orders × profit of an order without fees per month − fees per month, as if all orders of the
    month were of this product; it is None where the shop has not said how many orders there are.
    `exchange_rate` is what one unit of the shop's currency is in the channel's.
    """

    channel: str
    currency: str
    exchange_rate: Fraction
    price: Decimal
    meets_target: bool
    orders_per_month: Fraction | None
    profit_per_order_without_month_fees: Fraction
    fees_per_month: Fraction
    profit_per_month: Fraction | None
    orders_to_cover: OrdersToCover
    ledger: Ledger

    def in_shop_currency(self, amount: Fraction) -> Fraction:
        """Return an amount of the channel's currency in the shop's."""
        return amount / self.exchange_rate


class Best(NamedTuple):
    """Which channel leaves most: by the order, the labour hour, the machine hour, the month. None where none can."""

    order: str | None
    labour_hour: str | None
    machine_hour: str | None
    month: str | None


class AtPrices(NamedTuple):
    """Some channels, each at a certain price.

    `changes` are the numbers of orders a month, the same on every channel, at which another one becomes the best;
    `best_with_few_orders` is the best below the first of them.
    """

    channels: tuple[ChannelAt, ...]
    changes: tuple[Change, ...]
    best_with_few_orders: str | None

    @property
    def best(self) -> Best:
        """Return which channel leaves most, compared in the shop's currency; of equal ones the first."""
        return Best(
            order=self._most(lambda each: each.ledger.profit),
            labour_hour=self._most(lambda each: each.ledger.profit_per_labour_hour),
            machine_hour=self._most(lambda each: each.ledger.profit_per_machine_hour),
            month=self._most(lambda each: each.profit_per_month),
        )

    def _most(self, what: Callable[[ChannelAt], Fraction | None]) -> str | None:
        found = [(each, what(each)) for each in self.channels]
        amounts = [(each.in_shop_currency(amount), each.channel) for each, amount in found if amount is not None]
        return max(amounts, key=lambda amount: amount[0])[1] if amounts else None


class Deductions(NamedTuple):
    """What becomes of what the buyer pays without tax, as shares of it; they add up to 1."""

    fees: Fraction
    labels: Fraction
    making: Fraction
    returns: Fraction
    set_aside: Fraction
    profit: Fraction


def at_prices(priced: Iterable[tuple[Contender, Fraction | int | None]], monthly_profit: Fraction | None) -> AtPrices:
    """Return channels at prices in minor units; left out are those without one, and where nobody carries the product.

    `monthly_profit` is the profit that is wanted a month, in whole units of the shop's currency.
    """
    channels = tuple(
        _channel_at(each, price, monthly_profit)
        for each, price in priced
        if price is not None and not each.answer.terms.unreached
    )
    monthly = [
        Monthly(
            each.channel,
            each.in_shop_currency(each.profit_per_order_without_month_fees),
            each.in_shop_currency(each.fees_per_month),
        )
        for each in channels
    ]
    few = best_with_few_orders(monthly).channel if monthly else None
    return AtPrices(channels=channels, changes=changes_of_best(monthly), best_with_few_orders=few)


def deductions(ledger: Ledger) -> Deductions | None:
    """Return what becomes of what the buyer pays without tax; None where that is nothing."""
    groups: dict[Group, Fraction] = {}
    for line in ledger.lines:
        groups[line.group] = groups.get(line.group, Fraction(0)) + line.amount
    paid = groups.get("sale", Fraction(0))
    if paid <= 0:
        return None

    def taken(*names: Group) -> Fraction:
        return -sum((groups.get(name, Fraction(0)) for name in names), Fraction(0)) / paid

    return Deductions(
        fees=taken("fee"),
        labels=taken("shipping"),
        making=taken("cost"),
        returns=taken("refund", "recovery"),
        set_aside=taken("set_aside"),
        profit=ledger.profit / paid,
    )


def _channel_at(contender: Contender, price: Fraction | int, monthly_profit: Fraction | None) -> ChannelAt:
    goal, orders = contender.answer.goal, contender.orders
    terms, order = goal.terms, order_ledger(goal.terms, price)
    ledger, scale = ledger_of(order), Fraction(10**terms.digits)
    fees_of_order, rate = month_fees(order) / scale, terms.worth / scale
    before_fees = ledger.profit + fees_of_order
    fees = fees_of_order * (orders or 0)  # without orders a month there are no fees per month
    due = [fees, contender.overhead * rate, (monthly_profit or Fraction(0)) * rate]
    cover = [orders_to_cover(sum(due[:upto], Fraction(0)), ledger.contribution) for upto in (1, 2, 3)]
    return ChannelAt(
        channel=terms.channel,
        currency=terms.currency,
        exchange_rate=rate,
        price=ledger.price,
        meets_target=goal.met_by(order),
        orders_per_month=orders,
        profit_per_order_without_month_fees=before_fees,
        fees_per_month=fees,
        profit_per_month=None if orders is None else orders * before_fees - fees,
        orders_to_cover=OrdersToCover(cover[0], cover[1], None if monthly_profit is None else cover[2]),
        ledger=ledger,
    )
