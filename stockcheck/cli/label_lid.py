"""The sheets for boxes' lids: contents, dates, cautions; printed and remembered like labels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from stockcheck.cli.label_ask import CODE, DPI
from stockcheck.cli.label_paper import (
    hand_over,
    read_back,
    setting_for,
    shown_as_pictures,
    went_to,
)
from stockcheck.cli.shell import say, stamp
from stockcheck.core import label_jobs as jobs
from stockcheck.core.words import listed
from stockcheck.store import audits, plans, prints, reads
from stockcheck.store.names import find_id

if TYPE_CHECKING:
    from stockcheck.cli.label_ask import Ask
    from stockcheck.core.model import Box
    from stockcheck.labels.lid import Lid
    from stockcheck.store.files import Store

SORT, _TITLE, _PAPER = "lid", "Lid sheets", "a4"


def print_lids(store: Store, ask: Ask) -> list[str]:
    """Lid sheets of the boxes asked for, each on paper of its own; tells what was done."""
    return _printed(store, ask, _boxes(store, ask))


def print_again(store: Store, ask: Ask, job: prints.Job) -> list[str]:
    """The lid sheets of the last print, with what is in the boxes by now."""
    found = prints.labels_of(store.conn, job.id)[(ask.from_label or 1) - 1 :]
    wanted = {label.of for label in found}
    boxes = [box for box in reads.boxes(store.conn, retired=True) if box.id in wanted]
    was = job.options
    ask = replace(
        ask,
        paper=ask.paper or str(was["paper"]),
        fold=ask.fold or was.get("fold"),
        dpi=ask.dpi or was.get("dpi"),
        code=ask.code or was.get("code"),
        printer=ask.printer or was.get("printer"),
        dates=str(was.get("dates", ask.dates)),
    )
    return [*_printed(store, ask, boxes, job.id), "with what is in the boxes by now"]


def _printed(store: Store, ask: Ask, boxes: list[Box], again_of: int | None = None) -> list[str]:
    from stockcheck.labels.lid import PAPERS, lid_sheet

    if not boxes:
        return ["No lid sheet: there is no box yet"]
    paper = (ask.paper or _PAPER).lower()
    dpi, code = ask.dpi or DPI, ask.code or CODE
    lids = list(_lids(store, ask, boxes))
    if ask.dry_run:
        say(f"would be a lid sheet on {paper.upper()} of {listed([box.name for box in boxes])}")
        return []
    sheets = lid_sheet(
        lids,
        paper=paper,
        fold=ask.fold or "",
        dpi=dpi,
        code=code,
        title=_TITLE,
        setting=setting_for(store, ask),
    )
    if ask.preview:
        if ask.preview == "text":
            raise click.UsageError("--preview text is of labels; for a lid name a .png file")
        shown_as_pictures(sheets.pdf, None, ask.preview)
        return []
    checked = read_back(sheets, dpi, ask)
    use = jobs.SheetUse(1, 1, len(boxes))
    job = prints.Job(
        f"lid {paper}", use, went_to=went_to(ask), options=_options(ask), again_of=again_of
    )
    labels = [
        prints.Label("box", box.id, SORT, 1, 0, {}, jobs.box_facts(box, lid.place))
        for box, lid in zip(boxes, lids, strict=True)
    ]
    with store.writing() as conn:
        prints.note(conn, job, labels, stamp(ask.on))
        wide, high = PAPERS[paper]
        sent = hand_over(sheets.pdf, ask, _TITLE, (wide, high))
    return [*sent, _count(len(boxes), sheets.pages, paper, checked)]


def _count(lids: int, pages: int, paper: str, checked: str) -> str:
    found = "1 lid sheet" if lids == 1 else f"{lids} lid sheets"
    return (
        f"{found} on {'1 page' if pages == 1 else f'{pages} pages'} of {paper.upper()}, {checked}"
    )


def _options(ask: Ask) -> dict[str, str | int]:
    given = {"paper": ask.paper or _PAPER, "fold": ask.fold, "dpi": ask.dpi, "code": ask.code}
    given |= {"dates": ask.dates, "printer": ask.printer}
    return {name: value for name, value in given.items() if value}


def _boxes(store: Store, ask: Ask) -> list[Box]:
    """The boxes named, in order of place; all of them where all were asked for."""
    boxes = reads.boxes(store.conn)
    if ask.all_boxes:
        return boxes
    wanted = {find_id(store.conn, "box", name) for name in ask.named}
    if ask.box_name:
        wanted.add(find_id(store.conn, "box", ask.box_name))
    return [box for box in reads.boxes(store.conn, retired=True) if box.id in wanted]


def _lids(store: Store, ask: Ask, boxes: list[Box]) -> Iterator[Lid]:
    from stockcheck.core.claims import standing
    from stockcheck.labels.lid import lid_of

    conn = store.conn
    every, stock = reads.boxes(conn), reads.holdings(conn)
    pars = standing(plans.pars(conn), stock, reads.boxes(conn, retired=True), ask.on)
    for box in boxes:
        yield lid_of(
            box,
            reads.place(every, box),
            reads.holdings(conn, box_ids=[box.id]),
            [it for it in pars if it.par.box.id == box.id],
            ask.on,
            inside=[each for each in every if each.parent_id == box.id],
            audit_due=audits.due(conn, box.id),
            iso=ask.iso,
        )
