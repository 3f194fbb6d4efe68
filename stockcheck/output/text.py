"""Reports as plain text for a terminal, a file or a mail.

Our own small renderer instead of the tabulate library: importing that costs some 35 ms through
importlib.metadata, more than a whole look-up may take, and it neither shares a given width among
columns by weight nor guards a terminal against control characters in names.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from stockcheck.core.calendar import spoken
from stockcheck.output.cells import clean, shown
from stockcheck.output.layout import Need, fit, need, widen, wrap
from stockcheck.output.report import Column, Report, Row, Section, Tone

GAP = "  "
TICK = "[ ]"
STACKED_BELOW = 60
NARROWEST = 24
_SGR = {Tone.BAD: "1;31", Tone.WARN: "33", Tone.GOOD: "32", Tone.QUIET: "2", Tone.PLAIN: ""}
_BOLD = "1"


def render_text(report: Report, *, width: int = 80, colour: bool = False) -> str:
    """The whole report, final newline included, no line wider than ``width`` terminal cells.

    Below sixty columns, or where the columns cannot stand side by side, each row is written as
    lines of "heading: value". Colour only repeats what the words say.
    """
    chunks = text_chunks(
        report.columns, lambda: report.sections, lambda: report, width=width, colour=colour
    )
    return "".join(chunks)


def text_chunks(
    columns: Sequence[Column],
    sections: Callable[[], Iterable[Section]],
    frame: Callable[[], Report],
    *,
    width: int = 80,
    colour: bool = False,
) -> Iterator[str]:
    """The same, section by section, so that no more than one is in memory.

    The sections are asked for twice, first to see how wide the columns must be. ``frame`` is asked
    for after that: the report with everything but its sections.
    """
    needs, rows = _needs(columns, sections(), beside=width >= STACKED_BELOW)
    page = _Page(frame(), needs, max(width, NARROWEST), colour)
    yield from _joined(_blocks(page, sections() if rows else ()))


def _needs(
    columns: Sequence[Column], sections: Iterable[Section], *, beside: bool
) -> tuple[list[Need], int]:
    """What the columns need to stand beside each other, and how many rows there are."""
    needs = [
        need(clean(each.heading).split(" "), display_width, each.weight, each.fixed)
        for each in columns
    ]
    rows = 0
    for section in sections:
        rows += len(section.rows)
        for at, column in enumerate(columns if beside else ()):
            texts = [clean(shown(row, column.key)) for row in section.rows]
            more = need(texts, display_width, column.weight, column.fixed)
            needs[at] = more._replace(
                natural=max(more.natural, needs[at].natural), word=max(more.word, needs[at].word)
            )
    return needs, rows


def _blocks(page: _Page, sections: Iterable[Section]) -> Iterator[Iterable[str]]:
    report, empty = page.report, True
    yield page.top()
    for section in page.sections(sections):
        yield section
        empty = False
    if empty and report.empty:
        yield page.prose(report.empty)
    yield (line for total in report.totals for line in page.prose(total))
    yield (line for caution in report.cautions for line in page.prose(caution, "! "))


def _joined(blocks: Iterable[Iterable[str]]) -> Iterator[str]:
    """Blocks of lines, those without any left out, an empty line between them."""
    gap = ""
    for block in blocks:
        if lines := list(block):
            yield gap + "\n".join(lines)
            gap = "\n\n"
    yield "\n"


def display_width(text: str) -> int:
    """How many terminal cells a text takes: two for East Asian wide, none for combining marks."""
    return len(text) if text.isascii() else sum(map(_cells, text))


def _cells(char: str) -> int:
    if unicodedata.east_asian_width(char) in "WF":
        return 2
    return 0 if unicodedata.category(char) in {"Mn", "Me", "Cf"} else 1


@dataclass(frozen=True, slots=True)
class _Page:
    report: Report
    needs: list[Need]
    width: int
    colour: bool

    def top(self) -> Iterator[str]:
        for line in self.prose(self.report.title):
            yield self.paint(line, _BOLD)
        of_store = f", store {self.report.store}" if self.report.store else ""
        yield from self.prose(f"as of {spoken(self.report.on)}{of_store}")
        for fact in self.report.facts:
            yield from self.prose(fact)

    def prose(self, text: str, lead: str = "", hang: str = "  ") -> Iterator[str]:
        """A text wrapped over the full width after its marker, further lines indented."""
        room = self.width - max(len(lead), len(hang))
        for number, line in enumerate(wrap(clean(text), room, display_width)):
            yield ((hang if number else lead) + line).rstrip(" ")

    def paint(self, text: str, code: str) -> str:
        return f"\x1b[{code}m{text}\x1b[0m" if self.colour and code and text else text

    def sections(self, given: Iterable[Section]) -> Iterator[list[str]]:
        widths = None if self.width < STACKED_BELOW else self.column_widths()
        for section in given:
            lines = list(self.heading(section))
            if widths is None:
                yield lines + self.stacked(section)
            else:
                yield lines + list(self.table(section, widths))

    def heading(self, section: Section) -> Iterator[str]:
        """A rule with the section's name in it, a bare one where it has none."""
        if not section.heading:
            yield self.paint("-" * self.width, _BOLD)
            return
        note = f" ({section.note})" if section.note else ""
        *first, last = self.prose(section.heading + note, "-- ", "   ")
        rule = self.width - display_width(last) - 1
        yield from (self.paint(line, _BOLD) for line in first)
        yield self.paint(f"{last} {'-' * rule}".rstrip(), _BOLD)

    def column_widths(self) -> list[int] | None:
        columns = self.report.columns
        room = self.width - len(GAP) * (len(columns) - 1)
        room -= len(TICK + GAP) if self.report.ticks else 0
        widths = fit(self.needs, room, room // 4) or fit(self.needs, room, room // 8)
        if widths is None:
            return None
        headings: list[float] = [display_width(clean(column.heading)) for column in columns]
        return [int(each) for each in widen([int(each) for each in widths], headings, room)]

    def table(self, section: Section, widths: list[int]) -> Iterator[str]:
        if not section.rows:
            return
        headings = [clean(column.heading) for column in self.report.columns]
        yield from self.beside(headings, widths, [_BOLD] * len(widths), "")
        for row in section.rows:
            cells = [clean(shown(row, column.key)) for column in self.report.columns]
            yield from self.beside(cells, widths, self.codes(row), TICK)
            for detail in row.details:
                yield from self.prose(detail, self.indent() + "  ", self.indent() + "    ")

    def codes(self, row: Row) -> list[str]:
        """The colour of each cell: the verdict in the row's tone, a quiet row throughout."""
        quiet = row.tone is Tone.QUIET
        return [
            _SGR[row.tone] if quiet or column.key == self.report.verdict else ""
            for column in self.report.columns
        ]

    def indent(self) -> str:
        return " " * len(TICK + GAP) if self.report.ticks else ""

    def beside(
        self, cells: list[str], widths: list[int], codes: list[str], tick: str
    ) -> Iterator[str]:
        """Wrapped cells side by side, numbers to the right; no trailing spaces."""
        wrapped = [list(wrap(c, w, display_width)) for c, w in zip(cells, widths, strict=True)]
        for number, parts in enumerate(zip_longest(*wrapped, fillvalue="")):
            line = (tick if not number else "").ljust(len(self.indent()))[: len(self.indent())]
            for part, column, width, code in zip(
                parts, self.report.columns, widths, codes, strict=True
            ):
                fill = " " * (width - display_width(part))
                painted = self.paint(part, code)
                line += (fill + painted if column.right else painted + fill) + GAP
            yield line.rstrip()

    def stacked(self, section: Section) -> list[str]:
        """Each row as lines of "heading: value", rows apart by an empty line."""
        rows = ["\n".join(self.stack(row)) for row in section.rows]
        return ["\n\n".join(rows)] if rows else []

    def stack(self, row: Row) -> Iterator[str]:
        lead, indent = (TICK + " " if self.report.ticks else ""), ""
        for column, code in zip(self.report.columns, self.codes(row), strict=True):
            text = clean(shown(row, column.key))
            if not text:
                continue
            for line in self.prose(f"{clean(column.heading)}: {text}", lead, indent + "  "):
                yield self.paint(line, code)
            indent = " " * (len(TICK) + 1) if self.report.ticks else ""
            lead = indent
        for detail in row.details:
            yield from self.prose(detail, indent + "  ", indent + "    ")
