"""Which parcels an order can go in: every packing with every number of units in it, and the ways that add up to it.

Section 5 of the money model. Pure counting; what a parcel costs to send is asked from outside.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final, NamedTuple, TypeAlias

from netprice.book.product import Packing
from netprice.ledger.parcel import Parcel

# Up to so many units in a parcel every number is tried; beyond it only a full parcel and what is left over.
TRIED_ONE_BY_ONE: Final = 60

# More parcels than are counted one by one.
MOST_PARCELS: Final = 40

Way: TypeAlias = tuple[int, ...]
"""One way to pack an order: the places of its boxes in a list, in rising order, once for each parcel."""


class Box(NamedTuple):
    """One parcel that an order may go in: a packing and how many of the order's units are in it."""

    name: str
    units: int
    parcel: Parcel


def boxes_of(packings: Mapping[str, Packing], weight: Fraction, quantity: int) -> tuple[Box, ...]:
    """Return every parcel that might be part of an order of `quantity` units of this weight, in the packings' order."""
    boxes = []
    for name, packing in packings.items():
        most = min(packing.holds, quantity)
        tried = sorted({*range(1, min(most, TRIED_ONE_BY_ONE) + 1), most, quantity % most or most})
        counts = [units for units in tried if units >= packing.at_least]
        sides = (packing.length, packing.width, packing.height)
        for units in counts:
            heavy = (packing.empty_weight or Fraction(0)) + units * weight
            boxes.append(Box(name, units, Parcel(sides, heavy, packing.shape, packing.girth)))
    return tuple(boxes)


def cheapest_way(boxes: Sequence[Box], quantity: int, costs: Sequence[Fraction | None]) -> Way | None:
    """Return the way with the lowest total cost; of equal ones fewer parcels, then the order of the boxes.

    A box without a cost cannot be used. None where the order cannot be packed.

    >>> from netprice.ledger.parcel import Parcel
    >>> parcel = Parcel(sides_mm=(Fraction(1),) * 3, weight_g=Fraction(1))
    >>> boxes = [Box("single", 1, parcel), Box("pair", 2, parcel)]
    >>> cheapest_way(boxes, 3, [Fraction(5), Fraction(9)])
    (0, 1)
    """
    best: list[tuple[Fraction, int, Way] | None] = [(Fraction(0), 0, ())]
    for units in range(1, quantity + 1):
        found: tuple[Fraction, int, Way] | None = None
        for place, (box, cost) in enumerate(zip(boxes, costs, strict=True)):
            before = best[units - box.units] if box.units <= units else None
            if cost is None or before is None:
                continue
            this = (before[0] + cost, before[1] + 1, tuple(sorted((*before[2], place))))
            found = this if found is None else min(found, this)
        best.append(found)
    last = best[quantity]
    return None if last is None else last[2]


def every_way(boxes: Sequence[Box], quantity: int, usable: Sequence[bool], most: int) -> list[Way]:
    """Return all ways to pack the order with usable boxes, fewer parcels first, then in the order of the boxes.

    Stops after the number of parcels at which at least `most` have been found, or at `MOST_PARCELS` parcels.
    """
    largest = max((box.units for box, may in zip(boxes, usable, strict=True) if may), default=0)
    ways: list[Way] = []
    if not largest:
        return ways
    for parcels in range(-(-quantity // largest), min(quantity, MOST_PARCELS) + 1):
        ways += _ways(boxes, quantity, usable, parcels, largest)
        if len(ways) >= most:
            break
    return ways


def _ways(
    boxes: Sequence[Box], units: int, usable: Sequence[bool], parcels: int, largest: int, first: int = 0
) -> Iterator[Way]:
    """Yield the ways to put so many units into so many parcels, from the box at `first` on."""
    if parcels == 0:
        if units == 0:
            yield ()
        return
    for place in range(first, len(boxes)):
        left = units - boxes[place].units
        if usable[place] and parcels - 1 <= left <= (parcels - 1) * largest:
            for rest in _ways(boxes, left, usable, parcels - 1, largest, place):
                yield (place, *rest)


def way_name(boxes: Sequence[Box], way: Way) -> str:
    """Return the way in words: "2 × single + four"."""
    names = [boxes[place].name for place in way]
    counted = ((name, names.count(name)) for name in dict.fromkeys(names))
    return " + ".join(name if count == 1 else f"{count} × {name}" for name, count in counted)
