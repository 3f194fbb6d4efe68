"""A count from lines: a file, a pipe, or a paper sheet typed off; all of it or nothing."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stockcheck.cli.shell import stamp
from stockcheck.core.errors import BadFile, BadInput, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stockcheck.cli.counting import Asked
    from stockcheck.core.model import Lot
    from stockcheck.store.files import Store
    from stockcheck.store.stocktake_scans import Said
    from stockcheck.store.stocktakes import SheetLine, Stocktake

_HEADINGS = {"lot", "line", "code", "item", "thing", "quantity", "count", "counted", "no."}
_CELLS = re.compile(
    r'\s*"?(?P<thing>[^"]*?\S)"?\s*[,;\t]\s*"?(?P<rest>=?[-−]?[0-9]{1,9}[^,;"]*)"?\s*'
)
_NUMBERED = re.compile(r"\s*(?P<line>[0-9]{1,4})[\s:.,;]+(?P<rest>=?[0-9]{1,9}.*)")


@dataclass
class Counter:
    """A count while lines are taken: the box that it stands at, and what was named last."""

    store: Store
    take: Stocktake
    asked: Asked
    box_id: int
    last: Lot | None = None
    last_line: int = 0
    waiting: bool = False

    def understand(self, text: str) -> Said:
        """What a line means; BadInput for one that means nothing."""
        from stockcheck.store.stocktake_scans import understood

        return understood(self.store.conn, self.take, self.box_id, text, self.asked.on, self.last)

    def note(self, text: str) -> None:
        """Write down what the books do not have. Call inside ``writing()``."""
        from stockcheck.store import stocktakes

        when = stamp(self.asked.on)
        stocktakes.note(self.store.conn, self.take.id, self.box_id, text, self.asked.by, when)
        self.last = None

    def count(self, said: Said, since: int | None = None) -> None:
        """Write a line counted. Call inside ``writing()``; a number alone replaces the last."""
        from stockcheck.core.stocktake import Entry
        from stockcheck.store import stocktakes

        conn = self.store.conn
        assert said.lot is not None  # noqa: S101 - what counts has a lot
        now = stocktakes.last_movement(conn)
        if said.amount.replaces and self.last_line:
            self.strike()
        entry = Entry(0, self.box_id, said.lot.id, said.units, now if since is None else since,
                      now, said.amount.part, said.amount.sets, self.asked.by)  # fmt: skip
        self.last = said.lot
        self.last_line = stocktakes.add(conn, self.take.id, [entry], stamp(self.asked.on))[0]

    def strike(self) -> str:
        """Take the last line back and tell which; "" without any. Call inside ``writing()``."""
        from stockcheck.core.stocktake import Entry
        from stockcheck.store import stocktakes

        conn, when = self.store.conn, stamp(self.asked.on)
        self.last_line = 0
        struck = stocktakes.strike(conn, self.take.id, self.asked.by, when)
        if struck is None:
            return ""
        if isinstance(struck, Entry):
            return f"L{struck.lot_id} {'=' if struck.sets else ''}{struck.quantity}"
        return struck.text

    def enter(self, line: SheetLine, said: Said) -> None:
        """Write what stands in a line of the sheet. Call inside ``writing()``."""
        here, self.box_id = self.box_id, line.box_id
        amount = replace(said.amount, sets=True, part=said.amount.part or line.part)
        self.count(replace(said, amount=amount), since=line.after_movement)
        self.box_id, self.last_line = here, 0


def numbered(text: str) -> tuple[int, str] | None:
    """A sheet's line number and what was written in it; None for any other line."""
    found = _NUMBERED.fullmatch(text)
    return (int(found["line"]), found["rest"]) if found else None


def take_lines(store: Store, box: int, asked: Asked) -> tuple[Stocktake, bool]:
    """Take every line of the file or pipe, or none; the count, and whether it said ``done``.

    BadFile names every line that means nothing.
    """
    from stockcheck.cli.counting import warn_as_begun
    from stockcheck.store import stocktakes

    name, lines = _lines(asked)
    problems: list[Problem] = []
    done = False
    with store.writing() as conn:
        take = stocktakes.begun(
            conn, box, inner=asked.inner, blind=asked.blind, by=asked.by, stamp=stamp(asked.on)
        )
        counter = Counter(store, take, asked, box)
        sheet = {each.line: each for each in stocktakes.sheet(conn, take.id)}
        if asked.enter and not sheet:
            raise BadInput(f"{take.box.name} has no sheet; print one: --sheet FILE.pdf")
        for number, line in lines:
            try:
                done = _take(counter, line, sheet if asked.enter else {}) or done
            except BadInput as error:
                remedy = error.remedy or "Correct the line"
                problems.append(Problem(name, number, "line", line, error.what, remedy))
        if problems:
            raise BadFile(problems)
    warn_as_begun(take, asked)
    return take, done


def _lines(asked: Asked) -> tuple[str, Iterable[tuple[int, str]]]:
    if asked.file is None or str(asked.file) == "-":
        text, name = _piped(), "standard input"
    else:
        from stockcheck.data.given_files import read_text

        text, name = read_text(asked.file), asked.file.name
    lines = list(enumerate(text.splitlines(), 1))
    kept = [(n, line) for n, line in lines if line.strip() and not line.lstrip().startswith("#")]
    if kept and {word.casefold() for word in re.split(r"[\s,;\t]+", kept[0][1])} <= _HEADINGS:
        kept = kept[1:]
    return name, kept


def _piped() -> str:
    try:
        return sys.stdin.buffer.read().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(f"standard input is not UTF-8 text (byte {error.start})") from error


def _take(counter: Counter, line: str, sheet: dict[int, SheetLine]) -> bool:
    """One line; true where it says that the count is done."""
    from stockcheck.store import reads
    from stockcheck.store.stocktake_scans import Means

    cells = _CELLS.fullmatch(line)
    text = f"{cells['thing']} {cells['rest']}" if cells else line
    if sheet and (found := numbered(text)) is not None:
        number, rest = found
        if number not in sheet:
            raise BadInput(f"the sheet has no line {number}; it has 1 to {len(sheet)}")
        counter.last = reads.lots(counter.store.conn, [sheet[number].lot_id])[0]
        counter.enter(sheet[number], counter.understand(rest))
        return False
    said = counter.understand(text)
    match said.means:
        case Means.COUNTS:
            since = min((each.after_movement for each in sheet.values()), default=None)
            counter.count(said, since)
        case Means.NOTES:
            counter.note(said.text)
        case Means.BOX:
            counter.box_id, counter.last = said.box_id, None
        case Means.WORD if said.text == "undo":
            counter.strike()
        case _:
            pass
    return said.text == "done" and said.means is Means.WORD
