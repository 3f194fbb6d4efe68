"""``restock --list``: the gaps of a box against a kit list, as what to move and to buy."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.cli.auditing import Asked, audited, scale_facts
from stockcheck.cli.shell import on_the_way

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockcheck.core.audit_gaps import Around
    from stockcheck.core.planning import Trip
    from stockcheck.core.restock import Need
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


def gaps_of(
    store: Store, box_name: str, lists: tuple[str, ...], going: Trip | None, by: date, on: date
) -> Report:
    """What a box lacks to meet the lists through the trip or a day, as a restock list.

    With no trip the audit itself is for the day ``by``: only what is still good then counts.
    """
    from stockcheck.core.audit_gaps import gaps
    from stockcheck.core.calendar import spoken
    from stockcheck.core.planning import trip_words
    from stockcheck.data.kinds import cautions
    from stockcheck.output.audit_report import NOT_A_CERTIFICATE
    from stockcheck.output.restock_report import restock_report
    from stockcheck.store import reads

    asked = Asked(on if going else by, going, lists)
    done = audited(store, box_name, asked)
    boxes = {box.id: box for box in reads.boxes(store.conn, retired=True)}
    around = _around(store, going, on, going.horizon if going else by, done.box_id)
    departs = going.departs if going else None
    needs = gaps(done.result, boxes[done.box_id], around, departs=departs)
    facts = (trip_words(going),) if going else (f"to last through {spoken(by)}",)
    memory = "list from memory, " if done.kit_list.from_memory else ""
    report = restock_report(
        needs,
        on=on,
        horizon=going.horizon if going else by,
        store=store.name,
        currency=store.currency,
        facts=(f"for {done.box} to meet {memory}{done.kit_list.id}: {done.kit_list.title}", *facts,
               done.result.verdict, *scale_facts(done.kit_list, asked)),
        cautions=cautions(),
        only_box=done.box,
    )  # fmt: skip
    return replace(
        report,
        totals=_totals(len(needs), report.totals),
        cautions=(NOT_A_CERTIFICATE, *_of_kits(needs), *report.cautions),
        empty="Nothing lacks: every line of the list is met through that day.",
    )


def _of_kits(needs: Sequence[Need]) -> list[str]:
    """The caution of medicines in a kit, where one is wanted, known to the store or not."""
    from stockcheck.data.kinds import kit_cautions

    kinds = [need.item.kind if need.item else need.par.kind for need in needs]
    given = any(kind and "medicine" in kind.cautions for kind in kinds)
    return [kit_cautions()["medicine-in-kit"]] if given else []


def _totals(lacking: int, totals: tuple[str, ...]) -> tuple[str, ...]:
    """The totals of the restock list, with the lines of the list counted in place of pars."""
    rest = [part for line in totals for part in line.split("; ")[1:]]
    lines = f"{lacking} line{'' if lacking == 1 else 's'} of the list to close"
    return ("; ".join([lines, *rest]),) if lacking else ()


def _around(store: Store, going: Trip | None, on: date, horizon: date, box_id: int) -> Around:
    """Everything but the box itself and what lies in it."""
    from stockcheck.cli.restock import needs_of
    from stockcheck.core.audit_gaps import Around
    from stockcheck.core.restock import restock
    from stockcheck.store import plans, reads
    from stockcheck.store.kinds import kinds_by_key
    from stockcheck.store.own_lists import kits

    conn = store.conn
    boxes = reads.boxes(conn, retired=True)
    held = on_the_way(store, reads.holdings(conn), going)
    offers = plans.offers(conn)
    needs = restock(
        needs_of(store, going, on), held, offers,
        on=on, horizon=horizon, departs=going.departs if going else None, boxes=boxes,
    )  # fmt: skip
    kept = {inside for kit in (*kits(conn), box_id) for inside in reads.box_and_inside(boxes, kit)}
    return Around(held, needs, offers, boxes, kept, kinds_by_key(conn))
