"""`netprice sensitivity`: what moves the profit and the price most."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

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
    columns,
)

if TYPE_CHECKING:
    from netprice.book.product import Case


def sensitivity(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: ProductsArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    price: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--price", metavar="P", help="The list price. Default: the one in use, else the one solved for."),
    ] = None,
    by: Annotated[str, typer.Option("--by", metavar="PERCENT", help="How much each input is changed by.")] = "10 %",
    target: TargetOption = None,
    worst: WorstOption = False,
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    every: Annotated[bool, typer.Option("--all", help="Show every input, not only those that move most.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Change every cost, time, fee and share a little, and show what it does to the profit and to the price."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.json import document
    from netprice.show.sensitivity import sensitivity_json, sensitivity_text

    day = read_day(on)
    opened = open_shop(shop)
    case: Case | None = "worst" if worst else None
    answers = [
        opened.sensitivity(
            product, channel=name, price=price, by=by, target=target, case=case, quantity=quantity,
            discount=discount, on=day,
        )
        for product, name in pairs(opened, products, channel or ())
    ]  # fmt: skip
    if as_json:
        results = [sensitivity_json(each) for each in answers]
        typer.echo(document("sensitivity", on=day.isoformat(), results=results))
    else:
        typer.echo("\n\n".join(sensitivity_text(each, width=columns(), every=every) for each in answers))
