"""The decisions beyond a price, as methods of an open shop: one here for each question's own file."""

from __future__ import annotations

from netprice.answer.opened import Opened


class Decisions(Opened):
    """What an open shop can be asked besides the price of a product on a channel."""

    __slots__ = ()
