"""The selling channels side by side: each at its own price, all at one price, and what each leaves.

Section 8 of the money model. Channels in several currencies are compared in the shop's, at the rates it states; one
price for several of them is looked for currency by currency.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from netprice.answer.ask import PriceAsk, list_price_of, price_of, span_of
from netprice.answer.channel_at import AtPrices, at_prices
from netprice.answer.result import Solution, decimal_price, solution_of
from netprice.answer.single_price import Contender, price_of_mix, price_on_all
from netprice.book.shop import Book
from netprice.money import in_minor, minor_digits


class OnePrice(NamedTuple):
    """One price for all channels of a currency; a price is None where there is none that does.

    `on_all` is the lowest that meets the target on every channel. `without` names the channels that have no price of
    their own, which rules it out; `on_the_rest` is the lowest that meets it on all others.
    `of_mix` is the lowest that meets the target on all orders together, but for those of the channels `left_out`:
    they cannot sell the product, or have not said how many orders they get a month.
    `common` is the price that was asked about.
    """

    currency: str
    channels: tuple[str, ...]
    on_all: Decimal | None
    without: tuple[str, ...]
    on_the_rest: Decimal | None
    of_mix: Decimal | None
    left_out: tuple[str, ...]
    common: Decimal | None
    at_on_all: AtPrices | None
    at_mix: AtPrices | None
    at_common: AtPrices | None


class Comparison(NamedTuple):
    """The channels of one product side by side; `currency` is the shop's.

    `solutions` has every channel, also those without a price of their own and why; `own` those that have one, at that
    price; `in_use` those with a list price in use, at that one. `overhead_per_month` is what the shop pays whatever it
    sells, `monthly_profit` what it wants to be left.
    """

    product: str
    currency: str
    digits: int
    quantity: int
    solutions: tuple[Solution, ...]
    own: AtPrices
    in_use: AtPrices
    one_price: tuple[OnePrice, ...]
    overhead_per_month: Fraction
    monthly_profit: Fraction | None


def contender(book: Book, asked: PriceAsk) -> Contender:
    """Return a channel with its own price, ready to be compared."""
    answer = price_of(book, asked)
    return Contender(
        answer=answer,
        span=span_of(book, asked.ask, answer.terms),
        orders=book.shop.channels[asked.ask.channel].orders_per_month,
        overhead=overhead_per_month(book, asked.ask.product),
        list_price=list_price_of(book, asked.ask),
    )


def overhead_per_month(book: Book, product: str) -> Fraction:
    """Return the monthly totals that are due whatever is sold, in whole units of the shop's currency."""
    ways = {**book.shop.overhead, **book.products[product].overhead}
    return sum((way.per_month for way in ways.values() if way.per_month is not None), Fraction(0))


def compare(
    contenders: Sequence[Contender],
    *,
    currency: str,
    common: Fraction | None = None,
    monthly_profit: Fraction | None = None,
) -> Comparison:
    """Return the channels of a product side by side; there must be one at least. `currency` is the shop's.

    `common` is a price for all of them, in whole units of each channel's currency; `monthly_profit` is in the shop's.
    """
    terms = contenders[0].answer.terms
    by_currency: dict[str, list[Contender]] = {}
    for each in contenders:
        by_currency.setdefault(each.answer.terms.currency, []).append(each)
    own = [(each, each.answer.lowest_price) for each in contenders]
    in_use = [(each, _minor(each.list_price, each)) for each in contenders]
    return Comparison(
        product=terms.product,
        currency=currency,
        digits=minor_digits(currency),
        quantity=terms.quantity,
        solutions=tuple(solution_of(each.answer) for each in contenders),
        own=at_prices(own, monthly_profit),
        in_use=at_prices(in_use, monthly_profit),
        one_price=tuple(_one_price(each, common, monthly_profit) for each in by_currency.values()),
        overhead_per_month=contenders[0].overhead,
        monthly_profit=monthly_profit,
    )


def _one_price(contenders: Sequence[Contender], common: Fraction | None, monthly_profit: Fraction | None) -> OnePrice:
    digits = contenders[0].answer.terms.digits
    met = [each for each in contenders if each.answer.status == "met"]
    mixed = [each for each in contenders if _has_a_part(each)]
    on_met, of_mix = price_on_all(met), price_of_mix(mixed)
    on_all = on_met if len(met) == len(contenders) else None
    minor = _minor(common, contenders[0])

    def shown(price: Fraction | int | None) -> Decimal | None:
        return None if price is None else decimal_price(price, digits)

    def at(price: Fraction | int | None) -> AtPrices | None:
        return None if price is None else at_prices([(each, price) for each in contenders], monthly_profit)

    return OnePrice(
        currency=contenders[0].answer.terms.currency,
        channels=tuple(each.answer.terms.channel for each in contenders),
        on_all=shown(on_all),
        without=tuple(each.answer.terms.channel for each in contenders if each.answer.status != "met"),
        on_the_rest=shown(on_met),
        of_mix=shown(of_mix),
        left_out=tuple(each.answer.terms.channel for each in contenders if not _has_a_part(each)),
        common=shown(minor),
        at_on_all=at(on_all),
        at_mix=at(of_mix),
        at_common=at(minor),
    )


def _minor(price: Fraction | None, contender: Contender) -> Fraction | int | None:
    return None if price is None else in_minor(price, contender.answer.terms.digits)


def _has_a_part(contender: Contender) -> bool:
    """Whether its orders count among all orders of a month: they are known, and what they leave can be measured."""
    answer = contender.answer
    return contender.orders is not None and answer.status != "refused" and not answer.undefined
