"""`netprice solve`: the list price that meets the target, per channel."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Optional

import typer

from netprice.cli.completion import input_names, inputs
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
    print_answers,
)


def solve(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: ProductsArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    brief: Annotated[bool, typer.Option("--brief", help="Only the answers, without the ledgers.")] = False,
    price: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(
            "--price", metavar="P", help="With --unknown: the list price that stands. Default: the one in use."
        ),
    ] = None,
    unknown: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(
            "--unknown",
            metavar="PATH",
            help="Look for an input instead of the price, such as labour.throwing.time; '?' lists them all.",
            autocompletion=inputs,
        ),
    ] = None,
    step: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--step", metavar="STEP", help="With --unknown: in which steps, such as '30 s' or 0.5."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Find the list price that leaves your target after every deduction, on each selling channel."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.errors import QuestionError
    from netprice.show.json import document, solution_json
    from netprice.show.text import solve_text

    day = read_day(on)
    opened, case = open_shop(shop), case_of(worst)
    if unknown == "?":
        typer.echo("\n".join(input_names(opened, {"products": products, "channel": channel})))
        return
    if unknown is not None:
        from netprice.show.unknown import unknown_json, unknown_text

        reached = [
            opened.unknown(
                product, channel=name, name=unknown, price=price, step=step, target=target, case=case,
                quantity=quantity, discount=discount, on=day,
            )
            for product, name in pairs(opened, products, channel or ())
        ]  # fmt: skip
        print_answers("solve", day, reached, as_json=as_json, to_json=unknown_json, to_text=unknown_text)
        if any(not each.holds for each in reached):
            raise typer.Exit(1)
        return
    if price is not None or step is not None:
        raise QuestionError("--price and --step go with --unknown; 'netprice ledger' works out an order at a price")
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
