"""Answers what a case asks besides the price, from the same shop files, in the format of the expected results."""

from __future__ import annotations

from copy import deepcopy
from fractions import Fraction
from typing import Any

from netprice.answer.ask import PriceAsk
from netprice.answer.at_price import AtPrice, at_price
from netprice.answer.channel_at import AtPrices, ChannelAt
from netprice.answer.compare import compare, contender
from netprice.answer.giveaway import Way
from netprice.answer.inputs import Input, inputs_of
from netprice.answer.shop import OpenShop
from netprice.answer.unknown import unknown
from netprice.book.shop import Book
from netprice.errors import QuestionError
from netprice.ledger.settle import Ask
from netprice.money import show_exact, show_money
from tests.cases.adapter import ask_of, book_of, some_price_is_allowed

JsonDict = dict[str, Any]


def exact(value: Fraction | int | None) -> JsonDict | None:
    """Return an exact value with its decimal."""
    return None if value is None else {"fraction": str(Fraction(value)), "decimal": show_exact(value)}


def answers_to_questions(case: JsonDict, book: Book) -> JsonDict:
    """Return the answers to those of the questions that the case asks; limits stand with the channels."""
    answers = {"giveaway": _giveaway, "refunds": _refunds, "comparison": _comparison}
    return {name: answer(case, book) for name, answer in answers.items() if name in case}


def limits_of(case: JsonDict, book: Book, place: int) -> list[JsonDict]:
    """Return the greatest values of inputs that are asked for one channel of the case."""
    return [_limit(case, book, limit) for limit in case.get("limits", ()) if limit.get("channel", 0) == place]


def _at(case: JsonDict, book: Book, asked: JsonDict, place: int = 0) -> AtPrice | None:
    """Return where a question is answered; None where the channel sells nothing or no price is left to answer at."""
    stated = asked.get("at_price")
    if stated is None and not some_price_is_allowed(case, {**case, **case["channels"][place]}):
        return None
    try:
        return at_price(book, PriceAsk(ask_of(case, place)), stated)
    except QuestionError:
        return None


def _giveaway(case: JsonDict, book: Book) -> JsonDict:
    asked, at = case["giveaway"], _at(case, book, case["giveaway"])
    if at is None:
        return {"price": None}
    ask = ask_of(case, 0)
    found = OpenShop(book).giveaway(
        ask.product,
        channel=ask.channel,
        on=ask.on,
        price=asked.get("at_price"),
        units=asked["units"],
        refunded=asked.get("winners_refunded"),
        promotion_cost=asked.get("promotion_cost"),
        expected_sales=asked.get("expected_extra_sales"),
        people=asked.get("people_reached"),
        conversion=Fraction(asked["conversion_share"]) if "conversion_share" in asked else None,
    )
    return {
        "price": exact(Fraction(found.price)),
        "cost": exact(found.by_profit.cost),
        "cost_of_one_shipped": exact(found.by_profit.one_given),
        "lost_profit_of_one_refunded": exact(found.one_refunded),
        "with_contribution": _way(found.by_contribution),
        "with_profit": _way(found.by_profit),
    }


def _way(way: Way) -> JsonDict:
    odds = {"chance_poisson": way.poisson, "chance_binomial": way.binomial}
    return {
        "cost": exact(way.cost),
        "per_order": exact(way.per_order),
        "extra_sales_to_break_even": way.extra_sales,
        **{name: show_money(each.chance * 10**20, 20) for name, each in odds.items() if each is not None},
    }


def _refunds(case: JsonDict, book: Book) -> JsonDict:
    asked, at, ask = case["refunds"], _at(case, book, case["refunds"]), ask_of(case, 0)
    if at is None:
        nothing = _greatest(None, None)
        return {"price": None, "break_even": nothing, "target": nothing}
    found = OpenShop(book).refund(
        ask.product, channel=ask.channel, on=ask.on, price=asked.get("at_price"), step=Fraction(asked["rate_step"])
    )
    return {
        "price": exact(Fraction(found.price)),
        "break_even": _greatest(found.break_even.rate, found.break_even.unbroken),
        "target": _greatest(found.target_met.rate, found.target_met.unbroken),
    }


def _greatest(value: Fraction | None, unbroken: Fraction | None) -> JsonDict:
    return {"greatest": exact(value), "greatest_unbroken": exact(unbroken)}


def _limit(case: JsonDict, book: Book, limit: JsonDict) -> JsonDict:
    place = limit.get("channel", 0)
    at = _at(case, book, limit, place)
    if at is None:
        return {"path": limit["path"], "price": None, **_greatest(None, None)}
    one, size = _input_of(case, book, limit, ask_of(case, place))
    first, last, step = (Fraction(limit[key]) for key in ("from", "to", "step"))
    found = unknown(
        book, PriceAsk(ask_of(case, place)), at.price, one, low=first * size, high=last * size, step=step * size
    )
    # A case asks for the greatest value even where the target holds from a smallest one on.
    greatest = found.holds[-1][1] / size if found.holds else None
    unbroken = found.holds[0][1] / size if found.holds and found.holds[0][0] == first * size else None
    at_minor = at.price / Fraction(10**at.terms.digits)
    return {"path": limit["path"], "price": exact(at_minor), **_greatest(greatest, unbroken)}


def _input_of(case: JsonDict, book: Book, limit: JsonDict, ask: Ask) -> tuple[Input, Fraction]:
    """Return the number of the shop's files that stands for a number of the case, and what 1 of the case is in it.

    It is the one that is another in the files when it is another in the case.
    """
    changed = deepcopy(case)
    inner = changed
    for part in limit["path"][:-1]:
        inner = inner.setdefault(part, {}) if isinstance(part, str) else inner[part]
    last = limit["path"][-1]
    now = Fraction(inner.get(last, "0"))
    # A little less keeps to every rule about the numbers of a file.
    tried = now * Fraction(999, 1000) if now else Fraction(limit["from"]) + Fraction(limit["step"])
    inner[last] = str(tried)
    before = {one.name: one.value for one in inputs_of(book, ask)}
    other = next(one for one in inputs_of(book_of(changed), ask) if one.value != before.get(one.name))
    assert other.value is not None
    return other._replace(value=before.get(other.name)), other.value / tried


def _comparison(case: JsonDict, book: Book) -> JsonDict:
    places = range(len(case["channels"]))
    contenders = [contender(book, PriceAsk(ask_of(case, place))) for place in places]
    common = case["comparison"].get("common_price")
    found = compare(contenders, currency=case["currency"], common=None if common is None else Fraction(common))
    names = [channel["name"] for channel in case["channels"]]
    result: JsonDict = {"own_prices": _side_by_side(found.own, names)}
    if len(found.one_price) > 1:
        return result  # in several currencies there is no single price
    (group,) = found.one_price
    result["lowest_single_price"] = exact(None if group.on_all is None else Fraction(group.on_all))
    for name, at in (("at_lowest_single_price", group.at_on_all), ("at_common_price", group.at_common)):
        if at is not None:
            result[name] = _side_by_side(at, names)
    return result


def _side_by_side(at: AtPrices, names: list[str]) -> JsonDict:
    found = {each.channel: each for each in at.channels}
    return {
        "channels": [
            _standing(found[name]) if name in found else {"channel": name, "price": None, "meets_target": False}
            for name in names
        ],
        "changes_of_best_channel": [
            {
                "orders_per_month": str(change.orders),
                "orders_decimal": show_exact(change.orders),
                "best_below": change.best_below,
                "best_above": change.best_above,
            }
            for change in at.changes
        ],
    }


def _standing(each: ChannelAt) -> JsonDict:
    return {
        "channel": each.channel,
        "price": exact(Fraction(each.price)),
        "orders_per_month": None if each.orders_per_month is None else str(each.orders_per_month),
        "profit_per_order_without_month_fees": exact(each.profit_per_order_without_month_fees),
        "fees_per_month": exact(each.fees_per_month),
        "profit_per_month": exact(each.profit_per_month),
        "meets_target": each.meets_target,
    }
