"""The cost stack: what one good unit and one order cost the shop, in the shop's currency."""

from dataclasses import dataclass
from fractions import Fraction

from .exact import ONE, ZERO, JsonDict, amount, field, number, percent


@dataclass(frozen=True)
class Line:
    """One cost line, already spread over good units (or, if it is paid per order, the order)."""

    name: str
    per_order: bool
    money: Fraction
    machine_hours: Fraction
    labour_hours: Fraction


@dataclass(frozen=True)
class Cost:
    """Unit cost, order cost, the overhead in both, and hours."""

    lines: list[Line]
    unit: Fraction
    order: Fraction
    unit_overhead: Fraction
    order_overhead: Fraction

    def hours(self, kind: str, per_order: bool) -> Fraction:
        """Machine or labour hours of a good unit or of an order."""
        rows = [line for line in self.lines if line.per_order == per_order]
        return sum((line.machine_hours if kind == "machine" else line.labour_hours for line in rows), ZERO)


def read_cost(source: JsonDict) -> Cost:
    """Work out the cost stack of a case."""
    lines = [_line(line, source) for line in source["lines"]]
    bare = Cost(lines, ZERO, ZERO, ZERO, ZERO)
    overheads = [_overhead(entry, bare) for entry in source.get("overhead", [])]
    unit_overhead = sum((unit for unit, _ in overheads), ZERO)
    order_overhead = sum((order for _, order in overheads), ZERO)
    unit = sum((line.money for line in lines if not line.per_order), ZERO) + unit_overhead
    order = sum((line.money for line in lines if line.per_order), ZERO) + order_overhead
    return Cost(lines, unit, order, unit_overhead, order_overhead)


def cost_result(cost: Cost) -> JsonDict:
    """The cost part of a result."""
    return {
        "lines": {line.name: amount(line.money) for line in cost.lines},
        "unit_cost": amount(cost.unit),
        "order_cost_extra": amount(cost.order),
        "overhead_in_unit_cost": amount(cost.unit_overhead),
        "overhead_in_order_cost": amount(cost.order_overhead),
        "machine_hours_per_unit": amount(cost.hours("machine", False)),
        "machine_hours_per_order": amount(cost.hours("machine", True)),
        "labour_hours_per_unit": amount(cost.hours("labour", False)),
        "labour_hours_per_order": amount(cost.hours("labour", True)),
    }


def _line(line: JsonDict, source: JsonDict) -> Line:
    portion = _portion(line["per"], source)
    money, machine, labour = _full_amount(line)
    return Line(line["name"], line["per"] == "order", money * portion, machine * portion, labour * portion)


def _portion(per: str, source: JsonDict) -> Fraction:
    """The part of a line that falls on one good unit."""
    good = field(source, "good_share", "1")
    if per == "unit":
        return 1 / good
    if per == "batch":
        return 1 / (number(source["batch_units_started"]) * good)
    if per == "product":
        return 1 / number(source["lifetime_units"])
    if per in ("good", "order"):
        return ONE
    raise ValueError(f"unknown per {per!r}")


def _full_amount(line: JsonDict) -> tuple[Fraction, Fraction, Fraction]:
    """Money, machine hours and labour hours of a line before it is spread."""
    kind = line["kind"]
    if kind == "material":
        each = (number(line["purchase_price"]) + field(line, "getting_cost")) / number(line["purchase_quantity"])
        return each * number(line["quantity_used"]) * (1 + percent(line, "waste_percent")), ZERO, ZERO
    if kind == "material_pieces":
        piece = number(line["purchase_price"]) + field(line, "getting_cost")
        return piece / number(line["units_per_piece"]), ZERO, ZERO
    if kind == "bought_in":
        return number(line["price"]) * number(line["count"]), ZERO, ZERO
    hours = number(line["time_hours"])
    if kind == "labour":
        return number(line["hourly_rate"]) * hours, ZERO, hours
    if kind == "machine":
        return _machine_rate(line) * hours, hours, field(line, "attended_share") * hours
    raise ValueError(f"unknown kind {kind!r}")


def _machine_rate(line: JsonDict) -> Fraction:
    if "hourly_rate" in line:
        return number(line["hourly_rate"])
    wear = (field(line, "purchase_price") - field(line, "resale_value")) / number(line["life_hours"])
    power = field(line, "power_kw") * field(line, "load_share") * field(line, "tariff_per_kwh")
    upkeep = field(line, "consumables_per_hour") + field(line, "upkeep_per_hour")
    return wear + power + upkeep + field(line, "attended_share") * field(line, "labour_rate_per_hour")


def _overhead(entry: JsonDict, bare: Cost) -> tuple[Fraction, Fraction]:
    """One overhead's part in the unit cost and in the order cost."""
    kind = entry["kind"]
    if kind == "percent_of_lines":
        chosen = [line for line in bare.lines if line.name in entry["lines"]]
        share = percent(entry)
        return (
            share * sum((line.money for line in chosen if not line.per_order), ZERO),
            share * sum((line.money for line in chosen if line.per_order), ZERO),
        )
    if kind in ("per_labour_hour", "per_machine_hour"):
        hours = kind.removeprefix("per_").removesuffix("_hour")
        rate = number(entry["amount"])
        return rate * bare.hours(hours, False), rate * bare.hours(hours, True)
    if kind == "per_month":
        return number(entry["amount"]) / number(entry["planned_units_per_month"]), ZERO
    raise ValueError(f"unknown overhead {kind!r}")
