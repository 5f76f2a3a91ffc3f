"""Targets and counts in words, for every text that names one."""

from __future__ import annotations

from netprice.book.product import Case
from netprice.book.readers import Target
from netprice.money import show_exact


def target_words(target: Target, case: Case, currency: str) -> str:
    """Return a target in words.

    >>> from fractions import Fraction
    >>> target_words(Target("margin", Fraction(3, 10)), "worst", "USD")
    'a margin of 30 % in the worst case'
    >>> target_words(Target("profit", Fraction(12)), "expected", "USD")
    '12 USD profit a unit'
    """
    kind, amount = target
    where = " in the worst case" if case == "worst" else ""
    if kind == "break-even":
        return f"break-even{where}"
    if kind in ("margin", "markup"):
        return f"a {kind} of {show_exact(amount * 100, 4)} %{where}"
    per = {"machine-hour": " a machine hour", "labour-hour": " a labour hour", "profit": " profit a unit"}[kind]
    return f"{show_exact(amount)} {currency}{per}{where}"


def counted(number: int, what: str) -> str:
    """Return a number of things in words.

    >>> counted(1, "new price"), counted(0, "new price")
    ('1 new price', '0 new prices')
    """
    return f"{number} {what}{'' if number == 1 else 's'}"
