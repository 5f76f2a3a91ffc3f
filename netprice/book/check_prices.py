"""Which prices are left: rules on the price step, the endings and the limits, wherever they were written.

Each key of `prices` may stand in the shop, the channel or the product. A mistake is told at the most particular place
that has a part in it: at the product's step if that does not go with the shop's endings.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from netprice.book.mistakes import Mistake, Path
from netprice.book.product import Prices
from netprice.book.readers import Ending
from netprice.money import minor_digits, show_exact


class Layer(NamedTuple):
    """One place that may say something about prices, and the path to it."""

    path: Path
    prices: Prices
    one_channel: bool = False
    """Whether it speaks for one channel only, and so for one currency."""

    def says(self, key: str) -> bool:
        """Whether this place says something about the key."""
        return getattr(self.prices, key) is not None


class PriceRules(NamedTuple):
    """What holds where the layers meet, most general first, in a channel that sells in `currency`."""

    layers: tuple[Layer, ...]
    currency: str

    def mistakes(self) -> Iterator[tuple[Layer, Mistake]]:
        """Give each mistake with the layer that it belongs to."""
        scale = 10 ** minor_digits(self.currency)
        if finer := finer_than_minor(self._said("list_price"), self.currency):
            mend = "write a multiple of it, or a price for each channel under the product's list_prices"
            yield self._at(("list_price",), finer, mend)
        step = self._said("step")
        if step is not None and (step == 0 or finer_than_minor(step, self.currency)):
            what = finer_than_minor(step, self.currency) or "a step of zero"
            yield self._at(("step",), what, f"write a step of {show_exact(Fraction(1, scale))} or a multiple of it")
            return
        lowest, highest = self._said("lowest"), self._said("highest")
        if lowest is not None and highest is not None and lowest > highest:
            what = f"limits the wrong way round (got lowest {show_exact(lowest)} and highest {show_exact(highest)})"
            yield self._at(("lowest", "highest"), what, "put the smaller one in lowest")
            return
        in_minor = int((step or Fraction(1, scale)) * scale)
        least = max(math.ceil((lowest or 0) * scale), 1)
        most = None if highest is None else math.floor(highest * scale)
        yield from self._what_is_left(in_minor, least, most, scale)

    def _what_is_left(self, step: int, least: int, most: int | None, scale: int) -> Iterator[tuple[Layer, Mistake]]:
        shown_step = show_exact(Fraction(step, scale))
        endings = self._endings(scale)
        if not endings and most is not None and -(-least // step) * step > most:
            what = f"no price is left: no multiple of the step lies within the limits (got a step of {shown_step})"
            yield self._at(("step", "lowest", "highest"), what, "widen the limits or change the step")
        for place, ending in endings:
            first = first_price(ending, step, least, scale)
            shown = show_exact(ending.rest)
            if first is None:
                what = f"an ending that no price has in steps of {shown_step} {self.currency} (got {shown})"
                yield self._at(("endings", "step"), what, "change the ending or the step", place)
            elif most is not None and first > most:
                what = f"an ending that no price within the limits has (got {shown})"
                yield self._at(("endings", "step", "lowest", "highest"), what, "widen the limits or drop it", place)

    def _endings(self, scale: int) -> list[tuple[int, Ending]]:
        """Return the endings that must be possible, with their places.

        Where endings are meant for channels in several currencies, '.50' has no meaning in one that has no cents, as
        long as others remain there.
        """
        layer = next((layer for layer in reversed(self.layers) if layer.says("endings")), None)
        endings = list(enumerate(layer.prices.endings or ())) if layer else []
        meant = [each for each in endings if (each[1].rest * scale).denominator == 1]
        return meant if meant and layer and not layer.one_channel else endings

    def _said(self, key: str) -> Fraction | None:
        return next((getattr(layer.prices, key) for layer in reversed(self.layers) if layer.says(key)), None)

    def _at(self, keys: tuple[str, ...], what: str, mend: str, place: int | None = None) -> tuple[Layer, Mistake]:
        """Return a mistake at the first of the keys that the most particular layer says something about."""
        layer, key = next((layer, key) for layer in reversed(self.layers) for key in keys if layer.says(key))
        inner = (key, place) if key == "endings" and place is not None else (key,)
        return layer, Mistake((*layer.path, *inner), what, mend)


def finer_than_minor(amount: Fraction | None, currency: str) -> str:
    """Say that an amount is finer than a currency's minor unit; "" where it is not, or there is none.

    >>> finer_than_minor(Fraction("42.5"), "JPY"), finer_than_minor(Fraction("42.5"), "USD")
    ('no multiple of 1 JPY (got 42.5)', '')
    """
    scale = 10 ** minor_digits(currency)
    if amount is None or (amount * scale).denominator == 1:
        return ""
    return f"no multiple of {show_exact(Fraction(1, scale))} {currency} (got {show_exact(amount)})"


def first_price(ending: Ending, step: int, least: int, scale: int) -> int | None:
    """Return the lowest price from `least` that is a multiple of the step and has the ending, in minor units.

    >>> first_price(Ending(Fraction("0.95"), 1), step=5, least=200, scale=100)
    295
    >>> first_price(Ending(Fraction("0.99"), 1), step=5, least=200, scale=100) is None
    True
    """
    rest, modulus = ending.rest * scale, ending.modulus * scale
    common = math.gcd(step, modulus)
    if rest.denominator != 1 or int(rest) % common:
        return None
    period = modulus // common
    price = step * ((int(rest) // common * pow(step // common, -1, period)) % period)
    repeats = math.lcm(step, modulus)
    return price + max(-(-(least - price) // repeats), 0) * repeats
