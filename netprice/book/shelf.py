"""Which of the boxes on the shelf a product fits in, and how many of it."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import permutations

from netprice.book.product import Box, Packing, Product, Size

Sides = tuple[Fraction, Fraction, Fraction]
# More of a product in one box than anybody packs; it keeps a thimble in a chest from being counted for ever.
MOST_IN_A_BOX = 1000


def packings_of(product: Product, shelf: Mapping[str, Box]) -> dict[str, Packing]:
    """Return the product's own packings and, where its size is known, every box on the shelf that it fits in.

    A packing of the product's own goes before a box of the same name.
    """
    fitting = {} if product.size is None else _fitting(product.size, shelf)
    return {**product.packing, **{name: box for name, box in fitting.items() if name not in product.packing}}


def _fitting(size: Size, shelf: Mapping[str, Box]) -> dict[str, Packing]:
    found = {}
    for name, box in shelf.items():
        holds = how_many((size.length, size.width, size.height), box.inside or (box.length, box.width, box.height))
        if holds:
            found[name] = Packing(
                length=box.length,
                width=box.width,
                height=box.height,
                empty_weight=box.empty_weight,
                holds=holds,
                cost=box.cost,
                time=box.time,
                paid_as=box.paid_as,
            )
    return found


def how_many(unit: Sides, room: Sides) -> int:
    """Return how many units fit in a room, all turned the same way, in straight rows.

    >>> how_many((Fraction(10), Fraction(10), Fraction(6)), (Fraction(21), Fraction(12), Fraction(10)))
    4
    """
    most = 0
    for turned in permutations(unit):
        rows = [int(inside // side) for side, inside in zip(turned, room, strict=True)]
        most = max(most, rows[0] * rows[1] * rows[2])
    return min(most, MOST_IN_A_BOX)
