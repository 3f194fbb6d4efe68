"""The root command: a table of lazily loaded commands, and errors turned into exit codes."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from errno import ENAMETOOLONG
from typing import Any

import click

from stockcheck.cli.help_layout import HelpLayout, help_width
from stockcheck.cli.screen import guarded
from stockcheck.cli.shell import Shell, Tasks, complain, screen_width, store_path
from stockcheck.core.errors import BadInput, StockcheckError

# Module, and the line that --help shows; a command's module is imported when it is called.
TASKS: dict[str, dict[str, tuple[str, str]]] = {
    "Start": {
        "demo": ("demo", "Build the demo store and do the whole job on it."),
        "init": ("init", "Make a new, empty store."),
    },
    "Stock comes and goes": {
        "scan": ("scan", "Work with a scanner: what codes are, and a session box by box."),
        "receive": ("receive", "Take stock in: one lot, or a CSV file of many."),
        "use": ("stock", "Use stock, first expired first."),
        "open": ("stock", "Open a sealed pack today."),
        "move": ("stock", "Put stock into another box."),
        "hold": ("stock", "Put stock on hold: not to be used until released."),
        "release": ("stock", "Take stock off hold."),
        "correct": ("books", "Set the books to what was counted."),
        "write-off": ("books", "Take stock off the books for a reason."),
        "recall": ("recall", "Recalled batches: hold them wherever they are, list, lift."),
        "wanted": ("wanting", "Write down that something was wanted and none was left."),
        "undo": ("books", "Reverse the last movement of stock, or a given one."),
    },
    "Find out": {
        "status": ("status", "What needs doing before the next trip, on one screen."),
        "find": ("look", "Find anything by its words, batch or code."),
        "why": ("look", "Tell every limit of a lot, with its arithmetic."),
        "history": ("look", "The movements of a lot, item or box."),
        "read": ("reading", "Tell what a code or printed date means; needs no store."),
        "guide": ("guide", "Worked answers: dates, limits, heat, how many to carry, and more."),
    },
    "Go through a box": {
        "decide": ("deciding", "Take a decision for all that is expired, due or undated."),
        "inspect": ("inspecting", "Look at a lot past its date and write down what was found."),
        "count": ("counting", "Count a box by scans or on paper, and set the books right."),
        "round": ("rounds", "Audit a box where it stands, line by line, kept as a record."),
        "clear-out": ("clear_out", "What to get rid of, and where; written off when it is gone."),
        "heat": ("heat", "A temperature logger's readings of a box, and what they say."),
        "whatif": ("heat", "How a box's dates would shift in another climate."),
    },
    "Reports": {
        "expiry": ("expiry", "What is expired, due, undated or ends on the trip."),
        "carry": ("carrying", "How many to take along, by what was used before."),
        "forecast": ("forecasting", "A trip day by day: what runs short or ends on the way."),
        "restock": ("restock", "What to move and to buy before leaving."),
        "order": ("purchasing", "Make purchases of what the restock list buys."),
        "purchase": ("purchasing", "Purchases: list, show, cancel."),
        "audit": ("audit", "Hold a box against a kit list, or every box against its own."),
        "pack": ("packing", "One file for the truck or a phone: everything about a departure."),
        "calendar": ("reminders", "A file for any calendar: goes off, order by, audits, counts."),
        "labels": ("labels", "Labels for lots, boxes and items; what was printed is remembered."),
        "action-card": ("action_card", "A page of codes, to work sessions with a scanner alone."),
    },
    "Keep it safe": {
        "check": ("checking", "Look through the whole store; mend what is derived."),
        "backup": ("backups", "Copy the store, read back and equal."),
        "restore": ("backups", "Go back to a backup; what would be lost is shown first."),
        "export": ("exporting", "Everything as CSV or JSON Lines, one file for each table."),
        "import": ("exporting", "A new store of an exported folder."),
        "salvage": ("salvaging", "A new store of what can be read of a damaged one."),
    },
    "Set up": {
        "box": ("catalogue", "Kit boxes: add, list, show, change, retire."),
        "item": ("catalogue", "Items: add, list, show, change, retire."),
        "kind": ("kinds", "Kinds, their shelf lives: add, list, show, change, retire."),
        "lot": ("lots", "Lots: list, show, change a wrong fact."),
        "par": ("catalogue", "Par levels of boxes: add, list, show, change, retire."),
        "supplier": ("catalogue", "Suppliers: add, list, show, change, retire."),
        "offer": ("catalogue", "Offers of suppliers: add, list, show, change, retire."),
        "trip": ("catalogue", "Trips: add, list, show, change, retire."),
        "remember": ("wanting", "Use from before the books, told from memory."),
        "climate": ("heat", "Climates that boxes are kept in: list, show, add your own."),
        "kit-lists": ("kit_lists", "Kit lists: published and your own, compared, checked, kept."),
        "label-stock": (
            "label_stock",
            "Label sheets, rolls and tapes: list, check, align; printers.",
        ),
        "completion": ("completion", "Let bash, zsh or fish complete commands and names."),
        "manual": ("manual", "Manual pages of all commands, to be read with man."),
    },
}
# The topic of the guide that a command's help points to.
GUIDED = {
    "read": "dates", "receive": "dates", "why": "limits", "expiry": "limits", "inspect": "limits",
    "decide": "limits", "kind": "limits", "lot": "limits", "open": "limits", "heat": "heat",
    "whatif": "heat", "climate": "heat", "count": "counting", "correct": "counting",
    "history": "counting", "undo": "counting", "audit": "audits", "round": "audits",
    "kit-lists": "audits", "carry": "carry", "par": "carry", "forecast": "carry",
    "remember": "carry", "wanted": "carry", "restock": "buying", "order": "buying",
    "purchase": "buying", "supplier": "buying", "offer": "buying", "scan": "labels",
    "labels": "labels", "label-stock": "labels", "action-card": "labels",
    "clear-out": "disposal", "write-off": "disposal", "check": "keeping", "backup": "keeping",
    "restore": "keeping", "export": "keeping", "import": "keeping", "salvage": "keeping",
}  # fmt: skip
_COMPLETE = "_STOCKCHECK_COMPLETE"  # in which a shell asks how a word may go on
COMMANDS = {name: entry for task in TASKS.values() for name, entry in task.items()}


click.Context.formatter_class = HelpLayout  # of every command's help


class Root(Tasks):
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
        if cmd_name in GUIDED and not command.epilog:
            command.epilog = f"Worked answers: 'stockcheck guide {GUIDED[cmd_name]}'."
        if _COMPLETE in os.environ:
            from stockcheck.cli.completing import taught

            return taught(command, f"stockcheck {cmd_name}")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands by task, with the lines of the table: no module is loaded for help."""
        for task, entries in TASKS.items():
            with formatter.section(task):
                formatter.write_dl([(name, entry[1]) for name, entry in entries.items()], 12)

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        """As click does it, with a closed pipe no error (it makes 1 of it, even for help)."""
        extra.setdefault("terminal_width", help_width(screen_width()))
        try:
            return super().make_context(info_name, args, parent, **extra)
        except BrokenPipeError:
            nobody_reads()
            raise click.exceptions.Exit(0) from None

    def invoke(self, ctx: click.Context) -> Any:
        """As click does it, with a closed pipe no error."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except BrokenPipeError:
            nobody_reads()
            ctx.exit(0)
        return result


def nobody_reads() -> None:
    """The pipe is closed: what Python still holds for it goes nowhere, and silently."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def _tell_version(ctx: click.Context, _param: click.Parameter, wanted: bool) -> None:
    if wanted:
        from stockcheck import __version__

        click.echo(f"stockcheck {__version__}")
        ctx.exit()


@click.group(
    cls=Root,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Dates are read as their printer meant them, a last usable day is good through its"
    " end, and every caution defers to the leaflet, the pharmacist or doctor, the qualified"
    " fitter and local rules. 'stockcheck guide' answers questions with worked examples."
    "\n\nExit codes: 0 done; 2 wrong usage; 3 bad input; 4 trouble with the store; 5 done, with"
    " findings that --fail-on names; 130 interrupted; 1 anything else, such as a question"
    " answered no. STOCKCHECK_DEBUG=1 shows where an unforeseen error happened; NO_COLOR=1"
    " leaves colour out."
    "\n\n\b\nExamples:\n  stockcheck demo\n  stockcheck --store truck.db expiry --box Water",
)
@click.option(
    "--store",
    type=click.Path(),
    envvar="STOCKCHECK_STORE",
    help="The store file; else $STOCKCHECK_STORE, else stock.db in your own data folder.",
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_tell_version,
    help="Tell the version and leave.",
)
@click.pass_context
def root(ctx: click.Context, store: str | None) -> None:
    """Know what is in the kit boxes, until when it is good, and what to buy before leaving."""
    ctx.obj = Shell(store_path(store))


def run(arguments: list[str]) -> int:
    """Run one command; every way to fail becomes a message on stderr and an exit code."""
    with guarded():
        return _run(arguments)


def _run(arguments: list[str]) -> int:
    try:
        _only_text(arguments)
        if _COMPLETE in os.environ:
            from stockcheck.cli.completing import prepare

            prepare()
        result = root.main(arguments, prog_name="stockcheck", standalone_mode=False)
    except click.UsageError as error:
        _tell_usage(error)
        return 2
    except click.Abort as error:
        return _aborted(error)
    except StockcheckError as error:
        complain(f"stockcheck: {error}")
        return error.exit_code
    except KeyboardInterrupt as error:
        return _aborted(error)
    except Exception as error:  # noqa: BLE001 - the last resort: one line, never a traceback
        return _unforeseen(error)
    return result if isinstance(result, int) else 0


def _tell_usage(error: click.ClickException) -> None:
    """How the command is used, and what is wrong, in the words of every other message."""
    from stockcheck.cli.usage import usage_words

    context = error.ctx if isinstance(error, click.UsageError) else None
    if context is not None:
        click.echo(context.get_usage(), err=True)
    complain(f"stockcheck: {usage_words(error)}")


def _only_text(arguments: list[str]) -> None:
    """Bytes that are no text come as lone surrogates, which neither a store nor a screen takes.

    A NUL comes from no shell, but from what calls ``run``; it would end a path early.
    """
    for argument in arguments:
        if "\0" in argument:
            raise BadInput(f"the argument {argument!r} has a NUL in it, U+0000; type it anew")
        if any("\ud800" <= char <= "\udfff" for char in argument):
            shown = argument.encode("utf-8", "backslashreplace").decode()
            raise BadInput(f"the argument {shown!r} is not UTF-8 text; type it anew")


def _aborted(error: BaseException) -> int:
    """A question left by Ctrl-C or by the end of input, or an interrupt anywhere else.

    Click raises from the interrupt in general, but from nothing when it was a question, which
    comes before anything is written.
    """
    if isinstance(error, KeyboardInterrupt) or isinstance(error.__cause__, KeyboardInterrupt):
        click.echo("stockcheck: interrupted; 'history' shows what was done before", err=True)
        return 130
    if isinstance(error.__context__, KeyboardInterrupt):
        click.echo("\nstockcheck: interrupted; nothing was changed", err=True)
        return 130
    click.echo("\nstockcheck: not answered; nothing was changed", err=True)
    return 1


def _unforeseen(error: Exception) -> int:
    if isinstance(error, click.ClickException):
        _tell_usage(error)
        return error.exit_code
    if isinstance(error, OSError):
        complain(f"stockcheck: {error}")
        return BadInput.exit_code if error.errno == ENAMETOOLONG else 1
    if os.environ.get("STOCKCHECK_DEBUG") == "1":
        import traceback

        traceback.print_exc()
    complain(
        f"stockcheck: an unforeseen error, please report it: {type(error).__name__}: {error}"
        " (STOCKCHECK_DEBUG=1 shows where)"
    )
    return 1
