"""`netprice solve`: the list price that meets the target, per channel."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

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
    columns,
)

if TYPE_CHECKING:
    from netprice.book.product import Case


def solve(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: Annotated[list[str], typer.Argument(metavar="PRODUCT", help="Products, as their files are called.")],
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    brief: Annotated[bool, typer.Option("--brief", help="Only the answers, without the ledgers.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Find the list price that leaves your target after every deduction, on each selling channel."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.json import document, solution_json
    from netprice.show.text import solve_text

    day = read_day(on)
    opened = open_shop(shop)
    case: Case | None = "worst" if worst else None
    solutions = [
        opened.solve(product, channel=name, target=target, case=case, quantity=quantity, discount=discount, on=day)
        for product, name in pairs(opened, products, channel or ())
    ]
    if as_json:
        typer.echo(document("solve", on=day.isoformat(), results=[solution_json(each) for each in solutions]))
    else:
        typer.echo(solve_text(solutions, width=columns(), brief=brief))
    if any(solution.status != "met" for solution in solutions):
        raise typer.Exit(1)
