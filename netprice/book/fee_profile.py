"""What one storefront takes, as `fee_profiles/*.toml` says it."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from netprice.book.kinds import Charged, Currency, Day, Name, Percent, Plain, Share, YesNo
from netprice.money import Rounding

Base = Literal["goods", "gross", "goods+shipping", "order", "buyer_total", "net_sales", "payout"]
Per = Literal["order", "unit", "listing", "month"]
TierKind = Literal["bracket", "whole"]
OnRefund = Literal["kept", "returned", "partly"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """One tier of a fee: `percent` up to and with `up_to` (none in the last), and a fixed amount of its own."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    up_to: Charged | None = None
    percent: Percent
    fixed: Charged | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fee:
    """One fee: a percent (single or by tiers) of a base, plus a fixed amount, within a minimum and a cap."""

    # `from` is a word of Python's own; the file's key is the field's name without the underscore.
    __pydantic_config__ = {"extra": "forbid", "alias_generator": lambda name: name.rstrip("_")}  # noqa: RUF012

    name: Name
    base: Base | None = None
    percent: Percent | None = None
    tier_kind: TierKind | None = None
    tiers: tuple[Tier, ...] = ()
    fixed: Charged | None = None
    minimum: Charged | None = None
    cap: Charged | None = None
    per: Per = "order"
    listings_per_order: Plain | None = None
    share: Share | None = None
    tax: Percent | None = None
    from_: Day | None = None
    until: Day | None = None
    on_refund: OnRefund = "kept"
    kept_fixed: Charged | None = None
    kept_percent: Percent | None = None
    kept_cap: Charged | None = None

    def counts_on(self, day: dt.date) -> bool:
        """Whether the fee is taken on `day`: from its first day to its last, both included."""
        return (self.from_ is None or self.from_ <= day) and (self.until is None or day <= self.until)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeProfile:
    """One storefront's fee schedule."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    name: Name
    about: str = ""
    source: str = ""
    checked: Day | None = None
    currency: Currency
    rounding: Rounding = "half-up"
    remits_tax: YesNo = False
    fees: tuple[Fee, ...] = ()
