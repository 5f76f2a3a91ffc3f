"""Where a channel's orders go and who carries them: what the channel says, else what the shop says."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from netprice.book.shop import Channel, Delivery, Shop


class Route(NamedTuple):
    """How a channel delivers, the share of the orders that goes to each zone, and whether they go to homes."""

    delivery: Delivery
    zones: Mapping[str, Fraction]
    residential: bool

    @property
    def cards(self) -> tuple[str, ...]:
        """Return the rate cards that are asked: the one service that is named, else all."""
        return (self.delivery.service,) if self.delivery.service else self.delivery.rate_cards


def route_of(shop: Shop, channel: Channel) -> Route:
    """Return the channel's route; a shop that names no zones has one, called "all"."""
    zones = channel.zones if channel.zones is not None else shop.buyers.zones
    return Route(
        delivery=channel.delivery or shop.delivery,
        zones=zones or {"all": Fraction(1)},
        residential=shop.buyers.residential if channel.residential is None else channel.residential,
    )
