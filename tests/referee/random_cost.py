"""Random cost stacks."""

from .exact import JsonDict
from .random_dice import Coin, Dice

PER = ("unit", "unit", "unit", "good", "batch", "product", "order")
KINDS = ("material", "material", "material_pieces", "machine", "labour", "labour", "bought_in")


def random_cost(dice: Dice, coin: Coin) -> JsonDict:
    """A cost stack of one to eight lines with its overhead."""
    full = dice.feature()
    kinds = list(KINDS) if full and dice.seldom(0.4) else [dice.pick(KINDS) for _ in range(dice.count(1, 5))]
    # A first line of material per unit keeps every case from being free of cost.
    lines = [_line(dice, coin, "clay", "material", "unit")]
    lines += [
        _line(dice, coin, f"{kind} {index}", kind, dice.pick(PER) if dice.feature(1.2) else "unit")
        for index, kind in enumerate(kinds)
    ]
    cost: JsonDict = {"lines": lines}
    paid = {line["per"] for line in lines}
    if "batch" in paid or dice.feature(0.3):
        cost["batch_units_started"] = str(dice.count(4, 40))
    if "product" in paid or dice.feature(0.3):
        cost["lifetime_units"] = str(dice.count(50, 900))
    if dice.feature():
        cost["good_share"] = dice.pick(("0.92", "0.85", "0.97", "11/12", "6/7", "1"))
    if dice.feature():
        cost["overhead"] = [_overhead(dice, coin, lines) for _ in range(dice.count(1, 4))]
    return cost


def _line(dice: Dice, coin: Coin, name: str, kind: str, per: str) -> JsonDict:
    # What is paid once for many units may cost more.
    size = {"batch": 6.0, "product": 60.0, "order": 0.3}.get(per, 1.0)
    line: JsonDict = {"name": name, "kind": kind, "per": per}
    if kind == "material":
        line["purchase_price"] = dice.money(coin, 10 * size, 60 * size)
        line["purchase_quantity"] = dice.pick(("1", "2.5", "10", "12.5", "3"))
        line["quantity_used"] = dice.pick(("0.11", "0.5", "0.8", "1.3", "1/3"))
        if dice.feature():
            line["waste_percent"] = dice.pick(("5", "12", "8.5", "0"))
    elif kind == "material_pieces":
        line["purchase_price"] = dice.money(coin, 5 * size, 40 * size)
        line["units_per_piece"] = str(dice.count(3, 12))
    elif kind == "bought_in":
        line["price"] = dice.money(coin, 0.1 * size, 3 * size)
        line["count"] = str(dice.count(1, 5))
    else:
        line["time_hours"] = dice.pick(("0.25", "0.4", "1/3", "0.75", "0.6"))
        if per == "product":
            line["time_hours"] = str(dice.count(4, 25))
        elif per == "order":
            line["time_hours"] = dice.pick(("0.1", "0.15", "1/12"))
        line |= _hourly(dice, coin, kind)
    if kind in ("material", "material_pieces") and dice.feature():
        line["getting_cost"] = dice.money(coin, 0.5 * size, 5 * size)
    return line


def _hourly(dice: Dice, coin: Coin, kind: str) -> JsonDict:
    if kind == "labour":
        return {"hourly_rate": dice.money(coin, 12, 35)}
    if not dice.feature():
        return {"hourly_rate": dice.money(coin, 2, 25)}
    rate: JsonDict = {"purchase_price": dice.money(coin, 500, 4000), "life_hours": str(dice.count(1000, 9000))}
    if dice.feature():
        rate["resale_value"] = dice.money(coin, 50, 400)
    if dice.feature():
        rate |= {"power_kw": dice.decimal(0.5, 6, 1), "load_share": dice.share(0.2, 0.9)}
        rate["tariff_per_kwh"] = dice.money(Coin(coin.code, coin.digits + 2, coin.worth), 0.15, 0.45)
    if dice.feature():
        rate["consumables_per_hour"] = dice.money(coin, 0.1, 1)
        rate["upkeep_per_hour"] = dice.money(coin, 0.1, 1)
    if dice.feature():
        rate |= {"attended_share": dice.share(0.1, 0.5), "labour_rate_per_hour": dice.money(coin, 12, 35)}
    return rate


def _overhead(dice: Dice, coin: Coin, lines: list[JsonDict]) -> JsonDict:
    kind = dice.pick(("percent_of_lines", "per_labour_hour", "per_machine_hour", "per_month"))
    if kind == "percent_of_lines":
        chosen = dice.rng.sample([line["name"] for line in lines], dice.count(1, len(lines)))
        return {"kind": kind, "percent": dice.pick(("4", "12", "7.5")), "lines": chosen}
    if kind == "per_month":
        return {
            "kind": kind,
            "amount": dice.money(coin, 60, 300),
            "planned_units_per_month": str(dice.count(30, 200)),
        }
    return {"kind": kind, "amount": dice.money(coin, 0.5, 4)}
