"""The selling channels side by side, as JSON."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from netprice.answer.channel_at import AtPrices, ChannelAt, deductions
from netprice.answer.compare import Comparison, OnePrice
from netprice.money import show_exact


def compare_json(answer: Comparison) -> dict[str, Any]:
    """Return the answer with every figure as an exact decimal string, in the channel's currency."""
    return {
        "product": answer.product,
        "currency": answer.currency,
        "quantity": answer.quantity,
        "channels": [
            {
                "channel": solution.channel,
                "currency": solution.currency,
                "status": solution.status,
                "lowest_price": _text(solution.lowest_price),
                "reason": solution.reason or None,
            }
            for solution in answer.solutions
        ],
        "prices_in_use": _at_json(answer.in_use),
        "own_prices": _at_json(answer.own),
        "one_price": [_one_price_json(group) for group in answer.one_price],
        "overhead_per_month": show_exact(answer.overhead_per_month),
        "monthly_profit": _number(answer.monthly_profit),
    }


def _one_price_json(group: OnePrice) -> dict[str, Any]:
    return {
        "currency": group.currency,
        "channels": list(group.channels),
        "lowest_single_price": _text(group.on_all),
        "ruled_out_by": list(group.without),
        "lowest_on_the_rest": _text(group.on_the_rest),
        "lowest_of_mix": _text(group.of_mix),
        "left_out_of_mix": list(group.left_out),
        "common_price": _text(group.common),
        "at_lowest_single_price": _at_json(group.at_on_all),
        "at_lowest_of_mix": _at_json(group.at_mix),
        "at_common_price": _at_json(group.at_common),
    }


def _at_json(at: AtPrices | None) -> dict[str, Any] | None:
    if at is None:
        return None
    return {
        "channels": [_channel_json(each) for each in at.channels],
        "best": at.best._asdict(),
        "best_with_few_orders": at.best_with_few_orders,
        "changes_of_best_channel": [
            {"orders_per_month": show_exact(orders), "best_below": below, "best_above": above}
            for orders, below, above in at.changes
        ],
    }


def _channel_json(each: ChannelAt) -> dict[str, Any]:
    shares, ledger = deductions(each.ledger), each.ledger
    return {
        "channel": each.channel,
        "currency": each.currency,
        "exchange_rate": show_exact(each.exchange_rate),
        "price": str(each.price),
        "meets_target": each.meets_target,
        "orders_per_month": _number(each.orders_per_month),
        "profit_per_order": show_exact(ledger.profit),
        "profit_per_order_without_month_fees": show_exact(each.profit_per_order_without_month_fees),
        "fees_per_month": show_exact(each.fees_per_month),
        "profit_per_month": _number(each.profit_per_month),
        "profit_per_machine_hour": _number(ledger.profit_per_machine_hour),
        "profit_per_labour_hour": _number(ledger.profit_per_labour_hour),
        "margin": _number(ledger.margin),
        "contribution": show_exact(ledger.contribution),
        "orders_to_cover": each.orders_to_cover._asdict(),
        "shares_of_what_buyers_pay": {name: show_exact(share) for name, share in shares._asdict().items()}
        if shares
        else None,
    }


def _text(price: Decimal | None) -> str | None:
    return None if price is None else str(price)


def _number(value: Fraction | None) -> str | None:
    return None if value is None else show_exact(value)
