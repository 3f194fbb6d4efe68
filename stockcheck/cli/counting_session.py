"""A count at a terminal: line by line, scanned or typed, each kept at once."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from stockcheck.cli.counting_lines import Counter
from stockcheck.cli.keyboard import typed_line
from stockcheck.cli.shell import complain, say
from stockcheck.core.errors import BadInput
from stockcheck.core.scanning_lines import READ_TWICE, read_twice

if TYPE_CHECKING:
    from stockcheck.cli.counting import Asked
    from stockcheck.core.stocktake import Variance
    from stockcheck.store.files import Store
    from stockcheck.store.stocktake_scans import Said
    from stockcheck.store.stocktakes import Stocktake

_HELP = (
    ("L12", "one more of L12: a pack, where it comes in packs"),
    ("L12 3", "three more; L12 -1 one fewer; L12 =3 three in all; L12 2 packs"),
    ("L12 1 opened", "so many of a part: sealed, opened, on hold, last resort"),
    ("3", "the last line should have said three"),
    ("? words", "something that the books do not have"),
    ("left", "what nobody counted yet; list is what was counted"),
    ("undo", "take the last line back"),
    ("done", "the variance list; stop leaves the count open"),
)


def converse(store: Store, take: Stocktake, asked: Asked) -> bool:
    """Count until somebody says done (true) or stops (false). Ctrl-C keeps what was counted."""
    counter = Counter(store, take, asked, take.box.id)
    _greet(counter)
    try:
        if asked.enter and not _enter_sheet(counter):
            return _leave(counter)
        return _lines(counter)
    except KeyboardInterrupt:
        click.echo()
        _leave(counter)
        raise


def _lines(counter: Counter) -> bool:
    before = ""
    while True:
        place = next(box.name for box in counter.take.boxes if box.id == counter.box_id)
        typed = typed_line(f"{place}> ")
        if typed is None:
            return _leave(counter)
        last, before = before, typed.text
        if read_twice(typed.text, last, typed.waited):
            say(READ_TWICE.capitalize(), 2)
            continue
        try:
            said = counter.understand(typed.text)
            ended = _do(counter, said)
        except BadInput as error:
            complain(str(error))
            continue
        if ended is not None:
            return ended or _leave(counter)


def _do(counter: Counter, said: Said) -> bool | None:
    """Do what a line says; true for done, false for stop, None to go on."""
    from stockcheck.store.stocktake_scans import Means

    for warning in said.warnings:
        say(warning, 2)
    if said.means is Means.WORD:
        return _word(counter, said.text)
    if said.means is Means.COUNTS:
        with counter.store.writing():
            counter.count(said)
        _tell_line(counter, said.units if said.amount.number is None else 1)
    elif said.means is Means.NOTES:
        with counter.store.writing():
            counter.note(said.text)
        say(f"Not in the books, written down: {said.text}", 2)
    elif said.means is Means.BOX:
        counter.box_id, counter.last = said.box_id, None
        say(f"Now {said.text}", 2)
    return None


def _word(counter: Counter, word: str) -> bool | None:
    if word == "done":
        return True
    if word == "stop":
        return False
    if word == "undo":
        with counter.store.writing():
            struck = counter.strike()
        say(f"Taken back: {struck}" if struck else "There is no line of yours to take back", 2)
    elif word == "left":
        _tell_left(counter)
    elif word == "count":
        if counter.last is None:
            say("Scan or type a lot first, then how many", 2)
        else:
            say(f"How many of {counter.last.short} {counter.last.item.name}? Type the number", 2)
    elif word == "list":
        _tell_so_far(counter)
    else:
        width = max(len(each) for each, _ in _HELP)
        for form, meaning in _HELP:
            say(f"{form:<{width}}  {meaning}", 2)
    return None


def _found(counter: Counter, lot: int | None = None) -> tuple[Variance, ...]:
    from stockcheck.store.stocktake_reads import variances

    return variances(counter.store.conn, counter.take, lot=lot)


def _greet(counter: Counter) -> None:
    from stockcheck.core.calendar import spoken
    from stockcheck.core.stocktake import left_to_find

    take, found = counter.take, _found(counter)
    left = len(left_to_find(found))
    inside = f", with {len(take.boxes) - 1} inside" if len(take.boxes) > 1 else ""
    say(
        f"Count {take.short} of {take.box.name} ({take.box.short}){inside}, begun"
        f" {spoken(take.begun_on)}: {len(found) - left} counted, {left} to find"
        + (" (blind)" if take.blind else "")
    )
    if apart := _boxes_apart(counter):
        say(f"{apart}: not in this count; --inner would begin it with them", 2)
    say("Scan or type lots, as in L12 or L12 3. Words: left, list, undo, done, stop, help", 2)


def _boxes_apart(counter: Counter) -> str:
    """The boxes in use that sit inside and are not counted here."""
    from stockcheck.core.words import listed
    from stockcheck.store import reads

    every = reads.boxes(counter.store.conn)
    inside = set(reads.box_and_inside(every, counter.take.box.id)) - set(counter.take.covers)
    names = [box.name for box in every if box.id in inside]
    more = [f"{len(names) - 5} more"] if len(names) > 5 else []
    return listed(names[:5] + more)


def _tell_line(counter: Counter, scan: int) -> None:
    """How many of the lot are counted by now and, unless blind, what the books have.

    ``scan`` is how many units the scan stood for.
    """
    from stockcheck.core.stocktake_posting import to_write_down
    from stockcheck.core.words import counted

    lot = counter.last
    if lot is None:
        return
    for each in _found(counter, lot.id):
        if each.box.id != counter.box_id or each.counted is None:
            continue
        unit = lot.item.unit
        part = f" ({each.part.value})" if each.part else ""
        words = f"{lot.short} {lot.item.name}{part}: {counted(each.counted, unit)}"
        if scan > 1:
            words += f" (this scan is {scan}; type how many where it is a part of a pack)"
        if not counter.take.blind:
            words += f", books {counted(each.book, unit)}"
            words += "" if not each.difference else f", {each.finding.value}"
        if each.again:
            words += f". {each.again.capitalize()}: count all of it, as in {lot.short} =3"
        say(words, 2)
        for line in to_write_down(each):
            say(line, 4)


def _tell_left(counter: Counter) -> None:
    from stockcheck.core.stocktake import left_to_find
    from stockcheck.core.words import counted

    left = left_to_find(_found(counter))
    if not left:
        say("Everything that the books have here was counted", 2)
        return
    say(f"{len(left)} to find:", 2)
    for each in left:
        opened = f" ({each.part.value})" if each.part else ""
        number = "" if counter.take.blind else f", {counted(each.book, each.lot.item.unit)}"
        batch = f", batch {each.lot.batch}" if each.lot.batch else ""
        place = f" in {each.box.name}" if len(counter.take.boxes) > 1 else ""
        say(f"{each.lot.short} {each.lot.item.name}{opened}{batch}{number}{place}", 4)


def _tell_so_far(counter: Counter) -> None:
    from stockcheck.cli.counting_finish import show

    show(counter.store, counter.take, replace(counter.asked, partial=True, fmt="text"))


def _leave(counter: Counter) -> bool:
    """Tell that all is kept, and how to go on."""
    from stockcheck.store import stocktakes

    lines = len(stocktakes.entries(counter.store.conn, counter.take.id))
    said = "1 line is" if lines == 1 else f"{lines} lines are"
    say(f'{said} kept. Go on with: stockcheck count "{counter.take.box.name}"')
    return False


def _enter_sheet(counter: Counter) -> bool:
    """Ask for each line of the paper sheet that was not entered; false where somebody stops."""
    from stockcheck.store import reads, stocktakes

    conn, take = counter.store.conn, counter.take
    sheet = stocktakes.sheet(conn, take.id)
    if not sheet:
        raise BadInput(f"{take.box.name} has no sheet; print one: --sheet FILE.pdf")
    entered = {(it.box_id, it.lot_id, it.part) for it in stocktakes.entries(conn, take.id)}
    lots = {lot.id: lot for lot in reads.lots(conn, [each.lot_id for each in sheet])}
    say("What the sheet says, line by line: a number, or Enter where nothing is written", 2)
    for line in sheet:
        if (line.box_id, line.lot_id, line.part) in entered:
            continue
        lot = lots[line.lot_id]
        part = f" ({line.part.value})" if line.part else ""
        while True:
            try:
                typed = typed_line(f"{line.line:>4}  {lot.short} {lot.item.name}{part}: ")
                answer = "stop" if typed is None else typed.text.strip()
                if answer.casefold() in {"stop", "quit"}:
                    return False
                if answer:
                    counter.last = lot
                    said = counter.understand(answer)
                    if said.lot != lot or said.amount.number is None:
                        raise BadInput(f"{answer}: give how many there are, or stop")
                    with counter.store.writing():
                        counter.enter(line, said)
                break
            except BadInput as error:
                complain(str(error))
    say("Now what was found and is not on the sheet, as in L77 2; then done", 2)
    counter.last = None
    return True
