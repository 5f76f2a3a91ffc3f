"""`netprice free-shipping`: what it costs to send orders free, and from which order total it can be done."""

from __future__ import annotations

from pathlib import Path

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    JsonOption,
    ProductArgument,
    QuantityOption,
    ShopOption,
    TargetOption,
    WorstOption,
    case_of,
    print_answers,
)


def free_shipping(  # a command has as many parameters as options
    product: ProductArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    on: DayOption = None,
    as_json: JsonOption = False,
) -> None:
    """Fold shipping into the price, zone by zone, and find the order total from which it can be free."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.free_shipping import free_shipping_json, free_shipping_text

    day = read_day(on)
    opened = open_shop(shop)
    answers = [
        opened.free_shipping(product, channel=name, target=target, case=case_of(worst), quantity=quantity, on=day)
        for _, name in pairs(opened, [product], channel or ())
    ]
    print_answers(
        "free-shipping", day, answers, as_json=as_json, to_json=free_shipping_json, to_text=free_shipping_text
    )
    if any(each.free.status != "met" for each in answers):
        raise typer.Exit(1)
