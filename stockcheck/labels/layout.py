"""Laying out one label: which type sizes, which size of symbol, what stands where, what has to go.

Pure: a text, a label's size and a printer's resolution give a list of placed elements. Type sizes
come in styles from large to small, symbols in modules of whole dots, and the symbol stands at the
foot or beside the text. The best try that fits is taken; what is least needed is left off only
where even the smallest try is too large. Labels of one size begin with the style that a usual label
fits in, so that a sheet of them looks like one hand's work.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice

from stockcheck.core.errors import BadInput
from stockcheck.labels import arranging, bounds
from stockcheck.labels.arranging import Place, Shape, Try
from stockcheck.labels.elements import Block, Element
from stockcheck.labels.measure import Measure, Symbology, sensible
from stockcheck.labels.styles import STYLES, Style
from stockcheck.labels.text import LabelSize, LabelText

_MAX_NAME_LINES = 3
_MOST_OF_LABEL = 0.3, 0.5  # of width and height that a matrix symbol may take
_USUAL = LabelText(
    code="1000000013",
    short="L120",
    title="Threadlocker, medium, 10 ml",
    date="30 NOV 2027",
    date_word="by shelf life",
    place="Sealants",
    batch="T7519-B",
    caution="FLAMMABLE",
    opened="",
)
_USUAL_UNDATED = LabelText(
    code="2000000018",
    short="B12",
    title="Recovery and tyre kit",
    place="in Truck",
    about="tyre repair plugs, vulcanising rubber solution, patches, valve cores",
    lines=("12 holdings",),
)


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
    measures = sensible(text.encoded(symbology), symbology, dpi)
    found = _chosen(text.in_zeros(), size, shapes(size, measures, bool(text.date)))
    if found is not None:
        step, (style, measure, place) = found
        trimmed, name_lines, left_off = next(islice(_trimmed(text), step, None))
        block = arranging.arranged(Try(trimmed, size, style, measure, name_lines), place)
        if block is not None:
            return Layout(tuple(block.elements()), left_off)
    raise NoRoom(
        f"label {text.short} {text.title!r}: {size.width:g} × {size.height:g} mm has no room for"
        " its name, date, cautions and code"
    )


@lru_cache(maxsize=4096)
def _chosen(text: LabelText, size: LabelSize, every: tuple[Shape, ...]) -> tuple[int, Shape] | None:
    """How far the text has to be trimmed, and the shape that holds it then.

    All digits are equally wide, so that labels which differ in nothing else are tried out once.
    """
    found = best(text, size, every)
    if found is None:
        return None
    _, shape, left_off = found
    return [it[2] for it in _trimmed(text)].index(left_off), shape


def best(
    text: LabelText, size: LabelSize, every: tuple[Shape, ...]
) -> tuple[Block, Shape, tuple[str, ...]] | None:
    """The text laid out in the first shape that holds it, with as little left off as can be."""
    smallest = _smallest(every)
    for trimmed, name_lines, left_off in _trimmed(text):
        needs = bounds.needs(trimmed, size.inner, name_lines)
        if first_that_fits(trimmed, size, name_lines, needs, smallest) is None:
            continue
        found = first_that_fits(trimmed, size, name_lines, needs, every)
        if found is not None:
            return *found, left_off
    return None


def _trimmed(text: LabelText) -> Iterator[tuple[LabelText, int, tuple[str, ...]]]:
    """The text whole, then without one thing more each time: what goes first is needed least."""
    left_off: tuple[str, ...] = ()
    yield text, _MAX_NAME_LINES, left_off
    for what, trimmed in _without(text):
        left_off = (*left_off, what)
        yield trimmed, _MAX_NAME_LINES, left_off
        text = trimmed
    yield text, 1, (*left_off, "second line of the name")


def _without(text: LabelText) -> Iterator[tuple[str, LabelText]]:
    steps: tuple[tuple[str, dict[str, object]], ...] = (
        ("further lines", {"lines": ()}),
        ("symbols", {"marks": (), "date_mark": "", "sign": ""}),
        ("contents or reason", {"about": ""}),
        ("line to write on", {"opened": text.opened or None, "write": ()}),
        ("made date", {"made": ""}),
        ("place", {"place": ""}),
        ("batch", {"batch": ""}),
    )
    for what, changes in steps:
        if any(getattr(text, name) != value for name, value in changes.items()):
            text = replace(text, **changes)  # type: ignore[arg-type]  # each fits its field
            yield what, text


@lru_cache(maxsize=64)
def shapes(size: LabelSize, measures: tuple[Measure, ...], dated: bool) -> tuple[Shape, ...]:
    """Every style, module and place that a label of a size may take, best first.

    The first is what a usual label takes: one with less to say is not set larger than that.
    """
    usual = _USUAL if dated else _USUAL_UNDATED
    every = tries(_in_proportion(size, measures))
    found = best(usual, size, every)
    if found is None:
        return every
    (_, (style, measure, place), _) = found
    first = STYLES.index(style)
    kept = [
        it for it in every if STYLES.index(it[0]) >= first and it[1].module_mm <= measure.module_mm
    ]
    return tuple(sorted(kept, key=lambda it: it[0] is style and it[1:] != (measure, place)))


def _in_proportion(size: LabelSize, measures: tuple[Measure, ...]) -> tuple[Measure, ...]:
    """Of a matrix the sizes that leave most of the label to the words, or else the smallest one."""
    across, down = _MOST_OF_LABEL
    kept = tuple(
        it
        for it in measures
        if it.stretches
        or (it.width_mm <= across * size.inner and it.min_height_mm <= down * size.inner_height)
    )
    return kept or measures[-1:]


@lru_cache(maxsize=64)
def _smallest(every: tuple[Shape, ...]) -> tuple[Shape, ...]:
    return tuple(it for it in every if it[0].last)


@lru_cache(maxsize=64)
def tries(measures: tuple[Measure, ...]) -> tuple[Shape, ...]:
    """Every style, module and place of the symbol, best first.

    The smallest module counts as much as five styles: it reads, but forgives little.
    """
    places = (Place.FOOT, Place.SIDE)
    ranked = []
    for at, style in enumerate(STYLES):
        for measure in measures:
            more = () if measure.stretches else (Place.SIDE_IN_ROW,)
            for order, place in enumerate((*places, *more)):
                rank = round(at + 5 * measure.fineness, 3), -measure.dots, order
                ranked.append((rank, (style, measure, place)))
    ranked.sort(key=lambda it: it[0])
    return tuple(shape for _, shape in ranked)


def first_that_fits(
    text: LabelText,
    size: LabelSize,
    name_lines: int,
    needs: Mapping[Style, bounds.Need],
    worth: Iterable[Shape],
) -> tuple[Block, Shape] | None:
    """The first try that fits, laid out; what the needs show to be hopeless is passed over."""
    for shape in worth:
        style, measure, place = shape
        need = needs.get(style)
        if need is None or not need.may_fit(size, measure, beside=place is not Place.FOOT):
            continue
        block = arranging.arranged(Try(text, size, style, measure, name_lines), place)
        if block is not None:
            return block, shape
    return None
