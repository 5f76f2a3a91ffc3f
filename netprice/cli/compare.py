"""`netprice compare`: the selling channels side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Optional

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    DiscountOption,
    JsonOption,
    ProductsArgument,
    QuantityOption,
    ShopOption,
    TargetOption,
    WorstOption,
    case_of,
    columns,
)


def compare(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: ProductsArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    at: Annotated[
        Optional[str],  # noqa: UP045  # typer reads it at run time
        typer.Option("--at", metavar="PRICE", help="One list price for all channels, in the currency of each."),
    ] = None,
    monthly_profit: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--monthly-profit", metavar="AMOUNT", help="Also count the orders that leave so much a month."),
    ] = None,
    brief: Annotated[bool, typer.Option("--brief", help="Of several products only the overview.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Compare the selling channels: what each leaves an order, an hour and a month, and when another one is better."""
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.compare import compare_text
    from netprice.show.compare_json import compare_json
    from netprice.show.json import document

    day = read_day(on)
    opened = open_shop(shop)
    answers = [
        opened.compare(
            product, channels=channel or (), at=at, monthly_profit=monthly_profit,
            target=target, case=case_of(worst), quantity=quantity, discount=discount, on=day,
        )
        for product in products
    ]  # fmt: skip
    if as_json:
        typer.echo(document("compare", on=day.isoformat(), results=[compare_json(each) for each in answers]))
    else:
        typer.echo(compare_text(answers, width=columns(), brief=brief))
    if any(solution.status != "met" for each in answers for solution in each.solutions):
        raise typer.Exit(1)
