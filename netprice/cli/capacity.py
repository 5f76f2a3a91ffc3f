"""`netprice capacity`: which products and channels a month's hours are best used for, and what an hour is worth."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

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

if TYPE_CHECKING:
    from collections.abc import Sequence

_HOURS = "Other hours a month, such as 'kiln=130 hours'; may be given several times. Work: 'labour.kiln=20 hours'."


def capacity(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: Annotated[
        Optional[list[str]],  # noqa: UP045  # typer reads it at run time
        typer.Argument(metavar="[PRODUCT]...", help="Products, as their files are called. Default: all."),
    ] = None,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    hours: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option("--hours", metavar="NAME=HOURS", help=_HOURS),
    ] = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find the mix of products and channels that leaves the most from the machine and labour hours of a month."""
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.capacity import capacity_json, capacity_text
    from netprice.show.json import document

    day = read_day(on)
    answer = open_shop(shop).capacity(
        *(products or ()), channels=channel or (), hours=_hours_said(hours or ()), target=target,
        case=case_of(worst), quantity=quantity, discount=discount, on=day,
    )  # fmt: skip
    if as_json:
        typer.echo(document("capacity", on=day.isoformat(), results=[capacity_json(answer)]))
    else:
        typer.echo(capacity_text(answer, width=columns()))
    if not answer.met:
        raise typer.Exit(1)


def _hours_said(said: Sequence[str]) -> dict[str, str]:
    from netprice.errors import QuestionError

    hours = {}
    for each in said:
        name, equals, amount = each.partition("=")
        if not equals:
            raise QuestionError(f"no hours of a name (got {each[:40]!r}); write them like 'kiln=130 hours'")
        hours[name] = amount
    return hours
