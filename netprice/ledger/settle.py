"""From what the shop wrote down to the terms of one order: what holds for this product, channel and day.

What a product says goes before what its channel says, and that before what the shop says, key by key.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import fields
from fractions import Fraction
from typing import NamedTuple, TypeVar

from netprice.book.fee_profile import Fee, FeeProfile
from netprice.book.product import Breakage, Returns
from netprice.book.shop import Book, Channel, Discount, Shop
from netprice.ledger.arithmetic import EXACT, Arithmetic
from netprice.ledger.carry import Order, carry
from netprice.ledger.cost import cost_stack
from netprice.ledger.terms import (
    DiscountTerms,
    ExtraTerms,
    FeeTerms,
    OutcomeTerms,
    SetAsideTerms,
    ShippingTerms,
    TaxTerms,
    Terms,
    TierTerms,
)
from netprice.money import USUAL_ROUNDING, Rounding, minor_digits

ZERO = Fraction(0)
Part = TypeVar("Part", Returns, Breakage)


class Ask(NamedTuple):
    """What somebody asks about: a product on a channel on a day, and how it differs from what the shop wrote down."""

    product: str
    channel: str
    on: dt.date
    quantity: int | None = None
    discounts: tuple[Discount, ...] = ()
    """Discounts after those that the channel gives anyway."""


def settle(book: Book, ask: Ask, m: Arithmetic = EXACT) -> Terms:
    """Return the terms of an order. The product and the channel must be in the book, which must have been checked.

    Where a number of the book stands for many values at once, `m` is the arithmetic that works on those.
    """
    shop, product, channel = book.shop, book.products[ask.product], book.shop.channels[ask.channel]
    profile = book.fee_profiles.get(channel.fee_profile or "")
    currency = currency_of(book, ask.channel)
    rounding: Rounding = profile.rounding if profile else USUAL_ROUNDING
    scale = Fraction(10 ** minor_digits(currency))
    worth = scale * (channel.exchange_rate or 1)
    quantity = ask.quantity or channel.quantity or 1
    stack = cost_stack(product, shop)
    sent = carry(book, Order(product, channel, quantity, ask.on, currency), m)
    return Terms(
        product=ask.product,
        channel=ask.channel,
        currency=currency,
        digits=minor_digits(currency),
        rounding=rounding,
        quantity=quantity,
        worth=worth,
        stack=stack,
        goods_cost=quantity * stack.total(per_order=False) * worth,
        order_cost=stack.total(per_order=True) * worth,
        discounts=tuple(
            DiscountTerms(percent=off.percent, amount=m.rounded((off.amount or ZERO) * scale, rounding))
            for off in (*channel.discounts, *ask.discounts)
            if off.paid_by == "shop"
        ),
        shipping=_shipping(channel, quantity, scale, rounding, m),
        extras=_extras(channel, quantity, scale, rounding, m),
        tax=_tax(shop, channel, profile),
        fees=_fees(channel, profile, ask.on, scale),
        zones=sent.zones,
        refusals=sent.refusals,
        unreached=sent.unreached,
        outcomes=_outcomes(book, ask, worth, m),
        set_asides=tuple(
            SetAsideTerms(name=name, percent=laid_by.percent, is_overhead=laid_by.kind == "overhead")
            for name, laid_by in {**shop.set_asides, **channel.set_asides}.items()
        ),
    )


def currency_of(book: Book, channel: str) -> str:
    """Return the ISO code of the currency that a channel sells in: its fee profile's, else the shop's."""
    profile = book.fee_profiles.get(book.shop.channels[channel].fee_profile or "")
    return profile.currency if profile else book.shop.currency


def merged(most: Part, *others: Part) -> Part:
    """Return one part in which each key comes from the first that states it.

    >>> merged(Returns(rate=Fraction(1, 20)), Returns(rate=ZERO, refund_shipping=True)).refund_shipping
    True
    """
    stated = {}
    for each in fields(most):
        values = (getattr(part, each.name) for part in (most, *others))
        stated[each.name] = next((value for value in values if value is not None), None)
    return type(most)(**stated)


def _shipping(channel: Channel, quantity: int, scale: Fraction, rounding: Rounding, m: Arithmetic) -> ShippingTerms:
    shipping = channel.shipping
    flat = (shipping.first or ZERO) + (quantity - 1) * (shipping.each_further or ZERO)
    return ShippingTerms(
        policy=shipping.policy,
        flat=m.rounded(flat * scale, rounding),
        threshold=(shipping.threshold or ZERO) * scale,
        handling=(shipping.handling or ZERO) * scale,
        share=shipping.share or ZERO,
    )


def _extras(
    channel: Channel, quantity: int, scale: Fraction, rounding: Rounding, m: Arithmetic
) -> tuple[ExtraTerms, ...]:
    extras = []
    for name, extra in channel.extras.items():
        times = quantity if extra.per == "unit" else 1
        each = m.rounded(extra.amount * scale, rounding)
        extras.append(ExtraTerms(name=name, charge=each * times, each=each, times=times, taxed=extra.taxed))
    return tuple(extras)


def _tax(shop: Shop, channel: Channel, profile: FeeProfile | None) -> TaxTerms:
    tax = channel.tax or shop.buyers.tax
    return TaxTerms(
        mode=tax.mode if tax else "none",
        rate=tax.rate if tax else ZERO,
        on_shipping=bool(tax and tax.on_shipping),
        rounded_per=tax.rounded_per if tax else "order",
        remitted_by_storefront=bool(profile and profile.remits_tax),
    )


def _fees(channel: Channel, profile: FeeProfile | None, on: dt.date, scale: Fraction) -> tuple[FeeTerms, ...]:
    if profile is None:
        return ()
    fees = (_fee(fee, channel, scale) for fee in profile.fees if fee.counts_on(on))
    return tuple(fee for fee in fees if fee.share)  # a fee with a share of 0 never occurs


def _fee(fee: Fee, channel: Channel, scale: Fraction) -> FeeTerms:
    share = channel.fee_shares.get(fee.name, fee.share)
    tiers = [
        TierTerms(
            up_to=None if tier.up_to is None else tier.up_to * scale,
            percent=tier.percent,
            fixed=(tier.fixed or ZERO) * scale,
        )
        for tier in fee.tiers
    ]
    if fee.percent is not None:
        tiers = [TierTerms(up_to=None, percent=fee.percent)]
    spread = Fraction(1)
    if fee.per == "listing" and fee.listings_per_order is not None:
        spread = fee.listings_per_order
    if fee.per == "month":
        spread = 1 / (channel.orders_per_month or Fraction(1))
    return FeeTerms(
        name=fee.name,
        per=fee.per,
        base=fee.base,
        tiers=tuple(tiers),
        whole=fee.tier_kind == "whole" and fee.percent is None,
        fixed=(fee.fixed or ZERO) * scale,
        minimum=None if fee.minimum is None else fee.minimum * scale,
        cap=None if fee.cap is None else fee.cap * scale,
        share=Fraction(1) if share is None else share,
        tax=fee.tax or ZERO,
        spread=spread,
        kept="kept" if fee.per == "month" else fee.on_refund,
        kept_fixed=(fee.kept_fixed or ZERO) * scale,
        kept_percent=fee.kept_percent or ZERO,
        kept_cap=None if fee.kept_cap is None else fee.kept_cap * scale,
    )


def _outcomes(book: Book, ask: Ask, worth: Fraction, m: Arithmetic) -> OutcomeTerms:
    shop, product, channel = book.shop, book.products[ask.product], book.shop.channels[ask.channel]
    returns = merged(product.returns, channel.returns, shop.returns)
    breakage = merged(product.breakage, channel.breakage, shop.breakage)
    return_label = None
    if returns.label_cost is not None:
        # Charged by the carrier in the shop's currency, so rounded there; conversion does not round.
        scale = 10 ** minor_digits(shop.currency)
        return_label = m.rounded(returns.label_cost * scale, USUAL_ROUNDING) * Fraction(1, scale) * worth
    return OutcomeTerms(
        return_rate=returns.rate or ZERO,
        refund_shipping=bool(returns.refund_shipping),
        shop_pays_return_label=returns.label_paid_by != "buyer",
        return_label=return_label,
        resellable=returns.resellable or ZERO,
        refurbish=(returns.refurbish_cost or ZERO) * worth,
        damage_rate=breakage.rate or ZERO,
        replaces=breakage.remedy == "replace",
        recovered=breakage.recovered or ZERO,
    )
