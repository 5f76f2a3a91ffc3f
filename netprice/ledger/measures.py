"""The measures of success: margin, markup, profit per unit and per hour, contribution. Section 6 of the money model."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from netprice.book.product import Case
from netprice.ledger.arithmetic import Number
from netprice.ledger.order import OrderLedger, bottom, expected
from netprice.ledger.terms import Terms


class Measures(NamedTuple):
    """What an order earns. Money is in minor units of the channel's currency; None where a divisor is not positive."""

    profit: Fraction
    margin: Fraction | None
    markup: Fraction | None
    profit_per_unit: Fraction
    profit_per_machine_hour: Fraction | None
    profit_per_labour_hour: Fraction | None


def measures(ledger: OrderLedger, case: Case = "expected") -> Measures:
    """Return every measure of what an order comes to, in the expected or in the worst case."""
    terms, found = ledger.terms, bottom(ledger, case)
    profit = Fraction(found.profit)
    return Measures(
        profit=profit,
        margin=_over(profit, found.net_sales),
        markup=_over(profit, found.cost),
        profit_per_unit=profit / terms.quantity,
        profit_per_machine_hour=_over(profit, machine_hours(terms)),
        profit_per_labour_hour=_over(profit, with_replacements(terms, found.labour_hours)),
    )


def _over(profit: Fraction, divisor: Fraction | int) -> Fraction | None:
    return profit / divisor if divisor > 0 else None


def machine_hours(terms: Terms) -> Number:
    """Return the expected machine hours of an order, those of replacements included."""
    stack = terms.stack
    hours = terms.quantity * stack.machine_hours(per_order=False) + stack.machine_hours(per_order=True)
    return with_replacements(terms, hours)


def labour_hours(ledger: OrderLedger) -> Fraction:
    """Return the expected labour hours of an order, those of packing and of replacements included."""
    return Fraction(with_replacements(ledger.terms, bottom(ledger, "expected").labour_hours))


def with_replacements(terms: Terms, hours: Number) -> Number:
    """Return the expected hours of an order, given those of an order that is made once."""
    return hours * (1 + terms.outcomes.damage_rate) if terms.outcomes.replaces else hours


def contribution(ledger: OrderLedger) -> Fraction:
    """Return the expected profit with all overhead and fees per month left out: what one more sale adds.

    Overhead is left out of the goods, of the order's costs, of goods that come back and of set-asides; reserves stay.
    """
    terms, totals = ledger.terms, expected(ledger)
    overhead_in_unit = terms.stack.overhead(per_order=False) * terms.worth * terms.quantity
    packing = sum((zone.zone.share * zone.packing.overhead for zone in ledger.zones), Fraction(0))
    overhead = overhead_in_unit + terms.stack.overhead(per_order=True) * terms.worth + packing
    ends = terms.outcomes
    spared = overhead * (1 + (ends.damage_rate if ends.replaces else 0))
    lost = ends.return_rate * ends.resellable * overhead_in_unit + ends.damage_rate * ends.recovered * overhead
    by_sales = sum((laid_by.percent for laid_by in terms.set_asides if laid_by.is_overhead), Fraction(0))
    sales = Fraction(max(totals.net_sales, 0))
    return Fraction(totals.profit) + spared - lost + month_fees(ledger) + by_sales * sales


def month_fees(ledger: OrderLedger) -> Fraction:
    """Return what the fees per month, with their tax, come to for one order, over its zones."""
    return sum(
        (
            zone.zone.share * Fraction(line.expected.amount + line.expected.tax)
            for zone in ledger.zones
            for line in zone.fees
            if line.fee.per == "month"
        ),
        Fraction(0),
    )
