"""``scan``: what codes are, a session with a scanner, and codes in photographs."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    FILE,
    FileName,
    Shell,
    at_terminal,
    fail_on_option,
    leave_with_findings,
    on_option,
    pass_shell,
    report_options,
    trip_named,
)
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.cli.scan_looking import Looking
    from stockcheck.core.scanning import Session, Setting
    from stockcheck.store.files import Store

_FINDINGS = (
    "expired", "undated", "held", "last resort", "ends on trip", "due", "unknown", "not seen",
    "not read",
)  # fmt: skip


@click.command()
@click.argument("codes", nargs=-1, metavar="[CODE]...")
@click.option("--box", "box_name", metavar="BOX", help="Begin with this box as the current one.")
@click.option("--trip", "trip_name", metavar="NAME", help="Tell what ends on this trip.")
@click.option(
    "--session",
    "in_session",
    is_flag=True,
    help="Work lines from a pipe as a session does: actions and answers too.",
)
@click.option("--photo", "photos", type=FILE, multiple=True, help="Read the codes in a picture.")
@click.option("--marked", type=FileName(), help="With --photo: a folder for marked copies.")
@report_options("text", "csv", "json", lists=False)
@fail_on_option(*_FINDINGS)
@on_option
@pass_shell
def scan(
    shell: Shell,
    /,
    codes: tuple[str, ...],
    box_name: str | None,
    trip_name: str | None,
    in_session: bool,
    photos: tuple[Path, ...],
    marked: Path | None,
    fmt: str,
    output: Path | None,
    fail_on: tuple[str, ...],
    on: date,
) -> None:
    """Tell what each CODE is and how it stands; without CODE, read lines or begin a session.

    At a terminal it is a session. Scan a box, then what is in it; after a lot comes what to do:
    use one, open, count, write off, move, label. undo takes the last back, done ends. A question
    is answered yes by the same scan again; another scan leaves it and is taken as the next one.
    Words may be typed in place of scans: names, 'use 3', 'write off wet', 'move Cab', yes, no.
    What the pack's own code says is taken over; with the code of a pack that is new here,
    'receive 3' takes in three.

    \b
    Examples:
      stockcheck scan 1000000013 --trip "Spring count"
      stockcheck scan "(01)09520123000233(17)290200(10)7C21-B" --box Water
    """
    if photos:
        from stockcheck.cli.scan_photos import scan_photos

        _alone({"CODE": codes, "--session": in_session})
        found = scan_photos(
            shell, photos, on, box=box_name, trip=trip_name, marked=marked, fmt=fmt, output=output
        )
        leave_with_findings(found, fail_on)
        return
    if marked is not None:
        raise click.UsageError("--marked is a copy of a picture; give --photo FILE too")
    with shell.store() as store:
        works = not codes and (at_terminal() or in_session)
        looking, setting = _setting(store, on, trip_name, asks=works)
        if works:
            found = _session(looking, setting, box_name, fmt, output)
        else:
            found = _tell(looking, setting, box_name, codes or _lines(), fmt, output)
    leave_with_findings(found, fail_on)


def _alone(others: dict[str, object]) -> None:
    """UsageError where something is given beside --photo that pictures do not take."""
    for name, given in others.items():
        if given:
            raise click.UsageError(f"--photo reads pictures alone: leave out {name}")


def _setting(
    store: Store, on: date, trip_name: str | None, *, asks: bool
) -> tuple[Looking, Setting]:
    from stockcheck.cli.scan_looking import Looking
    from stockcheck.core.scanning import Setting

    going = trip_named(store, trip_name)
    return Looking(store, on, going), Setting(on, going.horizon if going else None, asks)


def _lines() -> tuple[str, ...]:
    from stockcheck.cli.scan_session import piped_lines
    from stockcheck.core.scanning_lines import tidy_line

    lines = tuple(line for line in piped_lines() if tidy_line(line))
    if not lines:
        raise click.UsageError("there is nothing to scan; give a CODE, or lines by standard input")
    return lines


def _tell(
    looking: Looking,
    setting: Setting,
    box_name: str | None,
    codes: tuple[str, ...],
    fmt: str,
    output: Path | None,
) -> set[str]:
    """What codes are, with no questions and nothing written; returns what was found."""
    from stockcheck.cli.scan_summary import findings, report_codes, sum_up

    if fmt != "text" or output is not None:
        return report_codes(looking, setting, codes, fmt, output)
    from stockcheck.cli.scan_telling import tell_step
    from stockcheck.core.scanning_steps import advance

    session = begun(looking, box_name)
    found: set[str] = set()
    for code in codes:
        given = looking.thing(code)
        step = advance(session, given, setting)
        session = step.session
        tell_step(step)
        found |= findings(given, setting)
    if session.boxes and len(codes) > len(session.boxes):
        found |= sum_up(looking, setting, session, [])
    return found


def begun(looking: Looking, box_name: str | None) -> Session:
    """A session that begins with a box, if one is named."""
    from stockcheck.core.scanning import Session

    if box_name is None:
        return Session()
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    conn = looking.store.conn
    number = find_id(conn, "box", box_name)
    box = next(each for each in reads.boxes(conn, retired=True) if each.id == number)
    if box.retired_on is not None:
        raise BadInput(f"box {box.name!r} is out of use since {box.retired_on}")
    return Session(box=box, boxes=(box.id,))


def _session(
    looking: Looking, setting: Setting, box_name: str | None, fmt: str, output: Path | None
) -> set[str]:
    """Lines until they end; then, interrupted or not, what the session came to."""
    from stockcheck.cli.keyboard import Typed
    from stockcheck.cli.scan_session import Worked, piped_lines, typed_lines, work
    from stockcheck.cli.scan_summary import sum_up
    from stockcheck.cli.scan_telling import tell
    from stockcheck.core.scanning import Said
    from stockcheck.core.scanning_words import HELP

    if fmt != "text" and output is None:
        raise click.UsageError("a session talks on the screen: give its rows a file with --output")
    worked = Worked(looking, setting, begun(looking, box_name))
    if at_terminal():
        tell([Said(HELP)])
    try:
        work(worked, typed_lines(worked) if at_terminal() else map(Typed, piped_lines()))
    except (KeyboardInterrupt, click.Abort):
        click.echo()
        sum_up(looking, setting, worked.session, worked.deeds, fmt, output)
        raise KeyboardInterrupt from None
    return sum_up(looking, setting, worked.session, worked.deeds, fmt, output)


COMMANDS = {"scan": scan}
