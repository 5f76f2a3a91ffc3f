"""Random questions besides the price, on a random case that already has its prices."""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from .channel import allowed_prices, read_channel
from .cost import read_cost
from .exact import ONE, ZERO, JsonDict, field, number
from .random_dice import Coin, Dice, decimal

Path = list[str | int]

# Inputs whose greatest value is looked for, by how far each may go.
PERCENTS = ("percent", "waste_percent", "tax_percent", "kept_percent", "fuel_percent")
SHARES = ("share", "load_share", "attended_share", "resellable_share", "recovered_share", "return_rate", "damage_rate")
NOT_ZERO = (
    "units_per_piece", "life_hours", "good_share", "batch_units_started", "lifetime_units",
    "planned_units_per_month", "orders_per_month", "exchange_rate",
)  # fmt: skip
AMOUNTS = (
    "purchase_price", "getting_cost", "quantity_used", "time_hours", "hourly_rate", "price", "count",
    "resale_value", "power_kw", "tariff_per_kwh", "consumables_per_hour", "upkeep_per_hour", "labour_rate_per_hour",
    "amount", "first", "each_further", "threshold", "handling", "fixed", "minimum", "listings_per_order",
    "kept_fixed", "kept_cap", "refurbish_cost", "return_label_cost", "flat_label_cost", "further_step_price",
    "price_per_step", "free_cover", "weight_kg", "weight_g", "weight_lb", "weight_oz",
)  # fmt: skip
# Parts of a case that belong to the question, or whose numbers hang together.
NOT_INPUTS = ("target", "prices", "evaluate_at", "zones", "rates")


def ask_questions(dice: Dice, case: JsonDict, shop: Coin, guesses: list[Fraction]) -> None:
    """Add some of the questions; `guesses` are a likely price of each channel."""
    if dice.feature(0.8) and _one_unit_can_be_sent(case):
        case["giveaway"] = _giveaway(dice, shop) | _at_price(dice, case, guesses)
    if dice.feature(0.8):
        case["refunds"] = {"rate_step": dice.pick(("0.05", "0.03", "0.02", "1/30"))} | _at_price(dice, case, guesses)
    if dice.feature(0.8):
        case["limits"] = [_limit_of_some_channel(dice, case, guesses) for _ in range(dice.count(1, 3))]
    if len(guesses) > 1 and _comparable(case):
        case["comparison"] = {"common_price": _price_near(dice, case, 0, guesses)} if dice.seldom(0.7) else {}


def _price_near(dice: Dice, case: JsonDict, place: int, guesses: list[Fraction]) -> str:
    both = {**case, **case["channels"][place]}
    return dice.near(Coin(both["currency"], both["minor_digits"], 1), guesses[place], 0.8, 1.8)


def _at_price(dice: Dice, case: JsonDict, guesses: list[Fraction], place: int = 0) -> JsonDict:
    return {"at_price": _price_near(dice, case, place, guesses)} if dice.seldom(0.6) else {}


def _giveaway(dice: Dice, coin: Coin) -> JsonDict:
    asked: JsonDict = {"units": dice.count(0, 6)}
    if dice.feature():
        asked["winners_refunded"] = dice.count(0, 2)
    if dice.feature(1.2):
        asked["promotion_cost"] = dice.money(coin, 1, 80)
    if dice.seldom(0.7):
        asked["expected_extra_sales"] = dice.decimal(0, 25, dice.pick((0, 1, 2)))
    if dice.seldom(0.7):
        asked |= {"people_reached": dice.count(0, 300), "conversion_share": dice.share(0.01, 0.2)}
    return asked


def _one_unit_can_be_sent(case: JsonDict) -> bool:
    """Whether the label of a single unit is known: a case gives the parcel of a whole order.

    Where that parcel is insured, shop files cannot say that a single unit goes in it too and an order in it undivided.
    """
    both = {**case, **case["channels"][0]}
    services = both.get("delivery", {}).get("services", [])
    return int(both.get("quantity", 1)) == 1 or not any("insurance" in card for card in services)


def _comparable(case: JsonDict) -> bool:
    """Whether all channels that can sell allow some price: in a shop's file it is a mistake to allow none."""
    cost = read_cost(case["cost"])
    channels = [read_channel(case, source, cost) for source in case["channels"]]
    return all(allowed_prices(channel) for channel in channels if channel.carried)


def _inputs(value: Any, path: Path) -> Iterator[Path]:
    """The paths of all inputs below a path."""
    pairs: Any = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in pairs:
        if isinstance(inner, str) and key in (*PERCENTS, *SHARES, *NOT_ZERO, *AMOUNTS):
            yield [*path, key]
        elif key not in NOT_INPUTS and not _is_idle(value, key, inner):
            yield from _inputs(inner, [*path, key])


def _is_idle(parent: Any, key: str | int, inner: Any) -> bool:
    """Whether what stands there never counts, so that shop files need not have it.

    That is a fee that ends before it begins, what a fee per month does on a refund, and cards where one is named.
    """
    if isinstance(inner, dict) and inner.get("from", "") > inner.get("until", "9"):
        return True
    return (key == "on_refund" and parent.get("per") == "month") or (key == "services" and "service" in parent)


def _limit_of_some_channel(dice: Dice, case: JsonDict, guesses: list[Fraction]) -> JsonDict:
    """Ask for the greatest value of an input of the case, or of one that its outcomes may state."""
    place = dice.count(0, len(guesses) - 1)
    below: Path = ["channels", place]
    paths = [*_inputs({key: case[key] for key in ("cost", "delivery") if key in case}, [])]
    paths += [[*below, "outcomes", key] for key in ("return_rate", "damage_rate")]
    paths += _inputs(case["channels"][place], below)
    limit = _grid(dice, case, dice.pick(paths)) | _at_price(dice, case, guesses, place)
    return limit | {"channel": place} if place else limit


def _grid(dice: Dice, case: JsonDict, path: Path) -> JsonDict:
    """A grid of up to sixty values from well below the present value to well above it."""
    parent: Any = case
    for part in path[:-1]:
        parent = parent.get(part, {}) if isinstance(parent, dict) else parent[part]
    key = path[-1]
    now = number(parent.get(key, "0"))
    high = now * Fraction(dice.count(110, 350), 100)
    low = now * Fraction(dice.count(0, 90), 100) if dice.seldom(0.5) else ZERO
    if dice.seldom(0.4):  # a close look around the present value, where rounding decides
        low, high = now * Fraction(97, 100), now * Fraction(103, 100)
    high = min(high or ONE, _most(parent, key))
    step = (high - low) / dice.count(3, 60)
    places = next(places for places in range(12) if step * 10**places >= 1)
    scale = 10**places
    # All three in whole units of the last place; the end must not be above the most that makes sense.
    units = {"from": int(low * scale), "to": int(high * scale), "step": round(step * scale)}
    if key in NOT_ZERO:
        units["from"] = max(units["from"], units["step"])
    return {"path": path, **{name: decimal(count, places) for name, count in units.items()}}


def _most(parent: JsonDict, key: str | int) -> Fraction:
    """The most that an input makes sense at; an amount has no such end but that of a minimum, which is its cap."""
    if key in PERCENTS:
        return Fraction(100)
    if key in ("return_rate", "damage_rate"):
        return ONE - field(parent, "damage_rate" if key == "return_rate" else "return_rate")
    if key in (*SHARES, "good_share"):
        return ONE
    return number(parent["cap"]) if key == "minimum" and "cap" in parent else Fraction(10**12)
