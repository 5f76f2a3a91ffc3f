"""`netprice check`: every file of a shop validated, or the schema that editors validate with."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, Optional

import typer

from netprice.cli.options import JsonOption

if TYPE_CHECKING:
    from netprice.book.read import LoadResult
    from netprice.book.shop import Book

Schema = Literal["shop", "product", "fee-profile", "rate-card"]


def check(
    shop: Annotated[Path, typer.Argument(metavar="SHOP", help="The shop folder.", show_default=False)] = Path(),
    schema: Annotated[
        Optional[Schema],  # noqa: UP045  # typer reads it at run time
        typer.Option("--schema", metavar="KIND", help="Print a JSON Schema: shop, product, fee-profile or rate-card."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Check every file of a shop and show all mistakes at once."""
    import json

    if schema is not None:
        from netprice.book.schema import json_schema

        typer.echo(json.dumps(json_schema(schema), indent=2, ensure_ascii=False))
        return
    from netprice.book.read import read_book

    result = read_book(shop)
    if as_json:
        typer.echo(json.dumps(_document(result), indent=2))
    elif result.book is not None:
        typer.echo(f"all good: {_counts(result.book)}")
    if result.problems:
        if not as_json:
            typer.echo("\n".join(map(str, result.problems)), err=True)
        raise typer.Exit(2)


def _counts(book: Book) -> str:
    counted = (
        (len(book.shop.channels), "channel"),
        (len(book.products), "product"),
        (len(book.fee_profiles), "fee profile"),
        (len(book.rate_cards), "rate card"),
    )
    return ", ".join(f"{count} {name}{'' if count == 1 else 's'}" for count, name in counted)


def _document(result: LoadResult) -> dict[str, object]:

    document: dict[str, object] = {"netprice": "check", "version": 1}
    document["problems"] = [problem._asdict() for problem in result.problems]
    if result.book is not None:
        document |= {
            "shop": result.book.shop.name,
            "channels": list(result.book.shop.channels),
            "products": list(result.book.products),
            "fee_profiles": list(result.book.fee_profiles),
            "rate_cards": list(result.book.rate_cards),
        }
    return document
