"""The blocks of a lid sheet: its head, the table of what is in the box, cautions, disposal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stockcheck.labels.elements import (
    NOTHING,
    Band,
    Block,
    Element,
    Glyph,
    Paragraph,
    Part,
    Rule,
    Run,
    Symbol,
    beside,
    capitals,
    stacked,
)
from stockcheck.labels.fitting import Room, fit
from stockcheck.labels.fonts import CAPITAL, MM_PER_POINT, width_mm
from stockcheck.labels.form_text import paragraph
from stockcheck.labels.lid import PAPERS, Lid, LidLine
from stockcheck.labels.measure import Measure

_GUTTER = 2.2  # mm between what stands side by side
_APART = 1.1  # em between columns
_HEADINGS = "lot", "item", "have", "par", "good through"
_HAIRLINE, _LINE = 0.12, 0.4


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel's size and margin in mm, its type sizes in points, and how high its bars are."""

    width: float
    height: float
    margin: float
    name: float
    text: float
    small: float
    bars_high: float

    @property
    def inner(self) -> float:
        """The width between the margins."""
        return self.width - 2 * self.margin

    @property
    def room(self) -> float:
        """The height above the foot line."""
        return self.height - 2 * self.margin - self.foot

    @property
    def foot(self) -> float:
        """The height of the line at the foot with the space above it."""
        return 2 * self.small * MM_PER_POINT

    @property
    def em(self) -> float:
        """One em of the table's texts in mm."""
        return self.text * MM_PER_POINT


PANELS = {
    "a4": Panel(*PAPERS["a4"], 12.0, 34, 10, 8.5, 12.0),
    "a5": Panel(*PAPERS["a5"], 9.0, 26, 8.5, 7.5, 10.0),
    "a6": Panel(*PAPERS["a6"], 7.0, 19, 7, 6, 7.0),
    "letter": Panel(*PAPERS["letter"], 12.0, 34, 10, 8.5, 12.0),
}


@dataclass(frozen=True, slots=True)
class Section:
    """Blocks below a heading, which stands again where they go on."""

    heading: Part
    blocks: tuple[Part, ...]


def head(lid: Lid, panel: Panel, measure: Measure) -> Part:
    """Sign, name, place and facts at the left, the code at the right, a line below."""
    code = _code(lid, panel, measure)
    width = panel.inner - code.width - measure.quiet_mm - _GUTTER
    sign: Part = NOTHING
    if lid.sign:
        high = 1.25 * panel.name * MM_PER_POINT
        glyph = Glyph(0, 0, high, lid.sign)
        sign = Block(high, ((0, 0, glyph),), glyph.width)
    name_room = Room(
        width - (sign.width + _GUTTER if lid.sign else 0), panel.name, panel.name * 0.55, 2,
        bold=True,
    )  # fmt: skip
    fitted = fit(lid.name, name_room)
    name = Paragraph(fitted.lines, fitted.size, bold=True)
    words = [
        beside((sign, name), _GUTTER),
        _space(0.4 * panel.em) if lid.sign else NOTHING,
        paragraph(lid.place, panel.text, width) if lid.place else NOTHING,
        _space(0.5 * panel.em),
        paragraph(" · ".join(lid.facts), panel.text, width) if lid.facts else NOTHING,
    ]
    if lid.inside:
        words.append(paragraph(f"boxes inside: {', '.join(lid.inside)}", panel.text, width))
    left = stacked(words, 0.0)
    high = max(left.height, code.height) + 0.6 * panel.em
    right = panel.inner - code.width
    things = ((0.0, 0.0, left), (right, 0.0, code), (0.0, high, Rule(0, 0, panel.inner, _LINE)))
    return Block(high + 0.5 * panel.em, things, panel.inner)


def _code(lid: Lid, panel: Panel, measure: Measure) -> Block:
    """The code with the short form and the digits; below bars, beside the modules of a matrix."""
    short = capitals(lid.short, panel.name * 0.55)
    digits = capitals(lid.code, panel.small, bold=False)
    high = max(measure.min_height_mm, panel.bars_high) if measure.stretches else 0.0
    high = high or measure.min_height_mm
    symbol = Symbol(0, measure.quiet_y_mm, high, lid.code, measure)
    below = high + 2 * measure.quiet_y_mm + 0.6
    width = max(measure.wide_mm, short.width, digits.width)
    if measure.stretches and short.width + digits.width + _GUTTER <= measure.wide_mm:
        row = max(short.height, digits.height)
        things = (
            (0.0, 0.0, symbol),
            (0.0, below + row - digits.height, digits),
            (measure.wide_mm - short.width, below + row - short.height, short),
        )
        return Block(below + row, things, measure.wide_mm)
    further = (
        (width - measure.wide_mm, 0.0, symbol),
        (width - short.width, below, short),
        (width - digits.width, below + short.height + 0.8, digits),
    )
    return Block(below + short.height + 0.8 + digits.height, further, width)


def continued(lid: Lid, panel: Panel) -> Part:
    """The head of a further panel."""
    fitted = fit(
        f"{lid.name}, continued", Room(panel.inner, panel.text * 1.3, panel.text, bold=True)
    )
    name = Paragraph(fitted.lines, fitted.size, bold=True)
    high = name.height + 0.3 * panel.em
    things = ((0.0, 0.0, name), (0.0, high, Rule(0, 0, panel.inner, _LINE)))
    return Block(high + 0.5 * panel.em, things, panel.inner)


def sections(lid: Lid, panel: Panel) -> Iterator[Section]:
    """The table, the cautions, the disposal routes; those that there are."""
    if lid.lines:
        columns = _Columns.of(lid, panel)
        rows = tuple(_row(line, columns, panel) for line in lid.lines)
        yield Section(_table_heading(columns, panel), rows)
    else:
        empty = paragraph("Nothing is in this box.", panel.text, panel.inner)
        yield Section(NOTHING, (empty,))
    if lid.cautions:
        texts = tuple(_text("", text, panel) for text in lid.cautions)
        yield Section(_heading("Cautions", panel), texts)
    if lid.disposal:
        texts = tuple(_text(f"{name}: ", text, panel) for name, text in lid.disposal)
        yield Section(_heading("Getting rid of it", panel), texts)


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where the columns stand: names from ``name``, the others by their right edges."""

    name: float
    name_width: float
    have: float
    par: float
    date: float

    @classmethod
    def of(cls, lid: Lid, panel: Panel) -> _Columns:
        """As wide as their widest text; the name has the rest, and never less than a third."""

        def widest(heading: str, cells: Iterator[str], *, bold: bool = False) -> float:
            found = [width_mm(cell, panel.text, bold) for cell in cells]
            return max(width_mm(heading, panel.small, False), *found)

        lot_heading, _, have_heading, par_heading, date_heading = _HEADINGS
        lot = widest(lot_heading, (it.lot for it in lid.lines))
        have = widest(have_heading, (it.quantity for it in lid.lines))
        par = widest(par_heading, (it.par for it in lid.lines))
        date = widest(date_heading, (it.date for it in lid.lines), bold=True)
        apart = _APART * panel.em
        most = (panel.inner * 2 / 3 - lot - date - 4 * apart) / 2
        have, par = min(have, most), min(par, most)
        date_edge = panel.inner
        par_edge = date_edge - date - apart
        have_edge = par_edge - par - apart
        start = lot + 0.8 * apart
        return cls(start, have_edge - have - apart - start, have_edge, par_edge, date_edge)


def _table_heading(columns: _Columns, panel: Panel) -> Part:
    lot, name, have, par, date = (Paragraph((it,), panel.small) for it in _HEADINGS)
    high = lot.height + 0.25 * panel.em
    things = (
        (0.0, 0.0, lot),
        (columns.name, 0.0, name),
        (columns.have - have.width, 0.0, have),
        (columns.par - par.width, 0.0, par),
        (columns.date - date.width, 0.0, date),
        (0.0, high, Rule(0, 0, panel.inner, _HAIRLINE * 2)),
    )
    return Block(high + 0.3 * panel.em, things, panel.inner)


def _row(line: LidLine, columns: _Columns, panel: Panel) -> Part:
    """One line of the table, on one baseline; its state and what lacks below the name."""
    text = panel.text
    fitted = fit(line.name, Room(columns.name_width, text, text, 2))
    words: list[Part] = [Paragraph(fitted.lines, fitted.size)]
    tags = [_tag(line.state, panel)] if line.state else []
    if line.note:
        tags.append(Paragraph((line.note,), panel.small, bold=True))
    if tags:
        words.append(beside(tags, _GUTTER))
    name = stacked(words, 0.15 * panel.em)
    things: list[tuple[float, float, Part | Element]] = [(columns.name, 0.0, name)]
    apart = _APART * panel.em
    lot_width = columns.name - 0.8 * apart
    for cell, right, width, bold in (
        (line.lot, -1.0, lot_width, False),
        (
            line.quantity,
            columns.have,
            columns.have - columns.name - columns.name_width - apart,
            False,
        ),
        (line.par, columns.par, columns.par - columns.have - apart, False),
        (line.date, columns.date, columns.date - columns.par - apart, True),
    ):
        if not cell:
            continue
        size = fit(cell, Room(width, text, 5.0, bold=bold)).size
        part = Paragraph((cell,), size, bold)
        down = 0.93 * (text - size) * MM_PER_POINT  # on the baseline of the name
        things.append((0.0 if right < 0 else right - part.width, down, part))
    high = name.height + 0.35 * panel.em
    things.append((0.0, high, Rule(0, 0, panel.inner, _HAIRLINE)))
    return Block(high + 0.35 * panel.em, tuple(things), panel.inner)


def _tag(words: str, panel: Panel) -> Part:
    """A state, white on black."""
    em = panel.small * MM_PER_POINT
    pad = 0.25 * em
    width = width_mm(words, panel.small, True) + 4 * pad
    high = CAPITAL * em + 2 * pad
    run = Run(
        2 * pad, pad + CAPITAL * em, words, panel.small,
        bold=True, rise=CAPITAL, drop=0.02, white=True,
    )  # fmt: skip
    return Block(high, ((0.0, 0.0, Band(0, 0, width, high)), (0.0, 0.0, run)), width)


def _heading(words: str, panel: Panel) -> Part:
    name = Paragraph((words,), panel.text * 1.1, bold=True)
    above = 0.8 * panel.em
    return Block(above + name.height + 0.1 * panel.em, ((0.0, above, name),), panel.inner)


def _text(lead: str, words: str, panel: Panel) -> Part:
    """A paragraph with a little space after it."""
    text = paragraph(lead + words, panel.small, panel.inner)
    return Block(text.height + 0.45 * panel.em, ((0.0, 0.0, text),), panel.inner)


def _space(high: float) -> Part:
    return Block(high)
