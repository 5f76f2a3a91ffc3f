"""What must hold for ways of charging overhead, in the shop's file and in a product's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from netprice.book.around import LINE_KINDS, Names
from netprice.book.mistakes import Mistake, Path, lacking, nearest
from netprice.book.product import Overhead

_WAYS = ("percent", "per_labour_hour", "per_machine_hour", "per_month")


def check_overhead(ways: Mapping[str, Overhead], lines: Names, whose: str) -> Iterator[Mistake]:
    """Give every mistake in ways of charging overhead; `lines` are the cost lines that a percent can be taken of.

    >>> [mistake.what for mistake in check_overhead({"rent": Overhead()}, None, "product")]
    ['no way of charging it']
    """
    for name, way in ways.items():
        at = ("overhead", name)
        yield from _one_way(way, at)
        for place, of in enumerate(way.of):
            yield from _of(of, lines, whose, (*at, "of", place))


def _one_way(way: Overhead, at: Path) -> Iterator[Mistake]:
    given = [key for key in _WAYS if getattr(way, key) is not None]
    if not given:
        yield Mistake(at, "no way of charging it", f"add one of {', '.join(_WAYS)}")
    for key in given[1:]:
        yield Mistake((*at, key), f"a second way of charging it (got {given[0]} and {key})", "keep one of them")
    if way.percent is not None and not way.of:
        mend = "add a line such as of = ['labour', 'material'] or of = ['all']"
        yield lacking((*at, "of"), "missing key: what the percent is taken of", mend)
    if way.percent is None and way.of:
        yield lacking((*at, "of"), "cost lines without a percent of them (got of)", "add a percent, or take it out")
    if way.per_month is not None and way.planned_units is None:
        mend = "add planned_units = the good units you plan a month"
        yield lacking((*at, "planned_units"), "missing key: the units that a month's total is spread over", mend)
    if way.per_month is None and way.planned_units is not None:
        what = "planned units without a month's total (got planned_units)"
        yield lacking((*at, "planned_units"), what, "add per_month, or take it out")


def _of(of: str, lines: Names, whose: str, at: Path) -> Iterator[Mistake]:
    kinds = ("all", *LINE_KINDS, "packing")
    if of in kinds:
        return
    if of.partition(".")[0] not in LINE_KINDS or "." not in of:
        what = f"no kind of cost line (got {of[:40]!r})"
        yield Mistake(at, what, f"{nearest(of, kinds, '')} (one line alone is named like 'labour.glazing')")
    elif lines is not None and of not in lines:
        what = f"no such cost line in {whose} (got {of[:40]!r})"
        yield Mistake(at, what, nearest(of, lines, "name a whole kind such as 'labour'"))
