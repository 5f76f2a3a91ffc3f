"""What one carrier service charges, as `rate_cards/*.toml` says it. Bare numbers are in the card's own units."""

import datetime as dt
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


PricedBy = Literal["weight", "volume"]
RatePer = Literal["parcel", "weight"]
Breaks = dict[Name, tuple[tuple[AboveZero, Money], ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The heaviest and largest parcel that is carried; at a limit, and within the tolerance of it, is carried."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    weight: Grams | None = None
    length: Millimetres | None = None
    length_plus_girth: Millimetres | None = None
    sum_of_sides: Millimetres | None = None
    fits: tuple[Millimetres, Millimetres, Millimetres] | None = None
    tolerance: Millimetres | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Divisor:
    """A divisor of the volumetric weight that holds up to and with a volume; the last goes on without end."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    up_to: AboveZero | None = None
    divisor: AboveZero


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightStep:
    """A step to which weights are rounded up, up to and with a weight; the last goes on without end."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    up_to: AboveZero | None = None
    step: AboveZero


@dataclass(frozen=True, slots=True, kw_only=True)
class Surcharge:
    """An extra charge `when` something is strictly `over`, or `at_least` at, a limit in the card's units.

    It may hold for some zones only, belong to a group of which one applies, and set a least billable weight.
    """

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    name: Name
    when: When
    over: Plain | None = None
    at_least: Plain | None = None
    zones: tuple[Name, ...] = ()
    group: Name | None = None
    amount: Money | None = None
    percent: Markup | None = None
    minimum_billable: AboveZero | None = None
    fuelled: YesNo = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Insurance:
    """A premium per started `step` of declared value above `free_cover`, or by a list of values and what they cost.

    With `values` each pair is a declared value and the premium up to and with it; past the last the steps go on.
    """

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    free_cover: Money | None = None
    values: tuple[tuple[AboveZero, Money], ...] = ()
    step: AboveZero
    price_per_step: Money
    minimum: Money | None = None
    fixed_value: Money | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """What the card says differently from a day on, or until one; a key left out stays as the card has it."""

    # `from` is a word of Python's own; the file's key is the field's name without the underscore.
    __pydantic_config__ = {"extra": "forbid", "alias_generator": lambda name: name.rstrip("_")}  # noqa: RUF012

    from_: Day | None = None
    until: Day | None = None
    source: str | None = None
    size_rounding: SizeRounding | None = None
    size_step: AboveZero | None = None
    volumetric_divisor: AboveZero | None = None
    volumetric_divisors: tuple[Divisor, ...] | None = None
    volumetric_above: Plain | None = None
    irregular_factor: AboveZero | None = None
    weight_step: AboveZero | None = None
    weight_steps: tuple[WeightStep, ...] | None = None
    heaviest_billable: AboveZero | None = None
    rates: Breaks | None = None
    rates_table: Name | None = None
    minimum_charge: Money | None = None
    further_step: AboveZero | None = None
    further_step_price: Money | None = None
    limits: Limits | None = None
    tube_limits: Limits | None = None
    surcharges: tuple[Surcharge, ...] | None = None
    fuel: Markup | None = None
    fuel_index: Plain | None = None
    fuel_table: tuple[tuple[Plain, Markup], ...] | None = None
    insurance: Insurance | None = None

    def holds_on(self, day: dt.date) -> bool:
        """Whether the edition holds on `day`: from its first day to its last, both included."""
        return (self.from_ is None or self.from_ <= day) and (self.until is None or day <= self.until)


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
    volumetric_divisors: tuple[Divisor, ...] = ()
    volumetric_above: Plain | None = None
    irregular_factor: AboveZero | None = None
    weight_step: AboveZero | None = None
    weight_steps: tuple[WeightStep, ...] = ()
    heaviest_billable: AboveZero | None = None
    priced_by: PricedBy = "weight"
    volume_unit: AboveZero | None = None
    rates: Breaks = field(default_factory=dict)
    rates_table: Name | None = None
    rate_per: RatePer = "parcel"
    minimum_charge: Money | None = None
    next_break_if_cheaper: YesNo = False
    further_step: AboveZero | None = None
    further_step_price: Money | None = None
    limits: Limits = field(default_factory=Limits)
    tube_limits: Limits | None = None
    surcharges: tuple[Surcharge, ...] = ()
    groups: dict[Name, Literal["dearest", "first"]] = field(default_factory=dict)
    fuel: Markup | None = None
    fuel_index: Plain | None = None
    fuel_table: tuple[tuple[Plain, Markup], ...] = ()
    fuel_on_rate: YesNo = True
    insurance: Insurance | None = None
    editions: tuple[Edition, ...] = ()
