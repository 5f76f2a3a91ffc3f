"""The fees and services of a case as fee profiles and rate cards."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.cases.adapter_values import money_of, percent, share
from tests.toml import Raw, number

JsonDict = dict[str, Any]


def profile_of(case: JsonDict, channel: JsonDict) -> JsonDict:
    """Return the fee profile of one channel of the case."""
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
            [
                {**money_of(tier, "up_to", "fixed"), "percent": percent(tier.get("percent", "0"))}
                for tier in fee["tiers"]
            ],
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


def card_of(card: JsonDict) -> JsonDict:
    """Return one service of the case as a rate card."""
    table: JsonDict = {
        "name": card["name"],
        "currency": card.get("currency"),
        "length_unit": card["length_unit"],
        "weight_unit": card["weight_unit"],
        "size_rounding": card.get("size_rounding", "none"),
        "rounding": card.get("rounding", "half_up").replace("_", "-"),
        **money_of(card, "volumetric_divisor", "weight_step", "further_step", "further_step_price"),
        "rates": {
            zone: [[number(up_to), number(price)] for up_to, price in breaks] for zone, breaks in card["rates"].items()
        },
        "fuel": percent(card.get("fuel_percent", "0")),
        "surcharges": [
            {
                "name": surcharge["name"],
                "when": surcharge["when"],
                **money_of(surcharge, "over", "amount"),
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
