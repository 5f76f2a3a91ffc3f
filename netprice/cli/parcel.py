"""`netprice parcel`: how an order travels, what each service charges for it, and what a smaller box would save."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Optional

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    JsonOption,
    ProductArgument,
    QuantityOption,
    ShopOption,
    print_answers,
)


def parcel(
    product: ProductArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    price: Annotated[
        Optional[str],  # noqa: UP045  # typer reads it at run time
        typer.Option("--price", metavar="P", help="The list price that is insured. Default: the one that solve gives."),
    ] = None,
    quantity: QuantityOption = None,
    on: DayOption = None,
    as_json: JsonOption = False,  # an option of a command line
) -> None:
    """Show how an order travels: boxes, weights, every service and zone, and what a smaller box would save."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.parcel import parcel_json, parcel_text

    day = read_day(on)
    opened = open_shop(shop)
    answers = [
        opened.parcel(product, channel=name, price=price, quantity=quantity, on=day)
        for _, name in pairs(opened, [product], channel or ())
    ]
    print_answers("parcel", day, answers, as_json=as_json, to_json=parcel_json, to_text=parcel_text)
    if any(each.average is None for each in answers):
        raise typer.Exit(1)
