"""A report as blocks on pages: what stands where on paper. Nothing here draws."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TypeAlias

from stockcheck.core.calendar import spoken
from stockcheck.output.cells import shown
from stockcheck.output.layout import Measure, Need, fit, need, widen, wrap_within
from stockcheck.output.pdf_page import (
    MM,
    Block,
    Box,
    Mark,
    Pager,
    Placed,
    Rule,
    Sheet,
    Style,
    Text,
    stack,
)
from stockcheck.output.report import Column, Report, Row, Section, Tone

TITLE = Style(True, 17, 21)
DATE = Style(False, 10.5, 14)
FACT = Style(False, 9.5, 12.5)
HEADING = Style(True, 12, 15.5)
NOTE = Style(False, 9, 12, grey=0.25)
COLUMN = Style(True, 8, 10)
CELL = Style(False, 9, 11.5)
DETAIL = Style(False, 8.5, 10.5, grey=0.2)
TOTAL = Style(True, 10, 13.5)
CAUTION = Style(False, 9, 11.5)

MOST_LINES = 12  # of one cell, detail or fact: what is longer ends in an ellipsis
GAP = 3 * MM
BAR = 3 * MM  # room at the row's left edge for the bar of its tone
TICK = 4.5 * MM
TICK_ROOM = TICK + 3 * MM
TICK_ROW = 9.5 * MM  # least height of a row that a pen in a cold hand can tick
UNDER = 1.2 * MM  # below a row, its hairline included

Ink: TypeAlias = Callable[[Style], Measure]


@dataclass(frozen=True)
class Composer:
    """Composes one report; ``ink`` measures letters, ``clean`` leaves only what the font has."""

    report: Report
    ink: Ink
    clean: Callable[[str], str]
    upright: Sheet

    def pages(self) -> list[list[Placed]]:
        """All pages of the report."""
        pager = Pager(self.sheet.depth)
        self._top(pager)
        for number, section in enumerate(self.report.sections if self.report.rows else ()):
            pager.skip(5 * MM if number else 0)
            self._section(pager, section)
        if not self.report.rows:
            pager.put(self._prose(self.report.empty, TOTAL))
        self._foot(pager)
        if self.report.timeline and self.report.timeline.bars:
            from stockcheck.output.pdf_timeline import chart

            chart(self.report.timeline, self.ink, self.clean, self.sheet).put(pager)
        return pager.pages

    @cached_property
    def sheet(self) -> Sheet:
        """Upright, or lying where upright columns would have to break words."""
        fits = self._fit(self.upright, 4) is not None
        return self.upright if fits else self.upright.turned()

    @cached_property
    def widths(self) -> list[float]:
        """The columns' widths; as a last resort all shrink alike and their words are broken."""
        fitted = self._fit(self.sheet, 4) or self._fit(self.sheet, 8)
        if fitted:
            measure = self.ink(COLUMN)
            headings = [measure(self.clean(column.heading)) for column in self.report.columns]
            return widen(fitted, headings, self._for_cells(self.sheet))
        needs = [min(each.natural, self.sheet.room / 8) for each in self._needs]
        return [each * self._for_cells(self.sheet) / sum(needs) for each in needs]

    @cached_property
    def _needs(self) -> list[Need]:
        return [self._need(column) for column in self.report.columns]

    def _need(self, column: Column) -> Need:
        texts = {self.clean(shown(row, column.key)) for row in self.report.rows}
        bold = Style(column.key == self._verdict, CELL.size, CELL.leading)
        cells = need(texts, self.ink(bold), column.weight, column.fixed)
        words = self.clean(column.heading).split(" ")
        heading = need(words, self.ink(COLUMN), column.weight, column.fixed)
        natural = max(cells.natural, heading.natural)
        return Need(natural, max(cells.word, heading.word), cells.weight, cells.fixed)

    def _fit(self, sheet: Sheet, parts: int) -> list[float] | None:
        room = self._for_cells(sheet)
        return fit(self._needs, room, room / parts)

    def _for_cells(self, sheet: Sheet) -> float:
        return sheet.room - self._indent - GAP * (len(self.report.columns) - 1)

    @cached_property
    def _verdict(self) -> str:
        return self.report.verdict

    @property
    def _indent(self) -> float:
        return BAR + (TICK_ROOM if self.report.ticks else 0)

    def _lines(self, text: str, room: float, style: Style, most: int = MOST_LINES) -> list[str]:
        return wrap_within(self.clean(text), room, self.ink(style), most)

    def _prose(self, text: str, style: Style, x: float = 0.0) -> Block:
        """A wrapped text from ``x`` to the right margin."""
        lines = self._lines(text, self.sheet.room - x, style)
        return _letters(lines, x, style)

    def _top(self, pager: Pager) -> None:
        pager.put(self._prose(self.report.title, TITLE))
        of_store = f", store {self.report.store}" if self.report.store else ""
        pager.put(self._prose(f"as of {spoken(self.report.on)}{of_store}", DATE))
        for fact in self.report.facts:
            pager.put(self._prose(fact, FACT))
        pager.put(Block(2 * MM, (Rule(0, 1.5 * MM, self.sheet.room, 1.2),)))
        pager.skip(4 * MM)

    def _section(self, pager: Pager, section: Section) -> None:
        heading, columns = self._heading(section), self._columns()
        if not section.rows:
            pager.put(heading)
            return
        rows = [self._row_parts(row) for row in section.rows]
        first = stack(rows[0]).height
        if heading.height + columns.height + first > pager.depth:
            first = rows[0][0].height
        pager.put(heading, keep_with=columns.height + first)
        pager.put(columns)
        again = [self._prose(f"{section.heading}, continued", NOTE)] if section.heading else []
        pager.running = stack([*again, columns])
        for parts in rows:
            self._put_row(pager, parts)
        pager.running = None

    def _heading(self, section: Section) -> Block:
        parts = [(section.heading, HEADING), (section.note, NOTE)]
        whole = stack([self._prose(text, style) for text, style in parts if text] + [Block(1 * MM)])
        return Block(whole.height, whole.marks, self.clean(section.heading))

    @cached_property
    def _places(self) -> list[tuple[Column, float, float]]:
        """Each column with its left edge and width."""
        edges = [self._indent]
        for width in self.widths:
            edges.append(edges[-1] + width + GAP)
        starts = [start for start, _ in pairwise(edges)]
        return list(zip(self.report.columns, starts, self.widths, strict=True))

    def _columns(self) -> Block:
        wrapped = [self._lines(c.heading, width, COLUMN, 4) for c, _, width in self._places]
        height = max((len(lines) for lines in wrapped), default=0) * COLUMN.leading
        marks: list[Mark] = []
        for (column, x, width), lines in zip(self._places, wrapped, strict=True):
            top = height - len(lines) * COLUMN.leading
            marks += self._cell(column, x, width, top, lines, COLUMN)
        rule = Rule(0, height + 0.8 * MM, self.sheet.room, 0.8)
        return Block(height + 1.2 * MM, (*marks, rule))

    def _cell(
        self, column: Column, x: float, width: float, top: float, lines: list[str], style: Style
    ) -> list[Mark]:
        measure = self.ink(style)
        return [
            Text(
                x + (width - measure(line) if column.right else 0),
                _baseline(top, number, style),
                line,
                style,
            )
            for number, line in enumerate(lines)
        ]

    def _row_parts(self, row: Row) -> list[Block]:
        """The row's cells, its details, and the hairline under them."""
        parts = [self._row(row), *(self._detail(text) for text in row.details)]
        height = sum(part.height for part in parts) + UNDER
        extra = max(0, TICK_ROW - height) if self.report.ticks else 0
        rule = Rule(0, extra + UNDER, self.sheet.room, 0.3, grey=0.6)
        return [*parts, Block(extra + UNDER, (rule,))]

    def _put_row(self, pager: Pager, parts: list[Block]) -> None:
        """A row with its details stays together, unless they would not even fit on a page."""
        whole = stack(parts)
        head = pager.running.height if pager.running else 0.0
        for block in [whole] if whole.height <= pager.depth - head else parts:
            pager.put(block)

    def _row(self, row: Row) -> Block:
        marks: list[Mark] = []
        most, pad = 0, (2 * MM if self.report.ticks else 1 * MM)
        for column, x, width in self._places:
            style = _cell_style(row, column.key == self._verdict)
            lines = self._lines(shown(row, column.key), width, style)
            marks += self._cell(column, x, width, pad, lines, style)
            most = max(most, len(lines))
        height = most * CELL.leading + pad
        if self.report.ticks:
            height = max(height, TICK + pad)
            marks.append(Box(BAR, pad - 0.4 * MM, TICK, TICK))
        marks += _bar(row.tone, height)
        return Block(height, tuple(marks))

    def _detail(self, text: str) -> Block:
        return self._prose(text, DETAIL, self._indent + 3 * MM)

    def _foot(self, pager: Pager) -> None:
        pager.skip(4 * MM)
        for total in self.report.totals:
            pager.put(self._prose(total, TOTAL))
        if self.report.cautions:
            pager.skip(4 * MM)
            pager.put_framed(self._cautions(), 3 * MM, self.sheet.room)

    def _cautions(self) -> list[Block]:
        """The lines of the framed block, each with an exclamation mark where a caution begins."""
        x, room = 3 * MM, self.sheet.room - 10 * MM
        blocks = [_letters(["Cautions"], x, TOTAL)]
        for caution in self.report.cautions:
            first, *rest = self._lines(caution, room, CAUTION)
            mark = Text(x, _baseline(0, 0, CAUTION), "!", Style(True, CAUTION.size, 0))
            line = _letters([first], x + 4 * MM, CAUTION)
            blocks.append(Block(line.height, (mark, *line.marks)))
            blocks += [_letters([each], x + 4 * MM, CAUTION) for each in rest]
        return blocks


def _letters(lines: list[str], x: float, style: Style) -> Block:
    marks = [Text(x, _baseline(0, n, style), line, style) for n, line in enumerate(lines)]
    return Block(len(lines) * style.leading, tuple(marks))


def _baseline(top: float, number: int, style: Style) -> float:
    """Letters stand in the lower part of their line; a fifth of the size hangs below."""
    return top + number * style.leading + style.size * 0.95


def _cell_style(row: Row, verdict: bool) -> Style:
    bold = verdict and row.tone is Tone.BAD
    return Style(bold, CELL.size, CELL.leading, 0.35 if row.tone is Tone.QUIET else 0.0)


def _bar(tone: Tone, height: float) -> list[Mark]:
    """Black for bad, hollow for a warning, nothing else: it survives any copier."""
    if tone is Tone.BAD:
        return [Box(0, 0.6 * MM, 1.4 * MM, height, fill=0.0)]
    return [Box(0, 0.6 * MM, 1.4 * MM, height)] if tone is Tone.WARN else []
