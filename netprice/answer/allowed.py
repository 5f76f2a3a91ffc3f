"""The list prices that are allowed: multiples of a step within limits, with certain endings where the shop wants them.

Prices are whole minor units, and each allowed price has a place: 0, 1, 2 … from the lowest upwards.

    >>> from netprice.book.readers import Ending
    >>> prices = Allowed.of(lowest=1, highest=400, step=5, endings=((95, 100), (50, 100)))
    >>> [prices.price(place) for place in range(prices.count)]
    [50, 95, 150, 195, 250, 295, 350, 395]
    >>> prices.first_from(151)
    3
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


@dataclass(frozen=True, slots=True)
class Allowed:
    """Allowed prices as a repeating pattern: `rests` are the allowed rests of a price divided by `period`."""

    rests: tuple[int, ...]
    period: int
    first: int
    count: int

    @classmethod
    def of(cls, *, lowest: int, highest: int, step: int, endings: tuple[tuple[int, int], ...] = ()) -> Allowed:
        """Return the multiples of `step` in [lowest, highest]; `endings` are pairs of rest and modulus."""
        period = step
        rests = {0}
        if endings:
            period = math.lcm(step, *(modulus for _, modulus in endings))
            rests = set()
            for rest, modulus in endings:
                common = math.lcm(step, modulus)
                fitting = [price for price in range(rest % modulus, common, modulus) if price % step == 0]
                rests |= {price for first in fitting for price in range(first, period, common)}
        pattern = tuple(sorted(rests))
        whole = cls(pattern, period, 0, 0)
        first = whole.first_from(lowest) if pattern else 0
        return cls(pattern, period, first, max(whole.first_from(highest + 1) - first, 0) if pattern else 0)

    def price(self, place: int) -> int:
        """Return the allowed price at a place."""
        block, rest = divmod(place + self.first, len(self.rests))
        return block * self.period + self.rests[rest]

    def prices(self, places: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
        """Return the allowed prices at many places."""
        import numpy as np

        if len(self.rests) == 1:
            return (places + self.first) * self.period + self.rests[0]
        block, rest = np.divmod(places + self.first, len(self.rests))
        return block * self.period + np.asarray(self.rests, dtype=np.int64)[rest]

    def first_from(self, price: float) -> int:
        """Return the place of the lowest allowed price that is not under `price`; it may lie past the last place."""
        whole = math.ceil(price)
        block, rest = divmod(whole, self.period)
        return block * len(self.rests) + bisect_left(self.rests, rest) - self.first

    def firsts_from(self, prices: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
        """Return `first_from` for many whole prices."""
        import numpy as np

        block, rest = np.divmod(prices, self.period)
        return block * len(self.rests) + np.searchsorted(np.asarray(self.rests), rest) - self.first
