"""``--only`` and ``--sort``: every list is filtered and sorted the same way, in every format."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from stockcheck.output.choosing import Choice
    from stockcheck.output.report import Report, Row

F = TypeVar("F", bound=Callable[..., Any])
_ONLY, _SORT = "stockcheck.only", "stockcheck.sort"


class ColumnName(click.ParamType[str]):
    """The name of a column with what is asked of it; ``completing`` offers the columns."""

    name = "COLUMN"


COLUMN = ColumnName()


def _kept(key: str) -> Callable[[click.Context, click.Parameter, tuple[str, ...]], None]:
    """Keep what was asked for, read at once so that a slip is told before any work."""

    def keep(ctx: click.Context, _param: click.Parameter, given: tuple[str, ...]) -> None:
        if given:
            from stockcheck.output.choosing import choice

            choice(given if key == _ONLY else (), given if key == _SORT else ())
            ctx.meta[key] = given

    return keep


CHOOSING = (
    click.option(
        "--only",
        "rows_only",  # commands have names of their own
        type=COLUMN,
        multiple=True,
        metavar="COLUMN=TEXT",
        expose_value=False,
        callback=_kept(_ONLY),
        help="Only rows whose column has this text (nothing: is unknown), or where"
        " 'days_left<30'; given again, both must hold.",
    ),
    click.option(
        "--sort",
        "rows_sort",
        type=COLUMN,
        multiple=True,
        metavar="COLUMN,...",
        expose_value=False,
        callback=_kept(_SORT),
        help="Sort by these columns, -COLUMN from the last; what is unknown comes last.",
    ),
)


def choosing_options(command: F) -> F:
    """The rows that a list shows, and their order; ``emit`` sees to both."""
    for option in reversed(CHOOSING):
        command = option(command)
    return command


def asked() -> Choice | None:
    """What --only and --sort ask of the command that runs; None where neither was given."""
    context = click.get_current_context(silent=True)
    given = context.meta if context else {}
    if not (given.get(_ONLY) or given.get(_SORT)):
        return None
    from stockcheck.output.choosing import choice

    return choice(given.get(_ONLY, ()), given.get(_SORT, ()))


def as_asked(report: Report) -> Report:
    """The report with the rows that --only and --sort ask for."""
    wanted = asked()
    if wanted is None:
        return report
    from stockcheck.output.choosing import chosen

    return chosen(report, wanted)


def as_asked_rows(rows: Iterator[Row], keys: Sequence[str], on: date) -> Iterator[Row]:
    """The same for rows that come one by one."""
    wanted = asked()
    if wanted is None:
        return rows
    from stockcheck.output.choosing import chosen_rows

    return chosen_rows(rows, keys, wanted, on)


def lists_alone(what: str) -> None:
    """Usage error where --only or --sort was given to a command that shows no list just now."""
    if asked() is not None:
        raise click.UsageError(f"--only and --sort choose what a list shows; give them with {what}")
