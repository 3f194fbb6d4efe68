"""A session with a scanner: line after line, each answered and what it writes durable at once."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import click

from stockcheck.cli.keyboard import Typed, typed_line
from stockcheck.cli.scan_looking import Looking
from stockcheck.cli.scan_telling import tell, tell_step
from stockcheck.cli.shell import stamp
from stockcheck.core.errors import BadInput, StoreTrouble
from stockcheck.core.scanning import (
    Deed,
    Done,
    MakeItem,
    Mood,
    Post,
    Said,
    Session,
    Setting,
    TakeIn,
)
from stockcheck.core.scanning_lines import READ_TWICE, read_twice
from stockcheck.core.scanning_steps import advance
from stockcheck.core.scanning_typed import HELP
from stockcheck.core.scanning_words import HELP as GRAMMAR
from stockcheck.core.scanning_words import standing_of, tell_stock

if TYPE_CHECKING:
    from stockcheck.cli.scan_taking import Written
    from stockcheck.core.scanning import Step, Work


@dataclass(slots=True)
class Worked:
    """A session as it goes: what is remembered, and what was written, the newest last.

    ``cautioned`` are the lots at hand whose cautions were said just now, ``before`` the last line.
    """

    looking: Looking
    setting: Setting
    session: Session = field(default_factory=Session)
    written: list[Written] = field(default_factory=list)
    over: bool = False
    cautioned: frozenset[int] = frozenset()
    before: str = ""

    @property
    def deeds(self) -> list[Deed]:
        """What was done and not undone, in order."""
        return [deed for each in self.written for deed in each.deeds]

    def line(self, text: str, waited: float | None = None) -> None:
        """Answer one line. What goes wrong is told, and the session goes on."""
        before, self.before = self.before, text
        if read_twice(text, before, waited):
            tell([Said(READ_TWICE.capitalize())])
            return
        try:
            with self.looking.store.worded():
                self._answer(text)
        except (BadInput, StoreTrouble) as error:
            tell([Said(f"{error}; this line changed nothing", Mood.BAD)])
        except click.Abort:
            click.echo()
            tell([Said("Left as it was.")])

    def _answer(self, text: str) -> None:
        following = [text]
        while following:
            now = following.pop(0)
            if now.strip().casefold() in HELP:
                tell([Said(GRAMMAR)])
                continue
            given = self.looking.line(self.session, now)
            if given is None:
                continue
            step = advance(self.session, given, self.setting)
            self._take(step)
            more = self._do(step, now) if step.work is not None else ""
            following += [line for line in (step.then, more) if line]

    def _take(self, step: Step) -> None:
        self.session = step.session
        lots = step.session.lot_ids
        told = self.cautioned if lots and self.cautioned.issuperset(lots) else frozenset()
        tell_step(step, told)
        self.cautioned = told | {each.lot.id for each in step.beware}

    def _do(self, step: Step, text: str) -> str:
        """Do the work of a step; returns a line that is to follow, empty for none."""
        work = step.work
        if isinstance(work, Done):
            self.over = True
            return ""
        if isinstance(work, MakeItem):
            from stockcheck.cli.scan_taking import make_item

            tell([make_item(self.looking.store, work)])
            self.before = ""  # the form came between: the same scan is a new one
            return text
        if work is not None:
            self._write(work, step)
        return ""

    def _write(self, work: Work, step: Step) -> None:
        from stockcheck.cli import scan_taking

        store, on = self.looking.store, self.looking.on
        if isinstance(work, Post):
            done = scan_taking.post(store, work, on)
        elif isinstance(work, TakeIn):
            done = scan_taking.take_in(store, work, on)
            seen = {(lot, work.box.id) for lot in done.lots}
            self.session = replace(
                self.session, lot_ids=done.lots, seen=self.session.seen | seen,
                about=f"{done.deeds[0].item} ({done.deeds[0].lot})",
            )  # fmt: skip
        else:
            self._undo()
            return
        self.written.append(done)
        tell((*step.after, *done.said))
        self._show(step.show or done.lots)

    def _show(self, lots: Iterable[int]) -> None:
        """How stock stands now that it was written."""
        held = [each for each in self.looking.lots(list(lots)) if each.quantity > 0]
        box = self.session.box
        here = [each for each in held if box is None or each.box.id == box.id]
        for standing in standing_of(here, self.setting):
            tell(tell_stock(standing, self.setting))

    def _undo(self) -> None:
        """Reverse the last write of this session that still stands."""
        from stockcheck.store import ledger

        if not self.written:
            tell([Said("Nothing was written in this session yet; 'stockcheck undo' goes further")])
            return
        last = self.written[-1]
        store = self.looking.store
        with store.writing() as conn:
            for number in reversed(last.movements):
                ledger.undo(conn, number, stamp(self.looking.on), "undone in a scanning session")
        self.written.pop()
        tell([Said(f"Undone: {in_words(deed)}", Mood.GOOD) for deed in last.deeds])


def in_words(deed: Deed) -> str:
    """A deed in words: ``moved 3 tablets of water tablet (L106) from Cab to Water``."""
    from stockcheck.core.words import counted

    amount = counted(deed.quantity, deed.unit)
    if deed.what == "counted" and deed.quantity > 0:
        amount = f"+{amount}"
    place = f"from {deed.box} to {deed.to_box}" if deed.to_box else f"in {deed.box}"
    return f"{deed.what} {amount} of {deed.item} ({deed.lot}) {place}"


def work(worked: Worked, lines: Iterator[Typed]) -> None:
    """Take lines until they end, or the word or card done."""
    for typed in lines:
        worked.line(typed.text, typed.waited)
        if worked.over:
            return


def typed_lines(worked: Worked) -> Iterator[Typed]:
    """Lines from the terminal, with the current box as the prompt; ends with the input."""
    while True:
        box = worked.session.box
        typed = typed_line(f"{box.name if box else 'scan'}> ")
        if typed is None:
            return
        yield typed


def piped_lines() -> list[str]:
    """The lines of standard input: ended by CR, LF or both; separators within them stay."""
    data = sys.stdin.buffer.read()
    return [line.decode("utf-8", "backslashreplace") for line in data.splitlines()]
