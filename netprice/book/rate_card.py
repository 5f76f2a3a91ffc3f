"""What one carrier service charges, as `rate_cards/*.toml` says it. Bare numbers are in the card's own units."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from netprice.book.kinds import AboveZero, Currency, Day, Grams, Markup, Millimetres, Money, Name, Plain, YesNo
from netprice.money import Rounding

LengthUnit = Literal["mm", "cm", "in"]
WeightUnit = Literal["g", "kg", "oz", "lb"]
SizeRounding = Literal["none", "up", "nearest", "down"]
When = Literal[
    "always",
    "residential",
    "length",
    "second_side",
    "girth",
    "length_plus_girth",
    "volume",
    "actual_weight",
    "billable_weight",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The heaviest and largest parcel that is carried; at a limit is carried."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    weight: Grams | None = None
    length: Millimetres | None = None
    length_plus_girth: Millimetres | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Surcharge:
    """An extra charge `when` something is strictly `over` a limit (in the card's units): an amount or a percent."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    name: Name
    when: When
    over: Plain | None = None
    amount: Money | None = None
    percent: Markup | None = None
    fuelled: YesNo = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Insurance:
    """A premium per started `step` of declared value above `free_cover`."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    free_cover: Money | None = None
    step: AboveZero
    price_per_step: Money
    minimum: Money | None = None
    fixed_value: Money | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RateCard:
    """One carrier service: how a parcel is measured, what it costs by zone and weight, and what comes on top."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    name: Name
    about: str = ""
    source: str = ""
    checked: Day | None = None
    currency: Currency | None = None
    rounding: Rounding = "half-up"
    length_unit: LengthUnit
    weight_unit: WeightUnit
    size_rounding: SizeRounding = "none"
    size_step: AboveZero | None = None
    volumetric_divisor: AboveZero | None = None
    volumetric_above: Plain | None = None
    weight_step: AboveZero
    rates: dict[Name, tuple[tuple[AboveZero, Money], ...]]
    further_step: AboveZero | None = None
    further_step_price: Money | None = None
    limits: Limits = field(default_factory=Limits)
    surcharges: tuple[Surcharge, ...] = ()
    fuel: Markup | None = None
    insurance: Insurance | None = None
