"""What giving units away costs, and how many extra sales win it back."""

from dataclasses import replace
from fractions import Fraction

from .chances import binomial_at_least, chance_text, poisson_at_least
from .channel import Channel
from .cost import Cost
from .exact import ZERO, JsonDict, amount, amount_or_none, ceiling, field, number


def giveaway_result(asked: JsonDict, channel: Channel, cost: Cost, price: Fraction | None) -> JsonDict:
    """Answer the giveaway question for a channel at a price."""
    if price is None:
        return {"price": None}
    shipped = _shipped(channel, price)
    rate = channel.exchange_rate
    full = (cost.unit + cost.order) * rate + shipped
    bare = full - (cost.unit_overhead + cost.order_overhead) * rate
    lost = _lost_profit(channel, price)
    # The same whichever way the profit is looked at.
    others = field(asked, "promotion_cost") * rate + int(asked.get("winners_refunded", 0)) * lost
    units = int(asked.get("units", 0))
    views = channel.zones_at(price)
    return {
        "price": amount_or_none(price),
        "cost": amount(units * full + others),
        "cost_of_one_shipped": amount(full),
        "lost_profit_of_one_refunded": amount(lost),
        "with_contribution": _extra_sales(asked, units * bare + others, channel.contribution(views)),
        "with_profit": _extra_sales(asked, units * full + others, channel.expected(views).profit),
    }


def _shipped(channel: Channel, price: Fraction) -> Fraction:
    """The expected label of a unit that is sent as an order of its own."""
    single = replace(channel, quantity=1, terms=replace(channel.terms, quantity=1))
    return sum((view.zone.share * view.label.cost for view in single.zones_at(price)), ZERO)


def _lost_profit(channel: Channel, price: Fraction) -> Fraction:
    """Profit of a delivered order less that of one refunded in full whose goods stay with the buyer."""
    delivered = refunded = net_sales = ZERO
    for view in channel.zones_at(price):
        share = view.zone.share
        spent = view.label.cost + channel.goods.units + channel.goods.order
        charged = sum((billed.expected.amount + billed.expected.tax for billed in view.fees), ZERO)
        kept = sum((billed.expected.kept + billed.expected.tax_kept for billed in view.fees), ZERO)
        net_sales += share * view.bill.net_sales
        delivered += share * (view.bill.net_sales - charged - spent)
        refunded += share * (ZERO - kept - spent)
    set_asides = (channel.reserves + channel.overhead_on_sales) * max(net_sales, ZERO)
    return delivered - set_asides - refunded


def _extra_sales(asked: JsonDict, cost: Fraction, per_order: Fraction) -> JsonDict:
    """The smallest number of extra sales that wins the cost back, and its chance."""
    needed: int | None = None
    if cost <= 0:
        needed = 0
    elif per_order > 0:
        needed = ceiling(cost / per_order)
    result: JsonDict = {"cost": amount(cost), "per_order": amount(per_order), "extra_sales_to_break_even": needed}
    if "expected_extra_sales" in asked:
        chance = ZERO if needed is None else poisson_at_least(needed, number(asked["expected_extra_sales"]))
        result["chance_poisson"] = chance_text(chance)
    if "people_reached" in asked:
        people, share = int(asked["people_reached"]), number(asked["conversion_share"])
        chance = ZERO if needed is None else binomial_at_least(needed, people, share)
        result["chance_binomial"] = chance_text(chance)
    return result
