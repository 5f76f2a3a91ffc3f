"""A shop that is open for questions: every command is one method here, and everything a command can do, this can."""

from __future__ import annotations

from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Unpack

from netprice.answer.ask import price_of
from netprice.answer.decisions import Decisions
from netprice.answer.opened import Wishes
from netprice.answer.reason import why_refused
from netprice.answer.result import Ledger, Solution, ledger_of, solution_of
from netprice.answer.spoken import Number, amount_said
from netprice.errors import QuestionError
from netprice.ledger.order import order_ledger
from netprice.ledger.settle import settle
from netprice.money import in_minor

if TYPE_CHECKING:
    from netprice.answer.free_shipping import FreeShipping
    from netprice.answer.parcel import ParcelAnswer


def open_shop(folder: str | PathLike[str]) -> OpenShop:
    """Read a shop folder and return it, open for questions.

    Raises `InputError` with every mistake of every file if there is any.
    """
    from netprice.book.read import open_book

    return OpenShop(open_book(Path(folder)))


class OpenShop(Decisions):
    """A shop folder that was read and found free of mistakes.

    Every question takes `Wishes`: `target`, `case`, `quantity`, `discount`, `on`, where they differ from the shop's.
    It raises `QuestionError` for a product or channel that the shop has not, or a wish nobody understands.
    """

    __slots__ = ()

    def solve(self, product: str, *, channel: str, **wishes: Unpack[Wishes]) -> Solution:
        """Return the lowest list price that meets the target, the safe floor, the price traps and the ledger."""
        return solution_of(price_of(self.book, self.asked(product, channel, wishes)))

    def ledger(self, product: str, *, channel: str, price: Number, **wishes: Unpack[Wishes]) -> Ledger:
        """Return every line of an order at a given list price (in the channel's currency), from sale to profit."""
        terms = settle(self.book, self.asked(product, channel, wishes).ask)
        if terms.unreached:
            why = why_refused(terms)
            raise QuestionError(f"{product} cannot be sold on {channel}: {why}; offer another rate card or packing")
        return ledger_of(order_ledger(terms, in_minor(amount_said(price, "the price"), terms.digits)))

    def free_shipping(self, product: str, *, channel: str, **wishes: Unpack[Wishes]) -> FreeShipping:
        """Return what it costs to fold shipping into the price, and from which order total it can be free."""
        from netprice.answer.free_shipping import free_shipping

        asked = self.asked(product, channel, wishes)
        return free_shipping(self.book, asked, self.in_use(asked.ask))

    def parcel(
        self, product: str, *, channel: str, price: Number | None = None, **wishes: Unpack[Wishes]
    ) -> ParcelAnswer:
        """Return how an order travels: packings, weights, every service to every zone, and what a smaller box saves.

        What is insured follows `price`, by default the one that `solve` gives.
        """
        from netprice.answer.parcel import parcel_of

        if price is None:
            solution = self.solve(product, channel=channel, **wishes)
            price = solution.lowest_price or (solution.best.price if solution.best else 0)
        return parcel_of(self.book, self.asked(product, channel, wishes).ask, amount_said(price, "the price"))
