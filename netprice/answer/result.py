"""What callers get: prices as decimals with the currency's digits, all else as exact fractions of whole units."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from netprice.answer.price import PriceAnswer, Status
from netprice.answer.reason import reason
from netprice.book.product import Case
from netprice.book.readers import Target
from netprice.ledger.explain import Group, average, average_order_cost, lines_of
from netprice.ledger.measures import contribution, measures
from netprice.ledger.order import OrderLedger, expected, worst
from netprice.money import show_money


class LedgerLine(NamedTuple):
    """One line: its expected amount, positive when money comes in, and how it came about."""

    group: Group
    name: str
    amount: Fraction
    how: str


class Ledger(NamedTuple):
    """One order at one price, in whole units of `currency`, expected over zones, outcomes and fee shares.

    The amounts of `lines` add up to `profit` exactly. A measure is None where its divisor is not positive.
    `worst_profit` is that of an order delivered to `worst_zone` with every fee charged in full.
    """

    product: str
    channel: str
    currency: str
    digits: int
    quantity: int
    price: Decimal
    lines: tuple[LedgerLine, ...]
    buyer_pays: Fraction
    tax: Fraction
    net_sales: Fraction
    fees: Fraction
    labels: Fraction
    goods: Fraction
    set_asides: Fraction
    unit_cost: Fraction
    order_cost: Fraction
    profit: Fraction
    margin: Fraction | None
    markup: Fraction | None
    contribution: Fraction
    profit_per_machine_hour: Fraction | None
    profit_per_labour_hour: Fraction | None
    worst_zone: str
    worst_profit: Fraction


class Trap(NamedTuple):
    """A run of allowed prices above the lowest price that fail the target, by its first and last price."""

    first: Decimal
    last: Decimal
    from_rounding: bool


class Best(NamedTuple):
    """The greatest measure that is reachable and the smallest allowed price that reaches it."""

    price: Decimal
    measure: Fraction


class Solution(NamedTuple):
    """The list price for one product on one channel.

    `status` is "met", "unreachable" (then `best` says how far one can get) or "refused" (nobody carries the parcel).
    `reached` is the measure at `lowest_price`, or at the best price: a ratio, or money in whole units.
    """

    product: str
    channel: str
    currency: str
    digits: int
    quantity: int
    status: Status
    target: Target
    case: Case
    reached: Fraction | None
    lowest_price: Decimal | None
    safe_floor: Decimal | None
    highest_price: Decimal | None
    traps: tuple[Trap, ...]
    best: Best | None
    reason: str
    ledger: Ledger | None


def decimal_price(minor: Fraction | int, digits: int) -> Decimal:
    """Return a price in minor units as a decimal with the currency's digits, or with more where it is finer.

    >>> decimal_price(6437, 2), decimal_price(Fraction(12345, 10), 2)
    (Decimal('64.37'), Decimal('12.345'))
    """
    exact = Fraction(minor)
    while exact.denominator != 1 and digits < 18:
        exact, digits = exact * 10, digits + 1
    return Decimal(show_money(exact, digits))


def ledger_of(order: OrderLedger) -> Ledger:
    """Return an order as callers get it."""
    terms, totals = order.terms, expected(order)
    scale = Fraction(10**terms.digits)
    earned, (zone, at_worst) = measures(order), worst(order)

    def whole(minor: Fraction | int) -> Fraction:
        return Fraction(minor) / scale

    def maybe(minor: Fraction | None) -> Fraction | None:
        return None if minor is None else minor / scale

    return Ledger(
        product=terms.product,
        channel=terms.channel,
        currency=terms.currency,
        digits=terms.digits,
        quantity=terms.quantity,
        price=decimal_price(order.price, terms.digits),
        lines=tuple(
            LedgerLine(group=line.group, name=line.name, amount=whole(line.amount), how=line.how)
            for line in lines_of(order)
        ),
        buyer_pays=whole(average(order, "buyer_total")),
        tax=whole(average(order, "tax")),
        net_sales=whole(totals.net_sales),
        fees=whole(totals.fees),
        labels=whole(totals.labels),
        goods=whole(totals.goods),
        set_asides=whole(totals.set_asides),
        unit_cost=whole(terms.stack.total(per_order=False) * terms.worth),
        order_cost=whole(average_order_cost(order)),
        profit=whole(earned.profit),
        margin=earned.margin,
        markup=earned.markup,
        contribution=whole(contribution(order)),
        profit_per_machine_hour=maybe(earned.profit_per_machine_hour),
        profit_per_labour_hour=maybe(earned.profit_per_labour_hour),
        worst_zone=zone.zone.name,
        worst_profit=whole(at_worst.profit),
    )


def solution_of(answer: PriceAnswer) -> Solution:
    """Return an answer as callers get it."""
    terms = answer.terms

    def price(minor: int | None) -> Decimal | None:
        return None if minor is None else decimal_price(minor, terms.digits)

    best = answer.best
    return Solution(
        product=terms.product,
        channel=terms.channel,
        currency=terms.currency,
        digits=terms.digits,
        quantity=terms.quantity,
        status=answer.status,
        target=answer.goal.target,
        case=answer.goal.case,
        reached=answer.reached,
        lowest_price=price(answer.lowest_price),
        safe_floor=price(answer.safe_floor),
        highest_price=price(answer.highest),
        traps=tuple(
            Trap(
                first=decimal_price(trap.first, terms.digits),
                last=decimal_price(trap.last, terms.digits),
                from_rounding=trap.from_rounding,
            )
            for trap in answer.traps
        ),
        best=None
        if best is None
        else Best(price=decimal_price(best.price, terms.digits), measure=answer.spoken(best.measure)),
        reason=reason(answer),
        ledger=None if answer.ledger is None else ledger_of(answer.ledger),
    )
