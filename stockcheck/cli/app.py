"""The root command: a table of lazily loaded commands, and errors turned into exit codes."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

import click

from stockcheck.cli.shell import Shell, store_path
from stockcheck.core.errors import StockcheckError

# Module, and the line that --help shows; a command's module is imported when it is called.
TASKS: dict[str, dict[str, tuple[str, str]]] = {
    "Start": {
        "demo": ("demo", "Build the demo store and do the whole job on it."),
        "init": ("init", "Make a new, empty store."),
    },
    "Stock comes and goes": {
        "receive": ("receive", "Take stock in: one lot, or a CSV file of many."),
        "use": ("stock", "Use stock, first expired first."),
        "open": ("stock", "Open a sealed pack today."),
        "move": ("stock", "Put stock into another box."),
        "hold": ("stock", "Put stock on hold: not to be used until released."),
        "release": ("stock", "Take stock off hold."),
        "correct": ("stock", "Set the books to what was counted."),
        "write-off": ("stock", "Take stock off the books for a reason."),
        "undo": ("stock", "Reverse the last command, or a given movement."),
    },
    "Find out": {
        "find": ("look", "Find anything by its words, batch or code."),
        "why": ("look", "Tell every limit of a lot, with its arithmetic."),
        "history": ("look", "The movements of a lot, item or box."),
        "read": ("reading", "Tell what a code or printed date means; needs no store."),
    },
    "Reports": {
        "expiry": ("expiry", "What is expired, due, undated or ends on the trip."),
        "restock": ("restock", "What to move and to buy before leaving."),
        "audit": ("audit", "Hold a box against a published kit list."),
        "labels": ("labels", "Labels for lots and boxes, as a PDF for a label stock."),
    },
    "Set up": {
        "box": ("catalogue", "Kit boxes: add, list, show, change, retire."),
        "item": ("catalogue", "Items: add, list, show, change, retire."),
        "kind": ("kinds", "Kinds with their shelf-life rules: add, list, show, change, retire."),
        "lot": ("lots", "Lots: list, show, change a fact."),
        "par": ("catalogue", "Par levels: what a box should hold."),
        "supplier": ("catalogue", "Suppliers: add, list, show, change, retire."),
        "offer": ("catalogue", "What suppliers sell: packs and prices."),
        "trip": ("catalogue", "Trips: add, list, show, change, retire."),
        "kit-lists": ("kit_lists", "Published kit lists: list and show."),
        "label-stock": ("label_stock", "Label sheets and rolls: list and show."),
    },
}
COMMANDS = {name: entry for task in TASKS.values() for name, entry in task.items()}


class Root(click.Group):
    """A group whose commands are loaded when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command's name, in the order of the person's tasks."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command's module and take the command from it."""
        entry = COMMANDS.get(cmd_name)
        if entry is None:
            return None
        from importlib import import_module

        module = import_module(f"stockcheck.cli.{entry[0]}")
        command: click.Command = module.COMMANDS[cmd_name]
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, with the nearest names told for a mistyped one."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from stockcheck.core.names import nearest

            more = nearest(args[0], COMMANDS, "'stockcheck --help' shows them all")
            ctx.fail(f"there is no command {args[0]!r}{more}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands by task, with the lines of the table: no module is loaded for help."""
        for task, entries in TASKS.items():
            with formatter.section(task):
                formatter.write_dl([(name, entry[1]) for name, entry in entries.items()], 12)

    def invoke(self, ctx: click.Context) -> Any:
        """As click does it; a closed pipe is no error (click would make it exit 1)."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except BrokenPipeError:
            sys.stdout = open(os.devnull, "w")  # noqa: SIM115, PTH123 - stays open to the end
            ctx.exit(0)
        return result


@click.group(
    cls=Root,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Dates are read as their printer meant them, a last usable day is good through its"
    " end, and every caution defers to the leaflet, the pharmacist or doctor, the qualified"
    " fitter and local rules.",
)
@click.option(
    "--store",
    type=click.Path(path_type=Path, dir_okay=False),
    envvar="STOCKCHECK_STORE",
    help="The store file; else $STOCKCHECK_STORE, else stock.db in your own data folder.",
)
@click.option("--version", is_flag=True, help="Tell the version and leave.")
@click.pass_context
def root(ctx: click.Context, store: Path | None, version: bool) -> None:
    """Know what is in the kit boxes, until when it is good, and what to buy before leaving."""
    if version:
        from stockcheck import __version__

        click.echo(f"stockcheck {__version__}")
        ctx.exit()
    ctx.obj = Shell(store_path(store))


def run(arguments: list[str]) -> int:
    """Run one command; every way to fail becomes a message on stderr and an exit code."""
    try:
        result = root.main(arguments, prog_name="stockcheck", standalone_mode=False)
    except click.UsageError as error:
        error.show()
        return 2
    except click.Abort as error:
        return _aborted(error)
    except StockcheckError as error:
        click.echo(f"stockcheck: {error}", err=True)
        return error.exit_code
    except KeyboardInterrupt:
        click.echo("stockcheck: interrupted; nothing was changed", err=True)
        return 130
    except Exception as error:  # noqa: BLE001 - the last resort: one line, never a traceback
        return _unforeseen(error)
    return result if isinstance(result, int) else 0


def _aborted(error: click.Abort) -> int:
    cause = error.__cause__ or error.__context__
    if isinstance(cause, KeyboardInterrupt):
        click.echo("stockcheck: interrupted; nothing was changed", err=True)
        return 130
    click.echo("stockcheck: not answered; nothing was changed", err=True)
    return 1


def _unforeseen(error: Exception) -> int:
    if isinstance(error, click.ClickException):
        error.show()
        return error.exit_code
    if isinstance(error, OSError):
        click.echo(f"stockcheck: {error}", err=True)
        return 1
    if os.environ.get("STOCKCHECK_DEBUG") == "1":
        import traceback

        traceback.print_exc()
    click.echo(
        f"stockcheck: an unforeseen error, please report it: {type(error).__name__}: {error}"
        " (STOCKCHECK_DEBUG=1 shows where)",
        err=True,
    )
    return 1
