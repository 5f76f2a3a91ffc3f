"""The search over every allowed price, and the result in the format of the worked cases."""

from fractions import Fraction
from typing import NamedTuple

from .channel import Channel, Totals, ZoneView, allowed_prices, read_channel, wanted
from .comparison import comparison_result
from .cost import cost_result, read_cost
from .exact import JsonDict, amount, amount_or_none, decimal_text, optional
from .giveaway import giveaway_result
from .greatest import limit_result, refunds_result

MEASURES = ("margin", "markup", "profit_per_unit", "profit_per_machine_hour", "profit_per_labour_hour")


class Found(NamedTuple):
    """What trying every allowed price has found; `best` is the greatest measure and its price."""

    lowest: Fraction | None
    safe_floor: Fraction | None
    traps: list[tuple[Fraction, Fraction]]
    best: tuple[Fraction, Fraction] | None
    prices: list[Fraction]
    met: list[Fraction]


class Answered(NamedTuple):
    """A channel and what was found for it: nothing where it sells nothing."""

    channel: Channel
    found: Found | None

    @property
    def price(self) -> Fraction | None:
        """The lowest price, or the best one where the target is out of reach."""
        if self.found is None or self.found.lowest is not None:
            return None if self.found is None else self.found.lowest
        return None if self.found.best is None else self.found.best[1]

    def price_of(self, asked: JsonDict) -> Fraction | None:
        """The price at which a question is answered."""
        return optional(asked, "at_price") or self.price if self.channel.carried else None


def referee(case: JsonDict) -> JsonDict:
    """Answer a case: its cost, the prices and ledgers of every channel, and what else it asks."""
    cost = read_cost(case["cost"])
    answered = [_answered(read_channel(case, source, cost)) for source in case["channels"]]
    result = {
        "about": case["about"],
        "cost": cost_result(cost),
        "channels": [_channel_result(each) for each in answered],
    }
    for limit in case.get("limits", []):
        place = int(limit.get("channel", 0))
        result["channels"][place]["limits"].append(limit_result(case, limit, answered[place].price_of(limit)))
    if "giveaway" in case:
        asked = case["giveaway"]
        result["giveaway"] = giveaway_result(asked, answered[0].channel, cost, answered[0].price_of(asked))
    if "refunds" in case:
        result["refunds"] = refunds_result(case, answered[0].price_of(case["refunds"]))
    if "comparison" in case:
        result["comparison"] = comparison_result(
            case["comparison"],
            [each.channel for each in answered],
            [each.found.lowest if each.found else None for each in answered],
            [set(each.found.met) if each.found else set() for each in answered],
        )
    return result


def _answered(channel: Channel) -> Answered:
    prices = allowed_prices(channel) if channel.carried else []
    return Answered(channel, search(channel, prices) if prices else None)


def search(channel: Channel, prices: list[Fraction]) -> Found:
    """Try every price, from the lowest to the highest."""
    want = wanted(channel.target)
    lowest = floor = None
    traps: list[tuple[Fraction, Fraction]] = []
    best: tuple[Fraction, Fraction] | None = None
    met = []
    before_failed = True
    for price in prices:
        totals = channel.target_totals(channel.zones_at(price))
        value = channel.measure(channel.target["measure"], totals)
        if value is not None and (best is None or value > best[0]):
            best = (value, price)
        failed = value is None or value < want
        if not failed:
            met.append(price)
        if not failed and before_failed:
            floor = price
            lowest = price if lowest is None else lowest
        elif failed and lowest is not None:
            traps = [*traps[:-1], (traps[-1][0], price)] if before_failed else [*traps, (price, price)]
        before_failed = failed
    return Found(lowest, None if before_failed else floor, traps, best, prices, met)


def _channel_result(answered: Answered) -> JsonDict:
    channel, found = answered
    result: JsonDict = {
        "channel": channel.name,
        "currency": channel.currency,
        "refused_services": channel.refused,
    }
    if found is None:
        status = "no_allowed_price" if channel.carried else "not_carried"
        return {**result, "status": status, "limits": []}
    result |= {
        "status": "unreachable" if found.lowest is None else "solved",
        "allowed_prices": len(found.prices),
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
    return {**result, "ledgers": [_ledger(channel, Fraction(price)) for price in channel.evaluate_at], "limits": []}


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
