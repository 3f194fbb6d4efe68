"""One way to arrange a label: banner, name and date above, the code at the foot or beside them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum
from functools import lru_cache
from typing import TypeAlias

from stockcheck.labels import parts
from stockcheck.labels.elements import NOTHING, Block, Glyph, Part, Symbol, beside, stacked
from stockcheck.labels.fonts import ASCENT, CAPITAL, MM_PER_POINT
from stockcheck.labels.measure import Measure
from stockcheck.labels.styles import GAP, MIDDLE_GAP, SHORT_SIZES, Style
from stockcheck.labels.symbols import SYMBOLS
from stockcheck.labels.text import LabelSize, LabelText

MAX_SYMBOL_MM = 13.0  # bars higher than this read no better (12.70: GS1 symbol table 4)
_BESIDE_CODE = (
    1.5  # mm between a matrix symbol's quiet zone and its digits, and head and short form
)
_MAX_SIGN_MM = 16.0
_ROOM_FOR_MARKS = 24.0  # mm: a temperature limit with its figures and two more symbols
# mm, and of the width: narrower words beside bars are a ragged column; what is in a box wants more
_LEAST_COLUMN = 15.0, 0.38, 0.45


class Place(IntEnum):
    """Where the code stands: at the foot, or at the right with its digits below or beside."""

    FOOT = 0
    SIDE = 1
    SIDE_IN_ROW = 2


Shape: TypeAlias = tuple[Style, Measure, Place]


@dataclass(frozen=True, slots=True)
class Try:
    """One try: this text at this size in this style with this symbol."""

    text: LabelText
    size: LabelSize
    style: Style
    measure: Measure
    name_lines: int
    top: float = 0.0

    @property
    def margin(self) -> float:
        """What stays blank between the label's edge and the dark modules beside it."""
        return max(self.size.inset_x, self.measure.quiet_mm)

    @property
    def room(self) -> float:
        """The height below the banner that may be printed."""
        return self.bottom - self.top

    @property
    def bottom(self) -> float:
        """Where what may be printed ends."""
        return self.size.height - self.size.inset_y


def arranged(it: Try, place: Place) -> Block | None:
    """The label with its code in that place; None when it does not fit."""
    size = it.size
    banner = parts.banner(it.text, it.style, size.inner)
    if banner is None:
        return None
    below = banner.height + it.style.group_gap if banner.height else 0.0
    it = replace(it, top=size.inset_y + below)
    if place is Place.FOOT:
        block = _code_at_foot(it)
    else:
        block = _code_beside(it, in_row=place is Place.SIDE_IN_ROW)
    if block is None or not banner.height:
        return block
    return Block(size.height, ((size.inset_x, size.inset_y, banner), *block.things))


def _bars(it: Try, spare: float) -> Block:
    """Bars, higher by what is to spare, with their digits below; from the first bar on."""
    measure, digits = it.measure, parts.digits(it.text.code, it.style.digits)
    least = measure.min_height_mm
    high = least + min(spare, max(0.0, MAX_SYMBOL_MM - least))
    symbol = Symbol(0.0, 0.0, high, it.text.encoded(measure.symbology), measure)
    wide = max(measure.wide_mm, digits.width)
    things = ((0.0, 0.0, symbol), ((measure.wide_mm - digits.width) / 2, high + GAP, digits))
    return Block(high + GAP + digits.height, things, wide)


def _matrix_over_digits(it: Try) -> Block:
    """A matrix symbol with its digits below, in two rows where one is wider than the symbol."""
    measure, size = it.measure, it.style.digits
    digits = parts.digits(it.text.code, size)
    if digits.width > measure.width_mm:
        digits = parts.digits(it.text.code, size, rows=2)
    wide = max(measure.wide_mm, digits.width)
    quiet = measure.quiet_y_mm
    below = measure.min_height_mm + 2 * quiet + GAP / 2
    symbol = Symbol(
        (wide - measure.wide_mm) / 2,
        quiet,
        measure.min_height_mm,
        it.text.encoded(measure.symbology),
        measure,
    )
    things = ((0.0, 0.0, symbol), ((wide - digits.width) / 2, below, digits))
    return Block(below + digits.height, things, wide)


def _matrix_in_row(it: Try) -> Block:
    """A matrix symbol with the short form and the digits at its right."""
    measure, quiet = it.measure, it.measure.quiet_y_mm
    short = parts.short(it.text.short, it.style.title * 1.2)
    digits = parts.digits(it.text.code, it.style.digits)
    words_high = short.height + MIDDLE_GAP + digits.height
    high = max(measure.min_height_mm + 2 * quiet, words_high)
    top = (high - measure.min_height_mm) / 2
    symbol = Symbol(0.0, top, measure.min_height_mm, it.text.encoded(measure.symbology), measure)
    right = measure.wide_mm + measure.quiet_mm + _BESIDE_CODE * 0.4
    # the short form begins where the modules do, the digits end where they end
    inside = measure.min_height_mm >= words_high
    first = top if inside else (high - words_high) / 2
    last = (top + measure.min_height_mm if inside else (high + words_high) / 2) - digits.height
    things = ((0.0, 0.0, symbol), (right, first, short), (right, last, digits))
    return Block(high, things, right + max(short.width, digits.width))


def _code_at_foot(it: Try) -> Block | None:
    """Name and date above, the code at the bottom left, the rest beside the code.

    Symbols stand beside the code where the size of label leaves room for most of them there, and
    else below the date, so that they have one place on a sheet; the other one is taken only where
    the label would not fit otherwise.
    """
    bars = it.measure.stretches
    code = _bars(it, 0.0) if bars else _matrix_in_row(it)
    apart = it.measure.quiet_mm if bars else _BESIDE_CODE
    free = it.size.width - it.size.inset_x - it.margin - code.width - apart
    if free < (-it.size.inset_x if bars else 0.0):
        return None
    aside = free >= _ROOM_FOR_MARKS
    found = _with_foot(it, code, free, marks_aside=aside)
    if found is None and it.text.marks:
        found = _with_foot(it, code, free, marks_aside=not aside)
    return found


def _with_foot(it: Try, code: Block, free: float, *, marks_aside: bool) -> Block | None:
    size, inset, style = it.size, it.size.inset_x, it.style
    bars = it.measure.stretches
    short = _short_beside(it, free) if bars else NOTHING
    short_beside = short is not None
    short = short or NOTHING
    head = _head(it, size.inner, with_short=bars and not short_beside)
    if head is None:
        return None
    corner, with_lines, with_marks = NOTHING, True, True
    if short_beside:
        corner, with_lines, with_marks = _corner(it, short, free, code.height, marks_aside)
    middle = _middle(it.text, style, size.inner, with_lines, with_marks)
    if middle is None:
        return None
    gap = style.group_gap
    spare = it.room - head.height - middle.height - code.height
    spare -= gap * (2 if middle.height else 1)
    if spare < 0:
        return None
    foot = _bars(it, spare * 0.6) if bars else code
    foot_top = it.bottom - foot.height
    left_over = foot_top - it.top - head.height - middle.height - 2 * gap
    below_head = gap + (min(left_over * 0.4, 2 * gap) if middle.height else 0.0)
    things: list[tuple[float, float, Part]] = [
        (inset, it.top, head),
        (inset, it.top + head.height + below_head, middle),
        (it.margin, foot_top, foot),
    ]
    right = size.width - inset
    if short_beside and bars:
        things.append((right - short.width, foot_top, short))
    things.append((right - corner.width, it.bottom - corner.height, corner))
    return Block(size.height, tuple(things))


def _short_beside(it: Try, free: float) -> Block | None:
    """The short form as large as the room beside the bars lets it be; None where it has none."""
    sizes = (parts.short(it.text.short, share * it.style.title) for share in SHORT_SIZES)
    return next((short for short in sizes if short.width <= free), None)


def _corner(
    it: Try, short: Block, free: float, high: float, marks_aside: bool
) -> tuple[Block, bool, bool]:
    """What stands right of the code at the foot below the short form, and what is still to place.

    Lines to write on have the first claim, then, where they are to stand there, the symbols.
    """
    left = high - (short.height + GAP if short.height else 0.0)
    lines = parts.write_ins(it.text, it.style, free)
    marks = parts.handling(it.text, it.style, free) if marks_aside else NOTHING
    if lines is not None and lines.height and marks is not None and marks.height:
        both = stacked((marks, lines), MIDDLE_GAP)
        if both.height <= left:
            return both, False, False
    if lines is not None and 0 < lines.height <= left:
        return stacked((lines,), 0.0), False, True
    if marks is not None and 0 < marks.height <= left:
        return marks, True, False
    return NOTHING, True, True


def _code_beside(it: Try, *, in_row: bool) -> Block | None:
    """Name and date at the left, the code at the bottom right; the name above it where it can."""
    size, measure = it.size, it.measure
    if measure.stretches:
        code = _bars(it, 0.0)
    else:
        code = _matrix_in_row(it) if in_row else _matrix_over_digits(it)
    right = it.size.inset_x if in_row else it.margin
    code_left = size.width - right - code.width
    indent = max(0.0, (code.width - measure.wide_mm) / 2) if not in_row else 0.0
    width = code_left - max(_BESIDE_CODE, measure.quiet_mm - indent) - size.inset_x
    least, share, for_contents = _LEAST_COLUMN
    share = for_contents if it.text.about else share
    narrow = measure.stretches and width < max(least, share * size.inner)
    if narrow or width <= 0 or code.height > it.room:
        return None
    over = _over_code(it, code, width, code_left, has_short=in_row)
    if over is not None or (measure.stretches and it.room >= 2 * code.height):
        return over
    if measure.stretches:  # a label hardly higher than its bars
        code = _bars(it, it.room - code.height)
    return _full_height(it, code, width, code_left, has_short=in_row)


def _over_code(
    it: Try, code: Block, width: float, code_left: float, *, has_short: bool
) -> Block | None:
    """The name over the whole width, below it the date at the left and the code at the right."""
    size, gap = it.size, it.style.group_gap
    head = _head(it, size.inner, with_short=not has_short)
    middle = _middle(it.text, it.style, width, True, True)
    if head is None or middle is None or not middle.height:
        return None
    below = it.room - head.height - gap
    if max(middle.height, code.height) > below:
        return None
    if it.measure.stretches:
        code = _bars(it, below - code.height)
    down = min(0.4 * (below - middle.height), 2 * gap)
    things = (
        (size.inset_x, it.top, head),
        (size.inset_x, it.bottom - below + down, middle),
        (code_left, it.bottom - code.height, code),
    )
    return Block(size.height, things)


def _full_height(
    it: Try, code: Block, width: float, code_left: float, *, has_short: bool
) -> Block | None:
    """Name and date at the left, the code at the right at half the label's height."""
    size, gap = it.size, it.style.group_gap
    head = _head(it, width, with_short=not has_short)
    middle = _middle(it.text, it.style, width, True, True)
    if head is None or middle is None:
        return None
    words = head.height + (gap + middle.height if middle.height else 0.0)
    left_over = it.room - words
    if left_over < 0:
        return None
    top = it.top + min(left_over / 2, gap)
    down = min(0.3 * left_over, 2 * gap)
    things = (
        (size.inset_x, top, head),
        (size.inset_x, top + head.height + gap + min(down, left_over / 2), middle),
        (code_left, it.top + (it.room - code.height) / 2, code),
    )
    return Block(size.height, things)


def _head(it: Try, width: float, *, with_short: bool) -> Block | None:
    """Sign, name and place, with the short form at the right where it is nowhere else."""
    sign = _sign(it)
    apart = max(_BESIDE_CODE, 0.14 * it.style.title)
    left = sign.width + apart if sign.width else 0.0
    short = parts.short(it.text.short, it.style.title) if with_short else NOTHING
    right = short.width + apart if with_short else 0.0
    block = parts.name(it.text, it.style, width - left - right, it.name_lines)
    if block is None:
        return None
    to_baseline = (ASCENT - CAPITAL) * it.style.title * MM_PER_POINT
    height = max(block.height, sign.height, to_baseline + short.height if with_short else 0.0)
    things: list[tuple[float, float, Part]] = [
        (0.0, 0.0, sign),
        (left, max(0.0, (sign.height - block.height) / 2), block),
    ]
    if with_short:
        things.append((width - short.width, to_baseline, short))
    return Block(height, tuple(things))


def _sign(it: Try) -> Block:
    """The first-aid sign, as high as a name of two lines or more."""
    if not it.text.sign:
        return NOTHING
    drawing = SYMBOLS[it.text.sign]
    wanted = 2.2 * it.style.name_sizes(dated=bool(it.text.date))[0] * MM_PER_POINT
    high = max(drawing.least_mm, min(wanted, _MAX_SIGN_MM))
    glyph = Glyph(0, 0, high, it.text.sign)
    return Block(high, ((0, 0, glyph),), glyph.width)


@lru_cache(maxsize=256)
def _middle(
    text: LabelText, style: Style, width: float, with_lines: bool, with_marks: bool
) -> Block | None:
    """Date, details and, where they stand nowhere else, symbols, opening and lines to write on."""
    inline = style.last
    details = parts.details(text, style, width, inline)
    marks = parts.handling(text, style, width) if with_marks else NOTHING
    found = [
        parts.date(text, style, width),
        *_in_a_row(details, marks, width),
        NOTHING if inline else parts.opened_day(text, style, width),
        parts.write_ins(text, style, width) if with_lines else NOTHING,
    ]
    kept = [part for part in found if part is not None]
    return stacked(kept, style.middle_gap) if len(kept) == len(found) else None


def _in_a_row(details: Part | None, marks: Block | None, width: float) -> tuple[Part | None, ...]:
    """Details of one line and the symbols side by side where that saves a row."""
    if details and marks and 0 < details.height <= marks.height:
        row = beside((details, marks), parts.APART)
        if row.width <= width:
            return (row,)
    return details, marks
