"""The least that a label needs in each style, to pass over hopeless tries without laying them out.

Each bound is at or below the true need, so that passing over never loses a try that would fit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stockcheck.labels import parts
from stockcheck.labels.elements import paragraph_height
from stockcheck.labels.fonts import CAPITAL, MM_PER_POINT, width_em
from stockcheck.labels.measure import Measure
from stockcheck.labels.styles import GAP, MIDDLE_GAP, SHORT_SIZES, STYLES, Style
from stockcheck.labels.text import LabelSize, LabelText

_OPENED_EM = 3.0  # the word "opened " is a little wider
_HAIR = 0.01  # mm, and lines: so that rounding never passes over what would just fit


@dataclass(frozen=True, slots=True)
class Need:
    """Least heights of banner, name and place, of date with details, of the foot without its bars.

    ``gap`` is what stays blank below the name and above the foot, ``date_width`` the date's least
    width. ``opened`` is the height of the line to write on,
    ``opened_width`` its least width, ``short`` the height of the short form above it.
    """

    head: float
    middle: float
    foot: float
    date_width: float
    gap: float = 0.0
    opened: float = 0.0
    opened_width: float = 0.0
    short: float = 0.0

    def may_fit(self, size: LabelSize, measure: Measure, *, beside: bool) -> bool:
        """Whether a try with this symbol, at the foot or beside the text, is worth laying out."""
        bars = measure.wide_mm + measure.quiet_mm + max(size.inset_x, measure.quiet_mm)
        free = size.width - size.inset_x - bars
        foot = measure.min_height_mm + (self.foot if measure.stretches else measure.quiet_y_mm)
        if beside:
            if self.date_width > free or foot > size.inner_height:
                return False
            gap = self.gap if self.middle > 0 else 0.0
            return self.head + gap + self.middle + self.opened <= size.inner_height
        # beside a matrix the short form has no need of a place, and the lines often have one
        fits_aside = free >= self.opened_width and self.opened + self.short <= foot
        aside = fits_aside or not measure.stretches
        opened = 0.0 if aside else self.opened
        gaps = self.gap * (2 if self.middle > 0 else 1)
        return self.head + self.middle + opened + gaps + foot <= size.inner_height


def needs(text: LabelText, inner: float, name_lines: int) -> dict[Style, Need]:
    """The least need in every style that is not hopeless by its width alone.

    The smallest style may cut name, place and details, but never to less than one line.
    """
    widths = _Widths(
        width_em(text.title, bold=True),
        width_em(text.place, bold=False),
        width_em(text.date, bold=True),
        width_em(text.date_word, bold=False),
        width_em(text.caution.upper(), bold=True),
        sum(width_em(it, bold=False) for it in (text.batch, text.made, *text.lines)),
        bool(text.banner),
    )
    most = min(name_lines, 2) if text.date else name_lines
    write_in = bool(text.write_ins)
    found = {style: _need(widths, style, inner, most, write_in) for style in STYLES}
    return {style: need for style, need in found.items() if need is not None}


@dataclass(frozen=True, slots=True)
class _Widths:
    """How wide the texts of a label are, in em."""

    name: float
    place: float
    date: float
    word: float
    caution: float
    details: float
    banner: bool


def _need(
    widths: _Widths, style: Style, inner: float, name_lines: int, write_in: bool
) -> Need | None:
    name_size, small = style.name_sizes(dated=widths.date > 0)[1], style.least_small
    names, details = _lines(widths.name, name_size, inner), _lines(widths.details, small, inner)
    places = _lines(widths.place, small, inner)
    if style.last:
        names, details, places = min(names, 1), min(details, 1), min(places, 1)
    date_mm = style.least_date * MM_PER_POINT if widths.date else 0.0
    date_width = widths.date * date_mm - _HAIR
    if names > name_lines or places > 1 or date_width > inner:
        return None
    head = paragraph_height(names, name_size) + paragraph_height(places, small) - _HAIR
    if widths.banner:
        head += CAPITAL * style.banner[1] * MM_PER_POINT + style.group_gap
    middle = CAPITAL * date_mm + _below(widths, style, inner - date_width) - _HAIR
    if details:
        middle += paragraph_height(details, small) + (MIDDLE_GAP if middle > 0 else 0.0)
    foot = GAP + CAPITAL * style.digits * MM_PER_POINT
    opened = min(5.0, 0.62 * style.small) if write_in else 0.0
    opened_width = parts.WRITE_LENGTH[0] + _OPENED_EM * style.small * MM_PER_POINT
    short = GAP + CAPITAL * SHORT_SIZES[-1] * style.title * MM_PER_POINT
    gap = style.group_gap
    return Need(head, max(middle, 0.0), foot, date_width, gap, opened, opened_width, short)


def _below(widths: _Widths, style: Style, free: float) -> float:
    """The least height that what governs the date and the caution add below it."""
    words = ((widths.word, style.small), (widths.caution, style.small * 0.9))
    if not widths.date:
        return max((paragraph_height(1, size) for em, size in words if em), default=0.0)
    free -= parts.ASIDE
    most = 3 if style.last else 2
    height = 0.0
    for em, size in words:
        if em and (free <= 0 or _lines(em, size, free) > most):
            height += paragraph_height(1, size) + GAP
    return height


def _lines(em: float, size: float, width: float) -> int:
    """The fewest lines that so many em of text can take."""
    return math.ceil(em * size * MM_PER_POINT / width - _HAIR)
