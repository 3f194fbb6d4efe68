"""Pieces of HTML: texts escaped, tables that become cards where the screen is narrow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape
from typing import NamedTuple

from stockcheck.output.cells import clean, shown
from stockcheck.output.report import Column, Report, Row, Section, Tone


def text(words: str) -> str:
    """Words as they are, never as markup; controls and marks of direction become visible."""
    return escape(clean(words), quote=True)


def element(name: str, inside: str, **attributes: str) -> str:
    """An element around what is markup already; attributes are escaped, ``_`` ends a name."""
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(value, quote=True)}"'
        for key, value in attributes.items()
        if value
    )
    return f"<{name}{given}>{inside}</{name}>"


def paragraphs(lines: Iterable[str], class_: str = "") -> str:
    """A paragraph of each text."""
    return "".join(element("p", text(line), class_=class_) for line in lines)


class Lots:
    """Which lots have a place to be linked to; each place is written once."""

    def __init__(self, known: Iterable[str] = ()) -> None:
        self._known = frozenset(known)
        self._placed: set[str] = set()

    def anchor(self, lot: str) -> str:
        """The id that the first cell of a lot at its own place gets, "" for any further one."""
        if lot not in self._known or lot in self._placed:
            return ""
        self._placed.add(lot)
        return lot

    def linked(self, lot: str) -> str:
        """A lot's short form, as a link where it has a place."""
        return element("a", text(lot), href=f"#{lot}") if lot in self._known else text(lot)

    def named(self, row: Row, words: str, *, linked: bool) -> str:
        """A lot's short form, as a link where it has a place, and its ten digits."""
        code = row.values.get("code")
        short = self.linked(words) if linked else text(words)
        digits = f" {element('span', text(code), class_='code')}" if isinstance(code, str) else ""
        return short + digits


class Table(NamedTuple):
    """How the rows of a report become tables; ``home``: lots have their place here."""

    report: Report
    lots: Lots
    home: bool = False

    def section(self, section: Section, anchor: str) -> str:
        """A heading with its note, and the rows below."""
        heading = element("h3", text(section.heading), id=anchor) if section.heading else ""
        note = paragraphs([section.note] if section.note else [], "note")
        return heading + note + (self.table(section) if section.rows else "")

    def table(self, section: Section) -> str:
        """The rows under the headings of the columns."""
        columns = self.report.columns
        cells = "".join(
            element(
                "th",
                text(it.heading),
                scope="col",
                role="columnheader",
                class_="right" if it.right else "",
            )
            for it in columns
        )
        if self.report.ticks:
            cells = element("th", "Done", scope="col", role="columnheader") + cells
        head = element("thead", element("tr", cells, role="row"), role="rowgroup")
        rows = "".join(self._row(row) for row in section.rows)
        return element(
            "table", head + rows, role="table", aria_label=clean(section.heading or self._name)
        )

    @property
    def _name(self) -> str:
        return self.report.title

    def _row(self, row: Row) -> str:
        cells = "".join(self._cells(row))
        lines = element("tr", cells, role="row")
        if row.details:
            wide = len(self.report.columns) + self.report.ticks
            more = element(
                "td", "<br>".join(map(text, row.details)), role="cell", colspan=str(wide)
            )
            lines += element("tr", more, class_="more", role="row")
        return element("tbody", lines, class_=row.tone.value, role="rowgroup")

    def _cells(self, row: Row) -> Iterator[str]:
        if self.report.ticks:
            name = " ".join(shown(row, it.key) for it in self.report.columns[:2])
            box = f'<input type="checkbox" aria-label="{text(f"done: {name}")}">'
            yield element("td", box, role="cell", data_head="Done")
        for column in self.report.columns:
            yield self._cell(row, column)

    def _cell(self, row: Row, column: Column) -> str:
        words = shown(row, column.key)
        inside, anchor = text(words), ""
        if column.key == "lot" and words:
            inside = self.lots.named(row, words, linked=not self.home)
            anchor = self.lots.anchor(words) if self.home else ""
        if column.key == self.report.verdict and row.tone is not Tone.PLAIN:
            inside = element("span", inside, class_="says")
        elif column.key == "lot" or column.right:
            inside = element("span", inside)
        classes = " ".join(
            word
            for word, used in (
                ("right", column.right),
                ("fixed", column.fixed and not column.right),
                ("empty", not words),
            )
            if used
        )
        return element(
            "td", inside, id=anchor, class_=classes, role="cell", data_head=clean(column.heading)
        )


def cautions(report: Report) -> str:
    """A report's cautions in a frame."""
    if not report.cautions:
        return ""
    items = "".join(element("li", text(each)) for each in report.cautions)
    inside = element("h3", "Cautions") + element("ul", items)
    return element("div", inside, class_="cautions")
