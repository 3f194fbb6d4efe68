"""Doing a round: asking line by line, or taking what options say; then the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.asking import asked_words
from stockcheck.cli.auditing import Asked, Audited, audited, held_against
from stockcheck.cli.round_asking import Asking
from stockcheck.cli.round_lines import take_lines
from stockcheck.cli.shell import at_terminal, confirm, say, stamp
from stockcheck.core.audit_due import next_due
from stockcheck.core.audit_round import Round, Seen, as_found, lines_of, seen_lots, still_true, walk
from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput, BrokenOff, Declined

if TYPE_CHECKING:
    from stockcheck.core.audit_result import AuditResult
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


@dataclass(frozen=True, slots=True)
class Told:
    """What the options say of a round; at a terminal the rest is asked."""

    checked_by: str | None
    seal: str | None
    last_used: date | None
    note: str
    found: tuple[str, ...]
    damaged: tuple[str, ...]
    as_booked: bool
    correct: bool
    anew: bool = False

    @property
    def by_lines(self) -> bool:
        """Whether what lies there is told by lines, not by options."""
        return not (self.found or self.damaged or self.as_booked)


def do_round(store: Store, box_name: str, asked: Asked, told: Told) -> Report:
    """Go through the box, write the round down, and give it as a report."""
    from stockcheck.data.kinds import kit_cautions
    from stockcheck.output.round_report import round_report
    from stockcheck.store.audits import record, round_before
    from stockcheck.store.round_answers import let_go

    if told.last_used and told.last_used > asked.on:
        raise BadInput(f"--last-used {spoken(told.last_used)} is after {spoken(asked.on)}")
    done = audited(store, box_name, asked)
    asking = Asking(store, done, asked.on, told.as_booked)
    _resume(store, done, asking, asked.on, told)
    asking.take(told.found, told.damaged)
    if not at_terminal() and told.by_lines:
        take_lines(asking)
    try:
        seen = asking.all(walk(done.result))
        by, seal, last_used, note = _who(told, asked.on)
    except click.Abort as left:
        if not asking.answered:
            raise
        raise BrokenOff(_kept_words(done.box_id, asking.answered)) from left
    result = held_against(store, done.kit_list, tuple(as_found(seen)), asked, done.kit)
    made = _round(done, result, seen, asked, (by, seal, last_used, note))
    when = stamp(asked.on)
    with store.writing() as conn:
        number = record(conn, made, seen, when)
        let_go(conn, done.box_id)
    made = replace(made, id=number)
    _set_books(store, seen, asked.on, number, told)
    before = round_before(store.conn, made)
    return round_report(made, before, on=asked.on, store=store.name, kit_cautions=kit_cautions())


def _resume(store: Store, done: Audited, asking: Asking, on: date, told: Told) -> None:
    """Take up a round of the box that was broken off, where the person wants to go on with it."""
    from stockcheck.store.round_answers import kept, let_go

    before = kept(store.conn, done.box_id)
    if not before:
        return
    begun = min(it.on for it in before)
    answers = "1 answer is" if len(before) == 1 else f"{len(before)} answers are"
    words = f"a round of {done.box} was broken off on {spoken(begun)}; {answers} kept"
    go_on = begun == on and not told.anew
    if at_terminal() and not told.anew:
        go_on = click.confirm(f"{words}. Go on with it?", default=go_on)
    else:
        say(f"{words}, and {'count' if go_on else 'no longer count'}", err=True)
    if not go_on:
        with store.writing() as conn:
            let_go(conn, done.box_id)
        return
    good = still_true(before, done.held)
    asking.resume(good)
    if overtaken := len(before) - len(good):
        say(f"the books have changed since for {overtaken} of them: asked again", err=True)


def _kept_words(box_id: int, answers: int) -> str:
    """A round that is broken off is not recorded; its answers are kept."""
    held = "1 answer is" if answers == 1 else f"{answers} answers are"
    return (
        f"broken off; the round is not recorded yet, {held} kept: 'stockcheck round do B{box_id}'"
        " with the same options goes on from there"
    )


def _who(told: Told, on: date) -> tuple[str, str, date | None, str]:
    """Who looked, the seal, the last use, and a note."""
    from stockcheck.core.names import tidy_name

    by, seal, last_used, note = told.checked_by, told.seal, told.last_used, told.note
    if at_terminal():
        by = by or _asked_person()
        if seal is None:
            seal = asked_words("Seal put on now (may be empty)")
        if last_used is None:
            last_used = _asked_day(on)
        note = note or asked_words("Note (may be empty)")
    if not by:
        raise Declined("nobody can be asked who looked: give --by NAME")
    return tidy_name(by, "person"), seal or "", last_used, note


def _asked_person() -> str:
    from stockcheck.core.names import tidy_name

    while True:
        try:
            return tidy_name(click.prompt("Who looked"), "person")
        except BadInput as error:
            say(str(error))


def _asked_day(on: date) -> date | None:
    while text := click.prompt(
        "Last used on, YYYY-MM-DD (may be empty)", default="", show_default=False
    ):
        try:
            day = date.fromisoformat(text.strip())
        except ValueError:
            say(f"{text!r} is not a day; write it YYYY-MM-DD")
            continue
        if day <= on:
            return day
        say(f"that is after {spoken(on)}")
    return None


def _round(
    done: Audited,
    result: AuditResult,
    seen: Sequence[Seen],
    asked: Asked,
    who: tuple[str, str, date | None, str],
) -> Round:
    by, seal, last_used, note = who
    try:
        again = next_due(asked.on, done.kit_list, done.kit.every_days)
    except OverflowError as error:
        raise BadInput(f"{done.kit.every_days} days from now is past the year 9999") from error
    return Round(
        id=0,
        box_id=done.box_id,
        box=done.box,
        lists=done.kit.lists,
        title=done.kit_list.title_with_certainty,
        on=asked.on,
        horizon=result.horizon,
        checked_by=by,
        seal=seal,
        last_used=last_used,
        given=tuple(dict.fromkeys((*asked.given, *done.kit.given))),
        people=asked.heads,
        days=asked.nights,
        met=result.met,
        verdict=result.verdict,
        next_due=again.on,
        due_why=again.why,
        note=note,
        lines=lines_of(result),
        seen=seen_lots(seen),
    )


def _set_books(store: Store, seen: Sequence[Seen], on: date, number: int, told: Told) -> None:
    """Set the books to what was found, where the person wants it; tell what stays to be done."""
    from stockcheck.core.movements import correct

    differing = [it for it in seen if it.differs and it.booked]
    extra = [it for it in seen if it.differs and not it.booked]
    if differing and _wanted(differing, told):
        from stockcheck.store import ledger

        reason = f"round {number}"
        with store.writing() as conn:
            plans = [correct(it.holding, it.found, reason) for it in differing]
            ledger.post(conn, plans, stamp(on))
        say(f"the books of {_holdings(differing)} set to what was found; 'undo' takes it back")
    elif differing:
        for it in differing:
            say(
                f"the books still say {it.booked} of {it.holding.lot.short}, found {it.found}:"
                f" stockcheck correct {it.holding.lot.short} --box {it.holding.box.short}"
                f" --count {it.found}",
                2,
            )
    for it in extra:
        say(f"{it.found} of {it.holding.lot.short} are here and not by the books: stockcheck move"
            f" {it.holding.lot.short} --to {it.holding.box.short}", 2)  # fmt: skip
    for it in seen:
        if it.damaged:
            lot, box = it.holding.lot.short, it.holding.box.short
            say(f"{it.damaged} of {lot} with a damaged pack: stockcheck hold {lot} -n {it.damaged}"
                f" --from {box} --reason damaged", 2)  # fmt: skip


def _holdings(seen: Sequence[Seen]) -> str:
    return f"{len(seen)} holding{'' if len(seen) == 1 else 's'}"


def _wanted(differing: Sequence[Seen], told: Told) -> bool:
    if told.correct:
        return True
    if not at_terminal():
        return False
    try:
        confirm(f"Set the books of {_holdings(differing)} to what was found?", yes=False)
    except (Declined, click.Abort):  # the round itself is on record by now
        return False
    return True
