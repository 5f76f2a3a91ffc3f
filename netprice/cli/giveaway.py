"""`netprice giveaway`: does giving some away break even, and with what chance."""

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
    from netprice.answer.giveaway import GiveawayWishes


def giveaway(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    product: ProductArgument,
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    units: Annotated[
        Optional[int],  # noqa: UP045  # typer reads it at run time
        typer.Option("--units", metavar="N", help="Units sent to winners. Default: 1, or 0 with --refunded."),
    ] = None,
    refunded: Annotated[
        Optional[int],  # noqa: UP045
        typer.Option("--refunded", metavar="N", help="Winners who had bought and get all of their money back instead."),
    ] = None,
    promotion_cost: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--promotion-cost", metavar="A", help="What making it known costs, in the shop's currency."),
    ] = None,
    expected_sales: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--expected-sales", metavar="X", help="Extra orders that you expect from it, on average."),
    ] = None,
    people: Annotated[
        Optional[int],  # noqa: UP045
        typer.Option("--people", metavar="N", help="People reached, each of whom may buy; goes with --conversion."),
    ] = None,
    conversion: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--conversion", metavar="SHARE", help="The share of the people reached who buy, such as '2 %'."),
    ] = None,
    chance: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(
            "--chance", metavar="SHARE", help="Find the most units that break even with this chance; exit 1 below it."
        ),
    ] = None,
    price: SolvedPriceOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    discount: DiscountOption = None,
    on: DayOption = None,
    as_json: JsonOption = False,
) -> None:
    """Weigh giving some away: its cost, the extra orders that pay for it, and the chance that they come."""
    from netprice.answer.opened import pairs
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.giveaway import giveaway_json, giveaway_text

    day = read_day(on)
    opened = open_shop(shop)
    wishes: GiveawayWishes = {
        "units": units, "refunded": refunded, "promotion_cost": promotion_cost, "expected_sales": expected_sales,
        "people": people, "conversion": conversion, "chance": chance, "price": price,
        "target": target, "case": case_of(worst), "quantity": quantity, "discount": discount, "on": day,
    }  # fmt: skip
    answers = [opened.giveaway(product, channel=name, **wishes) for _, name in pairs(opened, [product], channel or ())]
    print_answers("giveaway", day, answers, as_json=as_json, to_json=giveaway_json, to_text=giveaway_text)
    if any(not each.breaks_even or each.source == "best" for each in answers):
        raise typer.Exit(1)
