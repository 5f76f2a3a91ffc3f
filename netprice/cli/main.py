"""The frame of all commands: what is registered, and how a run ends whatever happens in it.

A command is a function in a module of its own, with its imports inside, so that `netprice --help` loads none of them.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import Annotated, Final, NoReturn

import typer

from netprice.cli import (
    capacity,
    check,
    compare,
    discount,
    free_shipping,
    giveaway,
    init,
    ledger,
    parcel,
    refund,
    reprice,
    risk,
    sensitivity,
    solve,
)
from netprice.errors import NetpriceError

CTRL_C: Final = 130
BROKEN_PIPE: Final = 141  # what a shell reports for a program that such a pipe has ended: 128 + SIGPIPE
WRONG: Final = 2

app = typer.Typer(
    name="netprice",
    help="The list price that still leaves your target after every deduction, to the cent.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.command("init", short_help="Start a shop folder with a first product.")(init.init)
app.command("check", short_help="Show every mistake in a shop's files at once.")(check.check)
app.command("solve", short_help="The list price that leaves your target, per channel.")(solve.solve)
app.command("ledger", short_help="Every line of an order at a price, down to the profit.")(ledger.ledger)
app.command("compare", short_help="The selling channels side by side.")(compare.compare)
app.command("giveaway", short_help="What giving some away costs, and what pays for it.")(giveaway.giveaway)
app.command("refund", short_help="What a refund costs, and the returns a price bears.")(refund.refund)
app.command("discount", short_help="How far a price can come down; ladders and bundles.")(discount.discount)
app.command("free-shipping", short_help="What sending orders free takes.")(free_shipping.free_shipping)
app.command("parcel", short_help="How an order travels, and what a smaller box saves.")(parcel.parcel)
app.command("sensitivity", short_help="What moves the profit and the price most.")(sensitivity.sensitivity)
app.command("risk", short_help="How far a price can be relied on, with inputs in doubt.")(risk.risk)
app.command("capacity", short_help="The mix that leaves most from a month's hours.")(capacity.capacity)
app.command("reprice", short_help="List prices that costs or fees have made wrong.")(reprice.reprice)


def _show_version(wanted: bool) -> None:
    if wanted:
        from netprice import __version__

        typer.echo(f"netprice {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    *,
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version and end.")
    ] = False,
) -> None:
    """Find the list price that still leaves your target after every deduction, to the cent."""


def run(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and end the program with its exit code."""
    # Two things that libraries do when they start and a command never needs: pydantic looks through every installed
    # package for plug-ins, and numpy's linear algebra starts a thread for every processor. Both are felt at a terminal.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _print_whatever_the_terminal_can()
    try:
        code = _run(sys.argv[1:] if arguments is None else list(arguments))
        sys.stdout.flush()
        sys.stderr.flush()
    except BrokenPipeError:
        code = _leave_pipe()
    except KeyboardInterrupt:
        code = CTRL_C
    sys.exit(code)


def _run(arguments: list[str]) -> int:
    try:
        ended = typer.main.get_command(app).main(args=arguments, prog_name="netprice", standalone_mode=False)
    except NetpriceError as error:
        typer.echo(str(error), err=True)
        return error.exit_code
    except BrokenPipeError:
        raise
    except SystemExit as end:
        if isinstance(end.__context__, BrokenPipeError):  # typer ends the program when a pipe breaks
            raise BrokenPipeError from end
        return end.code if isinstance(end.code, int) else WRONG
    except Exception as error:  # noqa: BLE001  # nobody should ever see a traceback
        return _usage_error(error) if hasattr(error, "show") else _unforeseen(error)
    return ended if isinstance(ended, int) else 0


def _usage_error(error: Exception) -> int:
    """Show what typer says about a wrong command line, in plain text."""
    error.show()  # type: ignore[attr-defined]  # typer does not name the class that has it
    return WRONG


def _unforeseen(error: Exception) -> int:
    if os.environ.get("NETPRICE_DEBUG"):
        import traceback

        traceback.print_exception(error)
        return WRONG
    said = " ".join(f"{type(error).__name__}: {error}".split())[:300]
    message = (
        f"netprice: something went wrong that should not have: {said}; please report it with the command you typed"
    )
    typer.echo(message, err=True)
    return WRONG


def _leave_pipe() -> int:
    """Give up on the broken pipe, so that Python does not complain about it once more when it ends."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except BrokenPipeError:
            os.dup2(nowhere, stream.fileno())
    return BROKEN_PIPE


def _print_whatever_the_terminal_can() -> None:
    """Show marks that a terminal or file cannot take as escapes, rather than end with an error."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")
