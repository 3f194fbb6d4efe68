"""``check``: look through the whole store, and set right what is worked out from other facts."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    Shell,
    emit,
    fail_on_option,
    leave_with_findings,
    on_option,
    pass_shell,
    report_options,
)
from stockcheck.core.errors import StoreTrouble

if TYPE_CHECKING:
    from pathlib import Path


@click.command()
@click.option("--mend", is_flag=True, help="Set right what is derived, after a backup.")
@fail_on_option("wrong", "look")
@report_options("text", "csv", "json", lists=False)
@on_option
@pass_shell
def check(
    shell: Shell, mend: bool, fail_on: tuple[str, ...], fmt: str, output: Path | None, on: date
) -> None:
    """Look through the whole store: is the file sound, does everything in it agree?

    The file and its references, tables and triggers, on-hand against the ledger, limits, the search
    index, codes, records and dates, each finding with its place and remedy. Nothing is written
    without --mend, which works out anew only what follows from other facts, after a verified
    backup. A finding is 'wrong', or worth a 'look'; what stays wrong ends with exit code 4.

    \b
    Examples:
      stockcheck check
      stockcheck check --mend --format json
    """
    from stockcheck.output.check_report import check_report
    from stockcheck.store import checking

    shell.no_folder()
    done = (checking.mend if mend else checking.check)(shell.path, on)
    kept = (f"Backup before mending: {done.backup.path}",) if done.backup else ()
    report = check_report(
        done.findings, done.mended, on=on, store=done.store, deep=done.deep, facts=kept
    )
    emit(report, fmt, output)
    words = {each.weight.value for each in done.findings}
    leave_with_findings(words, fail_on)
    if "wrong" in words:
        raise StoreTrouble(f"the store {shell.path} is not sound; each finding tells the remedy")


COMMANDS = {"check": check}
