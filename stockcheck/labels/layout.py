"""Laying out one label: which type sizes, which symbol, what stands where, what has to go.

Pure: a text, a label's size and a printer's resolution give a list of placed elements. Type sizes
come in styles from large to small, symbols in modules of whole dots, and the symbol stands below
the text or right of it. The best try that fits is taken; what is least needed is left off only
where even the smallest try is too large.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias

from stockcheck.core.errors import BadInput
from stockcheck.labels import bounds, parts
from stockcheck.labels.elements import Block, Element, Part, Symbol, stacked
from stockcheck.labels.fonts import ASCENT, CAPITAL, MM_PER_POINT
from stockcheck.labels.measure import Measure, Symbology, sensible
from stockcheck.labels.parts import GAP, GROUP_GAP, MIDDLE_GAP, STYLES, Style
from stockcheck.labels.text import LabelSize, LabelText

MAX_SYMBOL_MM = 13.0  # bars higher than this read no better (12.70: GS1 symbol table 4)
_MAX_NAME_LINES = 3
Shape: TypeAlias = tuple[Style, Measure, bool]  # the last: whether the symbol stands beside


class NoRoom(BadInput):
    """A label too small for what has to stand on it."""


@dataclass(frozen=True, slots=True)
class Layout:
    """A laid-out label, and the names of what was left off for want of room."""

    elements: tuple[Element, ...]
    left_off: tuple[str, ...] = ()


def layout(
    text: LabelText, size: LabelSize, dpi: int, symbology: Symbology = Symbology.CODE_128
) -> Layout:
    """The label laid out; NoRoom when it cannot hold even what must stand on it."""
    every = tries(sensible(text.code, symbology, dpi))
    smallest = [it for it in every if it[0].last]
    for trimmed, name_lines, left_off in _trimmed(text):
        needs = bounds.needs(trimmed, size.inner, name_lines)
        if first_that_fits(trimmed, size, name_lines, needs, smallest) is None:
            continue
        block = first_that_fits(trimmed, size, name_lines, needs, every)
        if block is not None:
            return Layout(tuple(block.elements()), left_off)
    raise NoRoom(
        f"label {text.short} {text.title!r}: {size.width:g} × {size.height:g} mm has no room for"
        " its name, date, cautions and code"
    )


def _trimmed(text: LabelText) -> Iterator[tuple[LabelText, int, tuple[str, ...]]]:
    """The text whole, then without one thing more each time: what goes first is needed least."""
    left_off: tuple[str, ...] = ()
    yield text, _MAX_NAME_LINES, left_off
    for what, trimmed in (
        ("further lines", replace(text, lines=())),
        ("line to write on", replace(text, lines=(), opened=text.opened or None)),
        ("place", replace(text, lines=(), opened=text.opened or None, place="")),
        ("batch", replace(text, lines=(), opened=text.opened or None, place="", batch="")),
    ):
        if trimmed != text:
            text, left_off = trimmed, (*left_off, what)
            yield text, _MAX_NAME_LINES, left_off
    yield text, 1, (*left_off, "second line of the name")


@lru_cache(maxsize=8)
def tries(measures: tuple[Measure, ...]) -> tuple[Shape, ...]:
    """Every style, module and place of the symbol, best first.

    The smallest module counts as much as three styles: it reads, but forgives little.
    """
    ranked = []
    for at, style in enumerate(STYLES):
        for measure in measures:
            for beside in (False, True):
                rank = round(at + 3 * measure.fineness, 3), -measure.dots, beside
                ranked.append((rank, style, measure, beside))
    ranked.sort(key=lambda it: it[0])
    return tuple((style, measure, beside) for _, style, measure, beside in ranked)


def first_that_fits(
    text: LabelText,
    size: LabelSize,
    name_lines: int,
    needs: Mapping[Style, bounds.Need],
    worth: Iterable[Shape],
) -> Block | None:
    """The first try that fits, laid out; what the needs show to be hopeless is passed over."""
    for style, measure, beside in worth:
        need = needs.get(style)
        if need is None or not need.may_fit(size, measure, beside=beside):
            continue
        arrange = _symbol_beside if beside else _symbol_below
        block = arrange(_Try(text, size, style, measure, name_lines))
        if block is not None:
            return block
    return None


@dataclass(frozen=True, slots=True)
class _Try:
    """One try: this text at this size in this style with this symbol."""

    text: LabelText
    size: LabelSize
    style: Style
    measure: Measure
    name_lines: int

    @property
    def gap(self) -> float:
        """What stays blank between name, date and symbol."""
        return GROUP_GAP * (0.7 if self.style.last else 1)

    @property
    def margin(self) -> float:
        """What stays blank between the label's edge and the bars."""
        return max(self.size.inset_x, self.measure.quiet_mm)

    @property
    def code_width(self) -> float:
        """How wide the dark modules and the digits below them are, whichever is wider."""
        digits = parts.digits(self.text.code, self.style)
        return max(self.measure.wide_mm, digits.width)

    @property
    def least_code(self) -> float:
        """The least height of the symbol with its digits."""
        digits = parts.digits(self.text.code, self.style)
        return self.measure.min_height_mm + 2 * self.measure.quiet_y_mm + GAP + digits.height

    def code(self, spare: float) -> Block:
        """The symbol, bars higher by what is to spare, its digits below; from the first bar on."""
        digits = parts.digits(self.text.code, self.style)
        measure, quiet = self.measure, self.measure.quiet_y_mm
        high = measure.min_height_mm
        if measure.stretches:
            high += min(spare, max(0.0, MAX_SYMBOL_MM - high))
        left = (self.code_width - measure.wide_mm) / 2
        indent = (self.code_width - digits.width) / 2
        symbol = Symbol(left, quiet, high, self.text.code, measure)
        below = high + 2 * quiet + GAP
        things = ((0.0, 0.0, symbol), (indent, below, digits))
        return Block(below + digits.height, things)


def _symbol_below(it: _Try) -> Block | None:
    """Name and date above, the symbol at the bottom left, the rest beside the symbol."""
    size, inset = it.size, it.size.inset_x
    free = size.width - inset - it.margin - it.code_width - it.measure.quiet_mm
    if free < -inset:
        return None
    short = parts.short(it.text.short, it.style.title * 1.2)
    short_beside = short.width <= free
    head = _head(it, with_short=not short_beside)
    if head is None:
        return None
    opened = None
    if short_beside and it.text.opened is not None:
        opened = parts.opened(it.text, it.style, free)
        if opened and opened.height + GAP + short.height > it.least_code:
            opened = None
    middle = _middle(it.text, it.style, size.inner, opened is None)
    if middle is None:
        return None
    gaps = it.gap * (2 if middle.height else 1)
    spare = size.inner_height - head.height - middle.height - it.least_code - gaps
    if spare < 0:
        return None
    foot = it.code(spare * 0.6)
    foot_top = size.height - size.inset_y - foot.height
    middle_top = (size.inset_y + head.height + foot_top - middle.height) / 2
    things: list[tuple[float, float, Part]] = [
        (inset, size.inset_y, head),
        (inset, middle_top, middle),
        (it.margin, foot_top, foot),
    ]
    if short_beside:
        things.append((inset + size.inner - short.width, foot_top, short))
    if opened:
        opened_top = size.height - size.inset_y - opened.height
        things.append((inset + size.inner - free, opened_top, opened))
    return Block(size.height, tuple(things))


def _symbol_beside(it: _Try) -> Block | None:
    """Name above, the date at the left and the symbol at the bottom right."""
    size = it.size
    bars_left = size.width - it.margin - it.code_width
    width = bars_left - it.measure.quiet_mm - size.inset_x
    if width <= 0:
        return None
    head = _head(it, with_short=True)
    if head is None:
        return None
    middle = _middle(it.text, it.style, width, True)
    below = size.inner_height - head.height - it.gap
    if middle is None or not 0 < middle.height <= below or it.least_code > below:
        return None
    code = it.code(below - it.least_code)
    bottom = size.height - size.inset_y
    things = (
        (size.inset_x, size.inset_y, head),
        (size.inset_x, bottom - (below + middle.height) / 2, middle),
        (bars_left, bottom - code.height, code),
    )
    return Block(size.height, things)


def _head(it: _Try, *, with_short: bool) -> Block | None:
    """Name and place, with the short form at the right where it stands nowhere else."""
    width = it.size.inner
    if not with_short:
        return parts.name(it.text, it.style, width, it.name_lines)
    short = parts.short(it.text.short, it.style.title)
    at = width - short.width
    block = parts.name(it.text, it.style, at - 1.5, it.name_lines)
    if block is None:
        return None
    to_baseline = (ASCENT - CAPITAL) * it.style.title * MM_PER_POINT
    height = max(block.height, to_baseline + short.height)
    return Block(height, ((0.0, 0.0, block), (at, to_baseline, short)))


@lru_cache(maxsize=256)
def _middle(text: LabelText, style: Style, width: float, with_opened: bool) -> Block | None:
    """Date, details and, where it stands nowhere else, the day of opening or the line for it."""
    inline = with_opened and style.last
    date = parts.date(text, style, width)
    details = None if date is None else parts.details(text, style, width, inline)
    if date is None or details is None:
        return None
    if text.opened is None or not with_opened or (inline and text.opened):
        return stacked((date, details), MIDDLE_GAP)
    opened = parts.opened(text, style, width)
    return None if opened is None else stacked((date, details, opened), MIDDLE_GAP)
