"""A shop that was read: its names, and from what a caller says to a question that the rules can answer."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypedDict

from netprice.answer.ask import PriceAsk, list_price_of
from netprice.answer.spoken import discount_said, read_day, target_said
from netprice.book.product import Case
from netprice.book.readers import Target
from netprice.book.shop import Book, Discount
from netprice.errors import QuestionError
from netprice.ledger.settle import Ask, currency_of
from netprice.money import minor_digits


class Wishes(TypedDict, total=False):
    """How a question differs from what the shop wrote down; what is left out (or None) is as the shop has it.

    `on` is the day whose fees count, today unless given; `discount` ("20 %" or "5.00") comes after the channel's own.
    """

    target: Target | str | None
    case: Case | None
    quantity: int | None
    discount: Discount | str | None
    on: dt.date | None


@dataclass(frozen=True, slots=True)
class Opened:
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
        stated = self.book.products[self.product(product)].channels
        return self.channels if stated is None else tuple(name for name in self.channels if name in stated)

    def asked(self, product: str, channel: str, wishes: Wishes) -> PriceAsk:
        """Return the question for a price of this product on this channel.

        Raises `QuestionError` for a product or channel that the shop has not, or a wish nobody understands.
        """
        quantity = wishes.get("quantity")
        if quantity is not None and not 1 <= quantity <= 1000:
            raise QuestionError(f"a quantity of {quantity}; ask for a whole number of units from 1 to 1000")
        ask = Ask(
            product=self.product(product),
            channel=_known(channel, self.channels, "channel"),
            on=wishes.get("on") or read_day(None),
            quantity=quantity,
            discounts=discount_said(wishes.get("discount")),
        )
        return PriceAsk(ask=ask, target=target_said(wishes.get("target")), case=wishes.get("case"))

    def product(self, name: str) -> str:
        """Return the product's file name; its display name is understood as well."""
        by_name = {product.name: key for key, product in self.book.products.items()}
        return _known(by_name.get(name, name), self.products, "product")

    def in_use(self, ask: Ask) -> int | None:
        """Return the list price in use today, in minor units of the channel's currency; None if there is none."""
        listed = list_price_of(self.book, ask)
        return None if listed is None else int(listed * 10 ** minor_digits(currency_of(self.book, ask.channel)))


def _known(name: str, names: Sequence[str], what: str) -> str:
    if name in names:
        return name
    near = difflib.get_close_matches(name, names, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names) or 'none yet'}"
    raise QuestionError(f"no {what} is called {name[:60]!r}; {hint}")


def pairs(shop: Opened, products: Iterable[str], channels: Sequence[str]) -> list[tuple[str, str]]:
    """Return every pair of product and channel to answer for: those asked for, else all on which it is sold."""
    found = [(product, channel) for product in products for channel in (channels or shop.sold_on(product))]
    if not found:
        raise QuestionError("nothing to answer: the product is sold on no channel; name one with --channel")
    return found
