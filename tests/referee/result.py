"""The search over every allowed price, and the result in the format of the worked cases."""

from fractions import Fraction
from typing import NamedTuple

from .channel import Channel, Totals, ZoneView, allowed_prices, read_channel, wanted
from .cost import cost_result, read_cost
from .exact import JsonDict, amount, amount_or_none, decimal_text

MEASURES = ("margin", "markup", "profit_per_unit", "profit_per_machine_hour", "profit_per_labour_hour")


class Found(NamedTuple):
    """What trying every allowed price has found."""

    lowest: Fraction | None
    safe_floor: Fraction | None
    traps: list[tuple[Fraction, Fraction]]
    best: tuple[Fraction, Fraction] | None


def referee(case: JsonDict) -> JsonDict:
    """Answer a case: its cost and, for every channel, the prices and ledgers."""
    cost = read_cost(case["cost"])
    channels = [_channel_result(read_channel(case, source, cost)) for source in case["channels"]]
    return {"about": case["about"], "cost": cost_result(cost), "channels": channels}


def search(channel: Channel, prices: list[Fraction]) -> Found:
    """Try every price, from the lowest to the highest."""
    want = wanted(channel.target)
    lowest = floor = None
    traps: list[tuple[Fraction, Fraction]] = []
    best: tuple[Fraction, Fraction] | None = None
    before_failed = True
    for price in prices:
        totals = channel.target_totals(channel.zones_at(price))
        value = channel.measure(channel.target["measure"], totals)
        if value is not None and (best is None or value > best[0]):
            best = (value, price)
        failed = value is None or value < want
        if not failed and before_failed:
            floor = price
            lowest = price if lowest is None else lowest
        elif failed and lowest is not None:
            traps = [*traps[:-1], (traps[-1][0], price)] if before_failed else [*traps, (price, price)]
        before_failed = failed
    return Found(lowest, None if before_failed else floor, traps, best)


def _channel_result(channel: Channel) -> JsonDict:
    result: JsonDict = {
        "channel": channel.name,
        "currency": channel.currency,
        "refused_services": channel.refused,
    }
    if not channel.carried:
        return {**result, "status": "not_carried"}
    prices = allowed_prices(channel)
    if not prices:
        return {**result, "status": "no_allowed_price"}
    found = search(channel, prices)
    result |= {
        "status": "unreachable" if found.lowest is None else "solved",
        "allowed_prices": len(prices),
        "lowest_price": amount_or_none(found.lowest),
        "safe_floor": amount_or_none(found.safe_floor),
        "wanted": amount(wanted(channel.target)),
        "traps": [[decimal_text(first), decimal_text(last)] for first, last in found.traps],
    }
    if found.best is not None:
        measure, best_price = found.best
        result["best_reachable"] = {"measure": amount(measure), "price": amount(best_price)}
        result["ledger"] = _ledger(channel, best_price if found.lowest is None else found.lowest)
        if found.lowest is None:
            result["in_the_way_as_share_of_net_sales"] = _in_the_way(channel, best_price)
    return {**result, "ledgers": [_ledger(channel, Fraction(price)) for price in channel.evaluate_at]}


def _in_the_way(channel: Channel, price: Fraction) -> JsonDict | None:
    """What is taken from the net sales at the best price, in the case in which the target is held."""
    totals = channel.target_totals(channel.zones_at(price))
    if totals.net_sales <= 0:
        return None
    parts = {"fees": totals.fees, "labels": totals.labels, "goods": totals.goods, "set_asides": totals.set_asides}
    return {name: amount(part / totals.net_sales) for name, part in parts.items()}


def _ledger(channel: Channel, price: Fraction) -> JsonDict:
    views = channel.zones_at(price)
    return {
        "price": amount(price),
        "discounts": [amount(discount) for discount in channel.terms.basket(price).discounts],
        "zones": [_zone(view) for view in views],
        "expected": {
            **_totals(channel, channel.expected(views)),
            "contribution": amount(channel.contribution(views)),
        },
        "worst": {"zone": (worst := channel.worst(views)).zone, **_totals(channel, worst)},
    }


def _totals(channel: Channel, totals: Totals) -> JsonDict:
    money = {name: amount(value) for name, value in totals._asdict().items() if name != "zone"}
    return {**money, **{name: amount_or_none(channel.measure(name, totals)) for name in MEASURES}}


def _zone(view: ZoneView) -> JsonDict:
    label = view.label
    return {
        "zone": view.zone.name,
        "share": str(view.zone.share),
        "label": {
            "service": label.service,
            "rate": amount(label.rate),
            "surcharges": {name: amount(value) for name, value in label.surcharges.items()},
            "fuel": amount(label.fuel),
            "insurance": amount(label.insurance),
            "label_cost": amount(label.cost),
        },
        "buyer": {name: amount(value) for name, value in view.bill._asdict().items()},
        "fees": [
            {
                "name": billed.fee.name,
                "share": str(billed.fee.share),
                "expected_amount": amount(billed.expected.amount),
                "expected_tax": amount(billed.expected.tax),
                "expected_kept_on_refund": amount(billed.expected.kept),
                "expected_tax_kept": amount(billed.expected.tax_kept),
            }
            for billed in view.fees
        ],
        "outcomes": [
            {
                "outcome": outcome.name,
                "probability": str(outcome.probability),
                **{name: amount(value) for name, value in zip(outcome._fields[2:], outcome[2:], strict=True)},
            }
            for outcome in view.outcomes
        ],
    }
