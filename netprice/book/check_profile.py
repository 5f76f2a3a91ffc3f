"""What must hold within a fee profile, beyond the kinds of its single values."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from itertools import pairwise

from netprice.book.fee_profile import Fee, FeeProfile, Tier
from netprice.book.mistakes import Mistake, Path, lacking
from netprice.money import show_exact


def check_profile(profile: FeeProfile) -> Iterator[Mistake]:
    """Give every mistake in a fee profile.

    >>> twice = Fee(name="Listing", per="listing")
    >>> [mistake.what for mistake in check_profile(FeeProfile(name="Fair", currency="USD", fees=(twice,)))]
    ['missing key: a fee per listing is a fixed amount']
    """
    for place, fee in enumerate(profile.fees):
        at = ("fees", place)
        if fee.per in ("listing", "month"):
            yield from _fixed_only(fee, at)
        else:
            yield from _percent_or_tiers(fee, at)
        yield from _tiers(fee, at)
        yield from _limits(fee, at)
        yield from _on_refund(fee, at)
    yield from _same_name(profile.fees)


def _fixed_only(fee: Fee, at: Path) -> Iterator[Mistake]:
    for key in ("percent", "tiers", "base", "tier_kind"):
        if getattr(fee, key):
            what = f"a fee per {fee.per} is a fixed amount only (got {key})"
            yield Mistake((*at, key), what, "take the key out, or charge the fee per order")
    if fee.fixed is None:
        yield lacking((*at, "fixed"), f"missing key: a fee per {fee.per} is a fixed amount", "add fixed = ...")


def _percent_or_tiers(fee: Fee, at: Path) -> Iterator[Mistake]:
    if fee.percent is not None and fee.tiers:
        yield Mistake((*at, "tiers"), "a percent and tiers in one fee (got both)", "keep one of the two")
    has_percent = fee.percent is not None or bool(fee.tiers)
    if not has_percent and fee.fixed is None:
        yield Mistake(at, "a fee that takes nothing", "give it a percent or tiers, with a base, or a fixed amount")
    if has_percent and fee.base is None:
        yield lacking((*at, "base"), "missing key: what the percent is taken of", "add a line such as base = 'goods'")
    if not has_percent and fee.base is not None:
        what = f"a base without a percent of it (got {fee.base!r})"
        yield lacking((*at, "base"), what, "add a percent or tiers, or take the base out")


def _tiers(fee: Fee, at: Path) -> Iterator[Mistake]:
    if fee.tiers and fee.tier_kind is None:
        mend = "add tier_kind = 'bracket' (each percent on its own slice) or 'whole' (one percent on everything)"
        yield lacking((*at, "tier_kind"), "missing key: how the tiers are meant", mend)
    if fee.tier_kind is not None and not fee.tiers and fee.per in ("order", "unit"):
        yield lacking((*at, "tier_kind"), f"no tiers for it (got {fee.tier_kind!r})", "add tiers, or take it out")
    for place, tier in enumerate(fee.tiers):
        here = (*at, "tiers", place)
        is_last = place == len(fee.tiers) - 1
        if is_last and tier.up_to is not None:
            what = f"the last tier has no end (got {show_exact(tier.up_to)})"
            yield Mistake((*here, "up_to"), what, "take up_to out of it, or add a tier after it")
        if not is_last and tier.up_to is None:
            yield lacking((*here, "up_to"), "missing key: every tier but the last has an end", "add up_to = ...")
        if tier.fixed is not None and fee.tier_kind == "bracket":
            what = f"a fixed amount in a bracket tier (got {show_exact(tier.fixed)})"
            yield Mistake((*here, "fixed"), what, "only 'whole' tiers have one; use the fee's own fixed")
    yield from _rising(fee.tiers, at)


def _rising(tiers: tuple[Tier, ...], at: Path) -> Iterator[Mistake]:
    for place, (one, next_one) in enumerate(pairwise(tiers), start=1):
        if one.up_to is not None and next_one.up_to is not None and next_one.up_to <= one.up_to:
            what = f"tiers that do not rise (got {show_exact(next_one.up_to)} after {show_exact(one.up_to)})"
            yield Mistake((*at, "tiers", place, "up_to"), what, "put the tiers in order, lowest first")


def _limits(fee: Fee, at: Path) -> Iterator[Mistake]:
    if fee.cap is not None and fee.minimum is not None and fee.cap < fee.minimum:
        what = f"a cap under the minimum (got {show_exact(fee.cap)} under {show_exact(fee.minimum)})"
        yield Mistake((*at, "cap"), what, "raise the cap or lower the minimum")
    if fee.from_ is not None and fee.until is not None and fee.from_ > fee.until:
        what = f"a last day before the first (got {fee.until} before {fee.from_})"
        yield Mistake((*at, "until"), what, "put the earlier day in from")
    if fee.listings_per_order is not None and fee.per != "listing":
        what = f"listings counted for a fee per {fee.per} (got {show_exact(fee.listings_per_order)})"
        yield lacking((*at, "listings_per_order"), what, "write per = 'listing', or take it out")


def _on_refund(fee: Fee, at: Path) -> Iterator[Mistake]:
    if fee.per == "month" and fee.on_refund != "kept":
        what = f"a fee per month is kept on a refund (got {fee.on_refund!r})"
        yield Mistake((*at, "on_refund"), what, "take it out, or write 'kept'")
    if fee.on_refund != "partly":
        for key in ("kept_fixed", "kept_percent", "kept_cap"):
            if getattr(fee, key) is not None:
                what = f"a part that is kept, but on_refund is {fee.on_refund!r} (got {key})"
                yield lacking((*at, key), what, "write on_refund = 'partly', or take it out")


def _same_name(fees: tuple[Fee, ...]) -> Iterator[Mistake]:
    """Two fees of one name are one fee that changed: no day may have both."""
    by_name: dict[str, list[tuple[dt.date, dt.date, int]]] = {}
    for place, fee in enumerate(fees):
        days = (fee.from_ or dt.date.min, fee.until or dt.date.max, place)
        by_name.setdefault(fee.name, []).append(days)
    for name, spans in by_name.items():
        latest = None
        for first, last, place in sorted(spans):
            if latest is not None and first <= latest:
                what = f"two fees of one name on the same day (got {name[:40]!r})"
                yield Mistake(("fees", place, "name"), what, "end the first with until, or name one differently")
            latest = max(last, latest or last)
