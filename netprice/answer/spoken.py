"""What callers and command lines say, read into exact values: days, prices, discounts, targets."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from fractions import Fraction

from netprice.book.readers import Target, read_target
from netprice.book.shop import Discount
from netprice.errors import QuantityError, QuestionError
from netprice.money import parse_number
from netprice.quantity import read_share

Number = Decimal | Fraction | int | str


def target_said(target: Target | str | None) -> Target | None:
    """Return a target that may be written out, such as "margin 30 %"; None stays None."""
    if not isinstance(target, str):
        return target
    try:
        return read_target(target)
    except QuantityError as error:
        raise QuestionError(str(error)) from None


def discount_said(discount: Discount | str | None) -> tuple[Discount, ...]:
    """Return the discounts that are asked for besides the channel's own: none or one."""
    if isinstance(discount, str):
        discount = read_discount(discount)
    return (discount,) if discount else ()


def amount_said(amount: Number, what: str) -> Fraction:
    """Return an amount of zero or more, in whole units of a currency; `what` names it in an error.

    >>> amount_said("31.50", "the price")
    Fraction(63, 2)
    """
    try:
        exact = parse_number(amount) if isinstance(amount, str) else Fraction(amount)
    except QuantityError as error:
        raise QuestionError(f"{what}: {error}") from None
    if exact < 0:
        raise QuestionError(f"{what}: below zero (got {amount}); write an amount of zero or more")
    return exact


def share_said(share: Number, what: str) -> Fraction:
    """Return a share from 0 to 1, written as a percent, a fraction or a plain number; `what` names it in an error.

    >>> share_said("12.5 %", "the chance"), share_said("1/3", "the chance"), share_said("0.9", "the chance")
    (Fraction(1, 8), Fraction(1, 3), Fraction(9, 10))
    """
    try:
        if isinstance(share, str):
            exact = read_share(share) if "%" in share or "/" in share else parse_number(share)
        else:
            exact = Fraction(share)
    except QuantityError as error:
        raise QuestionError(f"{what}: {error}") from None
    if not 0 <= exact <= 1:
        raise QuestionError(f"{what}: outside 0 to 100 % (got {share}); write a percent from 0 to 100")
    return exact


def read_discount(text: str) -> Discount:
    """Read a discount: a percent such as "20 %", or an amount an order in the channel's currency such as "5.00".

    >>> read_discount("20 %").percent
    Fraction(1, 5)
    """
    try:
        if "%" in text:
            share = read_share(text)
            if not 0 <= share <= 1:
                raise QuestionError(f"a discount of {text[:20]!r}; write a percent from 0 to 100")
            return Discount(percent=share)
        amount = parse_number(text)
    except QuantityError as error:
        raise QuestionError(f"the discount: {error}") from None
    if amount < 0:
        raise QuestionError(f"a discount of {text[:20]!r}; write an amount of zero or more")
    return Discount(amount=amount)


def margin(share: Number) -> Target:
    """Return the target of a margin: the share of net sales kept that is left as profit.

    >>> margin("0.30")
    Target(kind='margin', amount=Fraction(3, 10))
    """
    return Target("margin", Fraction(share))


def markup(share: Number) -> Target:
    """Return the target of a markup: profit as a share of what the order costs to make."""
    return Target("markup", Fraction(share))


def profit(amount: Number) -> Target:
    """Return the target of a profit on each unit, in whole units of the channel's currency."""
    return Target("profit", Fraction(amount))


def per_machine_hour(amount: Number) -> Target:
    """Return the target of a profit for each machine hour."""
    return Target("machine-hour", Fraction(amount))


def per_labour_hour(amount: Number) -> Target:
    """Return the target of a profit for each labour hour."""
    return Target("labour-hour", Fraction(amount))


def break_even() -> Target:
    """Return the target of losing nothing."""
    return Target("break-even", Fraction(0))


def read_day(text: str | None) -> dt.date:
    """Return a day written as 2026-03-31, or today where none is given."""
    if text is None:
        return dt.date.today()  # noqa: DTZ011  # the maker's own calendar day, as their fees are dated
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise QuestionError(f"no day (got {text[:20]!r}); write it as 2026-03-31") from None
