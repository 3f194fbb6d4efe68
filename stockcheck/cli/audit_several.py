"""``audit --all``: every box that has a usual list, on one page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockcheck.cli.auditing import Asked, audited_box

if TYPE_CHECKING:
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


def summary_of(store: Store, asked: Asked) -> Report:
    """How each box stands against its usual list, as one report."""
    from stockcheck.core.planning import trip_words
    from stockcheck.output.audit_summary import BoxAudit, summary_report
    from stockcheck.store.audits import due, overdue
    from stockcheck.store.own_lists import kits

    late = {it.box_id for it in overdue(store.conn, asked.on)}
    boxes = []
    for box_id in kits(store.conn):
        done = audited_box(store, box_id, asked)
        again = due(store.conn, box_id)
        boxes.append(BoxAudit(done.box, done.result, again, box_id in late))
    facts = (trip_words(asked.going),) if asked.going else ()
    return summary_report(boxes, on=asked.on, store=store.name, facts=facts)
