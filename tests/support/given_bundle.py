"""Invented documents of several parts, for the tests of PDF and HTML."""

from __future__ import annotations

from typing import Any

import given
from stockcheck.output.bundle import Bundle, Cover, Drawn, Part
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("status", "Stands", fixed=True),
    Column("item", "Item", weight=3),
    Column("lot", "Lot", fixed=True),
    Column("quantity", "Qty", right=True, fixed=True),
)


def row(number: int, item: str = "sealant", tone: Tone = Tone.PLAIN, *details: str) -> Row:
    """A row about a lot."""
    values: dict[str, Json] = {
        "status": "in date",
        "item": item,
        "lot": f"L{number}",
        "quantity": number,
    }
    return Row({**values, "code": f"{number:010d}"}, tone=tone, details=details)


def report(title: str, *rows: Row, **more: Any) -> Report:
    """A report with one section, none without rows."""
    sections = (Section("Truck", rows, "beside the road"),) if rows else ()
    return Report(title, given.TODAY, "Invented", COLUMNS, sections, empty="Nothing.", **more)


def cover(title: str = "Spring count") -> Cover:
    """A cover."""
    return Cover(
        title,
        "Departure pack",
        (("Leaves", "08 FEB 2027"), ("Crew", "3 people")),
        "Not ready",
        Tone.BAD,
        ("1 holding is expired.",),
        ("Everything defers.",),
    )


def bundle(*parts: Part, title: str = "Spring count", lots_in: str = "") -> Bundle:
    """A document."""
    return Bundle(given.TODAY, "Invented", cover(title), parts, lots_in)


def drawn(*headings: str) -> tuple[Drawn, ...]:
    """Drawn pages: two for each heading, a stroke each."""
    return tuple(Drawn(heading, (_stroke, _stroke)) for heading in headings)


def _stroke(canvas: Any) -> None:
    canvas.addLiteral("100 100 50 50 re f")
