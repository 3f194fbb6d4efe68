"""What a command tells of itself, as the sections of a manual page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from inspect import cleandoc

import click

from stockcheck import __version__
from stockcheck.cli.columns import COLUMNS
from stockcheck.output.roff import Block, Page, Part, Tagged, Verbatim, Words

_EXAMPLES = "Examples:"
_EXIT = re.compile(r"Exit codes: (.*?)\. ")
_FINDINGS = "5"
_CHOOSING = (
    "What --only and --sort name, and what CSV and JSON call them. A condition is COLUMN=TEXT (a"
    " part of it, whatever its case), COLUMN==TEXT (all of it), COLUMN!=TEXT (not so), COLUMN= (is"
    " unknown), COLUMN!= (is known), or COLUMN<N, <=, > and >= for numbers and days (YYYY-MM-DD,"
    " YYYY-MM, YYYY or today). Put it in quotes, as a shell reads < and > otherwise. --fail-on"
    " looks at the rows that --only leaves."
)
_ENVIRONMENT = {
    "STOCKCHECK_STORE": "The store file, where --store does not name one.",
    "STOCKCHECK_TODAY": "The day to work for, YYYY-MM-DD, where --on does not name one.",
    "COLUMNS": "How wide the screen is, from 40 to 200.",
    "NO_COLOR": "Set to anything, leaves colour out.",
    "STOCKCHECK_DEBUG": "Set to 1, shows where an unforeseen error happened.",
}
_FILES = Tagged(
    "stock.db",
    "The store, in your own data folder (~/.config/stockcheck on Linux), where neither --store nor"
    " STOCKCHECK_STORE names another. It is one SQLite file.",
)


def pages(root: click.Command, on: date) -> Iterator[Page]:
    """A page for the program and for each command, those inside others included."""
    about = click.Context(root, info_name="stockcheck", **root.context_settings)
    codes = _exit_codes(root)
    for context in _walk(about):
        command = context.command
        yield Page(
            name=_name(context),
            on=on,
            program=f"stockcheck {__version__}",
            parts=tuple(
                part
                for part in (
                    Part("NAME", (Words(f"{_name(context)} - {_short(command)}"),)),
                    Part("SYNOPSIS", (Words(_usage(context)),)),
                    Part("DESCRIPTION", tuple(_description(command))),
                    *_commands(context),
                    Part("OPTIONS", tuple(_options(context))),
                    Part("COLUMNS", tuple(_columns(context))),
                    Part("EXAMPLES", tuple(_examples(command))),
                    Part("EXIT STATUS", tuple(_status(command, codes))),
                    Part("ENVIRONMENT", tuple(_environment(command))),
                    Part("FILES", (_FILES,)),
                    Part("SEE ALSO", (Words(", ".join(_see_also(context))),)),
                )
                if part.blocks
            ),
        )


def _walk(context: click.Context) -> Iterator[click.Context]:
    yield context
    for name, below in _below(context):
        yield from _walk(click.Context(below, parent=context, info_name=name))


def _below(context: click.Context) -> list[tuple[str, click.Command]]:
    command = context.command
    if not isinstance(command, click.Group):
        return []
    found = ((name, command.get_command(context, name)) for name in command.list_commands(context))
    return [(name, below) for name, below in found if below is not None]


def _name(context: click.Context) -> str:
    return context.command_path.split("[")[0].strip().replace(" ", "-")


def _short(command: click.Command) -> str:
    text = command.get_short_help_str(400).rstrip(".")
    return text[:1].lower() + text[1:]


def _usage(context: click.Context) -> str:
    return " ".join([context.command_path, *context.command.collect_usage_pieces(context)])


def _paragraphs(command: click.Command) -> list[str]:
    """The help in paragraphs, then what stands at its end; ``\\b`` begins one kept as it is."""
    text = "\n\n".join(cleandoc(part) for part in (command.help, command.epilog) if part)
    return [part for part in text.split("\n\n") if part.strip()]


def _description(command: click.Command) -> Iterator[Block]:
    for text in _paragraphs(command):
        kept, lines = text.startswith("\b"), text.strip("\b\n").splitlines()
        if lines[0].strip() == _EXAMPLES or lines[0].startswith("Exit codes:"):
            continue
        yield Verbatim(tuple(lines)) if kept else Words(" ".join(text.split()))


def _examples(command: click.Command) -> Iterator[Block]:
    for text in _paragraphs(command):
        first, *lines = text.strip("\b\n").splitlines()
        if first.strip() == _EXAMPLES:
            yield Verbatim(tuple(line.removeprefix("  ") for line in lines))


def _commands(context: click.Context) -> Iterator[Part]:
    """The commands inside, by their tasks where there are any."""
    below = dict(_below(context))
    if not below:
        return
    from stockcheck.cli.app import TASKS

    if context.parent is not None:
        lines = tuple(Tagged(name, it.get_short_help_str(400)) for name, it in below.items())
        yield Part("COMMANDS", lines)
        return
    for task, entries in TASKS.items():
        yield Part(task.upper(), tuple(Tagged(name, line) for name, (_, line) in entries.items()))


def _options(context: click.Context) -> Iterator[Block]:
    for param in context.command.get_params(context):
        record = param.get_help_record(context) if isinstance(param, click.Option) else None
        if record is not None:
            yield Tagged(record[0], " ".join(record[1].split()))


def _columns(context: click.Context) -> Iterator[Block]:
    path = context.command_path.partition(" ")[2]
    for how, names in COLUMNS.get(path, {}).items():
        listed = ", ".join(names.split())
        yield Words(f"With {how}: {listed}." if how else f"{listed}.")
    if path in COLUMNS:
        yield Words(_CHOOSING)


def _exit_codes(root: click.Command) -> dict[str, str]:
    """The codes and what they mean, as the end of the program's help tells them."""
    found = _EXIT.search(" ".join((root.epilog or "").split()) + " ")
    parts = found[1].split("; ") if found else []
    return dict(sorted((part.split(" ", 1) for part in parts), key=lambda it: int(it[0])))


def _status(command: click.Command, codes: dict[str, str]) -> Iterator[Block]:
    finds = isinstance(command, click.Group) or any(
        "--fail-on" in param.opts for param in command.params
    )
    for code, meaning in codes.items():
        if code != _FINDINGS or finds:
            yield Tagged(code, meaning[:1].upper() + meaning[1:] + ".")


def _environment(command: click.Command) -> Iterator[Block]:
    dated = isinstance(command, click.Group) or any("--on" in it.opts for it in command.params)
    for name, text in _ENVIRONMENT.items():
        if name != "STOCKCHECK_TODAY" or dated:
            yield Tagged(name, text)


def _see_also(context: click.Context) -> list[str]:
    """The commands inside a group, else those beside a command; the program itself."""
    names = [f"{_name(context)}-{name}" for name, _ in _below(context)]
    above = context.parent
    while above is not None:
        names.insert(0, _name(above))
        above = above.parent
    return [f"{name}(1)" for name in names] + ["the pages of 'stockcheck guide'"]
