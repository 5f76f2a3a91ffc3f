"""Turns a worked case into real shop files, so that the real reader and the real rules answer it.

Each channel of a case becomes a channel of the shop with a fee profile of its own; the case's one product becomes one
product file for each channel, since a case may give every channel its own parcel and quantity.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from fractions import Fraction
from pathlib import Path
from typing import Any

from netprice.answer.allowed import Allowed
from netprice.book.read import open_book
from netprice.book.shop import Book
from netprice.ledger.settle import Ask
from tests.cases.adapter_fees import card_of, profile_of
from tests.cases.adapter_product import machines_of, product_of
from tests.cases.adapter_values import money_of, percent, share
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


def write_shop(case: JsonDict, folder: Path) -> None:
    """Write the case as a shop folder: shop.toml, products/, fee_profiles/ and rate_cards/."""
    for name in ("products", "fee_profiles", "rate_cards"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    channels: JsonDict = {}
    for place, channel in enumerate(case["channels"]):
        both = {**{key: case[key] for key in ("quantity", "delivery", "target", "prices") if key in case}, **channel}
        channels[channel["name"]] = _channel(case, both, place)
        _write(folder / "products" / f"product-{place}.toml", product_of(case, both))
        _write(folder / "fee_profiles" / f"profile-{place}.toml", profile_of(case, both))
        for at, card in enumerate(both.get("delivery", {}).get("services", ())):
            _write(folder / "rate_cards" / f"card-{place}-{at}.toml", card_of(card))
    shop = {"name": "Case", "currency": case["currency"], "target": "break-even", "channels": channels}
    _write(folder / "shop.toml", {**shop, **machines_of(case)})


def book_of(case: JsonDict) -> Book:
    """Return the case as a book, through real files."""
    with tempfile.TemporaryDirectory() as folder:
        write_shop(case, Path(folder))
        return open_book(Path(folder))


def ask_of(case: JsonDict, place: int) -> Ask:
    """Return the question about one channel of the case."""
    return Ask(
        product=f"product-{place}",
        channel=case["channels"][place]["name"],
        on=dt.date.fromisoformat(case["date"]),
    )


def _write(path: Path, table: JsonDict) -> None:
    path.write_text(dumps(table), encoding="utf-8")


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
    return {**money_of(prices, "lowest", "highest", "step"), "endings": prices.get("endings")}


def _shipping(shipping: JsonDict) -> JsonDict:
    policies = {"free_from": "free-from", "label_plus_handling": "label", "label_share": "label-share"}
    kind = shipping["kind"]
    table = {"policy": policies.get(kind, kind), **money_of(shipping, "first", "each_further", "threshold", "handling")}
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
