"""How far a price can come down, and what a sale takes, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

from netprice.answer.discount import DiscountAnswer, Discounted, Left, Room, Sale, Volume
from netprice.ledger.explain import percent as exact_percent
from netprice.ledger.terms import Terms
from netprice.money import show_exact, show_money
from netprice.show.text import bullets, percent, table, wrapped
from netprice.show.words import target_words

CAUTION: Final = (
    "Announcing a reduction is regulated in many places (how long the old price must have held, what must be said"
    " about it): check the local rules, and ask a licensed adviser where it matters."
)
_SOURCES: Final = {
    "in use": ", the price in use",
    "solved": ", the lowest that meets the target",
    "best": ", the price that comes nearest to the target",
}
_NONE: Final = "–"


def discounts_text(answers: Sequence[DiscountAnswer], *, width: int, brief: bool = False) -> str:
    """Return an overview where there are several answers, then each in full unless `brief`."""
    parts = [_overview(answers, width)] if len(answers) > 1 else []
    if not brief or len(answers) == 1:
        parts += [discount_text(each, width=width) for each in answers]
    return "\n\n".join(parts)


def discount_text(answer: DiscountAnswer, *, width: int) -> str:
    """Return how far the price can come down in one sentence, what is left on the way, a sale, and what to watch."""
    order = answer.order
    if order is None:
        return wrapped(f"{_where(answer)}: cannot be sent everywhere.", width)
    price = in_currency(answer.terms, order.list_price.minor)
    at = f"at {price}{_SOURCES.get(order.list_price.source, '')}{_of(answer.terms)}"
    blocks = [wrapped(head(answer, order, at), width), *tables(answer, order, width)]
    watched = list(watch(answer, order))
    if order.sale is not None and order.sale.orders_per_month is None:
        watched.append("With orders_per_month in the channel the further orders are counted in whole orders too.")
    return "\n\n".join((*blocks, bullets("To watch", watched, width)))


def head(answer: DiscountAnswer, order: Discounted, at: str) -> str:
    """Return the answer in one sentence; `at` says from which price: "at 42.00 USD"."""
    terms, goal, target = answer.terms, answer.goal, order.target
    wanted = target_words(goal.target, goal.case, terms.currency)
    if target.percent.greatest is None and target.amount.greatest is None:
        return f"{_where(answer)}: {at}, not even the full price leaves {wanted}."
    if not answer.possible:
        return f"{_where(answer)}: {at}, there is no room for a discount that still leaves {wanted}."
    if not target.percent.greatest:
        amount = in_currency(terms, target.amount.greatest or 0)
        return f"{_where(answer)}: {at}, you can take up to {amount} an order off and still leave {wanted}."
    by_percent = f"you can go down to {_off(answer, target.percent.greatest)} off and still leave {wanted}"
    return f"{_where(answer)}: {at}, {by_percent}."


def tables(answer: DiscountAnswer, order: Discounted, width: int) -> Iterator[str]:
    """Yield what an order leaves on the way down, and what the stated discount takes."""
    terms = answer.terms
    rows = [_row(terms, "no discount", "", "", order.now)]
    rows += [_room_row(answer, "leaves the target", order.target), _room_row(answer, "breaks even", order.break_even)]
    if order.sale is not None:
        rows.append(_row(terms, "your discount", _stated(terms, order.sale), "", order.sale.left))
    header = ("", "off", "or an amount", "goods", "buyer pays", "profit", "margin")
    yield table(rows, header, align=("left", *["right"] * 6))
    if order.sale is not None:
        yield f"{wrapped(_sale_title(terms, order.sale), width)}\n\n{_sale_table(terms, order.sale)}"


def watch(answer: DiscountAnswer, order: Discounted) -> Iterator[str]:
    """Yield what to watch: where discounts fail in between, free shipping instead, and what a sale needs."""
    terms, reach = answer.terms, order.target.percent
    for first, last in reach.gaps:
        run = f"From {_off(answer, first)} to {_off(answer, last)} off"
        yield f"{run} the target fails, though a greater discount meets it{' again' if first else ''}."
    by_amount = order.target.amount
    if by_amount.gaps and not reach.gaps:
        fails = in_currency(terms, by_amount.gaps[0][0])
        yield f"As an amount, {fails} an order is the first that fails: a threshold or rounding breaks it in between."
    if order.sale is not None:
        yield from _sale_watch(terms, order.sale)
    yield _sent_free(answer, order)
    if answer.goal.case == "worst":
        yield "Target and break-even are held in the worst case; the amounts are those of the average order."
    if answer.amount_step > 1:
        yield f"Amounts were tried in steps of {in_currency(terms, answer.amount_step)}."


def in_currency(terms: Terms, minor: Fraction | int) -> str:
    """Return an amount with its currency: "9.20 USD"."""
    return f"{show_money(minor, terms.digits)} {terms.currency}"


def _money(terms: Terms, minor: Fraction | int | None) -> str:
    return _NONE if minor is None else show_money(minor, terms.digits)


def _off(answer: DiscountAnswer, share: Fraction | None) -> str:
    """Return a discount in percent, with as many places as its step has."""
    return percent(share, len(show_exact(answer.step * 100).partition(".")[2]))


def _where(answer: DiscountAnswer) -> str:
    return f"{answer.terms.product} on {answer.terms.channel}"


def _of(terms: Terms) -> str:
    return f", in orders of {terms.quantity}" if terms.quantity > 1 else ""


def _row(terms: Terms, name: str, off: str, amount: str, left: Left | None) -> tuple[str, ...]:
    if left is None:
        return (name, off, amount, *[_NONE] * 4)
    amounts = (_money(terms, each) for each in (left.goods, left.buyer_pays, left.profit))
    return (name, off, amount, *amounts, percent(left.margin))


def _room_row(answer: DiscountAnswer, name: str, room: Room) -> tuple[str, ...]:
    terms, amount = answer.terms, room.amount.greatest
    return _row(terms, name, _off(answer, room.percent.greatest), _money(terms, amount), room.left)


def _stated(terms: Terms, sale: Sale) -> str:
    if sale.off.percent is not None:
        return exact_percent(sale.off.percent)
    return _money(terms, (sale.off.amount or 0) * 10**terms.digits)


def _sale_title(terms: Terms, sale: Sale) -> str:
    part = "every order" if sale.share == 1 else f"{exact_percent(sale.share)} of the orders"
    paid = ", paid for by the storefront" if sale.off.paid_by == "storefront" else ""
    orders = "" if sale.orders_per_month is None else f", {show_exact(sale.orders_per_month, 2)} orders a month today"
    return f"{_stated(terms, sale)} off on {part}{paid}{orders}"


def _sale_table(terms: Terms, sale: Sale) -> str:
    both = (sale.contribution, sale.profit)

    def line(name: str, of: str) -> tuple[str, ...]:
        return (name, *(_money(terms, getattr(each, of)) for each in both))

    rows = [line("an order at the full price", "before"), line("an order at the discount", "after")]
    if sale.orders_per_month is not None:
        rows += [
            line("a month without the discount", "month_before"),
            line("a month with it, no more orders", "month_after"),
        ]
    rows.append(("more orders that pay for it", *(_more(each) for each in both)))
    if sale.orders_per_month is not None:
        rows.append(
            ("in whole orders a month", *("none" if each.orders is None else str(each.orders) for each in both))
        )
    return table(rows, ("", "contribution", "profit"), align=("left", "right", "right"))


def _more(volume: Volume) -> str:
    return "none are enough" if volume.more is None else percent(volume.more)


def _sale_watch(terms: Terms, sale: Sale) -> Iterator[str]:
    stated = _stated(terms, sale)
    if sale.off.paid_by == "storefront":
        yield f"The storefront pays for the {stated} off, so that it costs the shop nothing."
        return
    if not sale.left.breaks_even:
        yield f"At {stated} off an order no longer breaks even."
    elif not sale.left.meets:
        yield f"At {stated} off an order misses the target, but breaks even."
    fees = " What an order brings here is before the fees per month, which are due once." if sale.fees_per_month else ""
    yield (
        f"The further orders are counted at the discount. Contribution leaves all overhead out, profit has it in.{fees}"
    )


def _sent_free(answer: DiscountAnswer, order: Discounted) -> str:
    terms, free = answer.terms, order.sent_free
    if not free.cost:
        return "Shipping costs the buyer nothing in such an order as it is."
    after = "still leaves the target" if free.left.meets else "breaks even but misses the target"
    after = after if free.left.breaks_even else "no longer breaks even"
    if free.cost < 0:
        return f"Free shipping instead of a discount leaves {in_currency(terms, -free.cost)} an order more; it {after}."
    like = f", about as much as {_off(answer, free.like)} off" if free.like else ""
    return f"Free shipping instead of a discount costs {in_currency(terms, free.cost)} an order{like}, and {after}."


def _overview(answers: Sequence[DiscountAnswer], width: int) -> str:
    currencies = {answer.terms.currency for answer in answers}
    rows, before = [], ""
    for answer in answers:
        terms, order = answer.terms, answer.order
        cells = ["cannot be sent", *[""] * 4]
        if order is not None:
            price, amount = order.list_price.minor, order.target.amount.greatest
            cells = [
                in_currency(terms, price) if len(currencies) > 1 else _money(terms, price),
                _off(answer, order.target.percent.greatest),
                _money(terms, amount),
                _off(answer, order.break_even.percent.greatest),
                "meets it" if order.sent_free.left.meets else "misses it",
            ]
        rows.append(("" if terms.product == before else terms.product, terms.channel, *cells))
        before = terms.product
    header = ("product", "channel", "list price", "target", "or amount", "break-even", "sent free")
    note = "target, break-even: the greatest discount that leaves it; sent free: what free shipping does to the target."
    if len(currencies) == 1:
        note = f"Amounts in {currencies.pop()}; {note}"
    return f"{table(rows, header, align=('left', 'left', *['right'] * 5))}\n\n{wrapped(note, width)}"
