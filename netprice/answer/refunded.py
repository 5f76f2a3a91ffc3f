"""An order that certainly ends in one way: delivered, sent again, or refunded, as a whole or in part.

Sections 6 and 9 of the money model. A refund in part gives back a share of the goods and extras, and the tax on just
that; of what the storefront gives back of its fees on a whole refund it gives back the same share. Shipping goes back
only with the whole. Where goods come back, they do so whichever part is refunded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.answer.free_shipping import FREE
from netprice.answer.result import decimal_price
from netprice.answer.spoken import Number, amount_said, share_said
from netprice.errors import QuestionError
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.fees import FeeLine
from netprice.ledger.order import OrderLedger, ZoneLedger, order_ledger
from netprice.ledger.sale import Goods, sale
from netprice.ledger.terms import FeeTerms, OutcomeTerms, Terms
from netprice.money import round_to_whole

ZERO: Final = Fraction(0)
ONE: Final = Fraction(1)


class HowRefunded(NamedTuple):
    """How one order is refunded: the share of goods and extras, and what becomes of the goods and the shipping."""

    share: Fraction
    goods_back: bool
    ends: OutcomeTerms


def refunded_as(
    terms: Terms,
    *,
    share: Fraction = ONE,
    goods_back: bool = True,
    shop_pays_label: bool | None = None,
    resellable: Fraction | None = None,
    refund_shipping: bool | None = None,
) -> HowRefunded:
    """Return how an order is refunded: as the shop's terms say, but for what is given here."""
    ends = terms.outcomes
    if shop_pays_label is not None:
        ends = ends._replace(shop_pays_return_label=shop_pays_label)
    if resellable is not None:
        ends = ends._replace(resellable=resellable)
    if refund_shipping is not None:
        ends = ends._replace(refund_shipping=refund_shipping)
    if not goods_back:
        ends = ends._replace(shop_pays_return_label=False, resellable=ZERO)
    return HowRefunded(share, goods_back, ends._replace(refund_shipping=ends.refund_shipping and share == 1))


def share_back(terms: Terms, price: Fraction | int, back: Number | None) -> Fraction:
    """Return which share of goods and extras goes back: `back` is a percent or an amount of them in whole units."""
    if back is None:
        return ONE
    if isinstance(back, str) and ("%" in back or "/" in back):
        return share_said(back, "what is paid back")
    minor = round_to_whole(amount_said(back, "what is paid back") * 10**terms.digits, terms.rounding)
    whole = _goods_and_extras(order_ledger(terms, price).zones[0])
    if minor > whole:
        raise QuestionError(
            f"what is paid back: {back} is more than goods and extras come to,"
            f" {decimal_price(whole, terms.digits)} {terms.currency}; write less, or a percent"
        )
    return minor / whole if minor else ZERO


def _goods_and_extras(zone: ZoneLedger) -> Fraction:
    return Fraction(zone.sale.goods + zone.sale.extras)


def delivered(terms: Terms, price: Fraction | int) -> OrderLedger:
    """Return an order that is certainly delivered."""
    return order_ledger(replace(terms, outcomes=terms.outcomes._replace(return_rate=ZERO, damage_rate=ZERO)), price)


def sent_again(terms: Terms, price: Fraction | int) -> OrderLedger:
    """Return an order in whose place a new one is certainly sent, with nothing paid back by a carrier."""
    ends = terms.outcomes._replace(return_rate=ZERO, damage_rate=ONE, replaces=True, recovered=ZERO)
    return order_ledger(replace(terms, outcomes=ends), price)


def refunded(terms: Terms, price: Fraction | int, how: HowRefunded) -> OrderLedger:
    """Return an order that is certainly refunded in this way."""
    certain = replace(terms, outcomes=how.ends._replace(return_rate=ONE, damage_rate=ZERO))
    order = order_ledger(certain, price)
    if how.share == 1:
        return order
    return order._replace(zones=tuple(_in_part(certain, price, zone, how.share) for zone in order.zones))


def _in_part(terms: Terms, price: Fraction | int, zone: ZoneLedger, share: Fraction) -> ZoneLedger:
    """Return the zone with only a share of the goods and extras refunded, as if just they had been sold."""
    extras = tuple(
        extra._replace(charge=round_to_whole(extra.charge * share, terms.rounding)) for extra in terms.extras
    )
    paid_back = round_to_whole(_goods_and_extras(zone) * share, terms.rounding)
    goods = paid_back - sum(extra.charge for extra in extras)
    part = sale(replace(terms, shipping=FREE, extras=extras), Goods(goods, (), goods), zone.label_cost, EXACT)
    fees = tuple(_kept_in_part(fee, zone.fees, share) for fee in terms.fees)
    alone = order_ledger(replace(terms, fees=fees, zones=(zone.zone,)), price).zones[0]
    sold = zone.sale._replace(refunded_sales=part.refunded_sales, refunded_tax=part.refunded_tax)
    ends = tuple(
        end._replace(net_sales=sold.net_sales - sold.refunded_sales) if end.name == "returned" else end
        for end in alone.outcomes
    )
    return alone._replace(sale=sold, outcomes=ends)


def _kept_in_part(fee: FeeTerms, lines: Sequence[FeeLine], share: Fraction) -> FeeTerms:
    """Return the fee as it is kept where a share of the order is refunded: the rest of it, and that share of what is.

    kept = amount − share × (amount − kept on a whole refund), which is again a percent of the fee and a fixed part.
    Whether a cap on what is kept counts is settled by the fee in full.
    """
    if fee.kept == "kept":
        return fee
    percent, fixed = ZERO, ZERO
    if fee.kept == "partly":
        percent, fixed = fee.kept_percent, fee.kept_fixed
        amount = next(line.in_full.amount for line in lines if line.fee is fee)
        if fee.kept_cap is not None and fee.kept_cap * fee.spread < amount * percent + fixed * fee.spread:
            percent, fixed = ZERO, fee.kept_cap
    return fee._replace(
        kept="partly", kept_percent=1 - share + share * percent, kept_fixed=share * fixed, kept_cap=None
    )
