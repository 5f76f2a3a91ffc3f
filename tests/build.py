"""Small orders from a few keywords, for tests that need no files.

All amounts are in minor units, as they are in `Terms`. Everything left out is empty: no fees, no tax, no shipping, one
zone with a free label, every order delivered. What stands in a shop's book is made by `tests.build_book`.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from netprice.answer.goal import Goal
from netprice.answer.price import PriceAnswer, price
from netprice.answer.span import Span
from netprice.book.product import Case
from netprice.book.readers import read_target
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.cost import CostLine, CostStack
from netprice.ledger.freight import Cover, Quote
from netprice.ledger.order import OrderLedger, order_ledger
from netprice.ledger.sale import Sale, goods_of, sale
from netprice.ledger.terms import (
    DiscountTerms,
    ExtraTerms,
    FeeTerms,
    OutcomeTerms,
    PackingTerms,
    SetAsideTerms,
    ShippingTerms,
    TaxTerms,
    Terms,
    TierTerms,
    ZoneTerms,
)

Amount = int | str | Fraction


def frac(value: Amount) -> Fraction:
    """Return an exact number; percents may be written "6.5 %"."""
    if isinstance(value, str) and value.endswith("%"):
        return Fraction(value.rstrip(" %")) / 100
    return Fraction(value)


def maybe(value: Amount | None) -> Fraction | None:
    return None if value is None else frac(value)


# --- the terms of an order -------------------------------------------------------------------------------------------


def tiers(*steps: tuple[Amount | None, Amount] | tuple[Amount | None, Amount, Amount]) -> tuple[TierTerms, ...]:
    """Return tiers from (up to, percent[, fixed]); the last goes up to None."""
    return tuple(
        TierTerms(up_to=maybe(step[0]), percent=frac(step[1]), fixed=frac(step[2] if len(step) > 2 else 0))
        for step in steps
    )


def fee(percent: Amount | None = None, *, name: str = "fee", base: str | None = "goods", **more: Any) -> FeeTerms:
    """Return a fee; amounts in minor units."""
    given = more.pop("tiers", ())
    single = () if percent is None else tiers((None, percent))
    exact = {key: frac(more.pop(key, default)) for key, default in _FEE_NUMBERS.items()}
    return FeeTerms(
        name=name,
        per=more.pop("per", "order"),
        base=base if given or single else None,  # type: ignore[arg-type]
        tiers=given or single,
        whole=more.pop("whole", False),
        minimum=maybe(more.pop("minimum", None)),
        cap=maybe(more.pop("cap", None)),
        kept=more.pop("kept", "kept"),
        kept_cap=maybe(more.pop("kept_cap", None)),
        **exact,
        **more,
    )


_FEE_NUMBERS: dict[str, Amount] = {"fixed": 0, "share": 1, "tax": 0, "spread": 1, "kept_fixed": 0, "kept_percent": 0}


def off(percent: Amount | None = None, *, amount: int = 0) -> DiscountTerms:
    return DiscountTerms(percent=maybe(percent), amount=amount)


def shipping(policy: str = "free", *, flat: int = 0, **more: Amount) -> ShippingTerms:
    exact = {key: frac(more.pop(key, 0)) for key in ("threshold", "handling", "share")}
    return ShippingTerms(policy=policy, flat=flat, **exact, **more)  # type: ignore[arg-type]


def extra(each: int, *, times: int = 1, taxed: bool = False, name: str = "gift wrap") -> ExtraTerms:
    return ExtraTerms(name=name, charge=each * times, each=each, times=times, taxed=taxed)


def tax(rate: Amount = 0, mode: str = "on-top", **more: Any) -> TaxTerms:
    return TaxTerms(
        mode=mode,  # type: ignore[arg-type]
        rate=frac(rate),
        on_shipping=more.pop("on_shipping", False),
        rounded_per=more.pop("rounded_per", "order"),
        remitted_by_storefront=more.pop("remitted", False),
    )


NO_TAX = tax(mode="none")


def ends(**more: Any) -> OutcomeTerms:
    """Return how orders end: all delivered, unless said otherwise."""
    numbers = ("return_rate", "resellable", "refurbish", "damage_rate", "recovered")
    exact = {key: frac(more.pop(key, 0)) for key in numbers}
    return OutcomeTerms(
        refund_shipping=more.pop("refund_shipping", False),
        shop_pays_return_label=more.pop("shop_pays", True),
        return_label=maybe(more.pop("return_label", None)),
        replaces=more.pop("replaces", False),
        **exact,
        **more,
    )


def cover(*, step: Amount, price: Amount, **more: Any) -> Cover:
    return Cover(
        free=frac(more.pop("free", 0)),
        step=frac(step),
        price=frac(price),
        minimum=more.pop("minimum", 0),
        rounding=more.pop("rounding", "half-up"),
        fixed_value=maybe(more.pop("fixed_value", None)),
        **more,
    )


def quoted(rate: int, *, service: str = "post", insured: Cover | None = None, worth: Amount = 1) -> Quote:
    return Quote(service=service, rate=rate, surcharges=(), fuel=0, cover=insured, worth=frac(worth))


def zone(*quotes: Quote | int, name: str = "all", share: Amount = 1) -> ZoneTerms:
    """Return a zone to which one parcel travels with the cheapest of these quotes."""
    offers = tuple(quoted(each) if isinstance(each, int) else each for each in quotes)
    return ZoneTerms(name=name, share=frac(share), packing=PackingTerms(name="box", parcels=((Fraction(1), offers),)))


def terms(*, cost: Amount = 0, order_cost: Amount = 0, label: int = 0, **more: Any) -> Terms:
    """Return the terms of an order: `cost` of a unit, `order_cost` and `label` in minor units."""
    digits, quantity = more.pop("digits", 2), more.pop("quantity", 1)
    worth = Fraction(10**digits)
    lines = more.pop("lines", None)
    if lines is None:
        bought = ("made", "unit", frac(cost)), ("wrapped", "order", frac(order_cost))
        lines = [CostLine(name=n, kind="bought", per=per, share=amount / worth) for n, per, amount in bought if amount]  # type: ignore[arg-type]
    stack = CostStack(tuple(lines))
    fees = more.pop("fees", ())
    return Terms(
        product="vase",
        channel="fair",
        currency=more.pop("currency", "USD"),
        digits=digits,
        rounding=more.pop("rounding", "half-up"),
        quantity=quantity,
        worth=worth,
        stack=stack,
        goods_cost=quantity * stack.total(per_order=False) * worth,
        order_cost=stack.total(per_order=True) * worth,
        discounts=tuple(more.pop("discounts", ())),
        shipping=more.pop("shipping", shipping()),
        extras=tuple(more.pop("extras", ())),
        tax=more.pop("tax", NO_TAX),
        fees=(fees,) if isinstance(fees, FeeTerms) else tuple(fees),
        zones=tuple(more.pop("zones", None) or (zone(label),)),
        refusals=tuple(more.pop("refusals", ())),
        unreached=tuple(more.pop("unreached", ())),
        outcomes=more.pop("outcomes", ends()),
        set_asides=tuple(more.pop("set_asides", ())),
        **more,
    )


def set_aside(percent: Amount, *, overhead: bool = False) -> SetAsideTerms:
    return SetAsideTerms(name="laid by", percent=frac(percent), is_overhead=overhead)


def sold(order: Terms, price: int, label: int = 0) -> Sale:
    """Return what the buyer pays at a price, where the label costs `label`."""
    return sale(order, goods_of(order, price, EXACT), label, EXACT)


def ledger(price: int, **more: Any) -> OrderLedger:
    return order_ledger(terms(**more), price)


# --- questions -------------------------------------------------------------------------------------------------------


def span(lowest: int = 1, highest: int | None = None, *, step: int = 1, **more: Any) -> Span:
    """Return the allowed prices in minor units; `endings` are pairs of rest and modulus."""
    return Span(lowest=lowest, highest=highest, step=step, endings=tuple(more.pop("endings", ())), digits=2, **more)


def goal(order: Terms, target: str, case: Case = "expected") -> Goal:
    return Goal.of(read_target(target), case, order)


def priced(order: Terms, target: str, within: Span | None = None, case: Case = "expected") -> PriceAnswer:
    """Return the answer to: at which list price does this order leave the target?"""
    return price(order, goal(order, target, case), within or span())
