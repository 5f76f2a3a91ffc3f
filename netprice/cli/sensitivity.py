"""`netprice sensitivity`: what moves the profit and the price most."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

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


def sensitivity(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: ProductsArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    price: PriceOption = None,
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
    from netprice.show.sensitivity import sensitivity_json, sensitivity_text

    day = read_day(on)
    opened = open_shop(shop)
    answers = [
        opened.sensitivity(
            product, channel=name, price=price, by=by, target=target, case=case_of(worst), quantity=quantity,
            discount=discount, on=day,
        )
        for product, name in pairs(opened, products, channel or ())
    ]  # fmt: skip
    to_text = partial(sensitivity_text, every=every)
    print_answers("sensitivity", day, answers, as_json=as_json, to_json=sensitivity_json, to_text=to_text)
