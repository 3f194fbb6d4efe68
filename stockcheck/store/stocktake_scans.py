"""What a line typed or scanned during a stocktake means, in the box that is being counted."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from stockcheck.core.actions import Action
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Lot
from stockcheck.core.names import tidy_text
from stockcheck.core.recognising import MakerCode, Match, Recognised, Sort
from stockcheck.core.scanning_lines import own_code, tidy_line
from stockcheck.core.stocktake_lines import (
    ONE_SCAN,
    Amount,
    read_amount,
    read_note,
    split_amount,
    units_counted,
)
from stockcheck.core.words import listed
from stockcheck.store import reads
from stockcheck.store.recognising import recognise
from stockcheck.store.stocktakes import Stocktake

WORDS = ("left", "list", "help", "stop", *(Action.UNDO, Action.DONE, Action.COUNT))
_ALSO = {"?": "help", "quit": "stop", "exit": "stop", "q": "stop", "end": "done"}


class Means(StrEnum):
    """The sorts of line."""

    COUNTS = "counts"
    NOTES = "notes"
    BOX = "box"
    WORD = "word"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Said:
    """What a line means: so many ``units`` of a lot, a note, a box to go on with, or a word."""

    means: Means
    lot: Lot | None = None
    units: int = 0
    amount: Amount = ONE_SCAN
    box_id: int = 0
    text: str = ""
    warnings: tuple[str, ...] = ()


def understood(
    conn: sqlite3.Connection, take: Stocktake, box_id: int, text: str, on: date, last: Lot | None
) -> Said:
    """What the line means; ``last`` is the lot named before it. BadInput tells what was not."""
    tidy = tidy_line(text)
    if not tidy:
        return Said(Means.NOTHING)
    word = _ALSO.get(tidy.casefold(), tidy.casefold())
    if word in WORDS:
        return Said(Means.WORD, text=word)
    if noted := read_note(tidy):
        return Said(Means.NOTES, text=_words(noted))
    if (alone := read_amount(tidy)) is not None:
        if last is None:
            raise BadInput(f"{tidy}: how many of what? Scan or type the lot first, as in L12 3")
        return Said(Means.COUNTS, last, units_counted(alone, last.item), alone)
    found, amount = _recognised(conn, tidy, on)
    if found.action is not None:
        return _action(found.action)
    if found.sort is Sort.BOX and found.id is not None:
        return _box(take, found, amount)
    return _stock(conn, box_id, found, amount)


def _words(note: str) -> str:
    try:
        return tidy_text(note)
    except BadInput as error:
        raise BadInput(f"the note {error.what}", error.remedy) from error


def _recognised(conn: sqlite3.Connection, text: str, on: date) -> tuple[Recognised, Amount]:
    """The whole line as a thing, where it is one; else a thing with a quantity after it."""
    thing, amount = split_amount(text)
    if not own_code(thing):
        whole = recognise(conn, text, on)
        if whole.known:
            return whole, ONE_SCAN
    first = thing.split(maxsplit=1)[0]
    if first != thing and own_code(first):
        raise BadInput(f"{text}: after {first} comes how many, as in {first} 3")
    found = recognise(conn, thing, on)
    if found.sort in {Sort.UNKNOWN, Sort.DATE} and found.maker is None:
        raise BadInput(found.complaint or f"{thing}: nothing here is called so")
    return found, amount


def _action(action: Action) -> Said:
    if action.value in WORDS:
        return Said(Means.WORD, text=action.value)
    raise BadInput(f"'{action.value}' is no part of a count; 'stop' leaves the count as it is")


def _box(take: Stocktake, found: Recognised, amount: Amount) -> Said:
    if found.id not in take.covers:
        raise BadInput(
            f"{found.name} is not in this count of {take.box.name}; count it for itself, or begin"
            f" the count of {take.box.name} with --inner where it sits inside"
        )
    if amount != ONE_SCAN:
        raise BadInput(f"{found.text} is a box, and boxes are not counted; its lots are")
    return Said(Means.BOX, box_id=found.id or 0, text=found.name)


def _stock(conn: sqlite3.Connection, box_id: int, found: Recognised, amount: Amount) -> Said:
    """Units of a lot: named itself, the only one of an item here, or told by a maker's code."""
    warnings: tuple[str, ...] = (found.problem,) if found.problem else ()
    scanned = None
    if found.maker is not None:
        maker, scanned = found.maker, found.maker.units
        warnings += maker.warnings
        if maker.match not in {Match.LOT, Match.ITEM} or not maker.lots:
            return Said(Means.NOTES, text=_to_receive(found, maker), warnings=warnings)
        lot = _one_of(conn, box_id, [each.id for each in maker.lots], found.title)
    elif found.sort is Sort.LOT and found.id is not None:
        lot = reads.lots(conn, [found.id])[0]
    elif found.sort is Sort.ITEM and found.id is not None:
        held = reads.holdings(conn, item_ids=[found.id])
        lot = _one_of(conn, box_id, [each.lot.id for each in held], found.name)
    else:
        raise BadInput(found.complaint or f"{found.text}: nothing here is called so")
    units = units_counted(amount, lot.item, scanned)
    return Said(Means.COUNTS, lot, units, amount, warnings=warnings)


def _to_receive(found: Recognised, maker: MakerCode) -> str:
    """A pack that the books do not have, as it is noted."""
    units = f", {maker.units} units" if maker.units > 1 else ""
    return f"{found.title}{units} (scanned {found.text})"


def _one_of(conn: sqlite3.Connection, box_id: int, lot_ids: Iterable[int], what: str) -> Lot:
    """The lot that is in this box; else the only one that there is anywhere."""
    wanted = sorted(set(lot_ids))
    here = {each.lot.id for each in reads.holdings(conn, lot_ids=wanted, box_ids=[box_id])}
    chosen = sorted(here) or wanted
    if not chosen:
        raise BadInput(
            f"{what}: none is on hand by the books, so say its lot (L12), or write it down for"
            f" later: ? {what}"
        )
    if len(chosen) > 1:
        names = listed([f"L{number}" for number in chosen[:6]], "or")
        raise BadInput(f"{what}: there are {len(chosen)} lots, say which: {names}")
    return reads.lots(conn, chosen)[0]
