"""Channels side by side: at their own prices, at one price, and the order volumes at which the better one changes."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations, pairwise
from typing import NamedTuple

from .channel import Channel
from .exact import ZERO, JsonDict, amount, amount_or_none, decimal_text, optional
from .greatest import meets


class Standing(NamedTuple):
    """What a channel earns at a price."""

    channel: Channel
    price: Fraction
    per_order: Fraction
    fees_per_month: Fraction

    def profit_per_month(self, orders: Fraction) -> Fraction:
        """Profit of a month with so many orders."""
        return orders * self.per_order - self.fees_per_month

    @property
    def in_shop_currency(self) -> "Standing":
        """The same in the shop's currency, in which channels are compared."""
        rate = self.channel.exchange_rate
        return self._replace(per_order=self.per_order / rate, fees_per_month=self.fees_per_month / rate)


def comparison_result(
    asked: JsonDict, channels: list[Channel], own: list[Fraction | None], met: list[set[Fraction]]
) -> JsonDict:
    """Compare channels with their own prices (None: out of reach) and all the allowed prices that meet their targets.

    There is one price for all of them only where they sell in one currency.
    """
    result: JsonDict = {"own_prices": _side_by_side(channels, own)}
    if len({channel.currency for channel in channels}) > 1:
        return result
    all_meet = set.intersection(*met)
    single = min(all_meet, default=None)
    result["lowest_single_price"] = amount_or_none(single)
    if single is not None:
        result["at_lowest_single_price"] = _side_by_side(channels, [single] * len(channels))
    common = optional(asked, "common_price")
    if common is not None:
        result["at_common_price"] = _side_by_side(channels, [common] * len(channels))
    return result


def _side_by_side(channels: list[Channel], prices: Sequence[Fraction | None]) -> JsonDict:
    standings = [
        None if price is None or not channel.carried else _standing(channel, price)
        for channel, price in zip(channels, prices, strict=True)
    ]
    rows = [_row(channel, standing) for channel, standing in zip(channels, standings, strict=True)]
    return {
        "channels": rows,
        "changes_of_best_channel": _changes(
            [standing.in_shop_currency for standing in standings if standing is not None]
        ),
    }


def _standing(channel: Channel, price: Fraction) -> Standing:
    views = channel.zones_at(price)
    monthly = channel.monthly_fees(views)
    per_order = channel.expected(views).profit + monthly
    return Standing(channel, price, per_order, monthly * (channel.orders_per_month or ZERO))


def _row(channel: Channel, standing: Standing | None) -> JsonDict:
    if standing is None:
        return {"channel": channel.name, "price": None, "meets_target": False}
    orders = channel.orders_per_month
    return {
        "channel": channel.name,
        "price": amount(standing.price),
        "orders_per_month": None if orders is None else str(orders),
        "profit_per_order_without_month_fees": amount(standing.per_order),
        "fees_per_month": amount(standing.fees_per_month),
        "profit_per_month": None if orders is None else amount(standing.profit_per_month(orders)),
        "meets_target": meets(channel, standing.price),
    }


def _changes(standings: list[Standing]) -> list[JsonDict]:
    """The volumes where the two best channels are level, found by looking between all volumes where any two are."""
    level = set()
    for one, other in combinations(standings, 2):
        if one.per_order != other.per_order:
            level.add((one.fees_per_month - other.fees_per_month) / (one.per_order - other.per_order))
    volumes = sorted(volume for volume in level if volume > 0)
    if not volumes:
        return []
    edges = [ZERO, *volumes, volumes[-1] * 2]
    best = [_best(standings, (low + high) / 2) for low, high in pairwise(edges)]
    return [
        {
            "orders_per_month": str(volume),
            "orders_decimal": decimal_text(volume),
            "best_below": below,
            "best_above": above,
        }
        for volume, (below, above) in zip(volumes, pairwise(best), strict=True)
        if below != above
    ]


def _best(standings: list[Standing], orders: Fraction) -> str:
    """The channel with the highest profit a month; the first of equals."""
    return max(standings, key=lambda standing: standing.profit_per_month(orders)).channel.name
