"""The rates of a card from a table in CSV, with every mistake in it.

    weight,near,far
    1,6.20,7.00
    2,6.60,7.80

The first column holds the weights up to which the prices beside them go, lightest first; each further one is a zone.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.book.build import MOST_MISTAKES
from netprice.book.mistakes import quoted
from netprice.book.rate_card import Breaks
from netprice.book.readers import read_name
from netprice.book.toml_text import UnreadableError, decode
from netprice.errors import QuantityError
from netprice.money import parse_number, show_exact

MOST_CELLS: Final = 100_000
_HEADER: Final = "a header such as weight,near,far"
# Nearly all prices are written like this, and these are read at once; `parse_number` reads or refuses the others.
_PLAIN: Final = re.compile(r" *(\d{1,9})(?:\.(\d{1,6}))? *", re.ASCII)


class Flaw(NamedTuple):
    """One mistake in a table: its line and column, what is wrong, and how to mend it."""

    line: int
    column: str
    what: str
    mend: str


@dataclass(slots=True)
class RatesRead:
    """What became of a table: the rates, or what is wrong with it."""

    rates: Breaks = field(default_factory=dict)
    flaws: list[Flaw] = field(default_factory=list)


def read_rates(data: bytes, first: tuple[str, ...] = ("weight",)) -> RatesRead:
    r"""Read the table in a file's bytes; `first` are the names that its first column may have.

    >>> read_rates(b"weight,near,far\n1,6.20,7\n").rates["near"]
    ((Fraction(1, 1), Fraction(31, 5)),)
    >>> read_rates(b"weight,near,far\n1,6.20\n").flaws[0][:3]
    (2, 'far', 'a missing cell (got 2 of 3)')
    """
    table = _Table(first)
    try:
        text = decode(data)
        _separated_by_commas(text)
        for line, row in _rows(text):
            if any(cell.strip() for cell in row):
                table.take(line, row)
            elif row:
                table.tell(line, "", f"a row of empty cells (got {','.join(row)[:40]!r})", "take it out")
            if len(table.flaws) > MOST_MISTAKES:
                break
        table.close()
    except UnreadableError as error:
        table.tell(error.line, "", error.what, error.mend)
    return RatesRead({} if table.flaws else table.rates(), table.flaws)


def _separated_by_commas(text: str) -> None:
    header = text.lstrip("\r\n").partition("\n")[0]
    for mark, named in ((";", "';'"), ("\t", "tabs")):
        if mark in header and "," not in header:
            line = text[: text.index(header)].count("\n") + 1
            mend = "separate them by commas, and write decimals with a point"
            raise UnreadableError(line, f"cells separated by {named} (got {header.strip()[:40]!r})", mend)


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Give each row with the line that it begins in."""
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    cells = 0
    while True:
        line = rows.line_num + 1
        try:
            row = next(rows)
        except StopIteration:
            return
        except csv.Error:
            what = f"a quote out of place, or a cell that never ends (got {_line(text, line)!r})"
            raise UnreadableError(line, what, "close the quotes, or take them out") from None
        cells += len(row)
        if cells > MOST_CELLS:
            raise UnreadableError(line, f"too much for one file (got over {MOST_CELLS:,} cells)", "split it up")
        yield line, row


def _line(text: str, line: int) -> str:
    for number, content in enumerate(io.StringIO(text, newline=""), start=1):
        if number == line:
            return content.strip()[:40]
    return ""


class _Table:
    """A table on its way from rows of text to rates."""

    def __init__(self, first: tuple[str, ...]) -> None:
        self.flaws: list[Flaw] = []
        self._first = first
        self._columns: list[str] = []
        self._known: dict[str, Fraction] = {}
        self._weights: list[Fraction] = []
        self._prices: list[list[Fraction]] = []

    def tell(self, line: int, column: str, what: str, mend: str) -> None:
        """Keep a mistake."""
        self.flaws.append(Flaw(line, column, what, mend))

    def rates(self) -> Breaks:
        """Return the breaks of every zone."""
        by_zone = zip(*self._prices, strict=True)
        weights = self._weights
        return {
            zone: tuple(zip(weights, prices, strict=True))
            for zone, prices in zip(self._columns[1:], by_zone, strict=False)
        }

    def take(self, line: int, row: list[str]) -> None:
        """Take in the next row that is not empty."""
        if not self._columns:
            self._header(line, row)
        elif len(row) != len(self._columns):
            self._ragged(line, row)
        else:
            self._break(line, row)

    def close(self) -> None:
        """Say what is missing at the end of the table."""
        if not self._columns:
            self.tell(1, "", "an empty table", f"write {_HEADER} and a row for each break, lightest first")
        elif not self._weights and not self.flaws:
            self.tell(1, "", "a table without prices", "add a row for each break, lightest first")

    def _header(self, line: int, row: list[str]) -> None:
        first = row[0].strip()
        if first not in self._first:
            what = f"expected {quoted(self._first)} as the name of the first column (got {first[:40]!r})"
            self.tell(line, "", what, f"begin with {_HEADER.replace('weight', self._first[0])}")
            first = self._first[0]
        if len(row) == 1:
            raise UnreadableError(line, "no zones", "add a column for each zone")
        self._columns.append(first)
        for place, cell in enumerate(row[1:], start=2):
            self._columns.append(self._zone(line, place, cell))

    def _zone(self, line: int, place: int, cell: str) -> str:
        if not cell.strip():
            self.tell(line, f"column {place}", "a column without a name", "write its zone, or take the column out")
            return f"column {place}"
        try:
            name = read_name(cell.strip())
        except QuantityError as error:
            self.tell(line, f"column {place}", error.what, error.mend)
            return f"column {place}"
        if name in self._columns:
            self.tell(line, name, f"a column that is there twice (got {name[:40]!r})", "keep one of the two")
        return name

    def _ragged(self, line: int, row: list[str]) -> None:
        wanted = len(self._columns)
        if any(";" in cell for cell in row):
            mend = "separate them by commas, and write decimals with a point"
            self.tell(line, "", f"cells separated by ';' (got {','.join(row)[:40]!r})", mend)
        elif len(row) < wanted:
            what = f"a missing cell (got {len(row)} of {wanted})"
            self.tell(line, self._columns[len(row)], what, "write a price for every zone")
        else:
            what = f"a row longer than the header (got {len(row)} cells for {wanted} columns)"
            mend = "take the rest out, or name its column; write decimals with a point"
            self.tell(line, f"column {wanted + 1}", what, mend)

    def _break(self, line: int, row: list[str]) -> None:
        flaws, name = len(self.flaws), self._columns[0]
        weight = self._number(line, name, row[0])
        if weight == 0 and len(self.flaws) == flaws:
            self.tell(line, name, f"zero (got {row[0].strip()[:40]!r})", "write a number above zero")
        elif self._weights and 0 < weight <= self._weights[-1]:
            what = f"{name}s that do not rise (got {show_exact(weight)} after {show_exact(self._weights[-1])})"
            self.tell(line, name, what, "put the rows in order, lowest first")
        prices = [self._number(line, zone, cell) for zone, cell in zip(self._columns[1:], row[1:], strict=True)]
        if weight > 0:
            self._weights.append(weight)
            self._prices.append(prices)

    def _number(self, line: int, column: str, cell: str) -> Fraction:
        """Return the number in a cell, zero where there is none."""
        number = self._known.get(cell)
        if number is None:
            plain = _PLAIN.fullmatch(cell)
            number = _exactly(plain[1], plain[2] or "") if plain else self._other(line, column, cell)
            if plain:
                self._known[cell] = number
        return number

    def _other(self, line: int, column: str, cell: str) -> Fraction:
        if not cell.strip():
            mend = "write a number" if column == self._columns[0] else "write a price, or leave the zone's column out"
            self.tell(line, column, f"an empty cell (got {cell[:40]!r})", mend)
            return Fraction(0)
        try:
            number = parse_number(cell)
        except QuantityError as error:
            self.tell(line, column, error.what, error.mend)
            return Fraction(0)
        if number < 0:
            self.tell(line, column, f"below zero (got {cell.strip()[:40]!r})", "write an amount of zero or more")
            return Fraction(0)
        return number


def _exactly(whole: str, part: str) -> Fraction:
    return Fraction(int(whole + part), 10 ** len(part))
