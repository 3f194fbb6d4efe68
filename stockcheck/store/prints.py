"""What was printed: jobs with their labels, what is stuck on what, and how printers are set."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.label_jobs import Facts, Printed, SheetUse, Standing, Stir, standing
from stockcheck.core.names import name_key, nearest, tidy_name
from stockcheck.core.printer import Printer, Setting
from stockcheck.store.ledger import Stamp
from stockcheck.store.rows import insert, next_number

_THINGS = ("lot", "box", "item")


@dataclass(frozen=True, slots=True)
class Label:
    """One text of a job: what it is for, how many in a row, what it says and what it rests on.

    ``thing`` is lot, box or item and ``of`` its number. ``words`` is the label whole, as JSON takes
    it, so that it can be printed again; ``number`` of the first of them within the job.
    """

    thing: str
    of: int
    sort: str
    labels: int
    packs: int
    words: Mapping[str, Any]
    facts: Facts
    per_unit: bool = False
    replaces: int | None = None
    number: int = 1
    id: int = 0


@dataclass(frozen=True, slots=True)
class Job:
    """One print: which stock and pile of part-used sheets, from which place on, how it was asked.

    ``copies`` of each label were made; ``options`` are those of the command, to print it again.
    """

    stock: str
    use: SheetUse
    pile: str = ""
    copies: int = 1
    options: Mapping[str, Any] = field(default_factory=dict)
    went_to: str = ""
    again_of: int | None = None
    id: int = 0
    on_day: date | None = None


@dataclass(frozen=True, slots=True)
class Past:
    """One line of what was printed, in words that stand in the store."""

    job: int
    on_day: date
    thing: str
    name: str
    sort: str
    labels: int
    again: bool
    stock: str
    pile: str
    went_to: str


def note(conn: sqlite3.Connection, job: Job, labels: Sequence[Label], stamp: Stamp) -> int:
    """Remember a print; returns its number. Call inside ``writing()``."""
    number = next_number(conn, "print_job")
    after = conn.execute("SELECT ifnull(max(movement_id), 0) FROM movement").fetchone()[0]
    insert(
        conn,
        "print_job",
        [
            {
                "print_job_id": number,
                "again_of": job.again_of,
                "stock": job.stock,
                "pile": job.pile,
                "per_page": job.use.per_page,
                "start": job.use.start,
                "labels": job.use.labels,
                "copies": job.copies,
                "options": _json(job.options),
                "went_to": job.went_to,
                "on_day": stamp.on_day.isoformat(),
                "recorded_at": stamp.recorded_at,
                "after_movement": after,
            }
        ],
    )
    insert(conn, "print_label", list(_rows(number, labels)))
    return number


def _rows(job: int, labels: Sequence[Label]) -> Iterable[dict[str, Any]]:
    at = 1
    for label in labels:
        yield {
            "print_job_id": job,
            "number": at,
            "labels": label.labels,
            "sort": label.sort,
            **{f"{thing}_id": label.of if thing == label.thing else None for thing in _THINGS},
            "packs": label.packs,
            "per_unit": int(label.per_unit),
            "replaces": label.replaces,
            "words": _json(label.words),
            "facts": _json(label.facts),
        }
        at += label.labels


def _json(value: Mapping[str, Any]) -> str:
    return json.dumps(dict(value), ensure_ascii=False, separators=(",", ":"))


def last_use(conn: sqlite3.Connection, stock: str, pile: str = "") -> SheetUse | None:
    """How the last print on a stock and pile left its sheet; None when there was none."""
    row = conn.execute(
        "SELECT per_page, start, labels FROM print_job WHERE stock = ? AND pile = ?"
        " ORDER BY print_job_id DESC LIMIT 1",
        (stock, pile),
    ).fetchone()
    return SheetUse(*row) if row else None


def last_job(conn: sqlite3.Connection) -> Job | None:
    """The last print of all, to be printed again; None when nothing was printed yet."""
    row = conn.execute(
        "SELECT print_job_id, stock, per_page, start, labels, pile, copies, options, went_to,"
        " again_of, on_day FROM print_job ORDER BY print_job_id DESC LIMIT 1"
    ).fetchone()
    if row is None:
        return None
    number, stock, per_page, start, labels, pile, copies, options, went_to, again, day = row
    return Job(
        stock=stock,
        use=SheetUse(per_page, start, labels),
        pile=pile,
        copies=copies,
        options=json.loads(options),
        went_to=went_to,
        again_of=again,
        id=number,
        on_day=date.fromisoformat(day),
    )


def labels_of(conn: sqlite3.Connection, job: int) -> list[Label]:
    """The labels of a print in their order."""
    rows = conn.execute(
        "SELECT print_label_id, number, labels, sort, lot_id, box_id, item_id, packs, per_unit,"
        " replaces, words, facts FROM print_label WHERE print_job_id = ? ORDER BY number",
        (job,),
    ).fetchall()
    return [_label(row) for row in rows]


def _label(row: tuple[Any, ...]) -> Label:
    number, at, labels, sort, lot, box, item, packs, per_unit, replaces, words, facts = row
    thing, of = next(
        (thing, of) for thing, of in zip(_THINGS, (lot, box, item), strict=True) if of is not None
    )
    return Label(
        thing=thing,
        of=of,
        sort=sort,
        labels=labels,
        packs=packs,
        words=json.loads(words),
        facts=json.loads(facts),
        per_unit=bool(per_unit),
        replaces=replaces,
        number=at,
        id=number,
    )


def standings(conn: sqlite3.Connection, thing: str, ids: Iterable[int]) -> dict[int, Standing]:
    """How each of these lots, boxes or items stands with its labels."""
    wanted = sorted(set(ids))
    events: dict[int, list[tuple[int, int, int, Stir | Printed]]] = {of: [] for of in wanted}
    packs = dict.fromkeys(wanted, 1)
    if thing == "lot":
        for of, movement, units, pack in _stirs(conn, wanted):
            events[of].append((movement, 0, 0, Stir(units)))
            packs[of] = pack
    for of, after, printed in _prints(conn, thing, wanted):
        events[of].append((after, 1, printed.number, printed))
    return {
        of: standing([event[3] for event in sorted(found, key=lambda it: it[:3])], packs[of])
        for of, found in events.items()
    }


def _stirs(conn: sqlite3.Connection, lots: Sequence[int]) -> list[tuple[int, int, int, int]]:
    """What came and went of each lot by movement, as if what was undone had never been."""
    return conn.execute(
        "SELECT lot_id, movement_id, sum(quantity) AS units, item.pack FROM movement_line"
        " JOIN movement USING (movement_id) JOIN lot USING (lot_id) JOIN item USING (item_id)"
        " WHERE lot_id IN (SELECT value FROM json_each(?)) AND reverses IS NULL AND NOT EXISTS"
        " (SELECT 1 FROM movement AS back WHERE back.reverses = movement.movement_id)"
        " GROUP BY lot_id, movement_id HAVING units <> 0 ORDER BY lot_id, movement_id",
        (json.dumps(list(lots)),),
    ).fetchall()


def _prints(
    conn: sqlite3.Connection, thing: str, ids: Sequence[int]
) -> list[tuple[int, int, Printed]]:
    rows = conn.execute(
        f"SELECT {thing}_id, after_movement, print_label_id, facts, packs, per_unit, replaces"
        " FROM print_label JOIN print_job USING (print_job_id)"
        f" WHERE {thing}_id IN (SELECT value FROM json_each(?)) AND packs > 0"
        " ORDER BY print_label_id",
        (json.dumps(list(ids)),),
    ).fetchall()
    return [
        (of, after, Printed(number, json.loads(facts), packs, bool(per_unit), replaces))
        for of, after, number, facts, packs, per_unit, replaces in rows
    ]


def held_since(conn: sqlite3.Connection, lot_id: int, box_id: int) -> tuple[date, str] | None:
    """The day on which a lot was last put on hold in a box, and why; None where it never was."""
    row = conn.execute(
        "SELECT on_day, reason FROM movement JOIN movement_line USING (movement_id)"
        " WHERE what = 'held' AND lot_id = ? AND state = 'held' AND quantity > 0"
        " ORDER BY box_id = ? DESC, movement_id DESC LIMIT 1",
        (lot_id, box_id),
    ).fetchone()
    return (date.fromisoformat(row[0]), row[1]) if row else None


def gtin_of(conn: sqlite3.Connection, lot_id: int) -> str:
    """The GTIN that a lot came in with; empty where it was not scanned."""
    row = conn.execute("SELECT gtin FROM lot WHERE lot_id = ?", (lot_id,)).fetchone()
    return str(row[0]) if row else ""


def past(conn: sqlite3.Connection, thing: str = "", ids: Iterable[int] = ()) -> list[Past]:
    """What was printed, newest first; of some lots, boxes or items where they are named."""
    where = f"WHERE print_label.{thing}_id IN (SELECT value FROM json_each(?))" if thing else ""
    rows = conn.execute(
        "SELECT print_job_id, print_job.on_day,"
        " coalesce('L' || print_label.lot_id, 'B' || print_label.box_id,"
        " 'I' || print_label.item_id), coalesce(lot_item.name, box.name, item.name), sort,"
        " print_label.labels, replaces IS NOT NULL OR again_of IS NOT NULL, stock, pile, went_to"
        " FROM print_label JOIN print_job USING (print_job_id)"
        " LEFT JOIN lot USING (lot_id) LEFT JOIN item AS lot_item ON lot_item.item_id = lot.item_id"
        " LEFT JOIN box ON box.box_id = print_label.box_id"
        " LEFT JOIN item ON item.item_id = print_label.item_id"
        f" {where} ORDER BY print_job_id DESC, number",
        (json.dumps(sorted(ids)),) if thing else (),
    ).fetchall()
    return [
        Past(job, date.fromisoformat(day), of, name, sort, labels, bool(again), *rest)
        for job, day, of, name, sort, labels, again, *rest in rows
    ]


_PRINTER = "printer_id, name, offset_x, offset_y, scale_x, scale_y, set_on, note, retired_on"


def printers(conn: sqlite3.Connection, *, retired: bool = False) -> list[Printer]:
    """Every printer in order of name."""
    rows = conn.execute(
        f"SELECT {_PRINTER} FROM printer WHERE ? OR retired_on IS NULL ORDER BY name_key",
        (retired,),
    ).fetchall()
    return [_printer(row) for row in rows]


def printer(conn: sqlite3.Connection, name: str, *, retired: bool = False) -> Printer:
    """The printer of that name. UnknownName tells the nearest; BadInput for a retired one."""
    row = conn.execute(
        f"SELECT {_PRINTER} FROM printer WHERE name_key = ?", (name_key(name),)
    ).fetchone()
    if row is None:
        names = [each.name for each in printers(conn)]
        more = nearest(name, names, "'label-stock printer' lists them and sets one up")
        raise UnknownName(f"there is no printer {name!r}{more}")
    found = _printer(row)
    if found.retired_on and not retired:
        raise BadInput(f"printer {found.name!r} is out of use; set it anew, or name another")
    return found


def set_printer(
    conn: sqlite3.Connection, name: str, setting: Setting, on: date, note: str | None = None
) -> None:
    """Add a printer, or set it anew; a retired one is in use again. Call inside ``writing()``."""
    tidy = tidy_name(name, "printer")
    conn.execute(
        "INSERT INTO printer (name, name_key, offset_x, offset_y, scale_x, scale_y, set_on, note)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (name_key) DO UPDATE SET"
        " offset_x = excluded.offset_x, offset_y = excluded.offset_y, scale_x = excluded.scale_x,"
        " scale_y = excluded.scale_y, set_on = excluded.set_on, retired_on = NULL,"
        " note = ifnull(?, note)",
        (
            tidy, name_key(tidy), setting.offset_x, setting.offset_y, setting.scale_x,
            setting.scale_y, on.isoformat(), note or "", note,
        ),
    )  # fmt: skip


def retire_printer(conn: sqlite3.Connection, number: int, on: date) -> None:
    """Take a printer out of use. Call inside ``writing()``."""
    conn.execute("UPDATE printer SET retired_on = ? WHERE printer_id = ?", (on.isoformat(), number))


def _printer(row: tuple[Any, ...]) -> Printer:
    number, name, off_x, off_y, scale_x, scale_y, set_on, note, gone = row
    return Printer(number, name, Setting(off_x, off_y, scale_x, scale_y), set_on, note, gone or "")
