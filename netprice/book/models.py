"""The four kinds of file and the models of their tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from typing import Annotated, Any, Final, get_args, get_origin

from netprice.book.fee_profile import FeeProfile
from netprice.book.files import FileKind
from netprice.book.keys import keys_of
from netprice.book.product import Product
from netprice.book.rate_card import RateCard
from netprice.book.shop import Shop

MODELS: Final[Mapping[FileKind, type]] = {
    "shop": Shop,
    "product": Product,
    "fee-profile": FeeProfile,
    "rate-card": RateCard,
}


def tables_of(model: type) -> tuple[type, ...]:
    """Return the model and the models of all tables that may stand inside it.

    >>> [table.__name__ for table in tables_of(FeeProfile)]
    ['FeeProfile', 'Fee', 'Tier']
    """
    found: list[type] = [model]
    for table in found:
        for key in keys_of(table).values():
            found += [each for each in dict.fromkeys(_tables_in(key.annotation)) if each not in found]
    return tuple(found)


def _tables_in(annotation: Any) -> Iterator[type]:
    if isinstance(annotation, type) and is_dataclass(annotation):
        yield annotation
    elif get_origin(annotation) is not Annotated:
        for inner in get_args(annotation):
            yield from _tables_in(inner)
