"""The cost stack: what one good unit costs to make, line by line, and what each order adds.

Section 2 of the money model. Everything is in whole units of the shop's currency and never rounded.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from fractions import Fraction
from typing import Literal, NamedTuple

from netprice.book.product import Overhead, Packing, PaidPer, Product
from netprice.book.shop import Labour, Machine, Shop, Stock
from netprice.ledger.arithmetic import Number
from netprice.money import show_exact
from netprice.quantity import Measure, show_measure

LineKind = Literal["material", "machine", "labour", "bought", "scrap", "overhead", "packing"]
ZERO = Fraction(0)
# How a number is shown that stands for many values at once: nobody reads it then.
_MANY_VALUES = "…"


class CostLine(NamedTuple):
    """One line of the stack: its share of one good unit (or of the order, if paid per order) in money and hours.

    `machine` and `work` say whose hours they are, by the names that the shop has for them.
    """

    name: str
    kind: LineKind
    per: PaidPer
    share: Fraction
    machine_hours: Fraction = ZERO
    labour_hours: Fraction = ZERO
    how: str = ""
    machine: str = ""
    work: str = ""

    @property
    def per_order(self) -> bool:
        """Whether it is paid once per order rather than for each unit."""
        return self.per == "order"


class CostStack(NamedTuple):
    """All lines, overhead last. Totals are per good unit, or per order with `per_order=True`."""

    lines: tuple[CostLine, ...]

    def total(self, *, per_order: bool) -> Fraction:
        """Return C (per good unit) or C_order (what each order adds)."""
        return sum((line.share for line in self.lines if line.per_order == per_order), ZERO)

    def overhead(self, *, per_order: bool) -> Fraction:
        """Return the part of the total that is overhead."""
        return sum((line.share for line in self.lines if line.per_order == per_order and line.kind == "overhead"), ZERO)

    def machine_hours(self, *, per_order: bool) -> Fraction:
        """Return machine hours per good unit or per order."""
        return sum((line.machine_hours for line in self.lines if line.per_order == per_order), ZERO)

    def labour_hours(self, *, per_order: bool) -> Fraction:
        """Return labour hours per good unit or per order, attended machine time included."""
        return sum((line.labour_hours for line in self.lines if line.per_order == per_order), ZERO)


def machine_rate(machine: Machine, labour: Mapping[str, Labour]) -> Fraction:
    """Return what an hour of the machine costs: the rate given, or the one built up from what the machine takes.

    >>> kiln = Machine(purchase_price=Fraction(2400), resale_value=Fraction(400), life=Fraction(5000))
    >>> machine_rate(kiln, {})
    Fraction(2, 5)
    """
    if machine.rate is not None:
        return machine.rate
    wear = ((machine.purchase_price or ZERO) - (machine.resale_value or ZERO)) / (machine.life or 1)
    load = Fraction(1) if machine.load is None else machine.load
    power = (machine.power or ZERO) * load * (machine.tariff or ZERO)
    attended = machine.attended or ZERO
    watching = attended * labour[machine.attended_by or "default"].rate if attended else ZERO
    return wear + power + (machine.consumables or ZERO) + (machine.upkeep or ZERO) + watching


def cost_stack(product: Product, shop: Shop) -> CostStack:
    """Return what one good unit of the product costs and what each order adds without packing, overhead included."""
    lines = [*_material_lines(product, shop.stock), *_machine_lines(product, shop), *_labour_lines(product, shop)]
    lines += [
        _line(
            product,
            name,
            "bought",
            bought.per,
            bought.price * bought.count,
            how=f"{_plain(bought.count)} × {_money(bought.price)}",
        )
        for name, bought in product.bought.items()
    ]
    batch = product.batch
    if batch.scrap_value:
        lines.append(_line(product, "scrap sold", "scrap", "batch", -batch.scrap_value, how="what broken pieces bring"))
    return CostStack((*lines, *_overhead_lines(product, shop, tuple(lines))))


def packing_lines(product: Product, shop: Shop, name: str, packing: Packing) -> tuple[CostLine, ...]:
    """Return what one parcel in this packing adds to an order: the packaging, the work of packing, overhead on both."""
    lines = []
    if packing.cost:
        lines.append(CostLine(f"packing: {name}", "packing", "order", packing.cost, how="outer packaging"))
    if packing.time:
        rate = labour_rate(shop, packing.paid_as or "packing")
        how = f"{_hours(packing.time)} at {_money(rate)} an hour"
        work = f"packing: {name}, work"
        line = CostLine(work, "packing", "order", rate * packing.time, labour_hours=packing.time, how=how)
        lines.append(line._replace(work=_in_shop(packing.paid_as or "packing", shop.labour)))
    return (*lines, *_overhead_lines(product, shop, tuple(lines), monthly=False))


def share_of_one(product: Product, per: PaidPer) -> Fraction:
    """Return which part of an amount paid `per` unit, batch, product, good or order falls on one good unit (or order).

    >>> from netprice.book.product import Batch
    >>> vase = Product(name="Vase", batch=Batch(units_started=Fraction(20), good_share=Fraction(9, 10)))
    >>> share_of_one(vase, "unit"), share_of_one(vase, "batch")
    (Fraction(10, 9), Fraction(1, 18))
    """
    good_share = product.batch.good_share or Fraction(1)
    if per == "unit":
        return 1 / good_share
    if per == "batch":
        return 1 / ((product.batch.units_started or 1) * good_share)
    if per == "product":
        return 1 / (product.batch.lifetime_units or Fraction(1))
    return Fraction(1)


def _line(
    product: Product, name: str, kind: LineKind, per: PaidPer, amount: Fraction, *, how: str,
    machine_hours: Fraction = ZERO, labour_hours: Fraction = ZERO,
) -> CostLine:  # fmt: skip
    part = share_of_one(product, per)
    how += _shared(product, per)
    return CostLine(
        name=name,
        kind=kind,
        per=per,
        share=amount * part,
        machine_hours=machine_hours * part,
        labour_hours=labour_hours * part,
        how=how,
    )


def _shared(product: Product, per: PaidPer) -> str:
    """Say over how many good units an amount is spread."""
    good_share = product.batch.good_share or Fraction(1)
    good = "" if good_share == 1 else f", {_percent(good_share)} good"
    if per == "batch":
        return f", a batch of {_plain(product.batch.units_started or Fraction(1))}{good}"
    if per == "product":
        return f", over {_plain(product.batch.lifetime_units or Fraction(1))} units in all"
    return good if per == "unit" else ""


def _material_lines(product: Product, shelf: Mapping[str, Stock]) -> Iterable[CostLine]:
    for name, material in product.material.items():
        stock = shelf.get(material.stock or name)
        purchase = material.price or (stock.price if stock else None)
        if purchase is None:
            continue
        getting = material.getting_cost if material.getting_cost is not None else (stock and stock.getting_cost)
        waste = material.waste if material.waste is not None else (stock and stock.waste)
        paid = purchase.price + (getting or ZERO)
        if material.units_per_piece is not None:
            a_piece = paid / (purchase.brings.amount if purchase.brings else 1)
            amount = a_piece / material.units_per_piece
            how = f"a piece of {_money(a_piece)} makes {_plain(material.units_per_piece)}"
        else:
            used = material.quantity.amount if material.quantity else ZERO
            brings = purchase.brings.amount if purchase.brings else Fraction(1)
            amount = paid / brings * used * (1 + (waste or ZERO))
            how = f"{_measure(material.quantity)} at {_money(paid)} for {_measure(purchase.brings)}"
            how += f", {_percent(waste)} waste" if waste else ""
        yield _line(product, name, "material", material.per, amount, how=how)


def _machine_lines(product: Product, shop: Shop) -> Iterable[CostLine]:
    for name, line in product.machine.items():
        machine = shop.machines.get(line.machine or name) or shop.machines.get("default")
        rate = line.rate if line.rate is not None else machine_rate(machine, shop.labour) if machine else ZERO
        attended = machine.attended or ZERO if machine and line.rate is None and machine.rate is None else ZERO
        yield _line(
            product, name, "machine", line.per, rate * line.time, how=f"{_hours(line.time)} at {_money(rate)} an hour",
            machine_hours=line.time, labour_hours=attended * line.time,
        )._replace(
            machine=_in_shop(line.machine or name, shop.machines),
            work=(machine.attended_by or "default") if machine and attended else "",
        )  # fmt: skip


def _labour_lines(product: Product, shop: Shop) -> Iterable[CostLine]:
    for name, line in product.labour.items():
        rate = line.rate if line.rate is not None else labour_rate(shop, line.paid_as or name)
        yield _line(
            product, name, "labour", line.per, rate * line.time, how=f"{_hours(line.time)} at {_money(rate)} an hour",
            labour_hours=line.time,
        )._replace(work=_in_shop(line.paid_as or name, shop.labour))  # fmt: skip


def _in_shop(name: str, known: Container[str]) -> str:
    """Return whose hour it is: that of the name, or of the default one that stands in for names the shop has not."""
    return "default" if name not in known and "default" in known else name


def labour_rate(shop: Shop, name: str) -> Fraction:
    """Return what an hour of this work is paid, or the default rate where the shop names none of its own."""
    paid = shop.labour.get(name) or shop.labour.get("default")
    return paid.rate if paid else ZERO


def _overhead_lines(
    product: Product, shop: Shop, lines: tuple[CostLine, ...], *, monthly: bool = True
) -> Iterable[CostLine]:
    for name, way in {**shop.overhead, **product.overhead}.items():
        for per, of in (("good", [x for x in lines if not x.per_order]), ("order", [x for x in lines if x.per_order])):
            share, how = _overhead_on(way, of)
            if per == "good" and way.per_month is not None and monthly:
                share = way.per_month / (way.planned_units or 1)
                how = f"{_money(way.per_month)} a month over {_plain(way.planned_units or Fraction(1))} units"
            if share:
                yield CostLine(
                    name=name, kind="overhead", per="order" if per == "order" else "good", share=share, how=how
                )


def _overhead_on(way: Overhead, lines: list[CostLine]) -> tuple[Fraction, str]:
    """Return the overhead on these lines; a percent is never taken on other overhead."""
    if way.percent is not None:
        chosen = [line for line in lines if {line.kind, f"{line.kind}.{line.name}", "all"} & set(way.of)]
        return way.percent * sum(
            (line.share for line in chosen), ZERO
        ), f"{_percent(way.percent)} of {', '.join(way.of)}"
    if way.per_labour_hour is not None:
        hours = sum((line.labour_hours for line in lines), ZERO)
        return way.per_labour_hour * hours, f"{_money(way.per_labour_hour)} a labour hour"
    if way.per_machine_hour is not None:
        hours = sum((line.machine_hours for line in lines), ZERO)
        return way.per_machine_hour * hours, f"{_money(way.per_machine_hour)} a machine hour"
    return ZERO, ""


def _percent(share: Fraction) -> str:
    return f"{_plain(share * 100)} %"


def _plain(number: Number) -> str:
    return show_exact(number, 4) if isinstance(number, (int, Fraction)) else _MANY_VALUES


def _money(amount: Fraction) -> str:
    """Show an amount of the shop's currency as it was written: at least two digits where it has any."""
    text = _plain(amount)
    return f"{text}0" if text.partition(".")[2].isdigit() and len(text.partition(".")[2]) == 1 else text


def _measure(measure: Measure | None) -> str:
    return show_measure(measure) if measure is None or isinstance(measure.amount, (int, Fraction)) else _MANY_VALUES


def _hours(time: Number) -> str:
    if not isinstance(time, (int, Fraction)):
        return _MANY_VALUES
    return f"{_plain(time)} h" if time >= 1 else f"{_plain(time * 60)} min"
