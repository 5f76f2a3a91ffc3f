"""`netprice init`: a starter shop folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def init(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to start a shop in; it must be empty.")],
) -> None:
    """Start a shop folder with a first product."""
    import shlex

    from netprice.book.begin import begin

    written = begin(folder)
    for path in written:
        typer.echo(f"wrote {path}")
    products = [path.stem for path in written if path.parent.name == "products"]
    typer.echo("\nnext, see what it comes to:\n")
    typer.echo(f"    netprice solve {' '.join(products)} --shop {shlex.quote(str(folder))}")
