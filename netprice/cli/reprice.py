"""`netprice reprice`: the list prices that costs or dated fees have made wrong, and the new ones."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Optional

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    DiscountOption,
    JsonOption,
    QuantityOption,
    ShopOption,
    TargetOption,
    WorstOption,
    case_of,
    columns,
)


def reprice(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: Annotated[
        Optional[list[str]],  # noqa: UP045  # typer reads it at run time
        typer.Argument(metavar="PRODUCT", help="Products, as their files are called. Default: all."),
    ] = None,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    ahead: Annotated[
        int, typer.Option("--ahead", metavar="DAYS", help="How many days ahead to look for fees that change.")
    ] = 180,
    exact: Annotated[
        bool,
        typer.Option("--exact/--raise-only", help="Also lower prices that are above the lowest that meets the target."),
    ] = False,
    write: Annotated[bool, typer.Option("--write", help="Write the new prices into the product files.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Hold every list price in use against costs and fees, and find the new price where one falls short."""
    from netprice.answer.reprice import new_prices, write_prices
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.book.files import printable
    from netprice.book.rewrite import files_in
    from netprice.show.json import document
    from netprice.show.reprice import reprice_json, reprice_text, to_write_text, written_text

    day = read_day(on)
    before = files_in(shop / "products") if write else {}
    opened = open_shop(shop)
    answer = opened.reprice(
        products or (), channels=channel or (), ahead=ahead, exact=exact, target=target,
        case=case_of(worst), quantity=quantity, discount=discount, on=day,
    )  # fmt: skip
    new = new_prices(opened.book, answer)
    files = {name: printable(path) for name, (path, _) in before.items()}
    if write:
        write_prices(before, new)
    if as_json:
        typer.echo(document("reprice", on=day.isoformat(), **reprice_json(answer, new if write else (), files)))
    else:
        typer.echo(reprice_text(answer, width=columns()))
        if write:
            typer.echo(f"\n{written_text(new, files, columns())}")
        elif new:
            typer.echo(f"\n{to_write_text(new, columns())}")
    if any(each.fails and (each.new_price is None or not write) for each in answer.prices):
        raise typer.Exit(1)
