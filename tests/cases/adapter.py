"""Turns a worked case into real shop files, so that the real reader and the real rules answer it.

Each channel of a case becomes a channel of the shop with a fee profile of its own; the case's one product becomes one
product file for each channel, since a case may give every channel its own parcel and quantity.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from netprice.answer.allowed import Allowed
from tests.toml import Raw, dumps, number

JsonDict = dict[str, Any]

MEASURES = {
    "margin": "margin",
    "markup": "markup",
    "profit_per_unit": "profit",
    "profit_per_machine_hour": "machine-hour",
    "profit_per_labour_hour": "labour-hour",
    "break_even": "break-even",
}
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


def write_shop(case: JsonDict, folder: Path) -> None:
    """Write the case as a shop folder: shop.toml, products/, fee_profiles/ and rate_cards/."""
    for name in ("products", "fee_profiles", "rate_cards"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    channels: JsonDict = {}
    for place, channel in enumerate(case["channels"]):
        both = {**{key: case[key] for key in ("quantity", "delivery", "target", "prices") if key in case}, **channel}
        channels[channel["name"]] = _channel(case, both, place)
        _write(folder / "products" / f"product-{place}.toml", _product(case, both))
        _write(folder / "fee_profiles" / f"profile-{place}.toml", _profile(case, both))
        for at, card in enumerate(both.get("delivery", {}).get("services", ())):
            _write(folder / "rate_cards" / f"card-{place}-{at}.toml", _card(card))
    shop = {"name": "Case", "currency": case["currency"], "target": "break-even", "channels": channels}
    _write(folder / "shop.toml", {**shop, **_machines(case)})


def _write(path: Path, table: JsonDict) -> None:
    path.write_text(dumps(table), encoding="utf-8")


def percent(value: str) -> str:
    """Return a percent of the case as it stands in a file."""
    return f"{number(value)} %"


def share(value: str) -> str:
    """Return a share of the case, a decimal or a fraction, as it stands in a file."""
    return value if "/" in value else f"{number(value)}/1" if "." not in value else _as_percent(value)


def _as_percent(value: str) -> str:
    return f"{number(Fraction(value) * 100)} %"


def _money(table: JsonDict, *keys: str) -> JsonDict:
    return {key: number(table[key]) for key in keys if key in table}


def _machines(case: JsonDict) -> JsonDict:
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


def _product(case: JsonDict, channel: JsonDict) -> JsonDict:
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
    parcel = channel.get("delivery", {}).get("parcel")
    if parcel:
        whole = Raw(channel.get("quantity", 1))  # a case gives the parcel of the whole order
        product["packing"] = {"parcel": {**_parcel(parcel), "holds": whole, "at_least": whole}}
    return product


def _line(line: JsonDict, currency: str) -> tuple[str, JsonDict]:
    match line["kind"]:
        case "material":
            price = f"{number(line['purchase_price'])} {currency} / {number(line['purchase_quantity'])} pieces"
            used = f"{number(line['quantity_used'])} pieces"
            waste = percent(line.get("waste_percent", "0"))
            return "material", {"price": price, **_money(line, "getting_cost"), "quantity": used, "waste": waste}
        case "material_pieces":
            return "material", {
                "price": number(line["purchase_price"]),
                **_money(line, "getting_cost"),
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


def _channel(case: JsonDict, channel: JsonDict, place: int) -> JsonDict:
    table: JsonDict = {
        "fee_profile": f"profile-{place}",
        "quantity": Raw(channel.get("quantity", 1)),
        "target": _target(channel["target"]),
        "case": channel["target"].get("case", "expected"),
        "prices": _prices(channel["prices"]) if some_price_is_allowed(case, channel) else {},
        "shipping": _shipping(channel.get("shipping", {"kind": "free"})),
        "discounts": [
            {"percent": percent(off["percent"])} if "percent" in off else {"amount": number(off["amount"])}
            for off in channel.get("discounts", ())
        ],
        "extras": {
            extra["name"]: {"amount": number(extra["amount"]), "per": extra["per"], "taxed": extra.get("taxed", False)}
            for extra in channel.get("extras", ())
        },
        "set_asides": {
            laid_by["name"]: {"percent": percent(laid_by["percent"]), "kind": laid_by["kind"]}
            for laid_by in channel.get("set_asides", ())
        },
        **_outcomes(channel.get("outcomes", {})),
        **_delivery(channel.get("delivery", {}), place),
    }
    if "exchange_rate" in channel:
        table["exchange_rate"] = number(channel["exchange_rate"])
    if "orders_per_month" in channel:
        table["orders_per_month"] = number(channel["orders_per_month"])
    if "tax" in channel:
        tax = channel["tax"]
        table["tax"] = {
            "mode": tax["mode"].replace("_", "-"),
            "rate": percent(tax["percent"]),
            "on_shipping": tax.get("on_shipping", False),
        }
    return table


def _target(target: JsonDict) -> str:
    kind = MEASURES[target["measure"]]
    if "percent" in target:
        return f"{kind} {percent(target['percent'])}"
    return f"{kind} {number(target['amount'])}" if "amount" in target else kind


def some_price_is_allowed(case: JsonDict, channel: JsonDict) -> bool:
    """Whether any price is left: in a shop's file none is a mistake, in a case it is an answer."""
    prices = channel["prices"]
    scale = 10 ** int({**case, **channel}["minor_digits"])
    endings = [(Fraction(ending), 10 ** len(ending.partition(".")[0])) for ending in prices.get("endings") or ()]
    allowed = Allowed.of(
        lowest=-(-(Fraction(prices["lowest"]) * scale) // 1),
        highest=Fraction(prices["highest"]) * scale // 1,
        step=int(Fraction(prices["step"]) * scale),
        endings=tuple((int(rest * scale), modulus * scale) for rest, modulus in endings),
    )
    return allowed.count > 0


def _prices(prices: JsonDict) -> JsonDict:
    return {**_money(prices, "lowest", "highest", "step"), "endings": prices.get("endings")}


def _shipping(shipping: JsonDict) -> JsonDict:
    policies = {"free_from": "free-from", "label_plus_handling": "label", "label_share": "label-share"}
    kind = shipping["kind"]
    table = {"policy": policies.get(kind, kind), **_money(shipping, "first", "each_further", "threshold", "handling")}
    return {**table, "share": share(shipping["share"])} if "share" in shipping else table


def _outcomes(outcomes: JsonDict) -> JsonDict:
    returns: JsonDict = {
        "refund_shipping": outcomes.get("refund_shipping", False),
        "label_paid_by": outcomes.get("return_label_paid_by", "shop"),
    }
    breakage: JsonDict = {"remedy": outcomes.get("damage_remedy", "refund")}
    for key, ours in (("return_rate", "rate"), ("resellable_share", "resellable")):
        if key in outcomes:
            returns[ours] = share(outcomes[key])
    for key, ours in (("return_label_cost", "label_cost"), ("refurbish_cost", "refurbish_cost")):
        if key in outcomes:
            returns[ours] = number(outcomes[key])
    for key, ours in (("damage_rate", "rate"), ("recovered_share", "recovered")):
        if key in outcomes:
            breakage[ours] = share(outcomes[key])
    return {"returns": returns, "breakage": breakage}


def _delivery(delivery: JsonDict, place: int) -> JsonDict:
    if "services" not in delivery:
        return {"delivery": {"label_cost": number(delivery.get("flat_label_cost", "0"))}}
    cards = [f"card-{place}-{at}" for at in range(len(delivery["services"]))]
    named = [service["name"] for service in delivery["services"]]
    table: JsonDict = {"rate_cards": cards}
    if "service" in delivery:
        table["service"] = cards[named.index(delivery["service"])]
    return {
        "delivery": table,
        "zones": {zone["name"]: share(zone["share"]) for zone in delivery["zones"]},
        "residential": delivery["parcel"].get("residential", False),
    }


def _profile(case: JsonDict, channel: JsonDict) -> JsonDict:
    return {
        "name": channel["name"],
        "source": "a worked case",
        "currency": channel.get("currency", case["currency"]),
        "rounding": channel.get("rounding", "half_up").replace("_", "-"),
        "remits_tax": channel.get("tax", {}).get("remitted_by") == "storefront",
        # A fee that ends before it begins is a mistake in a file; in a case it is a fee that never counts.
        "fees": [dict(_fee(fee)) for fee in channel.get("fees", ()) if fee.get("from", "") <= fee.get("until", "9")],
    }


def _fee(fee: JsonDict) -> Iterator[tuple[str, Any]]:
    for key in ("name", "per", "base", "tier_kind"):
        yield key, fee.get(key)
    for key in ("fixed", "minimum", "cap", "listings_per_order"):
        if key in fee:
            yield key, number(fee[key])
    for key, ours in (("percent", "percent"), ("tax_percent", "tax")):
        if key in fee:
            yield ours, percent(fee[key])
    if "share" in fee:
        yield "share", share(fee["share"])
    for key in ("from", "until"):
        if key in fee:
            yield key, Raw(fee[key])
    if "tiers" in fee:
        yield (
            "tiers",
            [{**_money(tier, "up_to", "fixed"), "percent": percent(tier.get("percent", "0"))} for tier in fee["tiers"]],
        )
    yield from _on_refund(fee)


def _on_refund(fee: JsonDict) -> Iterator[tuple[str, Any]]:
    refund = fee.get("on_refund", {"kind": "kept"}) if fee.get("per") != "month" else {"kind": "kept"}
    yield "on_refund", refund["kind"]
    for key in ("kept_fixed", "kept_cap"):
        if key in refund:
            yield key, number(refund[key])
    if "kept_percent" in refund:
        yield "kept_percent", percent(refund["kept_percent"])


def _card(card: JsonDict) -> JsonDict:
    table: JsonDict = {
        "name": card["name"],
        "currency": card.get("currency"),
        "length_unit": card["length_unit"],
        "weight_unit": card["weight_unit"],
        "size_rounding": card.get("size_rounding", "none"),
        "rounding": card.get("rounding", "half_up").replace("_", "-"),
        **_money(card, "volumetric_divisor", "weight_step", "further_step", "further_step_price"),
        "rates": {
            zone: [[number(up_to), number(price)] for up_to, price in breaks] for zone, breaks in card["rates"].items()
        },
        "fuel": percent(card.get("fuel_percent", "0")),
        "surcharges": [
            {
                "name": surcharge["name"],
                "when": surcharge["when"],
                **_money(surcharge, "over", "amount"),
                "percent": percent(surcharge["percent"]) if "percent" in surcharge else None,
                "fuelled": surcharge.get("fuelled", False),
            }
            for surcharge in card.get("surcharges", ())
        ],
    }
    if "volumetric_above_volume" in card and "volumetric_divisor" in card:
        table["volumetric_above"] = number(card["volumetric_above_volume"])
    units = {"weight": card["weight_unit"], "length": card["length_unit"], "length_plus_girth": card["length_unit"]}
    table["limits"] = {key: f"{number(value)} {units[key]}" for key, value in card.get("limits", {}).items()}
    if "insurance" in card:
        table["insurance"] = {key: number(value) for key, value in card["insurance"].items()}
    return table
