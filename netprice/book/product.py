"""What one product takes to make, as `products/*.toml` says it."""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from netprice.book.kinds import (
    AboveZero,
    Charged,
    Grams,
    Hours,
    Markup,
    Millimetres,
    Money,
    MoneyPerHour,
    Name,
    Orders,
    Plain,
    PriceEnding,
    PurchasePrice,
    Quantity,
    Share,
    TargetText,
    Whole,
    YesNo,
)

PaidPer = Literal["unit", "batch", "product", "good", "order"]
Case = Literal["expected", "worst"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """A batch starts `units_started`; `good_share` of them turns out good; `scrap_value` is what the rest brings in."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    units_started: AboveZero | None = None
    good_share: Share | None = None
    scrap_value: Money | None = None
    lifetime_units: AboveZero | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialLine:
    """Stuff used up: by quantity, or in pieces that are cut up. Price and so on come from the stock unless given."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    per: PaidPer = "unit"
    stock: Name | None = None
    price: PurchasePrice | None = None
    getting_cost: Money | None = None
    waste: Markup | None = None
    quantity: Quantity | None = None
    units_per_piece: AboveZero | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineLine:
    """Machine time, at the rate of the shop's machine of this name, of another one, or at a rate given here."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    per: PaidPer = "unit"
    time: Hours
    machine: Name | None = None
    rate: MoneyPerHour | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourLine:
    """Work by hand, at the rate of the shop's labour of this name, of another one, or at a rate given here."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    per: PaidPer = "unit"
    time: Hours
    paid_as: Name | None = None
    rate: MoneyPerHour | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoughtLine:
    """A part or a service that is bought in: price × count."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    per: PaidPer = "unit"
    price: Money
    count: Plain = Fraction(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Overhead:
    """One way of charging overhead: a percent of chosen lines, an amount an hour, or a month's total."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    percent: Markup | None = None
    of: tuple[Name, ...] = ()
    per_labour_hour: Money | None = None
    per_machine_hour: Money | None = None
    per_month: Money | None = None
    planned_units: AboveZero | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """One way of packing: outer size, empty weight, cost, packing time and the units it holds at most."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    length: Millimetres
    width: Millimetres
    height: Millimetres
    empty_weight: Grams | None = None
    shape: Literal["box", "tube", "irregular"] = "box"
    girth: Millimetres | None = None
    holds: Whole = 1
    at_least: Whole = 1
    cost: Money | None = None
    time: Hours | None = None
    paid_as: Name | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """The size of one unit as it goes into a box, its wrapping included."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    length: Millimetres
    width: Millimetres
    height: Millimetres


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A box on the shelf that any product may go in which fits: outer sides, and the room inside where it is less."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    length: Millimetres
    width: Millimetres
    height: Millimetres
    inside: tuple[Millimetres, Millimetres, Millimetres] | None = None
    empty_weight: Grams | None = None
    cost: Money | None = None
    time: Hours | None = None
    paid_as: Name | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Returns:
    """What happens when a buyer sends an order back. A key left out is taken from the channel, then from the shop."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    rate: Share | None = None
    refund_shipping: YesNo | None = None
    label_paid_by: Literal["shop", "buyer"] | None = None
    label_cost: Money | None = None
    resellable: Share | None = None
    refurbish_cost: Money | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Breakage:
    """What happens when an order is damaged or lost on the way. Keys left out come from the channel, then the shop."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    rate: Share | None = None
    remedy: Literal["refund", "replace"] | None = None
    recovered: Share | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """Which list prices are allowed, in the channel's currency, and the one in use today."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    step: Charged | None = None
    endings: tuple[PriceEnding, ...] | None = None
    lowest: Charged | None = None
    highest: Charged | None = None
    list_price: Charged | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """How many orders a month one channel could sell at most, and how many are promised at least."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    most: Orders | None = None
    at_least: Orders = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """One product: its batch, its cost lines by kind and name, its parcel, and where it differs from the shop."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    name: Name
    about: str = ""
    target: TargetText | None = None
    case: Case | None = None
    batch: Batch = field(default_factory=Batch)
    material: dict[Name, MaterialLine] = field(default_factory=dict)
    machine: dict[Name, MachineLine] = field(default_factory=dict)
    labour: dict[Name, LabourLine] = field(default_factory=dict)
    bought: dict[Name, BoughtLine] = field(default_factory=dict)
    overhead: dict[Name, Overhead] = field(default_factory=dict)
    weight: Grams | None = None
    size: Size | None = None
    packing: dict[Name, Packing] = field(default_factory=dict)
    returns: Returns = field(default_factory=Returns)
    breakage: Breakage = field(default_factory=Breakage)
    prices: Prices = field(default_factory=Prices)
    list_prices: dict[Name, Charged] = field(default_factory=dict)
    channels: tuple[Name, ...] | None = None
    demand: dict[Name, Demand] = field(default_factory=dict)
