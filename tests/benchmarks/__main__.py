"""Prints how long the things that a user waits for take, each against something that cannot be avoided.

Every pair runs in turn, several times; the middle of the ratios is what counts.
"""

from __future__ import annotations

import datetime as dt
import os
import platform
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from netprice.answer.ask import PriceAsk, price_of
from netprice.book.shop import Book
from netprice.ledger.settle import Ask
from tests.cases.answer import ask_of
from tests.properties.shops import book_of

ROOT = Path(__file__).parents[2]
CASE = ROOT / "tests/cases/data/16_two_channels_everything.json"
BARE_TYPER = "import typer; app = typer.Typer(); app.command()(lambda name: None); app()"
LIBRARIES = "import typer, pydantic, pint, scipy.optimize"


def seconds(command: list[str]) -> float:
    """Return how long a command takes as a whole process."""
    start = time.perf_counter()
    subprocess.run(command, check=False, capture_output=True, cwd=ROOT)
    return time.perf_counter() - start


def ratio(name: str, ours: list[str], other: list[str], goal: float, runs: int = 11) -> None:
    """Print the middle of the ratios of two commands that are run in turn."""
    pairs = [(seconds(ours), seconds(other)) for _ in range(runs + 1)][1:]
    ratios = sorted(one / two for one, two in pairs)
    middle = statistics.median(one for one, _ in pairs)
    print(
        f"{name:<46} {statistics.median(ratios):6.2f} ×  ({ratios[0]:.2f} to {ratios[-1]:.2f}; goal {goal} ×;"
        f" {middle * 1000:.0f} ms)"
    )


def each(name: str, call: Callable[[], object], goal_ms: float, runs: int = 200) -> None:
    """Print how long a warm call takes in this process, at the median."""
    times = []
    for _ in range(runs + 10):
        start = time.perf_counter()
        call()
        times.append((time.perf_counter() - start) * 1000)
    print(f"{name:<46} {statistics.median(times[10:]):6.2f} ms (goal {goal_ms} ms)")


def main() -> None:
    """Run every benchmark."""
    print(f"{platform.machine()}, {os.cpu_count()} processors, CPython {platform.python_version()}")
    python, shop = sys.executable, str(ROOT / "examples/pottery")
    ratio(
        "netprice --help : a bare typer program's",
        [python, "-m", "netprice", "--help"],
        [python, "-c", BARE_TYPER, "--help"],
        1.5,
    )
    ratio(
        "netprice solve, five channels : its libraries",
        [python, "-m", "netprice", "solve", "pasta-bowl", "--shop", shop],
        [python, "-c", LIBRARIES],
        1.4,
    )
    import json

    case = json.loads(CASE.read_text(encoding="utf-8"))
    book = book_of(case)
    asked = PriceAsk(ask=ask_of(case, 0))
    each("one solve with every feature, warm", lambda: price_of(book, asked), 5.0)
    from netprice.book.read import open_book

    pottery = open_book(Path(shop))
    bowl = PriceAsk(ask=Ask(product="pasta-bowl", channel=next(iter(pottery.shop.channels)), on=dt.date(2026, 11, 25)))
    each("one solve of the demo shop, warm", lambda: price_of(pottery, bowl), 5.0)

    doubt(book, asked)


def doubt(book: Book, asked: PriceAsk) -> None:
    """Print how long draws of a full-feature order take, against a loop over the ledger."""
    from netprice.answer.drawn import drawn
    from netprice.answer.draws import draw, in_doubt
    from netprice.answer.inputs import inputs_of, sweeps
    from netprice.answer.risk import Draw, risk
    from netprice.ledger.order import order_ledger
    from netprice.ledger.settle import settle

    some = [one for one in inputs_of(book, asked.ask) if sweeps(one) and one.value and one.most is None][:6]
    ranges = {}
    for one in some:
        shown = float((one.value or 0) / one.unit.size)
        ranges[one.name] = f"{shown:.6f} +- {shown / 10:.6f}"
    doubted = in_doubt(book, asked.ask, ranges)
    draws = draw(doubted.doubts, 100_000, 1)

    def one_by_one() -> None:
        for _ in range(100):
            order_ledger(settle(book, asked.ask), 5000)

    loop, swept = timed(one_by_one) / 100, timed(lambda: drawn(book, asked, draws).at(5000)) / draws.how_many
    print(f"{'draws of a full-feature order : a loop over the ledger':<56} {loop / swept:8.0f} × as fast")
    print(f"{f'{draws.how_many:,} draws at a price':<56} {swept * draws.how_many:8.2f} s (goal 1 s)")
    holding = timed(lambda: risk(book, asked, 5000, doubted, Draw(how_many=100_000)))
    print(f"{'the same with the price at 90 %':<56} {holding:8.2f} s (goal 3 s)")


def timed(call: Callable[[], object]) -> float:
    """Return how long a call takes, at the best of three."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


if __name__ == "__main__":
    main()
