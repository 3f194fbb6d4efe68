"""The parts of a label, each as a block of a given width: banner, name, date, details, lines.

A part that does not fit in a style is None; only the smallest style may cut a text, and never a
state, a date, a caution or a code.
"""

from __future__ import annotations

from functools import lru_cache

from stockcheck.labels import fonts
from stockcheck.labels.elements import (
    NOTHING,
    Band,
    Block,
    Frame,
    Glyph,
    Paragraph,
    Part,
    Rule,
    Run,
    beside,
    capitals,
    stacked,
)
from stockcheck.labels.fitting import Room, balanced, fit, fit_whole
from stockcheck.labels.fonts import CAPITAL, MM_PER_POINT
from stockcheck.labels.styles import MIN_SMALL, Style
from stockcheck.labels.symbols import BATCH, MADE, SYMBOLS
from stockcheck.labels.text import LabelText

DETAIL_LINES = 3
BATCH_LINES = ABOUT_LINES = 2
ASIDE = 1.6  # mm, the least between the date and what stands beside it
WRITE_LENGTH = 17.0, 30.0  # mm: the shortest and the longest line for a date by hand
_BELOW_DATE = 0.2  # mm more than between other lines
_DATE_MARK = 1.2, 0.2  # mm, and of its height: between a date and its symbol
APART = 2.2  # mm between symbols


@lru_cache(maxsize=256)
def banner(text: LabelText, style: Style, width: float) -> Part | None:
    """A state as white capitals in a black band over the whole width; never cut."""
    if not text.banner:
        return NOTHING
    best, least = style.banner
    fitted = fit_whole(text.banner, Room(width - 2.4, best, least, 2, bold=True))
    if fitted is None:
        return None
    lines = balanced(text.banner) if len(fitted.lines) == 2 else fitted.lines
    em = fitted.size * MM_PER_POINT
    pad, pitch = (0.2 if style.last else 0.32) * em, 1.15 * em
    height = 2 * pad + CAPITAL * em + (len(lines) - 1) * pitch
    things: list[tuple[float, float, Part | Band | Run]] = [(0, 0, Band(0, 0, width, height))]
    for at, line in enumerate(lines):
        run = Run(
            0, pad + CAPITAL * em + at * pitch, line, fitted.size,
            bold=True, rise=CAPITAL, drop=0.02, white=True,
        )  # fmt: skip
        things.append(((width - fonts.width_mm(line, fitted.size, True)) / 2, 0, run))
    return Block(height, tuple(things), width)


@lru_cache(maxsize=256)
def name(text: LabelText, style: Style, width: float, lines: int) -> Block | None:
    """The name and below it the place."""
    size, smallest = style.name_sizes(dated=bool(text.date))
    most = min(lines, 2) if text.date else lines
    room = Room(width, size, smallest, most, bold=True)
    fitted = fit(text.title, room) if style.last else fit_whole(text.title, room)
    if fitted is None:
        return None
    place = _small(text.place, style, width, 1, keep_end=True)
    if place is None:
        return None
    return stacked((Paragraph(fitted.lines, fitted.size, bold=True), place), 0.2)


@lru_cache(maxsize=256)
def short(text: str, size: float) -> Block:
    """The short form of the code, as people say it."""
    return capitals(text, size)


@lru_cache(maxsize=256)
def digits(code: str, size: float, *, rows: int = 1) -> Block:
    """The code's digits, to type where nothing scans; in one row or two."""
    if rows == 1:
        return capitals(code, size, bold=False)
    half = -(-len(code) // 2)
    first, second = (capitals(it, size, bold=False) for it in (code[:half], code[half:]))
    return stacked((first, second), 0.35 * CAPITAL * size * MM_PER_POINT)


@lru_cache(maxsize=256)
def date(text: LabelText, style: Style, width: float) -> Block | None:
    """The date with what governs it and the caution, beside it or below, whichever is lower."""
    if not text.date:
        return _aside(text, style, width)
    block = _day(text, style, width)
    if block is None:
        return None
    free = width - block.width - _aside_gap(block)
    near = _aside(text, style, free, word_last=True)
    hang = _hang(style) if text.date_word else 0.0
    if near is not None and near.height - hang <= block.height:
        return _side_by_side(block, near, hang)
    found: list[Block] = []
    near_word, caution = _word(text, style, free), _caution(text, style, width)
    if near is not None:
        found.append(_side_by_side(block, near, hang))
    if near_word is not None and caution is not None:
        beside_it = _side_by_side(block, near_word, _hang(style))
        found.append(stacked((beside_it, caution), style.gap + _BELOW_DATE))
    if (below := _aside(text, style, width)) is not None:
        found.append(stacked((block, below), style.gap + _BELOW_DATE))
    return min(found, key=lambda it: it.height, default=None)


def _day(text: LabelText, style: Style, width: float) -> Block | None:
    """The date alone, as large as it goes, with its symbol before it."""
    if not text.date_mark:
        fitted = fit_whole(text.date, Room(width, style.date, style.least_date, bold=True))
        return None if fitted is None else capitals(text.date, fitted.size)
    drawing = SYMBOLS[text.date_mark]
    least_gap, share = _DATE_MARK
    most = max(drawing.least_mm, CAPITAL * style.date * MM_PER_POINT)
    taken = most * drawing.width + max(least_gap, share * most)
    fitted = fit_whole(text.date, Room(width - taken, style.date, style.least_date, bold=True))
    if fitted is None:
        return None
    block = capitals(text.date, fitted.size)
    high = max(drawing.least_mm, CAPITAL * fitted.size * MM_PER_POINT)
    glyph = Glyph(0, 0, high, text.date_mark)
    right = glyph.width + max(least_gap, share * high)
    baseline = block.height - _below_baseline(block)
    down = max(0.0, high - baseline)
    things = ((right, down, block), (0.0, down + baseline - high, glyph))
    return Block(down + block.height, things, right + block.width)


def _aside(text: LabelText, style: Style, width: float, *, word_last: bool = False) -> Block | None:
    """What governs the date, and the caution; beside the date the word stands on its baseline."""
    word = _word(text, style, width)
    caution = None if word is None else _caution(text, style, width)
    if word is None or caution is None:
        return None
    return stacked((caution, word) if word_last else (word, caution), style.gap)


def _hang(style: Style) -> float:
    """How far small words hang below their baseline."""
    return fonts.DESCENT * style.small * MM_PER_POINT


def _aside_gap(block: Block) -> float:
    """What stays blank between the date and what stands beside it."""
    return max(ASIDE, 0.25 * block.height)


def _side_by_side(block: Block, aside: Part, hang: float) -> Block:
    """The date and what stands beside it, on one baseline."""
    if not aside.height:
        return block
    baseline = block.height - _below_baseline(block)
    above = max(baseline, aside.height - hang)
    height = above + max(block.height - baseline, hang)
    left = block.width + _aside_gap(block)
    things = ((0.0, above - baseline, block), (left, above + hang - aside.height, aside))
    return Block(height, things)


def _below_baseline(block: Block) -> float:
    return block.height - next(it for it in block.elements() if isinstance(it, Run)).y


def _word(text: LabelText, style: Style, width: float) -> Part | None:
    fitted = fit_whole(text.date_word, Room(width, style.small, style.small, 2))
    return None if fitted is None else Paragraph(fitted.lines, fitted.size)


def _caution(text: LabelText, style: Style, width: float) -> Block | None:
    """The caution words as small capitals in a thin frame; never cut."""
    if not text.caution:
        return NOTHING
    size = max(MIN_SMALL, style.small * 0.9)
    pad_x, pad_y = (0.5, 0.15) if style.last else (0.8, 0.35)
    room = Room(width - 2 * pad_x, size, size, 3 if style.last else 2, bold=True)
    fitted = fit_whole(text.caution.upper(), room)
    if fitted is None:
        return None
    words = Paragraph(fitted.lines, fitted.size, bold=True)
    frame = Frame(0.0, 0.0, words.width + 2 * pad_x, words.height + 2 * pad_y)
    return Block(frame.height, ((0.0, 0.0, frame), (pad_x, pad_y, words)))


@lru_cache(maxsize=256)
def details(text: LabelText, style: Style, width: float, with_opened: bool) -> Part | None:
    """What is in it, batch and made date by their symbols, then further lines.

    They share one line where that holds them all.
    """
    about = _about(text, style, width)
    origin = _origin(text, style, width)
    words = " · ".join(text.lines)
    if with_opened and text.opened:
        words = " · ".join(it for it in (f"opened {text.opened}", words) if it)
    further = _small(words, style, width, DETAIL_LINES)
    if about is None or origin is None or further is None:
        return None
    one_line = isinstance(further, Paragraph) and len(further.lines) == 1
    if one_line and origin.width and origin.width + APART + further.width <= width:
        return stacked((about, beside((origin, further), APART)), style.gap)
    return stacked((about, origin, further), style.gap)


def _about(text: LabelText, style: Style, width: float) -> Part | None:
    """What is in a box or why it is on hold, in at most two lines; cut where it must be."""
    if width <= 0 and text.about:
        return None
    fitted = fit(text.about, Room(width, style.small, style.least_small, ABOUT_LINES))
    return Paragraph(fitted.lines, fitted.size)


def _origin(text: LabelText, style: Style, width: float) -> Block | None:
    """Batch and made date, each after its symbol, in one row or below one another."""
    batch = _marked(BATCH, text.batch, style, width, BATCH_LINES)
    made = _marked(MADE, text.made, style, width, 1)
    if batch is None or made is None:
        return None
    if batch.width + APART + made.width <= width:
        return beside((batch, made), APART)
    return stacked((batch, made), style.gap)


def _marked(symbol: str, words: str, style: Style, width: float, lines: int) -> Block | None:
    """Words after a symbol that says what they are."""
    if not words:
        return NOTHING
    glyph = Glyph(0, 0, max(SYMBOLS[symbol].least_mm, 1.4 * style.capital), symbol)
    fitted = _small(words, style, width - glyph.width - style.near, lines)
    if not isinstance(fitted, Paragraph):
        return None
    mark = Block(glyph.height, ((0, 0, glyph),), glyph.width)
    return beside((mark, fitted), style.near)


@lru_cache(maxsize=256)
def handling(text: LabelText, style: Style, width: float) -> Block | None:
    """How it is to be kept and used, by the standards' symbols, in as few rows as hold them."""
    rows: list[list[Part]] = []
    used = 0.0
    for mark in text.marks:
        glyph = Glyph(0, 0, max(SYMBOLS[mark.symbol].least_mm, 2.2 * style.capital), mark.symbol)
        part = Block(glyph.height, ((0, 0, glyph),), glyph.width)
        if mark.words:
            words = Paragraph((mark.words,), style.small)
            part = beside((part, words), style.near * 0.5)
        if part.width > width:
            return None
        if rows and used + APART + part.width <= width:
            rows[-1].append(part)
            used += APART + part.width
        else:
            rows.append([part])
            used = part.width
    return stacked([beside(row, APART) for row in rows], style.gap)


@lru_cache(maxsize=256)
def opened_day(text: LabelText, style: Style, width: float) -> Part | None:
    """The day of opening, where it is known."""
    if not text.opened:
        return NOTHING
    fitted = fit_whole(f"opened {text.opened}", Room(width, style.small, style.small))
    return None if fitted is None else Paragraph(fitted.lines, fitted.size)


@lru_cache(maxsize=256)
def write_ins(text: LabelText, style: Style, width: float) -> Part | None:
    """Lines to write on, each with what it is for; None where the width is too small."""
    names = text.write_ins
    if not names:
        return NOTHING
    small = style.small
    start = max(fonts.width_mm(f"{it} ", small, bold=False) for it in names)
    length = min(width - start, WRITE_LENGTH[1])
    if length < WRITE_LENGTH[0]:
        return None
    rows: list[Part] = []
    for it in names:
        words = Paragraph((it,), small)
        height = max(words.height, min(5.0, 0.62 * small))
        rule = Rule(start, height - _hang(style), length)
        things = ((0.0, height - words.height, words), (0.0, 0.0, rule))
        rows.append(Block(height, things, start + length))
    return stacked(rows, style.middle_gap)


def _small(
    text: str, style: Style, width: float, lines: int, *, keep_end: bool = False
) -> Part | None:
    room = Room(width, style.small, style.least_small, lines)
    if width <= 0 and text:
        return None
    fitted = fit(text, room, keep_end=keep_end) if style.last else fit_whole(text, room)
    return None if fitted is None else Paragraph(fitted.lines, fitted.size)
