"""`netprice risk`: the spread of the margin when inputs are in doubt, and the price that holds with a given chance."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Optional

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    DiscountOption,
    JsonOption,
    PriceOption,
    ProductsArgument,
    QuantityOption,
    ShopOption,
    TargetOption,
    WorstOption,
    case_of,
    print_answers,
)


def risk(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: ProductsArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    price: PriceOption = None,
    ranges: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(
            "--range", metavar="PATH=RANGE", help="An input in doubt: 'labour.throwing.time=35..50 min'. Repeatable."
        ),
    ] = None,
    chance: Annotated[
        str, typer.Option("--chance", metavar="PERCENT", help="How surely the price that is looked for has to hold.")
    ] = "90 %",
    draws: Annotated[int, typer.Option("--draws", metavar="N", help="How many draws, at least; rounded up.")] = 8192,
    seed: Annotated[int, typer.Option("--seed", metavar="N", help="The same seed gives the same answer.", min=0)] = 1,
    target: TargetOption = None,
    worst: WorstOption = False,
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show how far a price can be relied on while costs, times and shares are in doubt, and which price holds."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.errors import QuestionError
    from netprice.show.risk import risk_json, risk_text

    day = read_day(on)
    opened = open_shop(shop)
    stated: dict[str, str] = {}
    for each in ranges or ():
        path, equals, text = each.partition("=")
        if not equals:
            raise QuestionError(f"no range (got {each[:60]!r}); write it like 'labour.throwing.time=35..50 min'")
        stated[path.strip()] = text.strip()
    answers = [
        opened.risk(
            product, channel=name, price=price, ranges=stated, chance=chance, draws=draws, seed=seed, target=target,
            case=case_of(worst), quantity=quantity, discount=discount, on=day,
        )
        for product, name in pairs(opened, products, channel or ())
    ]  # fmt: skip
    print_answers("risk", day, answers, as_json=as_json, to_json=risk_json, to_text=risk_text)
    if any(each.out_of_reach for each in answers):
        raise typer.Exit(1)
