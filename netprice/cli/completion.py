"""What a shell offers when somebody presses Tab: products, channels, paths of inputs; nothing where reading fails."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from netprice.answer.opened import Opened


def products(ctx: typer.Context, incomplete: str) -> list[str]:
    """Return the products of the shop that begin so."""
    shop = _shop(ctx)
    return _beginning(shop.products if shop else (), incomplete)


def channels(ctx: typer.Context, incomplete: str) -> list[str]:
    """Return the channels of the shop that begin so."""
    shop = _shop(ctx)
    return _beginning(shop.channels if shop else (), incomplete)


def inputs(ctx: typer.Context, incomplete: str) -> list[str]:
    """Return the paths of the numbers that an order of the product depends on, and "discount"."""
    shop = _shop(ctx)
    return _beginning(input_names(shop, ctx.params) if shop else (), incomplete)


def input_names(shop: Opened, typed: dict[str, Any]) -> list[str]:
    """Return the paths for the first product and channel that were typed, else for the first that there are."""
    from netprice.answer.inputs import DISCOUNT, inputs_of
    from netprice.errors import NetpriceError

    product = next(iter(typed.get("products") or shop.products), None)
    channel = next(iter(typed.get("channel") or shop.channels), None)
    try:
        asked = shop.asked(product or "", channel or "", {})
        return [DISCOUNT, *(each.name for each in inputs_of(shop.book, asked.ask))]
    except NetpriceError:
        return []


def _shop(ctx: typer.Context) -> Opened | None:
    from netprice.answer.shop import open_shop
    from netprice.errors import NetpriceError

    try:
        return open_shop(ctx.params.get("shop") or ".")
    except NetpriceError:
        return None


def _beginning(names: Iterable[str], incomplete: str) -> list[str]:
    return [name for name in names if name.startswith(incomplete)]
