"""Answers a case through the real shop files, reader, ledger and search, in the format of the expected results."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from netprice.answer.ask import PriceAsk, price_of
from netprice.answer.best import best_reachable
from netprice.answer.curve import Curve
from netprice.answer.goal import Goal
from netprice.answer.price import PriceAnswer
from netprice.answer.span import Span
from netprice.book.shop import Book
from netprice.ledger.cost import CostStack
from netprice.ledger.freight import Refusal
from netprice.ledger.measures import Measures, contribution, measures
from netprice.ledger.order import OrderLedger, Totals, ZoneLedger, expected, order_ledger, worst
from netprice.ledger.settle import settle
from netprice.ledger.terms import Terms
from netprice.money import show_exact
from tests.cases.adapter import ask_of, book_of, some_price_is_allowed
from tests.cases.questions import answers_to_questions, exact, limits_of

__all__ = ["answer", "ask_of"]

JsonDict = dict[str, Any]


def answer(case: JsonDict) -> JsonDict:
    """Return the result of a case: its cost stack, for every channel price and ledgers, and what else is asked."""
    book = book_of(case)
    channels = [_channel(case, book, place) for place in range(len(case["channels"]))]
    first = settle(book, ask_of(case, 0))
    return {
        "about": case.get("about", ""),
        "cost": _cost(first.stack),
        "channels": [{**each, "limits": limits_of(case, book, place)} for place, each in enumerate(channels)],
        **answers_to_questions(case, book),
    }


def _cost(stack: CostStack) -> JsonDict:
    def pair(name: str) -> JsonDict:
        total = getattr(stack, name)
        return {f"{name}_per_unit": exact(total(per_order=False)), f"{name}_per_order": exact(total(per_order=True))}

    return {
        "lines": {line.name: exact(line.share) for line in stack.lines if line.kind != "overhead"},
        "unit_cost": exact(stack.total(per_order=False)),
        "order_cost_extra": exact(stack.total(per_order=True)),
        "overhead_in_unit_cost": exact(stack.overhead(per_order=False)),
        "overhead_in_order_cost": exact(stack.overhead(per_order=True)),
        **pair("machine_hours"),
        **pair("labour_hours"),
    }


def _channel(case: JsonDict, book: Book, place: int) -> JsonDict:
    channel = case["channels"][place]
    asked = price_of(book, PriceAsk(ask=ask_of(case, place)))
    terms, scale = asked.terms, Fraction(10**asked.terms.digits)
    result: JsonDict = {
        "channel": channel["name"],
        "currency": terms.currency,
        "refused_services": [
            {"service": refusal.service, "zone": refusal.zone, "why": _why(refusal)} for refusal in terms.refusals
        ],
        "status": {"met": "solved", "refused": "not_carried"}.get(asked.status, asked.status),
    }
    if asked.status == "refused":
        return result
    if not some_price_is_allowed(case, {**case, **channel}):
        return result | {"status": "no_allowed_price"}
    result |= _prices(case, book, place, asked, scale)
    at = channel.get("evaluate_at", case.get("evaluate_at", ()))
    result["ledgers"] = [_ledger(order_ledger(terms, _minor(each, scale)), scale) for each in at]
    return result


def _why(refusal: Refusal) -> str:
    if refusal.what == "billable weight":
        return f"billable weight {refusal.got} is past the last break"
    return f"{refusal.what.replace(' + ', '_plus_')} {refusal.got} is over the limit {refusal.limit}"


def _minor(price: str, scale: Fraction) -> Fraction | int:
    minor = Fraction(price) * scale
    return int(minor) if minor.denominator == 1 else minor


def _prices(case: JsonDict, book: Book, place: int, asked: PriceAnswer, scale: Fraction) -> JsonDict:
    terms, goal = asked.terms, asked.goal
    channel = book.shop.channels[case["channels"][place]["name"]]
    span = Span.of(channel.prices, book.shop.prices, digits=terms.digits)
    allowed = span.allowed(asked.highest or 0)
    money = goal.target.kind not in ("margin", "markup")
    result: JsonDict = {
        "allowed_prices": allowed.count,
        "lowest_price": exact(_whole(asked.lowest_price, scale)),
        "safe_floor": exact(_whole(asked.safe_floor, scale)),
        "wanted": exact(goal.wanted / scale if money else goal.wanted),
        "traps": [[_decimal(trap.first, terms), _decimal(trap.last, terms)] for trap in asked.traps],
    }
    best = asked.best or _best(terms, goal, allowed.price(0), allowed.price(allowed.count - 1), span, asked)
    if best is not None:
        measure = best.measure / scale if money else best.measure
        result["best_reachable"] = {"measure": exact(measure), "price": exact(best.price / scale)}
    if asked.ledger is not None:
        result["ledger"] = _ledger(asked.ledger, scale)
        if asked.status == "unreachable":
            totals = expected(asked.ledger) if goal.case == "expected" else worst(asked.ledger)[1]
            result["in_the_way_as_share_of_net_sales"] = _in_the_way(totals)
    return result


def _best(terms: Terms, goal: Goal, low: int, high: int, span: Span, asked: PriceAnswer) -> Any:
    curve = Curve.of(terms, goal, lowest=low, highest=high)
    return None if curve.undefined else best_reachable(curve, span.allowed(asked.highest or 0))


def _whole(minor: int | None, scale: Fraction) -> Fraction | None:
    return None if minor is None else minor / scale


def _decimal(minor: int, terms: Terms) -> str:
    return show_exact(Fraction(minor, 10**terms.digits))


def _in_the_way(totals: Totals) -> JsonDict | None:
    if totals.net_sales <= 0:
        return None
    return {
        key: exact(Fraction(getattr(totals, key)) / totals.net_sales)
        for key in ("fees", "labels", "goods", "set_asides")
    }


def _ledger(ledger: OrderLedger, scale: Fraction) -> JsonDict:
    def money(minor: Fraction | int) -> JsonDict | None:
        return exact(Fraction(minor) / scale)

    zone, at_worst = worst(ledger)
    totals = expected(ledger)
    return {
        "price": money(ledger.price),
        "discounts": [money(off) for off in ledger.zones[0].sale.discounts],
        "zones": [_zone(each, scale) for each in ledger.zones],
        "expected": {
            **_totals(totals, measures(ledger), scale),
            "contribution": money(contribution(ledger)),
        },
        "worst": {"zone": zone.zone.name, **_totals(at_worst, measures(ledger, "worst"), scale)},
    }


def _totals(totals: Totals, earned: Measures, scale: Fraction) -> JsonDict:
    names = ("net_sales", "fees", "labels", "goods", "recoveries", "set_asides")
    per = ("profit", "profit_per_unit", "profit_per_machine_hour", "profit_per_labour_hour")
    amounts = {name: exact(Fraction(getattr(totals, name)) / scale) for name in names}
    for name in per:
        value = getattr(earned, name)
        amounts[name] = exact(None if value is None else value / scale)
    return {**amounts, "margin": exact(earned.margin), "markup": exact(earned.markup)}


def _zone(zone: ZoneLedger, scale: Fraction) -> JsonDict:
    def money(minor: Fraction | int) -> JsonDict | None:
        return exact(Fraction(minor) / scale)

    label, sale = zone.labels[0], zone.sale
    quote = label.quote
    assert quote is not None
    return {
        "zone": zone.zone.name,
        "share": str(zone.zone.share),
        "label": {
            "service": quote.service,
            "rate": money(quote.rate * quote.worth),
            "surcharges": {name: money(amount * quote.worth) for name, amount in quote.surcharges},
            "fuel": money(quote.fuel * quote.worth),
            "insurance": money(label.premium * quote.worth),
            "label_cost": money(label.cost),
        },
        "buyer": {
            name: money(getattr(sale, name))
            for name in (
                "gross",
                "goods",
                "shipping",
                "extras",
                "tax",
                "buyer_total",
                "net_sales",
                "refunded_sales",
                "refunded_tax",
            )
        },
        "fees": [
            {
                "name": line.fee.name,
                "share": str(line.fee.share),
                "expected_amount": money(line.expected.amount),
                "expected_tax": money(line.expected.tax),
                "expected_kept_on_refund": money(line.expected.kept),
                "expected_tax_kept": money(line.expected.kept_tax),
            }
            for line in zone.fees
        ],
        "outcomes": [
            {
                "outcome": outcome.name,
                "probability": str(outcome.chance),
                **{
                    name: money(getattr(outcome, name))
                    for name in ("net_sales", "fees", "labels", "goods", "recoveries")
                },
            }
            for outcome in zone.outcomes
        ],
    }
