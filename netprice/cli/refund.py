"""`netprice refund`: what a refund costs, and the greatest return rate that still holds."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    DiscountOption,
    JsonOption,
    ProductArgument,
    QuantityOption,
    ShopOption,
    SolvedPriceOption,
    TargetOption,
    WorstOption,
    case_of,
    print_answers,
)

if TYPE_CHECKING:
    from netprice.answer.refund import RefundWishes


def refund(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    product: ProductArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    back: Annotated[
        Optional[str],  # noqa: UP045  # typer reads it at run time
        typer.Option(
            "--back",
            metavar="PART",
            help="What of goods and extras is paid back: '40 %', or an amount of their price. Default: all.",
        ),
    ] = None,
    goods_back: Annotated[
        bool, typer.Option("--goods-back/--goods-kept", help="Whether the goods come back or the buyer keeps them.")
    ] = True,
    label_paid_by: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--label-paid-by", metavar="WHO", help="Who pays the return label: 'shop' or 'buyer'."),
    ] = None,
    resellable: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--resellable", metavar="SHARE", help="What can be sold again: '100 %' if whole, '0 %' if not."),
    ] = None,
    refund_shipping: Annotated[
        Optional[bool],  # noqa: UP045
        typer.Option("--refund-shipping/--keep-shipping", help="Whether shipping is paid back too, with the whole."),
    ] = None,
    step: Annotated[str, typer.Option("--step", metavar="SHARE", help="The step of return rates to try.")] = "0.1 %",
    price: SolvedPriceOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    as_json: JsonOption = False,
) -> None:
    """Count what one refund costs, the sales that pay for it, and the returns that the price can bear.

    How a refund goes is as the shop's files say, but for what is given here.
    """
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.refund import refund_json, refund_text

    day = read_day(on)
    opened = open_shop(shop)
    wishes: RefundWishes = {
        "back": back, "goods_back": goods_back, "label_paid_by": label_paid_by, "resellable": resellable,
        "refund_shipping": refund_shipping, "step": step, "price": price,
        "target": target, "case": case_of(worst), "quantity": quantity, "discount": discount, "on": day,
    }  # fmt: skip
    answers = [opened.refund(product, channel=name, **wishes) for _, name in pairs(opened, [product], channel or ())]
    print_answers("refund", day, answers, as_json=as_json, to_json=refund_json, to_text=refund_text)
    if any(each.target_met.rate is None or each.source == "best" for each in answers):
        raise typer.Exit(1)
