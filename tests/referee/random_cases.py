"""Random cases in the format of the worked cases, from very simple ones to ones that use every feature."""

import random
from fractions import Fraction
from itertools import pairwise

from .channel import Channel, allowed_prices, read_channel
from .cost import read_cost
from .exact import JsonDict
from .random_channel import TODAY, random_fees, random_terms
from .random_cost import random_cost
from .random_delivery import random_delivery
from .random_dice import Coin, Dice, decimal
from .random_questions import ask_questions

# How often an optional feature is switched on: simple, middling, full.
CHANCES = (0.12, 0.12, 0.35, 0.35, 0.6, 0.85)
PERCENT_MEASURES = ("margin", "margin", "markup")
MEASURES = (*PERCENT_MEASURES, "profit_per_unit", "profit_per_machine_hour", "profit_per_labour_hour", "break_even")


def random_case(rng: random.Random, *, prices: int = 1200) -> JsonDict:
    """A random case with at most about that many allowed prices in each channel."""
    dice = Dice(rng, rng.choice(CHANCES))
    shop = dice.coin()
    case: JsonDict = {
        "about": "A random case.",
        "currency": shop.code,
        "minor_digits": shop.digits,
        "date": TODAY.isoformat(),
    }
    if dice.feature(1.2):
        case["quantity"] = dice.count(1, 4)
    case["cost"] = random_cost(dice, shop)
    count = dice.pick((1, 1, 1, 1, 1, 1, 1, 2, 2, 3))
    channels = [_channel(dice, case, shop, f"Channel {'ABC'[index]}") for index in range(count)]
    case["channels"] = channels
    guesses = channels_with_guesses(case, channels)
    for channel, guess in guesses:
        _question(dice, case, channel, guess, prices)
        if dice.seldom(0.6) and channel.get("currency") == channels[0].get("currency"):
            channel["prices"] = channels[0]["prices"]
    if count == 1 and dice.seldom(0.8):
        # What may stand in the channel or in the case is moved to the case now and then.
        for key in ("target", "prices", "evaluate_at", "delivery"):
            if key in channels[0]:
                case[key] = channels[0].pop(key)
    ask_questions(dice, case, shop, [guess for _, guess in guesses])
    return case


def channels_with_guesses(case: JsonDict, channels: list[JsonDict]) -> list[tuple[JsonDict, Fraction]]:
    """Every channel with the likely list price that was noted while it was made."""
    return [(channel, Fraction(channel.pop("guess"))) for channel in channels]


def _channel(dice: Dice, case: JsonDict, shop: Coin, name: str) -> JsonDict:
    """A channel without its question; the likely list price is noted for later."""
    channel: JsonDict = {"name": name}
    coin = shop
    rate = Fraction(1)
    if dice.feature(0.5):
        coin = dice.coin()
    if coin.code != shop.code:
        text = f"{coin.worth / shop.worth * dice.rng.uniform(0.9, 1.1):.4g}"
        rate = Fraction(text)
        channel |= {"currency": coin.code, "minor_digits": coin.digits, "exchange_rate": text}
    else:
        coin = shop
    quantity = int(case.get("quantity", 1))
    if dice.feature(0.3):
        quantity = channel["quantity"] = dice.count(1, 4)
    cost = read_cost(case["cost"])
    label = Fraction(round(7 * shop.worth * 1000), 1000)
    per_unit = cost.unit + (cost.order + label) / quantity
    guess = per_unit * rate * Fraction(dice.count(105, 280), 100)
    goods = guess * quantity
    delivery = random_delivery(dice, shop, coin, goods / rate)
    if delivery is not None:
        channel["delivery"] = delivery
    channel |= random_terms(dice, shop, coin, goods)
    fees = random_fees(dice, coin, goods, quantity)
    if fees:
        channel["fees"] = fees
    if dice.feature() or any(fee.get("per") == "month" for fee in fees):
        channel["orders_per_month"] = str(dice.count(7, 90))
    return channel | {"guess": str(guess)}


def _question(dice: Dice, case: JsonDict, channel: JsonDict, guess: Fraction, prices: int) -> None:
    """The target and the prices: mostly a target that is met just about at the guessed price."""
    digits = int({**case, **channel}["minor_digits"])
    channel["prices"] = _prices(dice, guess, digits, prices)
    measure = dice.pick(MEASURES)
    target: JsonDict = {"measure": measure}
    if dice.seldom(0.3):
        target["case"] = dice.pick(("worst", "worst", "expected"))
    channel["target"] = target
    value = _worth_asking(dice, case, channel, guess)
    if value is None:
        target["measure"] = measure = "profit_per_unit"
        value = _worth_asking(dice, case, channel, guess)
    value = max(value or Fraction(0), Fraction(1, 100))
    if dice.seldom(0.12):
        value = value * 3 + Fraction(1, 2)
    if measure in PERCENT_MEASURES:
        target["percent"] = decimal(round(value * 10000), 2)
    elif measure != "break_even":
        target["amount"] = decimal(round(value * 10**digits), digits)
    if dice.feature():
        step = Fraction(channel["prices"]["step"])
        places = [guess * Fraction(dice.count(40, 140), 100) for _ in range(dice.count(1, 3))]
        channel["evaluate_at"] = [_text(max(step, place // step * step), digits) for place in places]


def _worth_asking(dice: Dice, case: JsonDict, channel: JsonDict, guess: Fraction) -> Fraction | None:
    """A value of the target's measure that makes for an interesting answer."""
    setup = read_channel(case, channel, read_cost(case["cost"]))
    if not setup.carried:
        return None
    if dice.seldom(0.8):
        prices = allowed_prices(setup)
        values = [_measure_at(setup, price) for price in prices[:: max(1, len(prices) // 60)]]
        known = [value for value in values if value is not None]
        drops = [(low, high) for high, low in pairwise(known) if 0 < low < high]
        if drops:
            # Just under a drop, so that a higher price fails again.
            low, high = dice.pick(drops)
            return low + (high - low) * Fraction(dice.count(20, 90), 100)
    unit = Fraction(1, 10**setup.money.digits)
    return _measure_at(setup, guess // unit * unit)


def _measure_at(setup: Channel, price: Fraction) -> Fraction | None:
    return setup.measure(setup.target["measure"], setup.target_totals(setup.zones_at(price)))


def _prices(dice: Dice, guess: Fraction, digits: int, prices: int) -> JsonDict:
    """A window around the guess, with a fine step or a coarse one, and endings now and then."""
    unit = Fraction(1, 10**digits)
    most = dice.count(prices // 4, prices)
    wide = guess * 3
    step = unit * dice.pick((1, 1, 2, 5, 10, 25, 50))
    if dice.seldom(0.35):
        # The whole range from nearly nothing, in steps as fine as the number of prices allows.
        choices = [unit * factor for factor in (1, 2, 5, 10, 20, 25, 50, 100, 500, 1000, 5000)]
        step = next((choice for choice in choices if wide / choice <= most), choices[-1])
        low, high = step, wide // step * step
    else:
        low = max(step, (guess // step - most // 2) * step)
        high = low + most * step
    result: JsonDict = {"lowest": _text(low, digits), "highest": _text(high, digits), "step": _text(step, digits)}
    if dice.feature(0.3):
        endings, spacing = _endings(dice, digits)
        below = max(unit, guess - spacing * (most // 2))
        result = {
            "lowest": _text(below // unit * unit, digits),
            "highest": _text((guess * 3 + spacing * 2) // unit * unit, digits),
            "step": _text(unit * dice.pick((1, 5)), digits),
            "endings": endings,
        }
        # Where prices are small, even the whole range has few of them.
        if (guess * 3 + spacing * 2 - below) / spacing * len(endings) > most:
            result["highest"] = _text((below + spacing * (most // len(endings))) // unit * unit, digits)
    return result


def _endings(dice: Dice, digits: int) -> tuple[list[str], Fraction]:
    """Endings, and how far apart the prices with one of them are."""
    if digits == 0:
        return dice.pick(((["80"], Fraction(100)), (["0", "5"], Fraction(10)), (["980"], Fraction(1000))))
    pad = "0" * (digits - 2)
    options = ((["95"], 1), (["00", "50"], 1), (["90", "25", "75"], 1))
    if dice.seldom(0.25):
        return [f"9.{'0' * digits}", f"4.50{pad}"], Fraction(10)
    endings, spacing = dice.pick(options)
    return [f".{ending}{pad}" for ending in endings], Fraction(spacing)


def _text(value: Fraction, digits: int) -> str:
    return decimal(round(value * 10**digits), digits)
