"""From which price to which, in which steps and with which endings a price is looked for."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import NamedTuple

from netprice.answer.allowed import Allowed
from netprice.book.product import Prices
from netprice.errors import QuestionError
from netprice.money import show_money


class Span(NamedTuple):
    """Allowed prices in minor units: `highest` is None where nobody has stated one."""

    lowest: int
    highest: int | None
    step: int
    endings: tuple[tuple[int, int], ...]
    digits: int

    @classmethod
    def of(cls, *stated: Prices, digits: int) -> Span:
        """Return the span in which each key comes from the first of `stated` that gives it; the last is the shop's."""

        def minor(key: str) -> Fraction | None:
            amount: Fraction | None = next((each for p in stated if (each := getattr(p, key)) is not None), None)
            return None if amount is None else amount * 10**digits

        step = int(minor("step") or 1)
        lowest, highest = minor("lowest"), minor("highest")
        endings = next((prices.endings for prices in stated if prices.endings is not None), ())
        return cls(
            lowest=max(-(-lowest // 1), 1) if lowest is not None else step,
            highest=None if highest is None else int(highest // 1),
            step=max(step, 1),
            # An ending finer than the currency has no price of its own.
            endings=tuple(
                (int(ending.rest * 10**digits), ending.modulus * 10**digits)
                for ending in endings
                if (ending.rest * 10**digits).denominator == 1
            ),
            digits=digits,
        )

    @property
    def period(self) -> int:
        """Return after how much the pattern of endings begins anew; 0 where any ending will do."""
        return math.lcm(self.step, *(modulus for _, modulus in self.endings)) if self.endings else 0

    def allowed(self, highest: int) -> Allowed:
        """Return the allowed prices up to `highest`; none left is an error."""
        allowed = Allowed.of(lowest=self.lowest, highest=highest, step=self.step, endings=self.endings)
        if not allowed.count:
            raise QuestionError(
                f"no price is allowed between {show_money(self.lowest, self.digits)} and"
                f" {show_money(highest, self.digits)}: none is a multiple of {show_money(self.step, self.digits)}"
                " and has one of the endings; widen the limits, or change the step or the endings"
            )
        return allowed
