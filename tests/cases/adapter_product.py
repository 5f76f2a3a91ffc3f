"""The product of a case as a product file, with the machines that make it."""

from __future__ import annotations

from typing import Any

from tests.cases.adapter_values import money_of, percent, share
from tests.toml import Raw, number

JsonDict = dict[str, Any]

MACHINE_KEYS = {
    "purchase_price": ("purchase_price", ""),
    "resale_value": ("resale_value", ""),
    "life_hours": ("life", "hour"),
    "power_kw": ("power", "kW"),
    "load_share": ("load", "share"),
    "tariff_per_kwh": ("tariff", "{}/kWh"),
    "consumables_per_hour": ("consumables", "{}/hour"),
    "upkeep_per_hour": ("upkeep", "{}/hour"),
    "attended_share": ("attended", "share"),
}


def machines_of(case: JsonDict) -> JsonDict:
    """Return the machines of shop.toml whose hourly rate is built up, and who attends them."""
    machines, labour = {}, {}
    for line in case["cost"]["lines"]:
        if line["kind"] == "machine" and "hourly_rate" not in line:
            machine: JsonDict = {"load": "0 %"}
            for key, (ours, unit) in MACHINE_KEYS.items():
                if key in line:
                    machine[ours] = _in_unit(line[key], unit.format(case["currency"]))
            if "labour_rate_per_hour" in line:
                machine["attended_by"] = f"at {line['name']}"
                labour[f"at {line['name']}"] = {
                    "rate": f"{number(line['labour_rate_per_hour'])} {case['currency']}/hour"
                }
            machines[line["name"]] = machine
    return {"machines": machines, "labour": labour}


def _in_unit(value: str, unit: str) -> Any:
    if unit == "share":
        return share(value)
    return f"{number(value)} {unit}" if unit else number(value)


def product_of(case: JsonDict, channel: JsonDict) -> JsonDict:
    """Return the product file for one channel of the case."""
    cost, currency = case["cost"], case["currency"]
    product: JsonDict = {
        "name": "Product",
        "channels": [channel["name"]],
        "batch": {},
        "material": {},
        "machine": {},
        "labour": {},
        "bought": {},
    }
    if "batch_units_started" in cost:
        product["batch"]["units_started"] = number(cost["batch_units_started"])
    if "good_share" in cost:
        product["batch"]["good_share"] = share(cost["good_share"])
    if "lifetime_units" in cost:
        product["batch"]["lifetime_units"] = number(cost["lifetime_units"])
    kinds = {}
    for line in cost["lines"]:
        kind, table = _line(line, currency)
        kinds[line["name"]] = kind
        product[kind][line["name"]] = {"per": line["per"], **table}
    product["overhead"] = {
        f"overhead {place}": _overhead(overhead, kinds) for place, overhead in enumerate(cost.get("overhead", ()))
    }
    delivery = channel.get("delivery", {})
    if "parcel" in delivery:
        # A case gives the parcel of the whole order. Only insurance could make it cheaper to divide the order.
        whole = Raw(channel.get("quantity", 1))
        insured = any("insurance" in card for card in delivery["services"])
        packing = {**_parcel(delivery["parcel"]), "holds": whole, "at_least": whole if insured else None}
        product["packing"] = {"parcel": packing}
    return product


def _line(line: JsonDict, currency: str) -> tuple[str, JsonDict]:
    match line["kind"]:
        case "material":
            price = f"{number(line['purchase_price'])} {currency} / {number(line['purchase_quantity'])} pieces"
            used = f"{number(line['quantity_used'])} pieces"
            waste = percent(line.get("waste_percent", "0"))
            return "material", {"price": price, **money_of(line, "getting_cost"), "quantity": used, "waste": waste}
        case "material_pieces":
            return "material", {
                "price": number(line["purchase_price"]),
                **money_of(line, "getting_cost"),
                "units_per_piece": number(line["units_per_piece"]),
            }
        case "bought_in":
            return "bought", {"price": number(line["price"]), "count": number(line["count"])}
        case kind:
            table = {"time": f"{number(line['time_hours'])} hour"}
            if "hourly_rate" in line:
                table["rate"] = f"{number(line['hourly_rate'])} {currency}/hour"
            return kind, table


def _overhead(overhead: JsonDict, kinds: dict[str, str]) -> JsonDict:
    match overhead["kind"]:
        case "percent_of_lines":
            of = [f"{kinds[name]}.{name}" for name in overhead["lines"]]
            return {"percent": percent(overhead["percent"]), "of": of}
        case "per_month":
            planned = number(overhead["planned_units_per_month"])
            return {"per_month": number(overhead["amount"]), "planned_units": planned}
        case kind:
            return {kind: number(overhead["amount"])}


def _parcel(parcel: JsonDict) -> JsonDict:
    sides = {}
    for key, value in parcel.items():
        side, _, unit = key.rpartition("_")
        if side in ("length", "width", "height"):
            sides[side] = f"{number(value)} {unit}"
        if side == "weight":
            sides["empty_weight"] = f"{number(value)} {unit}"
    return sides
