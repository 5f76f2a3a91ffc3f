"""What the buyer pays: goods, shipping, extras and tax. Section 3 of the money model.

gross G0 = p·q        discounts one after another, each rounded        goods G = G0 − D
on top:  X = round(rate × taxable),             B = G + S + E + X
inside:  X = round(taxable × rate / (1 + rate)), B = G + S + E            net sales R = B − X
"""

from __future__ import annotations

from typing import NamedTuple

from netprice.ledger.arithmetic import Arithmetic, Number
from netprice.ledger.terms import ShippingTerms, Terms


class Goods(NamedTuple):
    """The goods of an order at a price: before and after the discounts, and each discount."""

    gross: Number
    discounts: tuple[Number, ...]
    goods: Number


class Sale(NamedTuple):
    """What the buyer pays and what a refund gives back, in minor units."""

    gross: Number
    discounts: tuple[Number, ...]
    goods: Number
    shipping: Number
    extras: int
    tax: Number
    buyer_total: Number
    net_sales: Number
    refunded_sales: Number
    """Net sales given back on a return, without their tax."""
    refunded_tax: Number


def goods_of(terms: Terms, price: Number, m: Arithmetic) -> Goods:
    """Return the goods at `price` (minor units per unit) after discounts one after another, each rounded."""
    gross = left = price * terms.quantity
    discounts = []
    for discount in terms.discounts:
        off = m.rounded(left * discount.percent, terms.rounding) if discount.percent is not None else discount.amount
        discounts.append(m.least(off, left))
        left = left - discounts[-1]
    return Goods(gross=gross, discounts=tuple(discounts), goods=left)


def shipping_charged(terms: Terms, goods: Number, label_cost: Number, m: Arithmetic) -> Number:
    """Return what the buyer is charged for shipping. Extras and tax do not count towards a free-from total."""
    shipping: ShippingTerms = terms.shipping
    if shipping.policy == "flat":
        return shipping.flat
    if shipping.policy == "free-from":
        return m.choose(m.is_over(shipping.threshold, goods), shipping.flat, 0)
    if shipping.policy == "label":
        return m.rounded(label_cost + shipping.handling, terms.rounding)
    if shipping.policy == "label-share":
        return m.rounded(label_cost * shipping.share, terms.rounding)
    return 0


def sale(terms: Terms, bought: Goods, label_cost: Number, m: Arithmetic) -> Sale:
    """Return what the buyer pays for these goods where the label costs `label_cost`."""
    shipping = shipping_charged(terms, bought.goods, label_cost, m)
    extras = sum(extra.charge for extra in terms.extras)
    taxed_shipping = shipping if terms.tax.on_shipping else 0
    tax = _tax(terms, bought.goods, taxed_shipping, m)
    paid = bought.goods + shipping + extras
    on_top = terms.tax.mode == "on-top"
    # With S refunded the whole tax goes back; otherwise the tax on what is refunded, worked out anew.
    tax_back = tax if terms.outcomes.refund_shipping else _tax(terms, bought.goods, 0, m)
    back = paid if terms.outcomes.refund_shipping else bought.goods + extras
    return Sale(
        gross=bought.gross,
        discounts=bought.discounts,
        goods=bought.goods,
        shipping=shipping,
        extras=extras,
        tax=tax,
        buyer_total=paid + tax if on_top else paid,
        net_sales=paid if on_top else paid - tax,
        refunded_sales=back if on_top else back - tax_back,
        refunded_tax=tax_back,
    )


def _tax(terms: Terms, goods: Number, shipping: Number, m: Arithmetic) -> Number:
    """Return the tax on goods, shipping and taxed extras, rounded once per order, per line or per unit."""
    tax = terms.tax
    if tax.mode == "none" or tax.rate == 0:
        return 0
    rate = tax.rate if tax.mode == "on-top" else tax.rate / (1 + tax.rate)
    taxed = [extra for extra in terms.extras if extra.taxed]
    if tax.rounded_per == "order":
        return m.rounded((goods + shipping + sum(extra.charge for extra in taxed)) * rate, terms.rounding)
    each = terms.quantity if tax.rounded_per == "unit" else 1
    total = m.rounded(goods * (rate / each), terms.rounding) * each + m.rounded(shipping * rate, terms.rounding)
    for extra in taxed:
        times = extra.times if tax.rounded_per == "unit" else 1
        total = total + m.rounded(extra.charge * (rate / times), terms.rounding) * times
    return total
