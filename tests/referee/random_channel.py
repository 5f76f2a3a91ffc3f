"""Random terms of sale and fees of a channel."""

from datetime import date, timedelta
from fractions import Fraction

from .exact import JsonDict
from .random_dice import Coin, Dice

BASES = ("goods", "goods", "gross", "goods+shipping", "order", "buyer_total", "net_sales")
TODAY = date(2025, 5, 20)
MOST_SHARED_FEES = 3  # every one doubles the patterns under a payout fee


def random_terms(dice: Dice, shop: Coin, coin: Coin, goods: Fraction) -> JsonDict:
    """All of a channel but its name, currency and fees; `goods` is a likely goods total of an order."""
    terms: JsonDict = {}
    if dice.feature():
        terms["rounding"] = dice.pick(("half_up", "half_even", "half_down", "up", "down"))
    if dice.feature():
        rate = dice.pick(("7.25", "19", "20", "8.4", "21"))
        terms["tax"] = {"mode": dice.pick(("on_top", "inside")), "percent": rate}
        if dice.feature(1.1):
            terms["tax"] |= {"on_shipping": dice.seldom(0.6), "remitted_by": dice.pick(("seller", "storefront"))}
    if dice.feature():
        terms["discounts"] = [_discount(dice, coin) for _ in range(dice.count(1, 3))]
    if dice.feature(1.3):
        terms["shipping"] = _shipping(dice, coin, goods)
    if dice.feature():
        terms["extras"] = [_extra(dice, coin, f"extra {index}") for index in range(dice.count(1, 2))]
    if dice.feature():
        terms["outcomes"] = _outcomes(dice, shop)
    if dice.feature():
        terms["set_asides"] = [
            {"name": f"{kind} {index}", "kind": kind, "percent": dice.pick(("2", "4", "3.5", "6"))}
            for index, kind in enumerate(dice.pick((("reserve",), ("overhead",), ("reserve", "overhead"))))
        ]
    return terms


def random_fees(dice: Dice, coin: Coin, goods: Fraction, quantity: int) -> list[JsonDict]:
    """The fees of a channel, with tier edges, minimums and caps near where they bind."""
    fees = [_order_fee(dice, coin, f"fee {index}", goods, quantity) for index in range(dice.count(0, 4))]
    shared = [fee for fee in fees if "share" in fee]
    for fee in shared[MOST_SHARED_FEES:]:
        del fee["share"]
    if dice.feature():
        fees.append(_listing_fee(dice, coin))
    if dice.feature():
        fees.append({"name": "plan", "per": "month", "fixed": dice.money(coin, 5, 60)})
        _common(dice, coin, fees[-1])
    if dice.feature():
        fees += [_payout_fee(dice, coin, f"payout {index}", goods) for index in range(dice.count(1, 2))]
    dice.rng.shuffle(fees)
    return fees


def _listing_fee(dice: Dice, coin: Coin) -> JsonDict:
    fee: JsonDict = {"name": "listing", "per": "listing", "fixed": dice.fine_money(coin, 0.1, 0.4)}
    if dice.feature():
        fee["listings_per_order"] = dice.pick(("1.2", "1.35", "4/3", "2"))
    if dice.feature(0.15):
        fee["share"] = dice.share(0.3, 0.9)
    # The money model does not say whether a partly kept listing fee is rounded before or after it is spread.
    _common(dice, coin, fee, ("kept", "returned"))
    return fee


def _payout_fee(dice: Dice, coin: Coin, name: str, goods: Fraction) -> JsonDict:
    fee: JsonDict = {"name": name, "base": "payout"}
    _amounts(dice, coin, fee, goods)
    if dice.seldom(0.2):
        fee["per"] = "unit"
    if dice.feature(0.3):
        fee["share"] = dice.share(0.1, 0.9)
    _common(dice, coin, fee)
    return fee


def _order_fee(dice: Dice, coin: Coin, name: str, goods: Fraction, quantity: int) -> JsonDict:
    fee: JsonDict = {"name": name}
    base = goods
    if dice.feature(0.5):
        fee["per"] = "unit"
        base = goods / quantity
    if dice.seldom(0.12):
        fee["fixed"] = dice.fine_money(coin, 0.1, 0.8)
    else:
        fee["base"] = dice.pick(BASES)
        _amounts(dice, coin, fee, base)
    if dice.feature(0.5):
        fee["share"] = dice.share(0.1, 0.9)
    _common(dice, coin, fee)
    return fee


def _amounts(dice: Dice, coin: Coin, fee: JsonDict, base: Fraction) -> None:
    """The percent part with tiers, and the fixed amount, minimum and cap."""
    if dice.feature(0.6):
        edges = sorted({dice.near(coin, base, 0.6, 1.3) for _ in range(dice.count(1, 2))}, key=Fraction)
        whole = dice.seldom(0.6)
        fee["tier_kind"] = "whole" if whole else "bracket"
        fee["tiers"] = [{"up_to": edge, "percent": dice.decimal(2, 9, 1)} for edge in edges]
        fee["tiers"].append({"percent": dice.decimal(2, 11, 1)})
        for tier in fee["tiers"]:
            if whole and dice.feature(0.5):
                tier["fixed"] = dice.money(coin, 0.05, 0.6)
    else:
        fee["percent"] = dice.decimal(0.5, 9, dice.pick((1, 2)))
    if dice.feature():
        fee["fixed"] = dice.fine_money(coin, 0.05, 0.6)
    usual = base * 5 / 100
    if dice.feature(0.4):
        fee["minimum"] = dice.near(coin, usual, 0.4, 1.1)
    if dice.feature(0.5):
        cap = Fraction(dice.near(coin, usual, 0.8, 2))
        least = Fraction(fee.get("minimum", "0"))
        fee["cap"] = fee["minimum"] if cap < least else dice.near(coin, cap, 1, 1)


def _common(
    dice: Dice, coin: Coin, fee: JsonDict, refunds: tuple[str, ...] = ("kept", "returned", "partly", "partly")
) -> None:
    """Tax on the fee, its dates and what happens on a refund."""
    if dice.feature(0.5):
        fee["tax_percent"] = dice.pick(("20", "21", "8.1"))
    if dice.feature(0.5):
        starts = dice.pick((0, -40, -1, 0, 1))
        fee["from"] = (TODAY + timedelta(days=starts)).isoformat()
    if dice.feature(0.5):
        ends = dice.pick((0, 40, 1, 0, -1))
        fee["until"] = (TODAY + timedelta(days=ends)).isoformat()
    if dice.feature(1.1):
        kind = dice.pick(refunds)
        fee["on_refund"] = {"kind": kind}
        if kind == "partly":
            if dice.seldom(0.5):
                fee["on_refund"]["kept_fixed"] = dice.money(coin, 0.05, 0.5)
            if dice.seldom(0.7):
                fee["on_refund"]["kept_percent"] = dice.pick(("20", "25", "33.3"))
            if dice.feature(0.6):
                fee["on_refund"]["kept_cap"] = dice.money(coin, 0.3, 4)


def _discount(dice: Dice, coin: Coin) -> JsonDict:
    if dice.seldom(0.35):
        return {"amount": dice.money(coin, 0.5, 5)}
    return {"percent": dice.pick(("5", "8", "10", "15", "12.5"))}


def _shipping(dice: Dice, coin: Coin, goods: Fraction) -> JsonDict:
    kind = dice.pick(("free", "flat", "free_from", "free_from", "label_plus_handling", "label_share"))
    if kind == "label_plus_handling":
        return {"kind": kind, "handling": dice.money(coin, 0.3, 2)}
    if kind == "label_share":
        return {"kind": kind, "share": dice.share(0.3, 0.9)}
    if kind == "free":
        return {"kind": kind}
    flat = {"first": dice.money(coin, 2, 8), "each_further": dice.money(coin, 0.3, 2)}
    threshold = {"threshold": dice.near(coin, goods, 0.8, 1.2)} if kind == "free_from" else {}
    return {"kind": kind, **threshold, **flat}


def _extra(dice: Dice, coin: Coin, name: str) -> JsonDict:
    extra: JsonDict = {"name": name, "amount": dice.fine_money(coin, 0.5, 4), "per": dice.pick(("unit", "order"))}
    if dice.feature():
        extra["taxed"] = dice.seldom(0.6)
    return extra


def _outcomes(dice: Dice, shop: Coin) -> JsonDict:
    rules: JsonDict = {}
    if dice.feature(1.4):
        rules["return_rate"] = dice.share(0.01, 0.15)
        rules["refund_shipping"] = dice.seldom(0.5)
        rules["return_label_paid_by"] = dice.pick(("shop", "buyer"))
        if dice.feature(0.5):
            rules["return_label_cost"] = dice.money(shop, 2, 7)
        if dice.feature(1.2):
            rules["resellable_share"] = dice.pick(("0.75", "1", "2/3", "0.8"))
        if dice.feature():
            rules["refurbish_cost"] = dice.money(shop, 0.5, 3)
    if dice.feature(1.4):
        rules["damage_rate"] = dice.share(0.005, 0.06)
        rules["damage_remedy"] = dice.pick(("replace", "refund"))
        if dice.feature():
            rules["recovered_share"] = dice.pick(("0.5", "0.6", "1", "1/3"))
    return rules
