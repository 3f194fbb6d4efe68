"""The cover of a document as blocks: its name, what it is about, the verdict, the contents."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from stockcheck.core.calendar import spoken
from stockcheck.output.bundle import Bundle, Part
from stockcheck.output.layout import Measure, wrap_within
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
from stockcheck.output.report import Tone

TITLE = Style(True, 26, 31)
SUBTITLE = Style(False, 13, 17)
FACT = Style(False, 11, 15)
STRONG = Style(True, 11, 15)
VERDICT = Style(True, 18, 22)
SMALL = Style(False, 9, 12, grey=0.2)
MOST = 12  # lines of one text
MOST_ACROSS = 3  # columns of names below a part
PAD = 5 * MM
BAR = 2.2 * MM


class Page(NamedTuple):
    """What a cover is set with: room, letters' widths, and which letters there are."""

    sheet: Sheet
    ink: Callable[[Style], Measure]
    clean: Callable[[str], str]

    def lines(self, text: str, room: float, style: Style) -> list[str]:
        """A text wrapped to a width."""
        return wrap_within(self.clean(text), room, self.ink(style), MOST)

    def prose(self, text: str, style: Style, x: float = 0.0, less: float = 0.0) -> Block:
        """A text as a block, from ``x`` on and ``less`` narrower than the page."""
        lines = self.lines(text, self.sheet.room - x - less, style)
        marks = [
            Text(x, n * style.leading + style.size * 0.95, line, style)
            for n, line in enumerate(lines)
        ]
        return Block(len(lines) * style.leading, tuple(marks))


class Entry(NamedTuple):
    """Where a part begins, "" where it has no page of its own, and where each thing in it does."""

    number: str
    inner: tuple[tuple[str, str], ...] = ()


def cover_pages(page: Page, bundle: Bundle, entries: Sequence[Entry]) -> list[list[Placed]]:
    """The cover with the page of each part, and below it those of what is drawn in it.

    How many pages it takes does not depend on the numbers.
    """
    cover, pager = bundle.cover, Pager(page.sheet.depth)
    pager.put(page.prose(cover.title, TITLE))
    pager.put(page.prose(cover.subtitle, SUBTITLE))
    of_store = f", store {bundle.store}" if bundle.store else ""
    pager.put(page.prose(f"as of {spoken(bundle.on)}{of_store}", SUBTITLE))
    pager.put(Block(4 * MM, (Rule(0, 2.5 * MM, page.sheet.room, 1.6),)))
    pager.skip(4 * MM)
    for block in _facts(page, cover.facts):
        pager.put(block)
    pager.skip(6 * MM)
    pager.put(_verdict(page, bundle))
    pager.skip(8 * MM)
    pager.put(page.prose("Contents", STRONG), keep_with=2 * FACT.leading)
    for part, entry in zip(bundle.parts, entries, strict=True):
        pager.put(_entry(page, part, entry.number))
        for block in _inner(page, entry.inner):
            pager.put(block)
    pager.skip(6 * MM)
    for text in cover.foot:
        pager.put(page.prose(text, SMALL))
    return pager.pages


def _facts(page: Page, facts: Sequence[tuple[str, str]]) -> Iterator[Block]:
    """Word and text side by side, the texts under one another."""
    measure = page.ink(STRONG)
    left = max((measure(page.clean(word)) for word, _ in facts), default=0.0) + 6 * MM
    for word, text in facts:
        name = Text(0, STRONG.size * 0.95, page.clean(word), STRONG)
        told = page.prose(text, FACT, left)
        yield Block(told.height + 1, (name, *told.marks))


def _verdict(page: Page, bundle: Bundle) -> Block:
    """The verdict in a frame with a bar at its left: black for bad, hollow for a warning."""
    cover, x = bundle.cover, PAD + BAR + 2 * MM
    texts = [page.prose(cover.verdict, VERDICT, x, PAD), Block(1.5 * MM)]
    texts += [page.prose(reason, FACT, x, PAD) for reason in cover.reasons]
    whole = stack([Block(PAD), *texts, Block(PAD)])
    bar: tuple[Mark, ...] = ()
    if cover.tone in {Tone.BAD, Tone.WARN}:
        fill = 0.0 if cover.tone is Tone.BAD else None
        bar = (Box(PAD, PAD, BAR, whole.height - 2 * PAD, fill),)
    frame = Box(0, 0, page.sheet.room, whole.height)
    return Block(whole.height, (frame, *bar, *whole.marks))


def _entry(page: Page, part: Part, number: str) -> Block:
    """A part's name, what there is to say of it, and its page at the right."""
    measure = page.ink(FACT)
    words = part.title + (f": {part.about}" if part.about else "")
    if part.empty:
        words = f"{part.title}: {part.report.empty}"
    told = page.prose(words, FACT, 4 * MM, 25 * MM)
    if not number:
        return told
    at = Text(page.sheet.room - measure(number), FACT.size * 0.95, number, FACT)
    return Block(told.height, (*told.marks, at))


def _inner(page: Page, inner: Sequence[tuple[str, str]]) -> Iterator[Block]:
    """Names and pages in three columns, or in two where a name is long, which then wraps."""
    measure, left, between, number = page.ink(SMALL), 8 * MM, 6 * MM, 9 * MM
    room = page.sheet.room - left
    longest = max((measure(page.clean(name)) for name, _ in inner), default=0.0) + number
    across = max(2, min(MOST_ACROSS, int((room + between) / (longest + between))))
    down = -(-len(inner) // across)
    cell = (room + between) / across
    for row in range(down):
        marks: list[Mark] = []
        height = SMALL.leading
        for column, (name, at) in enumerate(inner[row::down]):
            x = left + column * cell
            told = page.prose(name, SMALL, x, page.sheet.room - x - cell + between + number)
            edge = x + cell - between - measure(at)
            marks += [*told.marks, Text(edge, SMALL.size * 0.95, at, SMALL)]
            height = max(height, told.height)
        yield Block(height, tuple(marks))
