"""What the buyer pays: discounts, shipping, extras, tax, and what a return gives back."""

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from .exact import ZERO, JsonDict, Money, field, number, percent


class Basket(NamedTuple):
    """The part of an order that is the same in every zone."""

    gross: Fraction
    discounts: list[Fraction]
    goods: Fraction


class Bill(NamedTuple):
    """What the buyer pays in one zone and gets back after a return."""

    gross: Fraction
    goods: Fraction
    shipping: Fraction
    extras: Fraction
    tax: Fraction
    buyer_total: Fraction
    net_sales: Fraction
    refunded_sales: Fraction
    refunded_tax: Fraction


@dataclass(frozen=True)
class Terms:
    """The terms of sale of a channel, read once."""

    money: Money
    quantity: int
    discounts: list[JsonDict]
    shipping: JsonDict
    extras: Fraction
    taxed_extras: Fraction
    tax_mode: str
    tax_rate: Fraction
    tax_on_shipping: bool
    tax_remitted_by_storefront: bool
    refund_shipping: bool

    def basket(self, price: Fraction) -> Basket:
        """Gross, discounts and goods total at a list price."""
        gross = price * self.quantity
        left = gross
        taken = []
        for entry in self.discounts:
            wanted = number(entry["amount"]) if "amount" in entry else percent(entry) * left
            taken.append(min(self.money.charge(wanted), left))
            left -= taken[-1]
        return Basket(gross, taken, left)

    def shipping_charge(self, goods: Fraction, label: Fraction) -> Fraction:
        """The shipping charged to the buyer; the label cost includes insurance."""
        kind = self.shipping["kind"]
        if kind == "free" or (kind == "free_from" and goods >= number(self.shipping["threshold"])):
            return ZERO
        if kind in ("flat", "free_from"):
            further = (self.quantity - 1) * field(self.shipping, "each_further")
            return self.money.charge(number(self.shipping["first"]) + further)
        if kind == "label_plus_handling":
            return self.money.charge(label + field(self.shipping, "handling"))
        if kind == "label_share":
            return self.money.charge(number(self.shipping["share"]) * label)
        raise ValueError(f"unknown shipping {kind!r}")

    def bill(self, basket: Basket, shipping: Fraction) -> Bill:
        """The buyer's bill for a basket and a shipping charge."""
        goods = basket.goods
        taxable = goods + self.taxed_extras
        taxed_shipping = shipping if self.tax_on_shipping else ZERO
        tax = self._tax(taxable + taxed_shipping)
        paid = goods + shipping + self.extras
        inside = self.tax_mode == "inside"
        total = paid if inside else paid + tax
        net = total - tax
        if self.refund_shipping:
            refunded, refunded_tax = net, tax
        else:
            refunded_tax = self._tax(taxable) if taxed_shipping else tax
            refunded = goods + self.extras - (refunded_tax if inside else ZERO)
        return Bill(basket.gross, goods, shipping, self.extras, tax, total, net, refunded, refunded_tax)

    def _tax(self, taxable: Fraction) -> Fraction:
        """Tax is rounded once, on the sum of what is taxed."""
        if self.tax_mode == "none":
            return ZERO
        return self.money.charge(taxable * self.tax_rate / (1 + (self.tax_rate if self.tax_mode == "inside" else 0)))


def read_terms(channel: JsonDict, money: Money, quantity: int) -> Terms:
    """Read the terms of sale of a channel."""
    tax = channel.get("tax", {})
    extras = taxed = ZERO
    for entry in channel.get("extras", []):
        each = money.charge(number(entry["amount"]))
        due = each * quantity if entry["per"] == "unit" else each
        extras += due
        taxed += due if entry.get("taxed", False) else ZERO
    return Terms(
        money=money,
        quantity=quantity,
        discounts=channel.get("discounts", []),
        shipping=channel.get("shipping", {"kind": "free"}),
        extras=extras,
        taxed_extras=taxed,
        tax_mode=tax.get("mode", "none"),
        tax_rate=percent(tax),
        tax_on_shipping=tax.get("on_shipping", False),
        tax_remitted_by_storefront=tax.get("remitted_by", "seller") == "storefront",
        refund_shipping=channel.get("outcomes", {}).get("refund_shipping", False),
    )
