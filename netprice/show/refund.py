"""What a refund costs and how many returns a price can bear, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from netprice.answer.refund import Left, Refund
from netprice.answer.return_rate import Greatest
from netprice.money import show_exact
from netprice.show.giveaway import NEAREST_PRICE, NO_NUMBER, WHAT_CONTRIBUTION_IS
from netprice.show.text import bullets, money, table, wrapped
from netprice.show.words import target_words

CAUTION = (
    "When buyers have a right to a refund, and who pays the return label, is law where they live: check the local rules"
    " and the storefront's terms, and ask a licensed adviser."
)


def refund_text(answer: Refund, *, width: int) -> str:
    """Return the answer in one sentence, the refund line by line, what each ending leaves, and the return rates."""
    blocks = [
        wrapped(_head(answer), width),
        table(list(_changes(answer)), ("against the order delivered", "", ""), align=("left", "right", "left")),
        table(list(_endings(answer)), ("what is left", "profit", "contribution"), align=("left", "right", "right")),
        table(list(_rates(answer)), ("greatest return rate", "", ""), align=("left", "right", "left")),
        bullets("To watch", list(_watch(answer)), width),
    ]
    return "\n\n".join(blocks)


def _head(answer: Refund) -> str:
    part = "a refund" if answer.how.share == 1 else f"a refund of {_rate(answer.how.share)}"
    goods = "the goods back" if answer.how.goods_back else "the goods kept"
    cost = answer.cost.profit
    head = f"{answer.product} on {answer.channel} at {answer.price} {answer.currency}: {part} with {goods}"
    if cost <= 0:
        more = (
            f"; it leaves {money(-cost, answer.digits)} {answer.currency} more than the order delivered" if cost else ""
        )
        return f"{head} costs nothing{more}."
    head += f" costs {money(cost, answer.digits)} {answer.currency}"
    sales = answer.paid_for_by.profit
    if sales is None:
        return f"{head}, and no number of sales pays for it, since none leaves a profit."
    return f"{head}; the profit of {'1 sale pays' if sales == 1 else f'{sales} sales pays'} for it."


def _changes(answer: Refund) -> Iterator[tuple[str, str, str]]:
    def row(name: str, amount: Fraction, how: str) -> tuple[str, str, str]:
        return name, money(amount, answer.digits), how

    ends, share = answer.how.ends, answer.how.share
    tax = answer.buyer_gets + answer.paid_back
    with_tax = f"{money(answer.buyer_gets, answer.digits)} with its tax" if tax else ""
    yield row("paid back to the buyer", answer.paid_back, with_tax)
    yield row("fees given back", answer.fees_back, "" if share == 1 else f"{_rate(share)} of those of a whole refund")
    if answer.how.goods_back:
        yield row("return label", answer.return_label, f"paid by the {_label_paid_by(answer)}")
        again = f"{show_exact(ends.resellable * 100, 2)} % can be sold again"
        yield row("goods sold again", answer.resold, f"{again}, less refurbishing" if ends.resellable else again)
    if answer.not_set_aside:
        yield row("not set aside", answer.not_set_aside, "")
    yield row("= what is lost", -answer.cost.profit, "")


def _label_paid_by(answer: Refund) -> str | None:
    if not answer.how.goods_back:
        return None
    return "shop" if answer.how.ends.shop_pays_return_label else "buyer"


def _endings(answer: Refund) -> Iterator[tuple[str, str, str]]:
    def row(name: str, left: Left) -> tuple[str, str, str]:
        return name, money(left.profit, answer.digits), money(left.contribution, answer.digits)

    yield row("delivered", answer.delivered)
    yield row("refunded like this", answer.refunded)
    yield row("a new one sent instead", answer.replaced)
    yield row("= lost by a refund", answer.cost)
    yield row("average sale, returns and all", answer.sold)
    by = answer.paid_for_by
    profit, contribution = (NO_NUMBER if number is None else str(number) for number in by)
    yield "sales that pay for a refund", profit, contribution


def _rates(answer: Refund) -> Iterator[tuple[str, str, str]]:
    goal = f"for {target_words(answer.goal.target, answer.goal.case, answer.currency)}"
    for name, greatest in (("to break even", answer.break_even), (goal, answer.target_met)):
        yield name, "none" if greatest.rate is None else _rate(greatest.rate), _broken(greatest)
    yield "stated now", _rate(answer.rate), ""


def _rate(rate: Fraction) -> str:
    return f"{show_exact(rate * 100, 4)} %"


def _broken(greatest: Greatest) -> str:
    return "" if greatest.rate == greatest.unbroken else "but it fails without returns"


def _watch(answer: Refund) -> Iterator[str]:
    saves = answer.replacing_saves
    yield _replacing(answer, saves.profit)
    if (saves.profit > 0) != (saves.contribution > 0):
        yield f"With overhead and fees per month left out it is the other way: {_replacing(answer, saves.contribution)}"
    if answer.how.share != 1 or answer.how.ends != answer.goal.terms.outcomes:
        yield "The return rates hold if every return is refunded like this."
    if answer.goal.case == "worst":
        yield "In the worst case an order is delivered, so that the target does not depend on returns."
    yield WHAT_CONTRIBUTION_IS
    if answer.source == "best":
        yield NEAREST_PRICE
    yield CAUTION


def _replacing(answer: Refund, saves: Fraction) -> str:
    shown = f"{money(abs(saves), answer.digits)} {answer.currency}"
    if not saves:
        return "Sending a new one leaves exactly as much as this refund."
    return f"Sending a new one leaves {shown} {'more' if saves > 0 else 'less'} than this refund."


def refund_json(answer: Refund) -> dict[str, Any]:
    """Return the answer with money and shares as decimal strings; what no number of sales pays for is null."""
    how, by, saves = answer.how, answer.paid_for_by, answer.replacing_saves
    return {
        "product": answer.product,
        "channel": answer.channel,
        "currency": answer.currency,
        "quantity": answer.quantity,
        "price": str(answer.price),
        "price_is": answer.source,
        "refund": {
            "share": show_exact(how.share),
            "goods_back": how.goods_back,
            "label_paid_by": _label_paid_by(answer),
            "resellable": show_exact(how.ends.resellable),
            "shipping_refunded": how.ends.refund_shipping,
            "buyer_gets": show_exact(answer.buyer_gets),
        },
        "changes": {
            "paid_back": show_exact(answer.paid_back),
            "fees_back": show_exact(answer.fees_back),
            "return_label": show_exact(answer.return_label),
            "resold": show_exact(answer.resold),
            "not_set_aside": show_exact(answer.not_set_aside),
        },
        "left": {
            "delivered": _left_json(answer.delivered),
            "refunded": _left_json(answer.refunded),
            "replaced": _left_json(answer.replaced),
            "on_average": _left_json(answer.sold),
        },
        "cost": _left_json(answer.cost),
        "sales_to_pay_for_one": {"profit": by.profit, "contribution": by.contribution},
        "replacing_saves": _left_json(saves),
        "measure": {
            "kind": answer.goal.target.kind,
            "target": show_exact(answer.goal.target.amount),
            "case": answer.goal.case,
        },
        "rate": show_exact(answer.rate),
        "rate_step": show_exact(answer.step),
        "break_even": _greatest_json(answer.break_even),
        "target": _greatest_json(answer.target_met),
    }


def _left_json(left: Left) -> dict[str, str]:
    return {"profit": show_exact(left.profit), "contribution": show_exact(left.contribution)}


def _greatest_json(greatest: Greatest) -> dict[str, str | None]:
    return {
        name: None if rate is None else show_exact(rate)
        for name, rate in (("greatest", greatest.rate), ("greatest_unbroken", greatest.unbroken))
    }
