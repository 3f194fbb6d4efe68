"""What every command shares: where the store is, which day it is, and how a report leaves."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

import click

from stockcheck.cli.choosing import as_asked, choosing_options
from stockcheck.cli.wrapping import hanging, wrapped
from stockcheck.core.errors import BadInput, Declined, Findings, StoreTrouble
from stockcheck.core.harmless import harmless

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.model import Holding
    from stockcheck.core.planning import Trip
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store
    from stockcheck.store.ledger import Stamp

F = TypeVar("F", bound=Callable[..., Any])
_TODAY = "STOCKCHECK_TODAY"
_STORE = "STOCKCHECK_STORE"
_FILE_WIDTH = 80
_MOST_IN_MEMORY = 8_000_000
_SQLITE_FILE = b"SQLite format 3\0"


@dataclass(frozen=True, slots=True)
class Shell:
    """The path of the store that the command works on."""

    path: str

    def store(self) -> AbstractContextManager[Store]:
        """The open store; the first import of anything that knows SQL."""
        from stockcheck.store.files import opened

        self.no_folder()
        return opened(self.path)

    def no_folder(self) -> None:
        """StoreTrouble where the path names a folder instead of a file, or nothing at all."""
        if not self.path:
            raise StoreTrouble(
                f"--store or ${_STORE} is empty; give it the file of a store, or take it away"
            )
        if os.path.isdir(self.path):
            raise StoreTrouble(f"{self.path} is a folder; give --store the file of a store in it")


pass_shell = click.make_pass_decorator(Shell)


class Tasks(click.Group):
    """A group that tells the nearest names when a command is mistyped."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, with the nearest names."""
        names = self.list_commands(ctx)
        if args and args[0] not in names and not args[0].startswith("-"):
            from stockcheck.core.names import nearest

            more = nearest(args[0], names, f"'{ctx.command_path} --help' shows them all")
            ctx.fail(f"there is no command {args[0]!r}{more}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """As click does it, with the whole first sentence of each instead of a part and dots."""
        found = ((name, self.get_command(ctx, name)) for name in self.list_commands(ctx))
        rows = [(name, each.get_short_help_str(400)) for name, each in found if each is not None]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


def store_path(given: str | None) -> str:
    """The store named before the command or by STOCKCHECK_STORE, else the person's own.

    An empty text stays one, to be refused: whoever gave it meant some other store than their own.
    """
    if given is None and os.environ.get(_STORE) == "":  # which click takes as not set
        given = ""
    return given if given is not None else os.path.join(click.get_app_dir("stockcheck"), "stock.db")


class FileName(click.Path):
    """A path, as a Path only where one is given: ``pathlib`` costs a tenth of a start."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """As click does it, then a Path."""
        from pathlib import Path

        return Path(os.fsdecode(super().convert(value, param, ctx)))


FILE = FileName(dir_okay=False)
FILE_OR_DASH = FileName(dir_okay=False, allow_dash=True)
FOLDER = FileName(file_okay=False)


class Words(click.ParamType[str]):
    """A note, a reason, a name of somebody: what is kept as it was typed, on one line."""

    name = "TEXT"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Tidy; BadInput when too long, or with characters that do not print."""
        from stockcheck.core.names import tidy_text

        try:
            return tidy_text(value)
        except BadInput as error:
            named = param.opts[0] if param and param.opts else "the text"
            raise BadInput(f"{named} {error.what}", error.remedy) from error


WORDS = Words()


def stamp(on: date) -> Stamp:
    """The day that a command is for, with the moment of writing.

    To the thousandth of a second: what was done last must be told even of a script's commands.
    """
    from stockcheck.store.ledger import Stamp

    return Stamp(on, datetime.now(UTC).isoformat(timespec="milliseconds"))


class Day(click.ParamType[date]):
    """A day written YYYY-MM-DD, or the word today."""

    name = "DATE"

    def convert(
        self, value: str | date, param: click.Parameter | None, ctx: click.Context | None
    ) -> date:
        """Read it; usage error otherwise."""
        if isinstance(value, date):
            return value
        if value.strip().lower() == "today":
            return datetime.now().astimezone().date()
        day = _iso_day(value)
        if day is None:
            whence = f" (from ${_TODAY})" if value == os.environ.get(_TODAY) else ""
            self.fail(f"{value!r} is not a day{whence}; write it YYYY-MM-DD", param, ctx)
        return day


def _iso_day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None


DAY = Day()


def on_option(command: F) -> F:
    """The day to work for: every command that depends on today takes it."""
    return click.option(
        "--on",
        type=DAY,
        envvar=_TODAY,
        default="today",
        show_default=True,
        help="The day to work for (else $STOCKCHECK_TODAY).",
    )(command)


def report_options(*formats: str, lists: bool = True) -> Callable[[F], F]:
    """The format, the file to write, and the paper of a report; what has pages can be HTML too.

    A report that ``lists`` rows is filtered and sorted by --only and --sort. Without are those of
    one thing, and those that mislead in part.
    """
    if "pdf" in formats:
        formats = (*formats, "html")

    def decorate(command: F) -> F:
        if lists:
            command = choosing_options(command)
        if "pdf" in formats:
            command = click.option(
                "--page",
                type=click.Choice(["A4", "Letter"]),
                default="A4",
                show_default=True,
                help="Paper of the PDF.",
            )(command)
        command = click.option(
            "--output",
            type=FILE_OR_DASH,
            help="Write to this file instead of the screen (- is the screen).",
        )(command)
        return click.option(
            "--format",
            "fmt",
            type=click.Choice(list(formats)),
            default="text",
            show_default=True,
            help="How to write it.",
        )(command)

    return decorate


def fail_on_option(*words: str) -> Callable[[F], F]:
    """Exit 5 when the report has rows of the sort named, of those that --only leaves."""
    return click.option(
        "--fail-on",
        "fail_on",
        type=click.Choice(list(words)),
        multiple=True,
        metavar="FINDING",
        help=f"Leave with exit code 5 when there is any of these: {', '.join(words)}.",
    )


def emit(report: Report, fmt: str, output: Path | None, page: str = "A4") -> Report:
    """Write a report to the screen or a file; returns it with the rows that were asked for."""
    from stockcheck.output.write import render

    report = as_asked(report)
    if fmt == "pdf" and output is None:
        raise click.UsageError("a PDF needs a file: give --output NAME.pdf (--output - for a pipe)")
    width, colour = width_and_colour(output)
    done = render(report, fmt, width=width, colour=colour, page=page)
    if fmt != "text" and isinstance(done, str):
        done = done.encode()  # the same bytes on every system, whatever its terminal speaks
    put(done, output)
    return report


def width_and_colour(output: Path | None) -> tuple[int, bool]:
    """How wide text may be, and whether coloured: by the screen, or as a file has it."""
    to_screen = output is None or str(output) == "-"
    return (screen_width() if to_screen else _FILE_WIDTH), to_screen and may_colour()


def put(done: str | bytes | Iterable[bytes], output: Path | None) -> None:
    """Write finished text or bytes to the screen or, whole or not at all, to a file."""
    if output is None or str(output) == "-":
        if isinstance(done, str):
            click.echo(done, nl=False, color=True)
        else:
            sys.stdout.flush()
            sys.stdout.buffer.writelines([done] if isinstance(done, bytes) else done)
        return
    data = done.encode("utf-8") if isinstance(done, str) else done
    try:
        _write_file([data] if isinstance(data, bytes) else data, output)
    except OSError as error:
        raise BadInput(f"cannot write {output}: {error.strerror}; name another file") from error
    click.echo(f"wrote {output}", err=True)


@contextmanager
def gathered(parts: Iterable[bytes]) -> Iterator[Iterable[bytes]]:
    """The parts, all made before any is given on: in memory, and from 8 MB on in a file."""
    first: list[bytes] = []
    size = 0
    rest = iter(parts)
    for part in rest:
        first.append(part)
        size += len(part)
        if size > _MOST_IN_MEMORY:
            break
    else:
        yield first
        return
    from tempfile import TemporaryFile

    with TemporaryFile() as file:
        file.writelines(first)
        file.writelines(rest)
        file.seek(0)
        yield iter(partial(file.read, 1 << 20), b"")


def _write_file(parts: Iterable[bytes], output: Path) -> None:
    """Put a file in place in one step, through links; what is no ordinary file is written to."""
    target = output.resolve()
    if target.exists() and not target.is_file():
        with target.open("wb") as there:
            there.writelines(parts)
        return
    if target.exists():
        with target.open("rb") as old:
            if old.read(len(_SQLITE_FILE)) == _SQLITE_FILE:
                raise BadInput(f"{output} is a store, which no report may replace; name another")
    part = target.with_name(target.name + ".part")
    try:
        with part.open("wb") as new:
            new.writelines(parts)
        part.replace(target)
    except OSError:
        part.unlink(missing_ok=True)
        raise


def may_colour() -> bool:
    """Colour only at a terminal, and not where NO_COLOR asks for none (no-color.org)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")


def screen_width() -> int:
    """The columns of the screen, 80 where there is none."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isascii() and columns.isdigit() and int(columns):
        return max(40, min(200, int(columns)))
    try:
        found = os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError):
        found = 0
    return max(40, min(200, found or _FILE_WIDTH))


def say(text: str, indent: int = 0, *, err: bool = False) -> None:
    """A line of plain words, wrapped to the screen."""
    click.echo(wrapped(harmless(text), screen_width(), indent), err=err)


def complain(text: str) -> None:
    """A message on stderr, wrapped to the screen: each of its lines is a paragraph that hangs.

    A path, a command's word and a name in quotes stay in one piece, to be copied.
    """
    for paragraph in map(harmless, text.splitlines()):
        click.echo(hanging(paragraph, screen_width()), err=True)


def at_terminal() -> bool:
    """Whether there is a person who can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def confirm(question: str, *, yes: bool) -> None:
    """Ask, unless --yes was given; Declined when the answer is no or nobody can be asked."""
    if yes:
        return
    if not at_terminal():
        raise Declined(f"{question} Not asked, as there is no terminal; give --yes")
    if not click.confirm(question):
        raise Declined("left as it was")


def leave_with_findings(found: set[str], fail_on: tuple[str, ...]) -> None:
    """Exit code 5 where --fail-on names a finding that the report has."""
    hit = sorted(found & set(fail_on))
    if hit:
        raise Findings(f"found: {', '.join(hit)}")


def trip_named(store: Store, name: str | None) -> Trip | None:
    """The trip of that name; None without a name, and then nothing of planning is loaded."""
    if name is None:
        return None
    from stockcheck.store import plans
    from stockcheck.store.names import find_id

    return plans.trip(store.conn, find_id(store.conn, "trip", name))


def on_the_way(store: Store, held: list[Holding], going: Trip | None) -> list[Holding]:
    """The holdings as the climate of a trip leaves them; unchanged where it has none."""
    if going is None or not going.climate:
        return held
    from stockcheck.store.shifts import on_trip

    return on_trip(store.conn, held, going)
