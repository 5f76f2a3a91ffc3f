"""The files of a shop folder on their way to a book: each with what was built from it and the mistakes found so far."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

from netprice.book.build import MOST_MISTAKES, Built, build
from netprice.book.files import FileKind, Found, Source
from netprice.book.mistakes import Mistake, dotted
from netprice.book.models import MODELS
from netprice.book.positions import Positions
from netprice.book.rate_card import RateCard
from netprice.book.rates_tables import RatesTables
from netprice.book.shipped import profile_names, profiles_folder
from netprice.book.shop import Shop
from netprice.book.toml_text import Table, decode
from netprice.errors import Problem, QuantityError
from netprice.money import minor_digits


@dataclass(slots=True)
class Page:
    """One file of the book: where it came from, what was built from it, and the mistakes found in it."""

    source: Source
    built: Built
    mistakes: list[Mistake] = field(default_factory=list)

    @property
    def table(self) -> Table | None:
        """Return the table as it stands in the file, None if it could not be read."""
        return self.source.table

    def find(self, mistakes: Iterable[Mistake]) -> None:
        """Keep what the rules found, as far as it does not come from a mistake that is known already."""
        self.mistakes += islice(self.built.sound(mistakes), MOST_MISTAKES + 1)

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


@dataclass(slots=True)
class Pages:
    """All files of the folder, and the fee profiles that come with netprice and are named in it."""

    found: Found
    by_kind: dict[FileKind, dict[str, Page]] = field(default_factory=lambda: {kind: {} for kind in MODELS})
    shipped: frozenset[str] = frozenset()
    tables: RatesTables = field(init=False)

    def __post_init__(self) -> None:
        """Start without any table of rates."""
        self.tables = RatesTables(self.found)

    @classmethod
    def of(cls, found: Found) -> Pages:
        """Build what can be built from the files."""
        pages = cls(found, shipped=profile_names())
        shop = next((source.table for source in found.sources if source.kind == "shop"), None)
        currency = currency_of(shop or {}, "")
        for source in found.sources:
            pages._add(source, currency)
        for name in sorted(pages._named_profiles() & pages.shipped - set(pages.by_kind["fee-profile"])):
            found.read(profiles_folder() / f"{name}.toml", "fee-profile")
            pages._add(found.sources[-1], currency)
        return pages

    @property
    def shop(self) -> Page | None:
        """Return the shop's own file, if there is one."""
        return self.by_kind["shop"].get("shop")

    def models(self, kind: FileKind) -> dict[str, Any]:
        """Return what was built from the files of a kind, None for those of which nothing could be."""
        return {name: page.built.model for name, page in self.by_kind[kind].items()}

    def problems(self) -> tuple[Problem, ...]:
        """Return everything that is wrong, sorted by file and line."""
        pages = (page for pages in self.by_kind.values() for page in pages.values())
        return tuple(sorted((*self.found.problems, *(problem for page in pages for problem in page.problems()))))

    def _add(self, source: Source, currency: str) -> None:
        if source.kind in ("fee-profile", "rate-card"):
            currency = currency_of(source.table or {}, currency)
        built = Built(None)
        if source.table is not None:
            built = build(MODELS[source.kind], source.table, currency)
        page = Page(source, built, list(built.mistakes))
        if isinstance(built.model, RateCard):
            card, mistakes = self.tables.fill(built.model, source.folder)
            page.built = built._replace(model=card)
            page.find(mistakes)
        self.by_kind[source.kind][source.name] = page

    def _named_profiles(self) -> set[str]:
        shop: Shop | None = self.shop.built.model if self.shop else None
        return {channel.fee_profile for channel in shop.channels.values() if channel.fee_profile} if shop else set()


def currency_of(table: Table, otherwise: str = "") -> str:
    """Return the currency that a table is written in; '' if it names one that does not exist."""
    code = table.get("currency", otherwise)
    try:
        minor_digits(code if isinstance(code, str) else "")
    except QuantityError:
        return ""
    return str(code)
