"""The expiry report written some boxes at a time is the whole report, byte for byte."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from stockcheck.cli import expiry, expiry_stream
from stockcheck.core.model import Status
from stockcheck.core.planning import Trip
from stockcheck.output.write import render
from stockcheck.store import plans, reads
from stockcheck.store.files import Store, opened

ON = date(2026, 11, 25)
REMARKS = ("overdue for nothing",)
ALL = frozenset[Status]()
ASKED = [
    ("everything", None, None, ALL, 60),
    ("a trip", "Spring count", None, ALL, 60),
    ("a box", None, "First aid", ALL, 60),
    ("one way of standing", None, None, frozenset({Status.EXPIRED}), 60),
    ("nothing", None, "Cab", frozenset({Status.HELD}), 0),
]


def trip(store: Store, name: str | None) -> Trip | None:
    return next((each for each in plans.trips(store.conn) if each.name == name), None)


@pytest.mark.parametrize("at_once", [1, 30, 5000])
@pytest.mark.parametrize("fmt", ["text", "csv", "json"])
@pytest.mark.parametrize(("what", "going", "box", "statuses", "within"), ASKED, ids=lambda it: it)
def test_box_by_box_is_the_whole_report(
    made_stores: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    what: str,
    going: str | None,
    box: str | None,
    statuses: frozenset[Status],
    within: int,
    fmt: str,
    at_once: int,
) -> None:
    monkeypatch.setattr(expiry_stream, "_AT_ONCE", at_once)
    output = tmp_path / "told"
    with opened(made_stores / "demo" / "stock.db") as store:
        asked = expiry_stream.Asked(trip(store, going), ON, within, box, statuses)
        words = tuple(each.value for each in statuses)
        whole = expiry.expiry_of(
            store, asked.going, ON, within=within, box_name=box, statuses=words, pictured=False
        )
        if fmt == "text":
            whole = replace(whole, totals=(*whole.totals, *REMARKS))
            found = expiry_stream.tell_expiry(store, asked, REMARKS, output)
        else:
            found = expiry_stream.write_expiry(store, asked, fmt, output)
    expected = render(whole, fmt)
    assert output.read_bytes() == (expected.encode() if isinstance(expected, str) else expected)
    assert found == {str(row.values["status"]) for row in whole.rows}, what


def test_places_of_all_boxes_are_those_of_each(made_stores: Path) -> None:
    with opened(made_stores / "demo" / "stock.db") as store:
        boxes = reads.boxes(store.conn, retired=True)
    for some in (boxes, boxes[::-1], boxes[2:]):
        assert reads.places(some) == {box.id: reads.place(some, box) for box in some}
