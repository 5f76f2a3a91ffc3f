"""What holds for the whole shop and for each selling channel, as `shop.toml` says it; and the whole folder together."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Literal

from netprice.book.fee_profile import FeeProfile
from netprice.book.kinds import (
    AboveZero,
    Charged,
    Currency,
    Hours,
    Kilowatts,
    Markup,
    Money,
    MoneyPerHour,
    MoneyPerKwh,
    Name,
    Percent,
    PurchasePrice,
    Share,
    TargetText,
    Whole,
    YesNo,
)
from netprice.book.product import Box, Breakage, Case, Overhead, Prices, Product, Returns
from netprice.book.rate_card import RateCard


@dataclass(frozen=True, slots=True, kw_only=True)
class Labour:
    """What an hour of one kind of work is paid, and how many of them there are in a month."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    rate: MoneyPerHour
    hours_per_month: Hours | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """What an hour of one machine costs, given or built up from what it takes; and its hours in a month."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    rate: MoneyPerHour | None = None
    purchase_price: Money | None = None
    resale_value: Money | None = None
    life: Hours | None = None
    power: Kilowatts | None = None
    load: Share | None = None
    tariff: MoneyPerKwh | None = None
    consumables: MoneyPerHour | None = None
    upkeep: MoneyPerHour | None = None
    attended: Share | None = None
    attended_by: Name | None = None
    hours_per_month: Hours | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A material on the shelf: what it is bought for, the cost of getting it, and the share that is wasted."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    price: PurchasePrice
    getting_cost: Money | None = None
    waste: Markup | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tax:
    """Sales tax or VAT on what the buyer pays: on top of the list price or inside it."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    mode: Literal["on-top", "inside", "none"]
    rate: Percent = Fraction(0)
    on_shipping: YesNo = False
    rounded_per: Literal["order", "line", "unit"] = "order"


@dataclass(frozen=True, slots=True, kw_only=True)
class Buyers:
    """Where the orders go and what tax the buyers pay."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    zones: dict[Name, Share] = field(default_factory=dict)
    residential: YesNo = False
    tax: Tax | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """How parcels travel: by the cheapest of some rate cards, by one that is named, or at one flat label cost."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    rate_cards: tuple[Name, ...] = ()
    service: Name | None = None
    label_cost: Money | None = None
    handed_over: YesNo = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """A percent of net sales kept that is laid by: a reserve, or overhead taken on sales."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    percent: Percent
    kind: Literal["reserve", "overhead"] = "reserve"


@dataclass(frozen=True, slots=True, kw_only=True)
class Discount:
    """A discount off the goods, a percent or an amount an order. What the storefront pays costs the shop nothing."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    percent: Percent | None = None
    amount: Charged | None = None
    paid_by: Literal["shop", "storefront"] = "shop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A charge that the buyer adds, such as gift wrap."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    amount: Charged
    per: Literal["unit", "order"] = "order"
    taxed: YesNo = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shipping:
    """What the buyer is charged for shipping."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    policy: Literal["free", "flat", "free-from", "label", "label-share"] = "free"
    first: Charged | None = None
    each_further: Charged | None = None
    threshold: Charged | None = None
    handling: Charged | None = None
    share: Share | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """One place to sell: its fee profile, shipping policy, orders a month, and where it differs from the shop."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    about: str = ""
    fee_profile: Name | None = None
    exchange_rate: AboveZero | None = None
    orders_per_month: AboveZero | None = None
    quantity: Whole | None = None
    shipping: Shipping = field(default_factory=Shipping)
    discounts: tuple[Discount, ...] = ()
    extras: dict[Name, Extra] = field(default_factory=dict)
    fee_shares: dict[Name, Share] = field(default_factory=dict)
    tax: Tax | None = None
    zones: dict[Name, Share] | None = None
    residential: YesNo | None = None
    delivery: Delivery | None = None
    returns: Returns = field(default_factory=Returns)
    breakage: Breakage = field(default_factory=Breakage)
    set_asides: dict[Name, SetAside] = field(default_factory=dict)
    target: TargetText | None = None
    case: Case | None = None
    prices: Prices = field(default_factory=Prices)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """Everything that `shop.toml` says."""

    __pydantic_config__ = {"extra": "forbid"}  # noqa: RUF012

    name: Name
    currency: Currency
    target: TargetText
    case: Case = "expected"
    prices: Prices = field(default_factory=Prices)
    labour: dict[Name, Labour] = field(default_factory=dict)
    machines: dict[Name, Machine] = field(default_factory=dict)
    stock: dict[Name, Stock] = field(default_factory=dict)
    overhead: dict[Name, Overhead] = field(default_factory=dict)
    buyers: Buyers = field(default_factory=Buyers)
    delivery: Delivery = field(default_factory=Delivery)
    boxes: dict[Name, Box] = field(default_factory=dict)
    returns: Returns = field(default_factory=Returns)
    breakage: Breakage = field(default_factory=Breakage)
    set_asides: dict[Name, SetAside] = field(default_factory=dict)
    channels: dict[Name, Channel]


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A whole shop folder. Products, profiles and cards are keyed by their file's name without `.toml`."""

    shop: Shop
    products: Mapping[str, Product]
    fee_profiles: Mapping[str, FeeProfile]
    rate_cards: Mapping[str, RateCard]
    written: Mapping[tuple[str, str], Mapping[str, Any]] = field(default_factory=dict)
    """The tables as they stand in the files, by kind and name: in which unit a number was written."""
