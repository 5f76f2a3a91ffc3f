"""Everything that decides what an order comes to, except the price: one product on one channel on one day.

`Terms` is what the rules of an order work on. All amounts are in minor units of the channel's currency, already
converted and already rounded where they are stated amounts; shares and rates are exact fractions.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from netprice.book.fee_profile import Base, Per
from netprice.ledger.cost import CostLine, CostStack
from netprice.ledger.freight import Quote, Refusal
from netprice.money import Rounding


class TierTerms(NamedTuple):
    """One tier: the base up to which it goes (None: no end), its percent, and its own fixed amount."""

    up_to: Fraction | None
    percent: Fraction
    fixed: Fraction = Fraction(0)


class FeeTerms(NamedTuple):
    """One fee that counts on the day. A fee with a single percent has one tier without an end."""

    name: str
    per: Per
    base: Base | None
    tiers: tuple[TierTerms, ...]
    whole: bool
    fixed: Fraction
    minimum: Fraction | None
    cap: Fraction | None
    share: Fraction
    tax: Fraction
    spread: Fraction
    """What the charge is multiplied by to get to an order: listings an order, or 1 / orders a month; else 1."""
    kept: Literal["kept", "returned", "partly"]
    kept_fixed: Fraction
    kept_percent: Fraction
    kept_cap: Fraction | None

    @property
    def in_payout(self) -> bool:
        """Whether it is taken out of an order's payout before the fees that are charged on the payout."""
        return self.per in ("order", "unit") and self.base != "payout"


class DiscountTerms(NamedTuple):
    """A discount that the shop pays for: a percent of what is left, or an amount an order."""

    percent: Fraction | None
    amount: int


class ShippingTerms(NamedTuple):
    """What the buyer is charged: `flat` is the whole flat charge of the order."""

    policy: Literal["free", "flat", "free-from", "label", "label-share"]
    flat: int
    threshold: Fraction
    handling: Fraction
    share: Fraction

    @property
    def follows_label(self) -> bool:
        """Whether what the buyer pays depends on the label of the zone."""
        return self.policy in ("label", "label-share")


class ExtraTerms(NamedTuple):
    """A charge that the buyer adds: what it comes to for the order, and for one of its units if paid per unit."""

    name: str
    charge: int
    each: int
    times: int
    taxed: bool


class TaxTerms(NamedTuple):
    """The tax on what the buyer pays."""

    mode: Literal["on-top", "inside", "none"]
    rate: Fraction
    on_shipping: bool
    rounded_per: Literal["order", "line", "unit"]
    remitted_by_storefront: bool


class PackingTerms(NamedTuple):
    """One way to pack the order: per parcel its share of the declared value and the quotes for it.

    `lines` is what it adds to each order, overhead included; the rest are sums of them, money in minor units.
    """

    name: str
    parcels: tuple[tuple[Fraction, tuple[Quote, ...]], ...]
    boxes: tuple[int, ...] = ()
    """Which of the boxes that were tried it is made of, by their places."""
    names: tuple[str, ...] = ()
    """The packings it is made of, one name for each parcel."""
    lines: tuple[CostLine, ...] = ()
    cost: Fraction = Fraction(0)
    """The packaging and the work of packing: what is weighed against the label."""
    order_cost: Fraction = Fraction(0)
    """What joins C_order: `cost` and the overhead on it."""
    overhead: Fraction = Fraction(0)
    labour_hours: Fraction = Fraction(0)

    @property
    def follows_price(self) -> bool:
        """Whether the insurance of any parcel follows the price of the goods."""
        return any(offer.depends_on_price for _, quotes in self.parcels for offer in quotes)


class ZoneTerms(NamedTuple):
    """A zone, its share of the orders, and how the order travels there.

    Where insurance makes it a matter of the price which way to pack is the cheapest, `others` holds the other ways,
    after `packing` and in order: fewer parcels first, then as the file has them.
    """

    name: str
    share: Fraction
    packing: PackingTerms
    others: tuple[PackingTerms, ...] = ()


class OutcomeTerms(NamedTuple):
    """Returns and breakage. `return_label` is None where the zone's own label without insurance is used."""

    return_rate: Fraction
    refund_shipping: bool
    shop_pays_return_label: bool
    return_label: Fraction | None
    resellable: Fraction
    refurbish: Fraction
    damage_rate: Fraction
    replaces: bool
    recovered: Fraction

    @property
    def may_refund(self) -> bool:
        """Whether any order ends in a refund."""
        return bool(self.return_rate) or (bool(self.damage_rate) and not self.replaces)


class SetAsideTerms(NamedTuple):
    """A percent of net sales kept that is laid by."""

    name: str
    percent: Fraction
    is_overhead: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """One order of `quantity` units of a product on a channel on a day; everything but the price."""

    product: str
    channel: str
    currency: str
    digits: int
    rounding: Rounding
    quantity: int
    worth: Fraction
    """What one whole unit of the shop's currency is in minor units of the channel's."""
    stack: CostStack
    goods_cost: Fraction
    """q·C, in minor units."""
    order_cost: Fraction
    """C_order without packing, in minor units."""
    discounts: tuple[DiscountTerms, ...]
    shipping: ShippingTerms
    extras: tuple[ExtraTerms, ...]
    tax: TaxTerms
    fees: tuple[FeeTerms, ...]
    zones: tuple[ZoneTerms, ...]
    refusals: tuple[Refusal, ...]
    unreached: tuple[str, ...]
    """Zones with orders that no service carries: with any of them the channel cannot sell this product."""
    outcomes: OutcomeTerms
    set_asides: tuple[SetAsideTerms, ...]

    @property
    def follows_price(self) -> bool:
        """Whether insurance goes up with the price of the goods, in some way of packing the order."""
        return any(way.follows_price for zone in self.zones for way in (zone.packing, *zone.others))
