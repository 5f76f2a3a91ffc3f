"""Reading a shop folder: every file, every mistake in them at once, and the book if there is none.

    book = open_book(Path("examples/pottery"))       # raises InputError with all problems
    result = read_book(Path("examples/pottery"))     # or look at them: result.problems

Below here tables become models; pydantic builds them and is not seen anywhere else.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from netprice.book.files import read_folder
from netprice.book.pages import Pages
from netprice.book.rules import check
from netprice.book.shop import Book
from netprice.errors import InputError, Problem


class LoadResult(NamedTuple):
    """What was read: the book, or the problems that stand in its way, sorted by file and line."""

    book: Book | None
    problems: tuple[Problem, ...]


def open_book(folder: Path) -> Book:
    """Read a shop folder; raise `InputError` with every problem if there is any."""
    result = read_book(folder)
    if result.book is None:
        raise InputError(result.problems)
    return result.book


def read_book(folder: Path) -> LoadResult:
    """Read a shop folder: the book if everything in it is right, and otherwise every problem."""
    pages = Pages.of(read_folder(folder))
    check(pages)
    problems = pages.problems()
    if problems:
        return LoadResult(None, problems)
    book = Book(
        shop=pages.models("shop")["shop"],
        products=pages.models("product"),
        fee_profiles=pages.models("fee-profile"),
        rate_cards=pages.models("rate-card"),
        written={(source.kind, source.name): source.table or {} for source in pages.found.sources},
    )
    return LoadResult(book, ())
