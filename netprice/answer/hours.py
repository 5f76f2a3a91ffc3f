"""Whose hours an order takes: machine by machine and by kind of work; and how many of them a month has.

What adds up here over all machines and all kinds of work is what `ledger/measures.py` counts as an order's hours.
"""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Mapping
from fractions import Fraction
from typing import Final, Literal, NamedTuple, TypeAlias

from netprice.answer.spoken import Number
from netprice.book.shop import Shop
from netprice.errors import QuantityError, QuestionError
from netprice.ledger.cost import CostLine
from netprice.ledger.measures import with_replacements
from netprice.ledger.order import OrderLedger
from netprice.quantity import read_quantity


class Resource(NamedTuple):
    """What orders take: hours of a machine or of a kind of work, or room for an order on a channel; by its name."""

    kind: Literal["machine", "labour", "channel"]
    name: str


Hours: TypeAlias = Mapping[Resource, Fraction]
# What the tables of the shop are called that name them.
_TABLES: Final = {"machine": "machines", "labour": "labour"}


def hours_of(ledger: OrderLedger) -> Hours:
    """Return the expected hours that an order takes of each machine and each kind of work, with replacements.

    Lines paid per batch or per product count with their share of a good unit, as in the cost stack; the work of packing
    is that of the packings chosen at the order's price, averaged over the zones.
    """
    terms = ledger.terms
    once = [(line, Fraction(1 if line.per_order else terms.quantity)) for line in terms.stack.lines]
    packed = [(line, zone.zone.share) for zone in ledger.zones for line in zone.packing.lines]
    return {resource: Fraction(with_replacements(terms, hours)) for resource, hours in _sums((*once, *packed)).items()}


def batch_hours_of(ledger: OrderLedger) -> Hours:
    """Return the part of the hours of one good unit that is paid by the batch: a firing, a setting-up."""
    return _sums((line, Fraction(1)) for line in ledger.terms.stack.lines if line.per == "batch")


def _sums(lines: Iterable[tuple[CostLine, Fraction]]) -> dict[Resource, Fraction]:
    sums: dict[Resource, Fraction] = {}
    for line, times in lines:
        machine, work = Resource("machine", line.machine), Resource("labour", line.work)
        for resource, hours in ((machine, line.machine_hours), (work, line.labour_hours)):
            if hours:
                sums[resource] = sums.get(resource, Fraction(0)) + hours * times
    return sums


def hours_stated(shop: Shop) -> dict[Resource, Fraction]:
    """Return the hours a month that the shop states, machines first."""
    machines = {Resource("machine", name): machine.hours_per_month for name, machine in shop.machines.items()}
    labour = {Resource("labour", name): work.hours_per_month for name, work in shop.labour.items()}
    return {resource: hours for resource, hours in {**machines, **labour}.items() if hours is not None}


def hours_said(said: Mapping[str, Number], known: Collection[Resource]) -> dict[Resource, Fraction]:
    """Read hours that somebody asks about, such as {"kiln": "130 hours"}; a plain number is hours.

    A name is that of a machine or, if there is none, of a kind of work; "labour.kiln" and "machines.kiln" say which.
    Raises `QuestionError` for a name that is not `known` or hours that are none.
    """
    return {_resource(name, known): _hours(hours, name) for name, hours in said.items()}


def _resource(name: str, known: Collection[Resource]) -> Resource:
    by_name = {resource.name: resource for resource in sorted(known)}  # a machine goes before work of the same name
    by_name |= {f"{_TABLES[resource.kind]}.{resource.name}": resource for resource in known}
    found = by_name.get(name.strip())
    if found is not None:
        return found
    near = difflib.get_close_matches(name, by_name, n=1)
    names = sorted({resource.name for resource in known})
    hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names[:20]) or 'none yet'}"
    raise QuestionError(f"no machine and no kind of work is called {name[:60]!r}; {hint}")


def _hours(hours: Number, name: str) -> Fraction:
    try:
        exact = read_quantity(hours, "time") if isinstance(hours, str) else Fraction(hours)
    except QuantityError as error:
        raise QuestionError(f"the hours of {name[:60]}: {error}") from None
    if exact < 0:
        raise QuestionError(f"the hours of {name[:60]}: below zero (got {hours}); write hours of zero or more")
    return exact
