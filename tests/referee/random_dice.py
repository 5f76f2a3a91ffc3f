"""The dice of the random cases: how often features are switched on, and amounts of a realistic size."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

T = TypeVar("T")

# Currency, minor digits, and roughly what one euro is worth in it.
CURRENCIES = (("USD", 2, 1.1), ("EUR", 2, 1.0), ("GBP", 2, 0.9), ("CAD", 2, 1.5), ("JPY", 0, 160.0), ("KWD", 3, 0.33))


@dataclass(frozen=True)
class Coin:
    """A currency, its minor digits, and roughly what one euro is worth in it."""

    code: str
    digits: int
    worth: float


@dataclass(frozen=True)
class Dice:
    """A random generator together with the chance that an optional feature is switched on."""

    rng: random.Random
    chance: float

    def feature(self, factor: float = 1.0) -> bool:
        """Whether an optional feature is switched on."""
        return self.rng.random() < self.chance * factor

    def seldom(self, chance: float = 0.1) -> bool:
        """Whether something happens whose chance does not depend on how full the case is."""
        return self.rng.random() < chance

    def pick(self, options: Sequence[T]) -> T:
        """One of several options."""
        return self.rng.choice(options)

    def count(self, low: int, high: int) -> int:
        """A whole number between two bounds, both included."""
        return self.rng.randint(low, high)

    def coin(self) -> Coin:
        """A currency; those with two digits are the most frequent."""
        return Coin(*self.pick(CURRENCIES))

    def decimal(self, low: float, high: float, digits: int = 2) -> str:
        """A decimal string between two bounds."""
        return decimal(round(self.rng.uniform(low, high) * 10**digits), digits)

    def money(self, coin: Coin, low: float, high: float) -> str:
        """An amount in a currency, the bounds given in euros; never below one minor unit."""
        units = round(self.rng.uniform(low, high) * coin.worth * 10**coin.digits)
        return decimal(max(units, 1), coin.digits)

    def fine_money(self, coin: Coin, low: float, high: float) -> str:
        """An amount that is now and then finer than the minor unit."""
        if self.seldom(0.1):
            return self.money(Coin(coin.code, coin.digits + 1, coin.worth), low, high)
        return self.money(coin, low, high)

    def near(self, coin: Coin, value: Fraction, low: float = 0.7, high: float = 1.3) -> str:
        """An amount of a currency near a value that is already in that currency."""
        units = round(float(value) * self.rng.uniform(low, high) * 10**coin.digits)
        return decimal(max(units, 1), coin.digits)

    def share(self, low: float = 0.05, high: float = 0.95) -> str:
        """A share between the bounds, as a decimal or as a fraction without a finite decimal."""
        if self.seldom(0.3):
            below = self.pick((3, 6, 7, 9, 11, 12, 30))
            above = min(below - 1, max(1, round(self.rng.uniform(low, high) * below)))
            if low <= above / below <= high:
                return f"{above}/{below}"
        return self.decimal(low, high, 3 if high < 0.5 else 2)


def decimal(units: int, digits: int) -> str:
    """A count of minor units as a decimal string, without a float on the way."""
    if digits == 0:
        return str(units)
    sign, units = ("-" if units < 0 else ""), abs(units)
    return f"{sign}{units // 10**digits}.{units % 10**digits:0{digits}d}"
