"""What the storefront takes. Section 4 of the money model.

A fee is a percent (single, or by tiers) of a base, plus a fixed amount, kept within a minimum and a cap, rounded once.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from netprice.ledger.arithmetic import Arithmetic, Number
from netprice.ledger.sale import Sale
from netprice.ledger.terms import FeeTerms, Terms


class Charge(NamedTuple):
    """A fee of one order with its tax, and what of both is kept when the order is refunded."""

    amount: Number
    tax: Number
    kept: Number
    kept_tax: Number

    def times(self, share: Fraction) -> Charge:
        """Return the expected charge where only a share of the orders is hit."""
        if share == 1:
            return self
        return Charge(
            amount=self.amount * share,
            tax=self.tax * share,
            kept=self.kept * share,
            kept_tax=self.kept_tax * share,
        )

    def plus(self, other: Charge) -> Charge:
        """Return the sum of two charges."""
        return Charge(
            amount=self.amount + other.amount,
            tax=self.tax + other.tax,
            kept=self.kept + other.kept,
            kept_tax=self.kept_tax + other.kept_tax,
        )


class FeeLine(NamedTuple):
    """One fee on one order: expected over the orders that it hits, and in full as if it hit this one."""

    fee: FeeTerms
    base: Number
    expected: Charge
    in_full: Charge


def fees_of(terms: Terms, sold: Sale, m: Arithmetic) -> tuple[FeeLine, ...]:
    """Return every fee of an order, in the profile's order but those on the payout last, as they are worked out."""
    lines = []
    for fee in terms.fees:
        if fee.base != "payout":
            base = _base(fee, sold)
            full = charge(terms, fee, base, m)
            lines.append(FeeLine(fee=fee, base=base, expected=full.times(fee.share), in_full=full))
    on_payout = [fee for fee in terms.fees if fee.base == "payout"]
    if on_payout:
        patterns = tuple(_payouts(terms, sold, [line for line in lines if line.fee.in_payout]))
        lines += [_payout_line(terms, fee, patterns, m) for fee in on_payout]
    return tuple(lines)


def _base(fee: FeeTerms, sold: Sale) -> Number:
    match fee.base:
        case "goods":
            return sold.goods
        case "gross":
            return sold.gross
        case "goods+shipping":
            return sold.goods + sold.shipping
        case "order":
            return sold.goods + sold.shipping + sold.extras
        case "buyer_total":
            return sold.buyer_total
        case "net_sales":
            return sold.net_sales
        case _:
            return 0


def charge(terms: Terms, fee: FeeTerms, base: Number, m: Arithmetic) -> Charge:
    """Return the fee on a base in full, whatever its share; a base below zero counts as zero."""
    per_unit = fee.per == "unit"
    amount = _amount(fee, m.most(base * Fraction(1, terms.quantity) if per_unit else base, 0), m)
    amount = m.rounded(amount, terms.rounding)
    if per_unit:
        amount = amount * terms.quantity
    tax = m.rounded(amount * fee.tax, terms.rounding) if fee.tax else 0
    kept, kept_tax = amount, tax
    if fee.kept == "returned":
        kept = kept_tax = 0
    elif fee.kept == "partly" and (m.in_full or terms.outcomes.may_refund):
        kept = m.least(amount * fee.kept_percent + fee.kept_fixed, amount)
        kept = m.rounded(kept if fee.kept_cap is None else m.least(kept, fee.kept_cap), terms.rounding)
        kept_tax = m.rounded(kept * fee.tax, terms.rounding) if fee.tax else 0
    return Charge(amount=amount, tax=tax, kept=kept, kept_tax=kept_tax).times(fee.spread)


def _amount(fee: FeeTerms, base: Number, m: Arithmetic) -> Number:
    """Return percent part + fixed, within the minimum and the cap, unrounded."""
    amount: Number = fee.fixed
    if fee.whole:
        tier_amount: Number = 0
        for tier in reversed(fee.tiers):
            this = base * tier.percent + tier.fixed
            tier_amount = this if tier.up_to is None else m.choose(m.is_over(base, tier.up_to), tier_amount, this)
        amount = amount + tier_amount
    else:
        start: Fraction = Fraction(0)
        for tier in fee.tiers:
            in_tier = base - start if start else base
            if start:
                in_tier = m.most(in_tier, 0)
            if tier.up_to is not None:
                in_tier = m.least(in_tier, tier.up_to - start)
                start = tier.up_to
            amount = in_tier * tier.percent + amount
    if fee.minimum is not None:
        amount = m.most(amount, fee.minimum)
    return amount if fee.cap is None else m.least(amount, fee.cap)


def _payouts(terms: Terms, sold: Sale, before: list[FeeLine]) -> Iterator[tuple[Fraction, Number]]:
    """Yield each payout base and its chance: once with and once without every fee that hits a share of the orders.

    The first one has every fee in it.
    """
    payout = sold.buyer_total - sold.tax if terms.tax.remitted_by_storefront else sold.buyer_total
    shared = []
    for line in before:
        if line.fee.share == 1:
            payout = payout - line.in_full.amount - line.in_full.tax
        else:
            shared.append(line)
    for hit in product((True, False), repeat=len(shared)):
        chance, base = Fraction(1), payout
        for line, counts in zip(shared, hit, strict=True):
            chance *= line.fee.share if counts else 1 - line.fee.share
            if counts:
                base = base - line.in_full.amount - line.in_full.tax
        yield chance, base


def _payout_line(terms: Terms, fee: FeeTerms, patterns: tuple[tuple[Fraction, Number], ...], m: Arithmetic) -> FeeLine:
    in_full = charge(terms, fee, patterns[0][1], m)
    expected, expected_base = in_full.times(patterns[0][0]), patterns[0][1] * patterns[0][0]
    for chance, base in patterns[1:]:
        expected = expected.plus(charge(terms, fee, base, m).times(chance))
        expected_base = expected_base + base * chance
    return FeeLine(fee=fee, base=expected_base, expected=expected.times(fee.share), in_full=in_full)
