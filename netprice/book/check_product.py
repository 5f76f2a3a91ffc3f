"""What must hold within a product, and between it and the shop that makes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from netprice.book.around import Around, Names, lines_of
from netprice.book.check_overhead import check_overhead
from netprice.book.mistakes import Mistake, Path, lacking, nearest
from netprice.book.product import LabourLine, MachineLine, MaterialLine, Packing, Product
from netprice.book.readers import Purchase, shown
from netprice.book.toml_text import Table
from netprice.money import show_exact
from netprice.quantity import DIMENSIONS, Measure


def check_product(product: Product, table: Table, around: Around) -> Iterator[Mistake]:
    """Give every mistake in a product's file; `table` is the file as it stands."""
    yield from _batch(product)
    for name, material in product.material.items():
        yield from _material(name, material, _written(table, name), around)
    for name, machine in product.machine.items():
        yield from _machine(name, machine, around.machines)
    for name, labour in product.labour.items():
        yield from _labour(name, labour, around.labour)
    for name, packing in product.packing.items():
        yield from _packing(name, packing, _sides(table, name), around.labour)
    yield from check_overhead(product.overhead, lines_of(table), "this product")
    for name, demand in product.demand.items():
        if demand.most is not None and demand.at_least > demand.most:
            what = f"at least more than the most (got {demand.at_least} and {demand.most})"
            yield Mistake(("demand", name, "at_least"), what, "lower it, or raise the most")


def _batch(product: Product) -> Iterator[Mistake]:
    batch = product.batch
    if batch.good_share == 0:
        yield Mistake(("batch", "good_share"), "no good units at all (got zero)", "write a share above zero")
    if batch.scrap_value is not None and batch.units_started is None:
        mend = "add units_started = the units that a batch starts"
        yield lacking(("batch", "units_started"), "missing key: the scrap value is that of a whole batch", mend)
    needs = {"batch": "units_started", "product": "lifetime_units"}
    for kind in ("material", "machine", "labour", "bought"):
        for name, line in getattr(product, kind).items():
            key = needs.get(line.per)
            if key and getattr(batch, key) is None:
                what = f"paid per {line.per}, but the units of a {line.per} are unknown (got {line.per!r})"
                yield Mistake((kind, name, "per"), what, f"add {key} under [batch]", lacks=(("batch",),))


def _material(name: str, line: MaterialLine, written: str, around: Around) -> Iterator[Mistake]:
    at = ("material", name)
    if line.stock is not None and around.stock is not None and line.stock not in around.stock:
        mend = nearest(line.stock, around.stock, f"add [stock.{line.stock}] to the shop")
        yield Mistake((*at, "stock"), f"no such stock in the shop (got {line.stock[:40]!r})", mend)
    if line.quantity is not None and line.units_per_piece is not None:
        yield Mistake((*at, "units_per_piece"), "a quantity and units per piece (got both)", "keep one of the two")
    if line.quantity is None and line.units_per_piece is None:
        yield Mistake(at, "missing key: how much is used", "add quantity or units_per_piece")
    if line.units_per_piece is not None and line.waste is not None:
        what = f"waste of pieces that are cut up (got {show_exact(line.waste * 100)} %)"
        yield Mistake((*at, "waste"), what, "take it out: units_per_piece already says what a piece yields")
    if line.price is not None:
        yield from _dimension(name, line, line.price, written, at)
    else:
        yield from _from_stock(name, line, written, around, at)


def _written(table: Table, name: str) -> str:
    """Return the quantity of a material line as it stands in the file."""
    line = table.get("material", {}).get(name)
    return shown(line.get("quantity")) if isinstance(line, dict) else "another quantity"


def _sides(table: Table, name: str) -> Mapping[str, str]:
    """Return the sizes of a packing as they stand in the file."""
    packing = table.get("packing", {}).get(name)
    said = packing if isinstance(packing, dict) else {}
    return {key: shown(said.get(key, "another size")) for key in ("width", "height", "girth")}


def _from_stock(name: str, line: MaterialLine, written: str, around: Around, at: Path) -> Iterator[Mistake]:
    key = line.stock or name
    if around.shop is not None and key in around.shop.stock:
        yield from _dimension(key, line, around.shop.stock[key].price, written, at)
    elif line.stock is None and around.stock is not None and name not in around.stock:
        mend = nearest(name, around.stock, f"add a price, or [stock.{name[:40]}] to the shop")
        yield Mistake(at, f"no price, and no such stock in the shop (got {name[:40]!r})", mend)


def _dimension(name: str, line: MaterialLine, purchase: Purchase, written: str, at: Path) -> Iterator[Mistake]:
    brings = purchase.brings or Measure(purchase.price, "count")
    bought = "the piece" if brings.dimension == "count" else DIMENSIONS[brings.dimension].called.split(maxsplit=1)[1]
    if line.units_per_piece is not None and line.quantity is None and brings.dimension != "count":
        what = f"{name[:40]} is bought by {bought}, not by the piece (got {show_exact(line.units_per_piece)})"
        yield Mistake((*at, "units_per_piece"), what, "use quantity, or give the price of a piece")
    if line.quantity is not None and line.quantity.dimension != brings.dimension:
        got = DIMENSIONS[line.quantity.dimension]
        wanted = DIMENSIONS[brings.dimension]
        what = f"{name[:40]} is bought by {bought}, but the quantity is {got.called} (got {written})"
        yield Mistake((*at, "quantity"), what, f"write {wanted.called} such as {wanted.example}")


def _machine(name: str, line: MachineLine, machines: Names) -> Iterator[Mistake]:
    if line.rate is None:
        yield from check_hour(line.machine, name, machines, ("machine", name), "machine", "machines")


def _labour(name: str, line: LabourLine, labour: Names) -> Iterator[Mistake]:
    if line.rate is None:
        yield from check_hour(line.paid_as, name, labour, ("labour", name), "paid_as", "labour")


def _packing(name: str, packing: Packing, written: Mapping[str, str], labour: Names) -> Iterator[Mistake]:
    if packing.time is not None:
        yield from check_hour(packing.paid_as, "packing", labour, ("packing", name), "paid_as", "labour")
    if packing.at_least > packing.holds:
        what = f"at least more than it holds (got {packing.at_least} and {packing.holds})"
        yield Mistake(("packing", name, "at_least"), what, "write the fewest units that are sent in it")
    if packing.girth is not None and packing.shape == "box":
        mend = "take it out, or write shape = 'tube' or 'irregular'"
        yield lacking(
            ("packing", name, "girth"), f"a girth of a box, which its sides give (got {written['girth']})", mend
        )
    if packing.shape == "tube" and packing.width != packing.height:
        what = f"a tube whose width and height differ (got {written['width']} and {written['height']})"
        yield Mistake(("packing", name, "height"), what, "write its diameter in both")


def check_hour(named: str | None, own: str, known: Names, at: Path, key: str, table: str) -> Iterator[Mistake]:
    """Check that an hour has a price: of the name that is given, of the line's own name, or the default one."""
    if known is None:
        return
    if named is not None and named not in known:
        mend = nearest(named, known, f"add [{table}.{named[:40]}] to the shop")
        yield Mistake((*at, key), f"no such name under [{table}] in the shop (got {named[:40]!r})", mend)
    if named is None and own not in known and "default" not in known:
        what = f"no hourly rate: the shop has no [{table}.default] and none of that name (got {own[:40]!r})"
        # A name that is only a little like another is more likely meant as it stands.
        mend = nearest(own, known, f"add [{table}.default] to the shop", likeness=0.8)
        yield Mistake(at, what, mend.replace("use ", f"write {key} = ", 1) if mend.startswith("use ") else mend)
