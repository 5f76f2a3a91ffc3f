"""`netprice ledger`: every line from what the buyer pays down to the profit, at a given price."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    DiscountOption,
    JsonOption,
    ProductArgument,
    QuantityOption,
    ShopOption,
    columns,
)


def ledger(
    product: ProductArgument,
    price: Annotated[str, typer.Option("--price", metavar="P", help="The list price, in the channel's currency.")],
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    as_json: JsonOption = False,  # an option of a command line
) -> None:
    """Show every line of an order at a given list price, from what the buyer pays down to the profit."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.json import document, ledger_json
    from netprice.show.text import ledger_text

    day = read_day(on)
    opened = open_shop(shop)
    ledgers = [
        opened.ledger(product, channel=name, price=price, quantity=quantity, discount=discount, on=day)
        for _, name in pairs(opened, [product], channel or ())
    ]
    if as_json:
        results = [
            {"product": each.product, "channel": each.channel, "currency": each.currency, "quantity": each.quantity,
             "ledger": ledger_json(each)}
            for each in ledgers
        ]  # fmt: skip
        typer.echo(document("ledger", on=day.isoformat(), results=results))
    else:
        typer.echo("\n\n".join(ledger_text(each, width=columns()) for each in ledgers))
