"""What ``status`` asks of the store beside what others read: light, so that it starts quickly."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockcheck.core import label_jobs as jobs
from stockcheck.store import audits, prints, reads

if TYPE_CHECKING:
    from stockcheck.core.expiry import Standing
    from stockcheck.core.model import Holding


def closed_trips(conn: sqlite3.Connection) -> list[int]:
    """The numbers of the trips that were closed."""
    return [row[0] for row in conn.execute("SELECT trip_id FROM trip_close").fetchall()]


def any_purchase(conn: sqlite3.Connection) -> bool:
    """Whether anything was ever ordered; if not, nothing of purchases need be loaded."""
    return conn.execute("SELECT 1 FROM purchase LIMIT 1").fetchone() is not None


def undecided(conn: sqlite3.Connection, found: Sequence[Standing]) -> list[Standing]:
    """Without what was decided on before and stands no worse since."""
    from stockcheck.core.deciding import asked_again
    from stockcheck.store.inspections import decisions

    made = decisions(conn, {each.holding.lot.id for each in found})
    left = []
    for each in found:
        holding = each.holding
        before = made.get((holding.lot.id, holding.box.id, holding.opened_on))
        if before is None or asked_again(before.standing, each.status):
            left.append(each)
    return left


def label_counts(conn: sqlite3.Connection, held: Sequence[Holding]) -> tuple[int, int]:
    """How many labels lack, and how many have changed: what ``labels`` would print of each."""
    by_lot: dict[int, list[Holding]] = {}
    for each in held:
        by_lot.setdefault(each.lot.id, []).append(each)
    standings = prints.standings(conn, "lot", by_lot)
    lacking = changed = 0
    for lot_id, parts in by_lot.items():
        pack = parts[0].item.pack
        wanted = [jobs.Wanted(jobs.holding_facts(it), -(-it.quantity // pack)) for it in parts]
        now = standings[lot_id]
        lacking += sum(it.packs for it in jobs.due(wanted, now, pack, new=True))
        changed += sum(it.packs for it in jobs.due(wanted, now, pack, new=False))
    return lacking, changed + _things_changed(conn)


def _things_changed(conn: sqlite3.Connection) -> int:
    """How many labels of boxes and items no longer say what they should."""
    boxes = reads.boxes(conn)
    places = reads.places(boxes)
    dues = {it.box_id: it.due for it in audits.all_due(conn)}
    facts: dict[str, dict[int, jobs.Facts]] = {
        "box": {it.id: jobs.box_facts(it, places[it.id], dues.get(it.id)) for it in boxes},
        "item": {it.id: jobs.item_facts(it) for it in reads.items(conn)},
    }
    count = 0
    for thing, told in facts.items():
        standings = prints.standings(conn, thing, told)
        for of, now in standings.items():
            if now.stuck:
                count += len(jobs.due([jobs.Wanted(told[of])], now, new=False))
    return count
