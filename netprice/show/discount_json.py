"""How far a price can come down, and what a sale takes, as JSON."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from netprice.answer.discount import DiscountAnswer, Left, Room, Sale, Volume
from netprice.answer.goal import Goal
from netprice.answer.reach import Reach
from netprice.ledger.terms import Terms
from netprice.money import show_exact, show_money


def discount_json(answer: DiscountAnswer) -> dict[str, Any]:
    """Return the answer: shares as decimals, amounts with the currency's digits where they are charged."""
    terms, order = answer.terms, answer.order
    found: dict[str, Any] = {
        "product": terms.product,
        "channel": terms.channel,
        "currency": terms.currency,
        "quantity": terms.quantity,
        "target": target_json(answer.goal),
        "status": "refused" if order is None else "met" if answer.possible else "unreachable",
        "step": show_exact(answer.step),
    }
    if order is None:
        return found
    return found | {
        "list_price": charged_json(terms, order.list_price.minor),
        "price_is": order.list_price.source,
        "without_discount": _left_json(terms, order.now),
        "greatest": _room_json(terms, order.target),
        "break_even": _room_json(terms, order.break_even),
        "free_shipping": {
            "cost": amount_json(terms, order.sent_free.cost),
            "like_percent": share_json(order.sent_free.like),
            **_left_json(terms, order.sent_free.left),
        },
        "sale": None if order.sale is None else _sale_json(terms, order.sale),
    }


def target_json(goal: Goal) -> dict[str, str]:
    """Return the target that a discount is held against."""
    return {"kind": goal.target.kind, "amount": show_exact(goal.target.amount), "case": goal.case}


def share_json(share: Fraction | None) -> str | None:
    """Return a share as a decimal string."""
    return None if share is None else show_exact(share)


def amount_json(terms: Terms, minor: Fraction | None) -> str | None:
    """Return an average in whole units of the currency, exactly or to twelve places."""
    return None if minor is None else show_exact(minor / 10**terms.digits)


def charged_json(terms: Terms, minor: Fraction | int | None) -> str | None:
    """Return a price or an amount that is charged, with the currency's digits or with more where it is finer."""
    if minor is None:
        return None
    return show_money(minor, terms.digits) if Fraction(minor).denominator == 1 else amount_json(terms, Fraction(minor))


def _reach_json(reach: Reach, shown: Callable[[Fraction | None], str | None]) -> dict[str, Any]:
    return {
        "greatest": shown(reach.greatest),
        "greatest_unbroken": shown(reach.greatest_unbroken),
        "gaps": [[shown(first), shown(last)] for first, last in reach.gaps],
    }


def _room_json(terms: Terms, room: Room) -> dict[str, Any]:
    return {
        "percent": _reach_json(room.percent, share_json),
        "amount": _reach_json(room.amount, lambda minor: charged_json(terms, minor)),
        "order": None if room.left is None else _left_json(terms, room.left),
    }


def _left_json(terms: Terms, left: Left) -> dict[str, Any]:
    return {
        "goods": charged_json(terms, left.goods),
        "buyer_pays": amount_json(terms, left.buyer_pays),
        "profit": amount_json(terms, left.profit),
        "margin": share_json(left.margin),
        "meets_target": left.meets,
        "breaks_even": left.breaks_even,
    }


def _sale_json(terms: Terms, sale: Sale) -> dict[str, Any]:
    def volume(of: Volume) -> dict[str, Any]:
        sums = {
            name: amount_json(terms, getattr(of, name)) for name in ("before", "after", "month_before", "month_after")
        }
        return {**sums, "more_orders_share": share_json(of.more), "more_orders": of.orders}

    return {
        "percent": share_json(sale.off.percent),
        "amount": None if sale.off.amount is None else show_exact(sale.off.amount),
        "paid_by": sale.off.paid_by,
        "share": show_exact(sale.share),
        "orders_per_month": share_json(sale.orders_per_month),
        "fees_per_month": amount_json(terms, sale.fees_per_month),
        "order": _left_json(terms, sale.left),
        "contribution": volume(sale.contribution),
        "profit": volume(sale.profit),
    }
