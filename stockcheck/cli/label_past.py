"""Prints gone by: what was printed and when, and the last one once more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput
from stockcheck.store import prints

if TYPE_CHECKING:
    from stockcheck.cli.label_ask import Ask
    from stockcheck.cli.label_choice import Wish
    from stockcheck.output.report import Report, Row
    from stockcheck.store.files import Store

_KEYS = ("printed_on", "print", "thing", "name", "sort", "labels", "again", "stock", "pile", "to")


def last_job(store: Store, ask: Ask) -> prints.Job:
    """The last print; BadInput where nothing was printed yet, or less than ``--from-label``."""
    job = prints.last_job(store.conn)
    if job is None:
        raise BadInput(
            "nothing was printed yet; 'stockcheck labels --new' prints what has no label"
        )
    first = ask.from_label or 1
    if first > job.use.labels:
        labels = "1 label" if job.use.labels == 1 else f"{job.use.labels} labels"
        raise BadInput(f"from label {first}: the last print has {labels}. Give a number of those")
    return job


def last_print(store: Store, ask: Ask, job: prints.Job) -> list[Wish]:
    """The labels of the last print from ``--from-label`` on, each as it was."""
    from stockcheck.cli.label_choice import Wish
    from stockcheck.labels.kept import text_of

    first = ask.from_label or 1
    found = []
    for label in prints.labels_of(store.conn, job.id):
        count = label.number + label.labels - max(first, label.number)
        if count <= 0:
            continue
        packs = min(label.packs, -(-count // job.copies))
        found.append(
            Wish(
                thing=label.thing,
                of=label.of,
                sort=label.sort,
                text=text_of(label.words),
                facts=label.facts,
                count=count,
                packs=packs,
                per_unit=label.per_unit,
                replaces=label.id if packs else None,
                group=str(label.words.get("place", "")),
                why="again",
            )
        )
    return found


def printed(store: Store, ask: Ask) -> Report:
    """What was printed, the newest first; of the things named where there are any."""
    from stockcheck.output.report import Column, Report, Section

    rows = tuple(_row(each) for each in _found(store, ask))
    columns = (
        Column("printed_on", "Printed", fixed=True),
        Column("print", "Print", fixed=True),
        Column("thing", "Of", fixed=True),
        Column("name", "Name", weight=4),
        Column("sort", "Label", fixed=True),
        Column("labels", "Labels", right=True, fixed=True),
        Column("stock", "On", weight=2),
    )
    return Report(
        "Labels printed",
        ask.on,
        store.name,
        columns,
        (Section("", rows),),
        empty="no label was printed yet; 'stockcheck labels --new' prints what has none",
        keys=_KEYS,
    )


def _found(store: Store, ask: Ask) -> list[prints.Past]:
    if not ask.names_things:
        return prints.past(store.conn)
    from stockcheck.cli.label_choice import chosen_of

    chosen = chosen_of(store, ask)
    found: list[prints.Past] = []
    for thing, ids in chosen.items():
        if ids:
            found += prints.past(store.conn, thing, ids)
    return sorted(found, key=lambda it: -it.job)


def _row(past: prints.Past) -> Row:
    from stockcheck.core.calendar import spoken
    from stockcheck.output.report import Row

    values = (
        past.on_day, f"P{past.job}", past.thing, past.name, past.sort, past.labels, past.again,
        past.stock, past.pile, past.went_to,
    )  # fmt: skip
    again = " again" if past.again else ""
    return Row(
        dict(zip(_KEYS, values, strict=True)),
        {"printed_on": spoken(past.on_day), "sort": f"{past.sort}{again}"},
    )
