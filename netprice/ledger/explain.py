"""The lines of an order, from what the buyer pays down to the profit, each with how it came about.

The lines are read off the same ledger that makes the totals, so a line and a total cannot disagree: they add up to the
expected profit exactly.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Literal, NamedTuple

from netprice.ledger.cost import CostLine
from netprice.ledger.fees import FeeLine
from netprice.ledger.order import OrderLedger, ZoneLedger, expected
from netprice.ledger.outcome import resale
from netprice.ledger.terms import FeeTerms, Terms
from netprice.money import show_exact, show_money

Group = Literal["sale", "fee", "shipping", "cost", "refund", "recovery", "set_aside"]
ZERO = Fraction(0)
TAX_PASSED_ON = "tax passed on"


class Line(NamedTuple):
    """One line: its expected amount in minor units, positive when money comes in, and how it came about."""

    group: Group
    name: str
    amount: Fraction
    how: str


def lines_of(ledger: OrderLedger) -> tuple[Line, ...]:
    """Return every line of the order; their amounts add up to the expected profit exactly."""
    parts = (_sale, _fees, _labels, _costs, _refunds, _recoveries, _set_asides)
    return tuple(line for part in parts for line in part(ledger) if line.amount or line.group in ("sale", "fee"))


def average(ledger: OrderLedger, of: str) -> Fraction:
    """Return the average over the zones of an amount of the sale, such as `shipping` or `buyer_total`."""
    return sum((zone.zone.share * Fraction(getattr(zone.sale, of)) for zone in ledger.zones), ZERO)


def average_order_cost(ledger: OrderLedger) -> Fraction:
    """Return C_order with the packing, over the zones."""
    return sum((zone.zone.share * Fraction(zone.order_cost) for zone in ledger.zones), ZERO)


def percent(share: Fraction) -> str:
    """Return a share as a percent in words, with at most four places.

    >>> percent(Fraction(13, 200))
    '6.5 %'
    """
    return f"{show_exact(share * 100, 4)} %"


def money(terms: Terms, minor: Fraction | int) -> str:
    """Return an amount with the digits of the channel's currency."""
    return show_money(minor, terms.digits)


def _sale(ledger: OrderLedger) -> Iterator[Line]:
    terms, sale = ledger.terms, ledger.zones[0].sale
    each = f"{terms.quantity} × {money(terms, ledger.price)}"
    yield Line(group="sale", name="goods at list price", amount=Fraction(sale.gross), how=each)
    left = sale.gross
    for discount, off in zip(terms.discounts, sale.discounts, strict=True):
        how = f"{percent(discount.percent)} of {money(terms, left)}" if discount.percent is not None else "an order"
        yield Line(group="sale", name="discount", amount=-Fraction(off), how=how)
        left -= off
    if terms.shipping.policy != "free":
        yield Line(group="sale", name="shipping charged", amount=average(ledger, "shipping"), how=_shipping_how(ledger))
    for extra in terms.extras:
        how = f"{extra.times} × {money(terms, extra.each)}" if extra.times > 1 else "an order"
        yield Line(group="sale", name=extra.name, amount=Fraction(extra.charge), how=how)
    if terms.tax.mode == "none":
        return
    tax = average(ledger, "tax")
    who = "remitted by the storefront" if terms.tax.remitted_by_storefront else "for the shop to remit"
    if terms.tax.mode == "on-top":
        yield Line(group="sale", name="tax on top", amount=tax, how=f"{percent(terms.tax.rate)} on what is taxed")
    inside = f"{percent(terms.tax.rate)} inside the price, {who}" if terms.tax.mode == "inside" else who
    yield Line(group="sale", name=TAX_PASSED_ON, amount=-tax, how=inside)


def _shipping_how(ledger: OrderLedger) -> str:
    terms, shipping = ledger.terms, ledger.terms.shipping
    if shipping.policy == "flat":
        return "flat charge"
    if shipping.policy == "free-from":
        return f"free from {money(terms, shipping.threshold)} of goods, else {money(terms, shipping.flat)}"
    first = "label cost" if shipping.policy == "label" else f"{percent(shipping.share)} of the label cost"
    if shipping.handling:
        first += f" + {money(terms, shipping.handling)} handling"
    return f"{first}: {by_zone(ledger, 'shipping')}"


def by_zone(ledger: OrderLedger, of: str) -> str:
    """Return an amount of the sale zone by zone: "near 9.80, far 12.40"."""
    shown = (f"{zone.zone.name} {money(ledger.terms, getattr(zone.sale, of))}" for zone in ledger.zones)
    return ", ".join(shown)


def _fees(ledger: OrderLedger) -> Iterator[Line]:
    for place, first in enumerate(ledger.zones[0].fees):
        amount = _average_fee(ledger, place, "amount")
        yield Line(group="fee", name=first.fee.name, amount=-amount, how=_fee_how(ledger, place, first))
        tax = _average_fee(ledger, place, "tax")
        if tax:
            how = f"{percent(first.fee.tax)} of the fee, not to be reclaimed"
            yield Line(group="fee", name=f"tax on {first.fee.name}", amount=-tax, how=how)


def _average_fee(ledger: OrderLedger, place: int, of: str) -> Fraction:
    return sum((zone.zone.share * Fraction(getattr(zone.fees[place].expected, of)) for zone in ledger.zones), ZERO)


def _fee_how(ledger: OrderLedger, place: int, first: FeeLine) -> str:
    terms, fee = ledger.terms, first.fee
    if fee.per == "listing":
        return f"{show_exact(fee.spread, 4)} × {money(terms, _charged(fee))} a listing"
    if fee.per == "month":
        return f"{money(terms, _charged(fee))} a month over {show_exact(1 / fee.spread, 4)} orders"
    words = _rate_words(terms, fee)
    if fee.base is not None:
        bases = {Fraction(zone.fees[place].base) for zone in ledger.zones}
        shown = f" {money(terms, bases.pop())}" if len(bases) == 1 else ", which differs by zone"
        words += f" of {fee.base.replace('_', ' ')}{shown}"
    if fee.fixed:
        words += f" + {money(terms, fee.fixed)}" if fee.base else f"{money(terms, fee.fixed)} an order"
    if fee.per == "unit":
        words += ", unit by unit"
    words += _bound(terms, fee, first)
    if fee.share != 1:
        words = f"on {percent(fee.share)} of orders: {words}"
    return words


def _charged(fee: FeeTerms) -> Fraction:
    return max(fee.fixed, fee.minimum or ZERO) if fee.cap is None else min(fee.fixed, fee.cap)


def _rate_words(terms: Terms, fee: FeeTerms) -> str:
    if not fee.tiers:
        return ""
    if len(fee.tiers) == 1:
        return percent(fee.tiers[0].percent)
    words = []
    for tier in fee.tiers:
        fixed = f" + {money(terms, tier.fixed)}" if tier.fixed else ""
        upto = f" up to {money(terms, tier.up_to)}" if tier.up_to is not None else " above"
        rate = "" if fixed and not tier.percent else percent(tier.percent)
        words.append(f"{rate}{fixed}{upto}".removeprefix(" + "))
    return ", ".join(words) + (", each on the whole," if fee.whole else ",")


def _bound(terms: Terms, fee: FeeTerms, line: FeeLine) -> str:
    """Say that the minimum or the cap is what decides the fee, where it is."""
    each = line.in_full.amount / (fee.spread * (terms.quantity if fee.per == "unit" else 1))
    if fee.cap is not None and each >= fee.cap:
        return f", capped at {money(terms, fee.cap)}"
    if fee.minimum is not None and each <= fee.minimum:
        return f", at least {money(terms, fee.minimum)}"
    return ""


def _labels(ledger: OrderLedger) -> Iterator[Line]:
    total = sum((zone.zone.share * Fraction(zone.label_cost) for zone in ledger.zones), ZERO)
    yield Line(group="shipping", name="label", amount=-total, how=_label_how(ledger))


def _label_how(ledger: OrderLedger) -> str:
    shown = [f"{zone.zone.name} {money(ledger.terms, zone.label_cost)} by {_services(zone)}" for zone in ledger.zones]
    same = {(zone.label_cost, _services(zone)) for zone in ledger.zones}
    if len(same) == 1:
        service = _services(ledger.zones[0])
        return "flat label cost" if service == "flat" else f"by {service}"
    return ", ".join(shown)


def _services(zone: ZoneLedger) -> str:
    names = [label.quote.service for label in zone.labels if label.quote]
    return " and ".join(dict.fromkeys(names)) + (f" ({len(names)} parcels)" if len(names) > 1 else "")


def _costs(ledger: OrderLedger) -> Iterator[Line]:
    lines = ledger.terms.stack.lines
    yield from (_cost(ledger.terms, line) for line in lines if line.kind != "overhead")
    yield from _packing(ledger)
    yield from (_cost(ledger.terms, line) for line in lines if line.kind == "overhead")


def _cost(terms: Terms, line: CostLine) -> Line:
    times = 1 if line.per_order else terms.quantity
    how = f"{times} × ({line.how})" if times > 1 else line.how
    return Line(group="cost", name=line.name, amount=-line.share * times * terms.worth, how=how)


def _packing(ledger: OrderLedger) -> Iterator[Line]:
    """Yield what packing adds, line by line, averaged over the zones where they are packed in different ways."""
    worth, sums, hows = ledger.terms.worth, dict[str, Fraction](), dict[str, str]()
    for zone in ledger.zones:
        for line in zone.packing.lines:
            sums[line.name] = sums.get(line.name, ZERO) + zone.zone.share * line.share
            hows[line.name] = line.how
    ways = {zone.packing.name for zone in ledger.zones}
    how = f", sent as {', '.join(f'{zone.packing.name} to {zone.zone.name}' for zone in ledger.zones)}"
    for name, share in sums.items():
        yield Line(group="cost", name=name, amount=-share * worth, how=hows[name] + (how if len(ways) > 1 else ""))


def _refunds(ledger: OrderLedger) -> Iterator[Line]:
    """Yield what returns and breakage take beyond an order that is delivered."""
    terms, ends = ledger.terms, ledger.terms.outcomes
    sums = dict.fromkeys(("refunded sales", "fees given back", "return labels", "replacement labels"), ZERO)
    for zone in ledger.zones:
        delivered = zone.outcomes[0]
        for outcome in zone.outcomes[1:]:
            weight = zone.zone.share * outcome.chance
            sums["refunded sales"] += weight * (outcome.net_sales - delivered.net_sales)
            sums["fees given back"] += weight * (delivered.fees - outcome.fees)
            name = "return labels" if outcome.name == "returned" else "replacement labels"
            sums[name] += weight * (delivered.labels - outcome.labels)
    returned, damaged = percent(ends.return_rate), percent(ends.damage_rate)
    causes = [f"{returned} of orders returned"] if ends.return_rate else []
    causes += [f"{damaged} of orders damaged"] if ends.damage_rate and not ends.replaces else []
    how = {
        "refunded sales": ", ".join(causes),
        "fees given back": "what the storefront does not keep on a refund",
        "return labels": f"on {returned} of orders",
        "replacement labels": f"on {damaged} of orders",
    }
    for name, amount in sums.items():
        yield Line(group="refund", name=name, amount=amount, how=how[name])
    if ends.replaces:
        new = ends.damage_rate * (terms.goods_cost + average_order_cost(ledger))
        yield Line(group="refund", name="replacement goods", amount=-new, how=f"{damaged} of orders made again")


def _recoveries(ledger: OrderLedger) -> Iterator[Line]:
    terms, ends = ledger.terms, ledger.terms.outcomes
    back = ends.return_rate * resale(terms, terms.goods_cost)
    how = f"{percent(ends.resellable)} of what comes back can be sold again"
    yield Line(
        group="recovery", name="goods resold", amount=back, how=how + (", less refurbishing" if ends.refurbish else "")
    )
    label = sum((zone.zone.share * Fraction(zone.label_cost) for zone in ledger.zones), ZERO)
    paid = ends.damage_rate * ends.recovered * (terms.goods_cost + average_order_cost(ledger) + label)
    how = f"{percent(ends.recovered)} of what a damaged order cost"
    yield Line(group="recovery", name="paid back for breakage", amount=paid, how=how)


def _set_asides(ledger: OrderLedger) -> Iterator[Line]:
    kept = max(Fraction(expected(ledger).net_sales), ZERO)
    for laid_by in ledger.terms.set_asides:
        how = f"{percent(laid_by.percent)} of net sales kept {money(ledger.terms, kept)}"
        yield Line(group="set_aside", name=laid_by.name, amount=-laid_by.percent * kept, how=how)
