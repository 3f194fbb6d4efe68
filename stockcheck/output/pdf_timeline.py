"""The expiry report's picture as blocks: an axis, and under it a row with a bar for each holding.

Black and white: fills and outlines tell holdings apart, and the words at the bar's end say the
same. Nothing here draws.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import groupby
from typing import NamedTuple
from unicodedata import combining

from stockcheck.core.calendar import MONTHS, spoken
from stockcheck.output.layout import ELLIPSIS, Measure, wrap_within
from stockcheck.output.pdf_page import (
    MM,
    Block,
    Box,
    Mark,
    Pager,
    Panel,
    Placed,
    Rule,
    Sheet,
    Style,
    Text,
    stack,
)
from stockcheck.output.report import Tone
from stockcheck.output.timeline import Bar, Scale, Tick, Timeline, Window, ticks

TITLE = Style(True, 12, 15.5)
PROSE = Style(False, 9, 12)
BOX = Style(True, 8.5, 11)
MORE = Style(False, 7.5, 10, grey=0.25)
NAME = Style(False, 7.5, 10)
STRONG = Style(True, 7.5, 10)
AXIS = Style(True, 7, 9)

ROW = 12.5
BAR = 9.0  # height of a bar within its row
LEAST = 1.2  # width of the bar of a holding that is good today only
MARK = 3.5  # width of an expired holding's black mark
POINT = 5.0  # length of the arrow of a bar that goes on
GAP = 3.0
AXIS_GAP = 1.2
LETTERS = 1.9  # where the letters of a row begin: their capitals stand in the middle of the bar
COLUMN_GAP = 2.5 * MM
MOST_NAME = 0.27  # of the page's width
MOST_LOT = 0.1
TAIL = 0.5  # of a shortened name's room that its end gets

GOOD = 0.8  # greys: of a bar that lasts, of the trip, of its margin, of the months' lines
TRIP = 0.86
MARGIN_DAYS = 0.94
MONTH = 0.78
EDGE = 0.4  # of the lines where the trip and its margin begin and end

Clean = Callable[[str], str]
Ink = Callable[[Style], Measure]


class Chart(NamedTuple):
    """One timeline laid out on a sheet; ``name_room`` and ``lot_x`` place the labels at left."""

    timeline: Timeline
    ink: Ink
    clean: Clean
    sheet: Sheet
    scale: Scale
    name_room: float
    lot_x: float
    lot_room: float

    def put(self, pager: Pager) -> None:
        """Append the chart from a new page on, under its axis on each page."""
        if pager.used:
            pager.turn()
        first, axis = len(pager.pages) - 1, self.axis()
        for block in self.preface():
            pager.put(block)
        start = pager.used + axis.height
        pager.put(axis)
        for name, bars in groupby(self.timeline.bars, key=lambda bar: bar.box):
            pager.running = axis
            pager.put(self.heading(name), keep_with=ROW)
            pager.running = stack([axis, self.continued(name)])
            for bar in bars:
                pager.put(self.row(bar))
        pager.running = None
        for page in pager.pages[first:]:
            end = page[-1].y + page[-1].block.height
            page.insert(0, Placed(start, Block(0, self.backdrop(end - start))))
            start = axis.height

    def preface(self) -> Iterator[Block]:
        """What the chart shows and how to read it."""
        yield Block(TITLE.leading, (_letters(0, 0, "Timeline", TITLE),), "Timeline")
        for sentence in self._sentences():
            lines = wrap_within(self.clean(sentence), self.sheet.room, self.ink(PROSE), 4)
            marks = (_letters(0, n * PROSE.leading, line, PROSE) for n, line in enumerate(lines))
            yield Block(len(lines) * PROSE.leading, tuple(marks))
        yield self.legend()

    def _sentences(self) -> Iterator[str]:
        timeline = self.timeline
        yield (
            f"Each bar runs from {spoken(timeline.start)} through the last usable day;"
            " the word at its end names the limit that governs."
        )
        if timeline.window:
            departs, returns, horizon = timeline.window
            shaded = f"Shaded: the trip, {spoken(departs)} to {spoken(returns)}"
            margin = f"; lighter: its margin, through {spoken(horizon)}"
            yield shaded + (margin if horizon > returns else "") + "."
        if timeline.no_limit:
            one = timeline.no_limit == 1
            yield (
                f"{timeline.no_limit} holding{'' if one else 's'} without a limit"
                f" {'is' if one else 'are'} left out."
            )

    def legend(self) -> Block:
        """A sample of each way to draw a bar, with its meaning, as many in a line as fit."""
        short = "ends on trip, or due" if self.timeline.window else "due"
        samples: tuple[tuple[Panel | Box, str], ...] = (
            (Panel(0, 0, 16, BAR, fill=GOOD), "in date"),
            (Panel(0, 0, 16, BAR), short),
            (Panel(0, 0, 16, BAR, fill=GOOD, point=POINT), "lasts past the chart"),
            (Panel(0, 0, 16, BAR, dotted=True), "no date, held or last resort"),
            (Box(0, 0, MARK, BAR, fill=0), "expired"),
        )
        x, y, marks = 0.0, 3.0, list[Mark]()
        for sample, words in samples:
            start = sample.width + GAP
            width = start + self.ink(NAME)(words)
            if x and x + width > self.sheet.room:
                x, y = 0, y + ROW
            marks.append(sample._replace(x=x, y=y + (ROW - BAR) / 2))
            marks.append(_letters(x + start, y + LETTERS, words, NAME))
            x += width + 4 * MM
        return Block(y + ROW + 3, tuple(marks))

    def axis(self) -> Block:
        """Years over months, and the trip named over its shading."""
        found = self._ticks()
        years = [_letters(tick.x + AXIS_GAP, 0, tick.year, AXIS) for tick in found if tick.year]
        months = [
            _letters(tick.x + AXIS_GAP, AXIS.leading, tick.month, AXIS)
            for tick in found
            if tick.month
        ]
        marks: list[Mark] = [*years, *months]
        height = 2 * AXIS.leading + 2
        marks.append(Rule(self.scale.left, height, self.scale.width, 0.8))
        if self.timeline.window:
            marks.append(self._trip(self.timeline.window, height + 1))
            height += NAME.leading + 1
        return Block(height + 1, tuple(marks))

    def _ticks(self) -> tuple[Tick, ...]:
        measure = self.ink(AXIS)
        months = max(measure(month) for month in MONTHS)
        return ticks(self.scale, months + AXIS_GAP + 1, measure("0000") + AXIS_GAP + 2)

    def _trip(self, window: Window, y: float) -> Text:
        """The trip's days where they fit over its shading, else the word, as near as it can be."""
        begin, end = self.scale.begin(window.departs), self.scale.finish(window.returns)
        measure = self.ink(NAME)
        words = f"trip {spoken(window.departs)[:6]} to {spoken(window.returns)}"
        if measure(words) > end - begin - 2 * AXIS_GAP:
            words = "trip"
        first, last = self.scale.left + AXIS_GAP, self.scale.right - AXIS_GAP - measure(words)
        middle = begin + (end - begin - measure(words)) / 2
        return _letters(min(max(middle, first), last), y, words, NAME)

    def heading(self, name: str) -> Block:
        """A box's name over its bars."""
        return self._line(name, BOX, 4)

    def continued(self, name: str) -> Block:
        """The same at the top of a page."""
        return self._line(f"{name}, continued", MORE, 2)

    def _line(self, text: str, style: Style, above: float) -> Block:
        line = _cut(self.clean(text), self.sheet.room, self.ink(style))
        return Block(above + style.leading + 1, (_letters(0, above, line, style),))

    def row(self, bar: Bar) -> Block:
        """A holding's name and lot, its bar, and the words at the bar's end."""
        name = _shortened(self.clean(bar.label), self.name_room, self.ink(NAME))
        lot = _cut(self.clean(bar.lot), self.lot_room, self.ink(NAME))
        shape = self.shape(bar)
        texts = (_letters(0, LETTERS, name, NAME), _letters(self.lot_x, LETTERS, lot, NAME))
        return Block(ROW, (*texts, shape, self._end_words(bar, shape)))

    def shape(self, bar: Bar) -> Panel | Box:
        """Black mark, dotted, hollow or grey, as the legend says."""
        left, top = self.scale.left, (ROW - BAR) / 2
        if bar.expired(self.timeline.start):
            return Box(left, top, MARK, BAR, fill=0)
        dotted = bar.set_aside or bar.last_usable_day is None
        fill = 1.0 if dotted or bar.tone is not Tone.PLAIN else GOOD
        if bar.last_usable_day is None:
            return Panel(left, top, self.scale.width, BAR, fill, dotted)
        width = max(self.scale.finish(bar.last_usable_day) - left, LEAST)
        point = POINT if bar.last_usable_day > self.scale.end else 0.0
        return Panel(left, top, width, BAR, fill, dotted, point)

    def _end_words(self, bar: Bar, shape: Panel | Box) -> Text:
        """Beside the bar's end where there is room, else inside, at its end; NO DATE at its start.

        Where neither holds them all, the words are cut to the larger.
        """
        style = STRONG if bar.tone in {Tone.BAD, Tone.WARN} else NAME
        measure, words = self.ink(style), self.clean(bar.words(self.timeline.start))
        if bar.last_usable_day is None:
            return _letters(shape.x + GAP, LETTERS, words, style)
        start = shape.x + shape.width + GAP
        stop = start - 2 * GAP - (shape.point if isinstance(shape, Panel) else 0)
        beside, inside = self.scale.right - GAP - start, stop - self.scale.left - GAP
        words = _cut(words, max(beside, inside), measure)
        fits = measure(words) <= beside
        return _letters(start if fits else stop - measure(words), LETTERS, words, style)

    def backdrop(self, height: float) -> tuple[Mark, ...]:
        """Behind a page's rows: the trip, its margin, the months' lines, the chart's sides."""
        return (*self._shading(height), *self._lines(height))

    def _shading(self, height: float) -> Iterator[Box]:
        """The trip's days, and the margin's; from the line under the months downwards."""
        if self.timeline.window is None:
            return
        above = NAME.leading + 2
        begin = self.scale.begin(self.timeline.window.departs)
        back = self.scale.finish(self.timeline.window.returns)
        last = self.scale.finish(self.timeline.window.horizon)
        for x, until, fill in ((begin, back, TRIP), (back, last, MARGIN_DAYS)):
            if until > x:
                yield Box(x, -above, until - x, height + above, fill)
        for x in (begin, back, last):
            yield Box(x - 0.2, -above, 0.4, height + above, EDGE)

    def _lines(self, height: float) -> Iterator[Box]:
        for tick in self._ticks()[1:]:
            yield Box(tick.x, 0, 0.6 if tick.year else 0.3, height, MONTH)
        for x in (self.scale.left, self.scale.right):
            yield Box(x - 0.25, 0, 0.5, height, 0)


def chart(timeline: Timeline, ink: Ink, clean: Clean, sheet: Sheet) -> Chart:
    """The chart with room at left for its longest names, but no more than a share of the page."""
    measure = ink(NAME)
    names = max((measure(clean(bar.label)) for bar in timeline.bars), default=0.0)
    lots = max((measure(clean(bar.lot)) for bar in timeline.bars), default=0.0)
    name_room, lot_room = min(names, MOST_NAME * sheet.room), min(lots, MOST_LOT * sheet.room)
    lot_x = name_room + COLUMN_GAP
    left = lot_x + lot_room + COLUMN_GAP
    scale = Scale(timeline.start, timeline.end, left, sheet.room - left)
    return Chart(timeline, ink, clean, sheet, scale, name_room, lot_x, lot_room)


def _cut(text: str, room: float, measure: Measure) -> str:
    return wrap_within(text, room, measure, 1)[0]


def _shortened(text: str, room: float, measure: Measure) -> str:
    """The text with its middle left out: sizes and "(opened)" stand at the end of names.

    The end begins with a whole word where there is one.
    """
    if measure(text) <= room:
        return text
    tail = _reach(text[::-1], room * TAIL, measure)[::-1]
    tail = tail[max(tail.find(" "), 0) :]
    while combining(tail[:1] or "-"):
        tail = tail[1:]  # a mark without its letter
    head = _reach(text, room - measure(ELLIPSIS + tail), measure).rstrip()
    return head + ELLIPSIS + tail


def _reach(text: str, room: float, measure: Measure) -> str:
    """As many of the first characters as fit."""
    used = 0.0
    for number, char in enumerate(text):
        used += measure(char)
        if used > room:
            return text[:number]
    return text


def _letters(x: float, top: float, text: str, style: Style) -> Text:
    """A line of text whose letters stand below ``top``."""
    return Text(x, top + style.size * 0.95, text, style)
