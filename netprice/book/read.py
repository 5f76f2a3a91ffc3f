"""Reading a shop folder: every file, every mistake in them at once, and the book if there is none.

    book = open_book(Path("examples/pottery"))       # raises InputError with all problems
    result = read_book(Path("examples/pottery"))     # or look at them: result.problems

This is the only place where tables become models. pydantic builds them here and is not seen anywhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, Final

from netprice.book.build import MOST_MISTAKES, Built, build
from netprice.book.fee_profile import FeeProfile
from netprice.book.files import Found, Kind, Source, read_folder
from netprice.book.mistakes import Mistake, dotted
from netprice.book.positions import Positions
from netprice.book.product import Product
from netprice.book.rate_card import RateCard
from netprice.book.shop import Book, Shop
from netprice.book.toml_text import Table, decode
from netprice.errors import InputError, Problem, QuantityError
from netprice.money import minor_digits

MODELS: Final[Mapping[Kind, type]] = {
    "shop": Shop,
    "product": Product,
    "fee-profile": FeeProfile,
    "rate-card": RateCard,
}


@dataclass(frozen=True, slots=True)
class LoadResult:
    """What was read: the book, or the problems that stand in its way, sorted by file and line."""

    book: Book | None
    problems: tuple[Problem, ...]


@dataclass(slots=True)
class Page:
    """One file of the book: where it came from, what was built from it, and the mistakes found in it."""

    source: Source
    built: Built[Any]
    mistakes: list[Mistake] = field(default_factory=list)

    @property
    def table(self) -> Table:
        """Return the table as it stands in the file, empty if it could not be read."""
        return self.source.table or {}

    def find(self, mistakes: Iterable[Mistake]) -> None:
        """Keep what the rules found, as far as it does not come from a mistake that is known already."""
        self.mistakes += islice(self.built.sound(mistakes), MOST_MISTAKES)

    def problems(self) -> Iterator[Problem]:
        """Give the mistakes with their lines."""
        if not self.mistakes:
            return
        lines = Positions(decode(self.source.data))
        for each in self.mistakes[:MOST_MISTAKES]:
            line, key = lines.line(each.path), dotted(each.path)
            yield Problem(file=self.source.shown, line=line, key=key, what=each.what, mend=each.mend)
        if len(self.mistakes) > MOST_MISTAKES:
            more = f"more mistakes than are shown here (got over {MOST_MISTAKES})"
            yield Problem(file=self.source.shown, line=1, key="", what=more, mend="mend these first")


def open_book(folder: Path) -> Book:
    """Read a shop folder; raise `InputError` with every problem if there is any."""
    result = read_book(folder)
    if result.book is None:
        raise InputError(result.problems)
    return result.book


def read_book(folder: Path) -> LoadResult:
    """Read a shop folder: the book if everything in it is right, and otherwise every problem."""
    found = read_folder(folder)
    pages = _pages(found.sources)
    problems = [*found.problems, *(problem for page in pages for problem in page.problems())]
    if problems:
        return LoadResult(None, tuple(sorted(problems)))
    return LoadResult(_bound(pages), ())


def _pages(sources: list[Source]) -> list[Page]:
    shop = next((source.table for source in sources if source.kind == "shop" and source.table), {})
    currency = _known_currency(shop, "")
    pages = []
    for source in sources:
        in_use = currency
        if source.kind in ("fee-profile", "rate-card"):
            in_use = _known_currency(source.table or {}, currency)
        built = build(MODELS[source.kind], source.table, in_use) if source.table is not None else Built[Any](None)
        pages.append(Page(source, built, list(built.mistakes)))
    return pages


def _known_currency(table: Table, otherwise: str) -> str:
    if "currency" not in table:
        return otherwise
    code = table["currency"]
    try:
        minor_digits(code if isinstance(code, str) else "")
    except QuantityError:
        return ""
    return str(code)


def _bound(pages: list[Page]) -> Book:
    by_kind: dict[Kind, dict[str, Any]] = {kind: {} for kind in MODELS}
    for page in pages:
        by_kind[page.source.kind][page.source.name] = page.built.model
    return Book(
        shop=by_kind["shop"]["shop"],
        products=by_kind["product"],
        fee_profiles=by_kind["fee-profile"],
        rate_cards=by_kind["rate-card"],
    )
