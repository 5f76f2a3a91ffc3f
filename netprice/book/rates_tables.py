"""The tables that rate cards name: found beside the card, read once, and put in the place of its rates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from netprice.book.build import MOST_MISTAKES
from netprice.book.files import Found, printable, tables_in
from netprice.book.mistakes import Mistake, dotted, nearest
from netprice.book.mistakes import Path as KeyPath
from netprice.book.rate_card import Breaks, Edition, RateCard
from netprice.book.rates_table import read_rates
from netprice.book.toml_text import UnreadableError
from netprice.errors import Problem


@dataclass(slots=True)
class RatesTables:
    """The tables of a folder that were asked for so far; what is wrong in one is kept with the files' problems."""

    found: Found
    _read: dict[tuple[Path, str], Breaks] = field(default_factory=dict)
    _listed: dict[Path, dict[str, Path]] = field(default_factory=dict)

    def fill(self, card: RateCard, folder: Path) -> tuple[RateCard, tuple[Mistake, ...]]:
        """Return the card with the rates of the tables that it and its editions name, and the mistakes in naming them.

        A table with a mistake in it gives no rates.
        """
        named: list[tuple[KeyPath, RateCard | Edition]] = [((), card)]
        named += [(("editions", place), edition) for place, edition in enumerate(card.editions)]
        mistakes: list[Mistake] = []
        rates: dict[KeyPath, Breaks] = {}
        for at, holder in named:
            if holder.rates_table is None or len(mistakes) > MOST_MISTAKES:
                continue
            wrong = tuple(self._naming(holder, (*at, "rates_table"), folder))
            mistakes += wrong
            if not wrong:
                rates[at] = self._rates(self._in(folder)[holder.rates_table], card)
        if not any(rates.values()):
            return card, tuple(mistakes)
        editions = (
            replace(edition, rates=rates["editions", place]) if rates.get(("editions", place)) else edition
            for place, edition in enumerate(card.editions)
        )
        filled = replace(card, rates=rates.get((), card.rates), editions=tuple(editions))
        return filled, tuple(mistakes)

    def _naming(self, holder: RateCard | Edition, at: KeyPath, folder: Path) -> Iterator[Mistake]:
        name = holder.rates_table or ""
        if holder.rates:
            yield Mistake(at, "rates and a table of them (got both)", "keep one of the two")
        elif "/" in name or "\\" in name or name.startswith(".") or not name.lower().endswith(".csv"):
            mend = "write the bare name of a .csv file that is beside this one"
            yield Mistake(at, f"no name of a table (got {name[:40]!r})", mend)
        elif name not in self._in(folder):
            mend = nearest(name, self._in(folder), "put the table beside this file")
            yield Mistake(at, f"no such table beside this file (got {name[:40]!r})", mend)

    def _in(self, folder: Path) -> dict[str, Path]:
        if folder not in self._listed:
            self._listed[folder] = tables_in(folder)
        return self._listed[folder]

    def _rates(self, path: Path, card: RateCard) -> Breaks:
        """Return the rates in a file; none where something is wrong with it, which is told once."""
        key = (path, card.priced_by)
        first = ("weight",) if card.priced_by == "weight" else ("volume", "weight")
        if key not in self._read:
            self._read[key] = {}
            try:
                read = read_rates(self.found.bytes_of(path), first)
            except UnreadableError as error:
                self._tell(path, error.line, "", error.what, error.mend)
                return {}
            for flaw in read.flaws[:MOST_MISTAKES]:
                self._tell(path, flaw.line, dotted((flaw.column,)) if flaw.column else "", flaw.what, flaw.mend)
            if len(read.flaws) > MOST_MISTAKES:
                more = f"more mistakes than are shown here (got over {MOST_MISTAKES})"
                self._tell(path, 1, "", more, "mend these first")
            if not read.flaws:
                self._read[key] = read.rates
        return self._read[key]

    def _tell(self, path: Path, line: int, key: str, what: str, mend: str) -> None:
        self.found.problems.append(Problem(file=printable(path), line=line, key=key, what=what, mend=mend))
