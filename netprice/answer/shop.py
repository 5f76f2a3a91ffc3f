"""A shop that is open for questions: every command is one method here, and everything a command can do, this can."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

from netprice.answer.ask import PriceAsk, price_of
from netprice.answer.reason import why_refused
from netprice.answer.result import Ledger, Solution, ledger_of, solution_of
from netprice.book.kinds import Target, read_target
from netprice.book.product import Case
from netprice.book.shop import Book, Discount
from netprice.errors import QuantityError, QuestionError
from netprice.ledger.order import order_ledger
from netprice.ledger.settle import Ask, settle
from netprice.money import parse_number
from netprice.quantity import read_share

if TYPE_CHECKING:
    from netprice.answer.free_shipping import FreeShipping
    from netprice.answer.parcel import ParcelAnswer

Number = Decimal | Fraction | int | str


def open_shop(folder: str | PathLike[str]) -> OpenShop:
    """Read a shop folder and return it, open for questions.

    Raises `InputError` with every mistake of every file if there is any.
    """
    from netprice.book.read import open_book

    return OpenShop(open_book(Path(folder)))


@dataclass(frozen=True, slots=True)
class OpenShop:
    """A shop folder that was read and found free of mistakes."""

    book: Book

    @property
    def products(self) -> tuple[str, ...]:
        """Return the products' names, as their files are called."""
        return tuple(self.book.products)

    @property
    def channels(self) -> tuple[str, ...]:
        """Return the channels' names, in the order of shop.toml."""
        return tuple(self.book.shop.channels)

    def sold_on(self, product: str) -> tuple[str, ...]:
        """Return the channels on which a product is sold: those it names, or all."""
        named = self._product(product)
        stated = self.book.products[named].channels
        return self.channels if stated is None else tuple(name for name in self.channels if name in stated)

    def solve(
        self,
        product: str,
        *,
        channel: str,
        target: Target | str | None = None,
        case: Case | None = None,
        quantity: int | None = None,
        discount: Discount | str | None = None,
        on: dt.date | None = None,
    ) -> Solution:
        """Return the lowest list price that meets the target, the safe floor, the price traps and the ledger.

        `on` is the day whose fees count, today unless given; `discount` ("20 %" or "5.00") comes after the channel's
        own.
        Raises `QuestionError` for a product or channel that the shop has not, or a target nobody understands.
        """
        asked = PriceAsk(ask=self._ask(product, channel, quantity, discount, on), target=_target(target), case=case)
        return solution_of(price_of(self.book, asked))

    def ledger(
        self,
        product: str,
        *,
        channel: str,
        price: Number,
        quantity: int | None = None,
        discount: Discount | str | None = None,
        on: dt.date | None = None,
    ) -> Ledger:
        """Return every line of an order at a given list price (in the channel's currency), from sale to profit."""
        terms = settle(self.book, self._ask(product, channel, quantity, discount, on))
        if terms.unreached:
            why = why_refused(terms)
            raise QuestionError(f"{product} cannot be sold on {channel}: {why}; offer another rate card or packing")
        minor = _price(price) * 10**terms.digits
        return ledger_of(order_ledger(terms, int(minor) if minor.denominator == 1 else minor))

    def free_shipping(
        self,
        product: str,
        *,
        channel: str,
        target: Target | str | None = None,
        case: Case | None = None,
        quantity: int | None = None,
        on: dt.date | None = None,
    ) -> FreeShipping:
        """Return what it costs to fold shipping into the price, and from which order total it can be free."""
        from netprice.answer.free_shipping import free_shipping

        ask = self._ask(product, channel, quantity, None, on)
        listed = self.book.products[ask.product].prices.list_price
        digits = settle(self.book, ask).digits
        in_use = None if listed is None else int(listed * 10**digits)
        return free_shipping(self.book, PriceAsk(ask=ask, target=_target(target), case=case), in_use)

    def parcel(
        self,
        product: str,
        *,
        channel: str,
        price: Number | None = None,
        quantity: int | None = None,
        on: dt.date | None = None,
    ) -> ParcelAnswer:
        """Return how an order travels: packings, weights, every service to every zone, and what a smaller box saves.

        What is insured follows `price`, by default the one that `solve` gives.
        """
        from netprice.answer.parcel import parcel_of

        if price is None:
            solution = self.solve(product, channel=channel, quantity=quantity, on=on)
            price = solution.lowest_price or (solution.best.price if solution.best else 0)
        return parcel_of(self.book, self._ask(product, channel, quantity, None, on), _price(price))

    def _ask(
        self, product: str, channel: str, quantity: int | None, discount: Discount | str | None, on: dt.date | None
    ) -> Ask:
        if quantity is not None and not 1 <= quantity <= 1000:
            raise QuestionError(f"a quantity of {quantity}; ask for a whole number of units from 1 to 1000")
        if isinstance(discount, str):
            discount = read_discount(discount)
        return Ask(
            product=self._product(product),
            channel=_known(channel, self.channels, "channel"),
            on=on or read_day(None),
            quantity=quantity,
            discounts=(discount,) if discount else (),
        )

    def _product(self, name: str) -> str:
        """Return the product's file name; its display name is understood as well."""
        by_name = {product.name: key for key, product in self.book.products.items()}
        return _known(by_name.get(name, name), self.products, "product")


def _known(name: str, names: Sequence[str], what: str) -> str:
    if name in names:
        return name
    near = difflib.get_close_matches(name, names, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names) or 'none yet'}"
    raise QuestionError(f"no {what} is called {name[:60]!r}; {hint}")


def _target(target: Target | str | None) -> Target | None:
    if not isinstance(target, str):
        return target
    try:
        return read_target(target)
    except QuantityError as error:
        raise QuestionError(str(error)) from None


def _price(price: Number) -> Fraction:
    try:
        exact = parse_number(price) if isinstance(price, str) else Fraction(price)
    except QuantityError as error:
        raise QuestionError(f"the price: {error}") from None
    if exact < 0:
        raise QuestionError(f"the price: below zero (got {price}); write an amount of zero or more")
    return exact


def read_discount(text: str) -> Discount:
    """Read a discount: a percent such as "20 %", or an amount an order in the channel's currency such as "5.00".

    >>> read_discount("20 %").percent
    Fraction(1, 5)
    """
    try:
        if "%" in text:
            share = read_share(text)
            if not 0 <= share <= 1:
                raise QuestionError(f"a discount of {text[:20]!r}; write a percent from 0 to 100")
            return Discount(percent=share)
        amount = parse_number(text)
    except QuantityError as error:
        raise QuestionError(f"the discount: {error}") from None
    if amount < 0:
        raise QuestionError(f"a discount of {text[:20]!r}; write an amount of zero or more")
    return Discount(amount=amount)


def margin(share: Number) -> Target:
    """Return the target of a margin: the share of net sales kept that is left as profit.

    >>> margin("0.30")
    Target(kind='margin', amount=Fraction(3, 10))
    """
    return Target("margin", Fraction(share))


def markup(share: Number) -> Target:
    """Return the target of a markup: profit as a share of what the order costs to make."""
    return Target("markup", Fraction(share))


def profit(amount: Number) -> Target:
    """Return the target of a profit on each unit, in whole units of the channel's currency."""
    return Target("profit", Fraction(amount))


def per_machine_hour(amount: Number) -> Target:
    """Return the target of a profit for each machine hour."""
    return Target("machine-hour", Fraction(amount))


def per_labour_hour(amount: Number) -> Target:
    """Return the target of a profit for each labour hour."""
    return Target("labour-hour", Fraction(amount))


def break_even() -> Target:
    """Return the target of losing nothing."""
    return Target("break-even", Fraction(0))


def read_day(text: str | None) -> dt.date:
    """Return a day written as 2026-03-31, or today where none is given."""
    if text is None:
        return dt.date.today()  # noqa: DTZ011  # the maker's own calendar day, as their fees are dated
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise QuestionError(f"no day (got {text[:20]!r}); write it as 2026-03-31") from None


def pairs(shop: OpenShop, products: Iterable[str], channels: Sequence[str]) -> list[tuple[str, str]]:
    """Return every pair of product and channel to answer for: those asked for, else all on which it is sold."""
    found = [(product, channel) for product in products for channel in (channels or shop.sold_on(product))]
    if not found:
        raise QuestionError("nothing to answer: the product is sold on no channel; name one with --channel")
    return found
