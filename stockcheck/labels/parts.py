"""The parts of a label, each as a block of a given width: name, date, caution, details, opening.

A part that does not fit in a style is None; only the smallest style may cut a text.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from stockcheck.labels import fonts
from stockcheck.labels.elements import (
    NOTHING,
    Block,
    Frame,
    Paragraph,
    Part,
    Rule,
    capitals,
    stacked,
)
from stockcheck.labels.fitting import Room, fit, fit_whole
from stockcheck.labels.text import LabelText

MIN_TITLE, MIN_DATE, MIN_SMALL, MIN_DIGITS = 6.5, 10.0, 5.0, 6.0  # points; see STYLES
GAP = 0.5  # mm between lines that belong together
MIDDLE_GAP = 0.8  # mm between date, details and line to write on
GROUP_GAP = 0.9  # mm above the date, and above the symbol; less in the smallest style
DETAIL_LINES = 3
_MAX_DIGITS = 9.0
BELOW_DATE = 0.7  # mm
ASIDE = 1.6  # mm between the date and what stands beside it
WRITE_LENGTH = 17.0, 30.0  # mm: the shortest and the longest line for a date by hand
_DATE_LEAD = 1.2  # the date is at least this much larger than the name


@dataclass(frozen=True, slots=True)
class Style:
    """Type sizes in points of the name, the date and the small lines."""

    title: float
    date: float
    small: float
    last: bool = False

    def name_sizes(self, *, dated: bool) -> tuple[float, float]:
        """The largest and the smallest size of a name; without a date it stands in its stead."""
        size = self.title if dated else self.date * 0.65
        return size, MIN_TITLE if self.last else max(MIN_TITLE, size * 0.8)

    @property
    def least_date(self) -> float:
        """The smallest size of the date: never near that of the name."""
        least = max(self.date * 0.75, self.title * _DATE_LEAD)
        return MIN_DATE if self.last else max(MIN_DATE, least)

    @property
    def digits(self) -> float:
        """The size of the code's digits."""
        return min(max(self.small, MIN_DIGITS), _MAX_DIGITS)

    @property
    def least_small(self) -> float:
        """The smallest size of the small lines."""
        return max(MIN_SMALL, self.small * 0.9)


# The smallest: x-height 1.25 mm for the name, 0.96 mm for small lines. Reg. (EU) 1169/2011
# Art. 13(3) asks 0.9 mm of food packs with less than 80 cm2 of surface, 1.2 mm of larger ones.
STYLES = (
    Style(24, 54, 14),
    Style(20, 46, 12),
    Style(17, 40, 10.5),
    Style(15, 34, 9.5),
    Style(13, 29, 8.5),
    Style(11.5, 25, 8),
    Style(10, 22, 7.5),
    Style(9, 19, 7),
    Style(8, 16.5, 6.5),
    Style(7.5, 14.5, 6),
    Style(7, 13, 5.5),
    Style(MIN_TITLE, 11, MIN_SMALL, last=True),
)


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
def digits(code: str, style: Style) -> Block:
    """The code's digits, to type where nothing scans."""
    return capitals(code, style.digits, bold=False)


@lru_cache(maxsize=256)
def date(text: LabelText, style: Style, width: float) -> Block | None:
    """The date with what governs it and the caution, beside it or below, whichever is lower."""
    if not text.date:
        return _aside(text, style, width)
    fitted = fit_whole(text.date, Room(width, style.date, style.least_date, bold=True))
    if fitted is None:
        return None
    block = capitals(text.date, fitted.size)
    free = width - block.width - ASIDE
    near = _aside(text, style, free)
    hang = 0.0 if text.caution else _hang(style)
    if near is not None and near.height - hang <= block.height:
        return _side_by_side(block, near, hang)
    found: list[Block] = []
    near_word, caution = _word(text, style, free), _caution(text, style, width)
    if near is not None:
        found.append(_side_by_side(block, near, hang))
    if near_word is not None and caution is not None:
        beside = _side_by_side(block, near_word, _hang(style))
        found.append(stacked((beside, caution), BELOW_DATE))
    if (below := _aside(text, style, width)) is not None:
        found.append(stacked((block, below), BELOW_DATE))
    return min(found, key=lambda it: it.height, default=None)


def _aside(text: LabelText, style: Style, width: float) -> Block | None:
    """What governs the date, and the caution."""
    word = _word(text, style, width)
    caution = None if word is None else _caution(text, style, width)
    return None if word is None or caution is None else stacked((word, caution), GAP)


def _hang(style: Style) -> float:
    """How far small words hang below their baseline."""
    return fonts.DESCENT * style.small * fonts.MM_PER_POINT


def _side_by_side(block: Block, aside: Part, hang: float) -> Block:
    """The date and what stands beside it, on one baseline."""
    if not aside.height:
        return block
    baseline = block.height - _below_baseline(block)
    above = max(baseline, aside.height - hang)
    height = above + max(block.height - baseline, hang)
    left = block.width + ASIDE
    things = ((0.0, above - baseline, block), (left, above + hang - aside.height, aside))
    return Block(height, things)


def _below_baseline(block: Block) -> float:
    return block.height - next(block.elements()).y


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
    """Batch and further lines in one paragraph, with the day of opening where asked."""
    words = detail_words(text)
    if with_opened and text.opened:
        words = " · ".join(it for it in (f"opened {text.opened}", words) if it)
    return _small(words, style, width, DETAIL_LINES)


def detail_words(text: LabelText) -> str:
    """Batch and further lines, as they are printed."""
    batch = f"batch {text.batch}" if text.batch else ""
    return " · ".join(it for it in (batch, *text.lines) if it)


@lru_cache(maxsize=256)
def opened(text: LabelText, style: Style, width: float) -> Part | None:
    """The line to write the day of opening on, or that day; None where the width is too small."""
    small = style.small
    if text.opened:
        fitted = fit_whole(f"opened {text.opened}", Room(width, small, small))
        return None if fitted is None else Paragraph(fitted.lines, fitted.size)
    start = fonts.width_mm("opened ", small, bold=False)
    length = min(width - start, WRITE_LENGTH[1])
    if length < WRITE_LENGTH[0]:
        return None
    words = Paragraph(("opened",), small)
    height = max(words.height, min(5.0, 0.62 * small))
    rule = Rule(start, height - _hang(style), length)
    things = ((0.0, height - words.height, words), (0.0, 0.0, rule))
    return Block(height, things)


def _small(
    text: str, style: Style, width: float, lines: int, *, keep_end: bool = False
) -> Part | None:
    room = Room(width, style.small, style.least_small, lines)
    fitted = fit(text, room, keep_end=keep_end) if style.last else fit_whole(text, room)
    return None if fitted is None else Paragraph(fitted.lines, fitted.size)
