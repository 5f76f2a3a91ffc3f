"""The options that several commands have in common, said once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Optional, TypeVar

import typer

from netprice.cli.completion import channels, products

if TYPE_CHECKING:
    from netprice.book.product import Case

Answer = TypeVar("Answer")

ShopOption = Annotated[Path, typer.Option("--shop", metavar="DIR", help="The shop folder.")]
ChannelsOption = Annotated[
    Optional[list[str]],  # noqa: UP045  # typer reads it at run time
    typer.Option(
        "--channel",
        metavar="NAME",
        help="A selling channel; may be given several times. Default: all.",
        autocompletion=channels,
    ),
]
ProductArgument = Annotated[
    str, typer.Argument(metavar="PRODUCT", help="The product, as its file is called.", autocompletion=products)
]
ProductsArgument = Annotated[
    list[str], typer.Argument(metavar="PRODUCT", help="Products, as their files are called.", autocompletion=products)
]
QuantityOption = Annotated[
    Optional[int],  # noqa: UP045
    typer.Option("--quantity", metavar="N", help="Units of the product in one order."),
]
DiscountOption = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--discount", metavar="OFF", help="A further discount: '20 %', or an amount an order such as 5.00."),
]
DayOption = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--on", metavar="YYYY-MM-DD", help="The day whose fees count. Default: today."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document instead of text.")]
TargetOption = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--target",
        metavar="TARGET",
        help="'margin 30 %', 'markup 50 %', 'profit 12', 'machine-hour 40', 'labour-hour 25' or 'break-even'.",
    ),
]
PriceOption = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--price", metavar="P", help="The list price. Default: the one in use, else the one solve gives."),
]
SolvedPriceOption = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--price", metavar="P", help="The list price. Default: the one that solve gives."),
]
WorstOption = Annotated[bool, typer.Option("--worst", help="Hold the target in the worst case, not the expected one.")]


def case_of(worst: bool) -> Case | None:  # as the option says it
    """Return the case that `--worst` asks for; None: the one that the shop wrote down."""
    return "worst" if worst else None


def print_answers(
    command: str,
    on: dt.date,
    answers: Sequence[Answer],
    *,
    as_json: bool,
    to_json: Callable[[Answer], dict[str, Any]],
    to_text: Callable[..., str],
) -> None:
    """Print one JSON document with all answers, or each as text, a blank line between them."""
    from netprice.show.json import document

    if as_json:
        typer.echo(document(command, on=on.isoformat(), results=[to_json(each) for each in answers]))
    else:
        typer.echo("\n\n".join(to_text(each, width=columns()) for each in answers))


def columns() -> int:
    """Return the width to write for: the terminal's, between 60 and 120 columns."""
    import shutil

    return min(max(shutil.get_terminal_size((80, 24)).columns, 60), 120)
