"""The list price that still leaves your target after every deduction, to the cent.

    import netprice
    shop = netprice.open_shop("examples/pottery")
    answer = shop.solve("pasta-bowl", channel="own-web-shop", target=netprice.margin("0.30"))
    answer.lowest_price, answer.safe_floor, answer.traps, answer.ledger

Nothing is imported before it is used, so that `import netprice` takes next to no time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from netprice.answer.result import Ledger, LedgerLine, Solution, Trap
    from netprice.answer.shop import OpenShop, open_shop
    from netprice.answer.spoken import break_even, margin, markup, per_labour_hour, per_machine_hour, profit
    from netprice.errors import InputError, NetpriceError, Problem, QuantityError, QuestionError

__version__ = "0.1.0"

_WHERE = {
    "netprice.answer.result": ("Ledger", "LedgerLine", "Solution", "Trap"),
    "netprice.answer.shop": ("OpenShop", "open_shop"),
    "netprice.answer.spoken": ("break_even", "margin", "markup", "per_labour_hour", "per_machine_hour", "profit"),
    "netprice.errors": ("InputError", "NetpriceError", "Problem", "QuantityError", "QuestionError"),
}

__all__ = [
    "InputError",
    "Ledger",
    "LedgerLine",
    "NetpriceError",
    "OpenShop",
    "Problem",
    "QuantityError",
    "QuestionError",
    "Solution",
    "Trap",
    "break_even",
    "margin",
    "markup",
    "open_shop",
    "per_labour_hour",
    "per_machine_hour",
    "profit",
]


def __getattr__(name: str) -> object:
    """Import a public name when it is first used."""
    from importlib import import_module

    for module, names in _WHERE.items():
        if name in names:
            return getattr(import_module(module), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
