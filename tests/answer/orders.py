"""Random orders of every kind, made straight from terms."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

from netprice.ledger.freight import Cover, Quote
from netprice.ledger.terms import FeeTerms, Terms, TierTerms, ZoneTerms
from netprice.money import ROUNDINGS
from tests.build import cover, ends, extra, fee, off, quoted, set_aside, shipping, tax, terms, zone

PERCENTS = st.sampled_from(["0 %", "1.9 %", "2.5 %", "6.5 %", "10 %", "12.75 %", "30 %"])
SHARES = st.sampled_from([Fraction(1), Fraction(1, 3), Fraction(1, 4), Fraction(2, 7)])
CENTS = st.integers(0, 60)
BASES = ("goods", "gross", "goods+shipping", "order", "buyer_total", "net_sales", "payout")
TARGETS = ["break-even", "margin 10 %", "margin 30 %", "margin 55 %", "markup 40 %", "profit 0.35", "profit 1.20"]


def some(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | values


@st.composite
def steps(draw: st.DrawFn) -> tuple[TierTerms, ...]:
    edges = draw(st.lists(st.integers(20, 400), min_size=1, max_size=2, unique=True).map(sorted))
    return tuple(
        TierTerms(up_to=None if edge is None else Fraction(edge), percent=Fraction(draw(st.integers(0, 30)), 100),
                  fixed=Fraction(draw(st.integers(0, 20))))
        for edge in (*edges, None)
    )  # fmt: skip


@st.composite
def fees(draw: st.DrawFn) -> FeeTerms:
    minimum = draw(some(CENTS))
    more: dict[str, Any] = {"minimum": minimum, "cap": draw(some(st.integers(minimum or 0, 90)))}
    if draw(st.booleans()):
        more |= {"tiers": draw(steps()), "whole": draw(st.booleans())}
    else:
        more["percent"] = draw(PERCENTS)
    per, base = draw(st.sampled_from(["order", "unit"])), draw(st.sampled_from(BASES))
    return fee(
        **more,
        per=per,
        base=base,
        fixed=draw(st.sampled_from([0, 25, Fraction(61, 2)])),
        share=draw(SHARES),
        tax=draw(st.sampled_from(["0 %", "19 %"])),
        kept=draw(st.sampled_from(["kept", "returned", "partly"])),
        kept_fixed=draw(CENTS),
        kept_percent=draw(PERCENTS),
        kept_cap=draw(some(CENTS)),
    )


@st.composite
def covers(draw: st.DrawFn) -> Cover:
    return cover(
        step=draw(st.integers(60, 200)),
        price=Fraction(draw(st.sampled_from([30, 80, 67])), 2),
        free=draw(st.sampled_from([0, 100, 150])),
        minimum=draw(st.integers(0, 50)),
        fixed_value=draw(some(st.integers(0, 400))),
    )


quotes = st.builds(
    lambda rate, insured, worth: quoted(rate, insured=insured, worth=worth),
    st.integers(0, 150),
    some(covers()),
    st.sampled_from([Fraction(1), Fraction(5, 4), Fraction(10, 11)]),
)


@st.composite
def zones(draw: st.DrawFn) -> tuple[ZoneTerms, ...]:
    def offers() -> list[Quote]:
        return draw(st.lists(quotes, min_size=1, max_size=3))

    if draw(st.booleans()):
        return (zone(*offers()),)
    share = draw(st.sampled_from([Fraction(1, 3), Fraction(1, 2), Fraction(9, 10)]))
    return zone(*offers(), name="near", share=share), zone(*offers(), name="far", share=1 - share)


discounts = st.builds(off, PERCENTS) | st.builds(lambda amount: off(amount=amount), CENTS)


@st.composite
def orders(draw: st.DrawFn) -> Terms:
    """Draw an order of one to three units that cost up to 3.00 each; every edge lies below 5.00 or so."""
    quantity = draw(st.integers(1, 3))
    policy = draw(st.sampled_from(["free", "flat", "free-from", "label", "label-share"]))
    return terms(
        quantity=quantity,
        cost=draw(st.fractions(0, 300, max_denominator=9)),
        order_cost=draw(st.sampled_from([0, 35])),
        rounding=draw(st.sampled_from(ROUNDINGS)),
        discounts=draw(st.lists(discounts, max_size=2)),
        shipping=shipping(
            policy,
            flat=draw(CENTS),
            threshold=draw(st.integers(50, 400)),
            handling=draw(CENTS),
            share=draw(SHARES),
        ),
        extras=[extra(20, times=quantity, taxed=draw(st.booleans()))] if draw(st.booleans()) else [],
        tax=tax(
            draw(st.sampled_from(["0 %", "8.25 %", "20 %"])),
            draw(st.sampled_from(["on-top", "inside", "none"])),
            on_shipping=draw(st.booleans()),
            rounded_per=draw(st.sampled_from(["order", "line", "unit"])),
            remitted=draw(st.booleans()),
        ),
        fees=draw(st.lists(fees(), max_size=3)),
        zones=draw(zones()),
        outcomes=ends(
            return_rate=draw(st.sampled_from([0, Fraction(1, 10)])),
            refund_shipping=draw(st.booleans()),
            resellable=draw(st.sampled_from([0, Fraction(3, 4)])),
            damage_rate=draw(st.sampled_from([0, Fraction(1, 20)])),
            replaces=draw(st.booleans()),
            recovered=draw(st.sampled_from([0, Fraction(4, 5)])),
        ),
        set_asides=[set_aside("3 %")] if draw(st.booleans()) else [],
    )  # fmt: skip


def dearest() -> Terms:
    """Return an order whose constant charges are rounded up: tax inside the price and inside a shipping charge."""
    return terms(
        cost=Fraction("3000.3"),
        rounding="up",
        tax=tax("5 %", "inside", on_shipping=True, rounded_per="line"),
        shipping=shipping("free-from", flat=589, threshold=100_000),
    )
