"""Labels onto stock: texts in, a PDF out, with the codes that each page must read back as."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from stockcheck.core.errors import BadInput
from stockcheck.core.gs1_make import transmitted
from stockcheck.core.printer import Setting
from stockcheck.core.words import listed
from stockcheck.labels.draw import TRUE, draw, symbol_dots
from stockcheck.labels.elements import Element, Symbol
from stockcheck.labels.fonts import check_carried
from stockcheck.labels.layout import Layout, NoRoom, layout
from stockcheck.labels.lengths import cut
from stockcheck.labels.measure import Symbology
from stockcheck.labels.readback import Box, PlacedCode, ReadBack, read_back, verify
from stockcheck.labels.sheet import Spot, check_start, spots
from stockcheck.labels.stock import Stock, shipped_stocks
from stockcheck.labels.text import LabelSize, LabelText

MAX_COPIES = 1000
_MOST_NAMED = 4  # stocks that a refusal names
_HAIR = 0.01  # mm


class CodeChoice(StrEnum):
    """Which code labels carry.

    ``AUTO`` takes bars, and a Data Matrix where bars do not fit or would cost the label something
    that it says. ``GS1`` takes a GS1 Data Matrix where the text has an element string, and is as
    ``AUTO`` for the others.
    """

    BARS = "bars"
    MATRIX = "matrix"
    QR = "qr"
    AUTO = "auto"
    GS1 = "gs1"


_TRIED = {
    CodeChoice.BARS: (Symbology.CODE_128,),
    CodeChoice.MATRIX: (Symbology.DATA_MATRIX,),
    CodeChoice.QR: (Symbology.QR,),
    CodeChoice.AUTO: (Symbology.CODE_128, Symbology.DATA_MATRIX),
    CodeChoice.GS1: (Symbology.CODE_128, Symbology.DATA_MATRIX),
}


@dataclass(frozen=True, slots=True)
class Sheets:
    """A finished PDF: its bytes, pages, the codes on each page in order, and what was left off.

    ``placed`` tells where each code is; without it a page is read back as a whole.
    """

    pdf: bytes
    pages: int
    codes: tuple[tuple[str, ...], ...]
    left_off: tuple[str, ...] = ()
    placed: tuple[PlacedCode, ...] = ()


@dataclass(frozen=True, slots=True)
class _Job:
    """What all labels of one print have in common."""

    stock: Stock
    dpi: int
    choice: CodeChoice
    setting: Setting
    sizes: LabelSize = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "sizes", label_size(self.stock))


def label_sheets(  # noqa: PLR0913  # what a print is told of, each by its name
    texts: Sequence[LabelText],
    stock: Stock,
    *,
    dpi: int = 203,
    start: int = 1,
    copies: int = 1,
    title: str = "Labels",
    code: str = CodeChoice.BARS,
    setting: Setting = TRUE,
    outline: Sequence[str] = (),
) -> Sheets:
    """Labels for all texts on a stock, each ``copies`` times in a row.

    ``start`` is the first free label of a part-used sheet, 1 at its top left, counted row by row;
    ``dpi`` the printer's resolution, on whose dots all codes lie; ``code`` which code they carry;
    ``setting`` the printer's correction. ``outline`` has the name of a group, such as a box, for
    each text: a bookmark stands where a group begins. BadInput for what cannot be printed on this
    stock.
    """
    if not texts:
        raise BadInput("labels: there is nothing to print. Name a lot or a box")
    if not 1 <= copies <= MAX_COPIES:
        raise BadInput(f"copies {copies}: give 1 to {MAX_COPIES}")
    check_start(stock, start)
    job = _Job(stock, dpi, CodeChoice(code), setting)
    known = {text: _laid_out(text, job) for text in dict.fromkeys(texts)}
    layouts = [known[text][1] for text in texts]
    printed = [known[text] for text in texts for _ in range(copies)]
    labels = [
        (_on_its_page(spot, page, stock), laid.elements)
        for spot, (page, laid) in zip(spots(stock, len(printed), start), printed, strict=True)
    ]
    if not setting.is_true:
        _check_on_page(labels, job)
    placed = tuple(_placed(labels, job))
    pages = labels[-1][0].page + 1
    codes: list[list[str]] = [[] for _ in range(pages)]
    for it in placed:
        codes[it.page].append(it.text)
    return Sheets(
        pdf=draw(labels, stock, title, setting=setting, outline=_bookmarks(outline, copies)),
        pages=pages,
        codes=tuple(tuple(page) for page in codes),
        left_off=(*_left_off(layouts, stock), *_other_codes(layouts, job)),
        placed=placed,
    )


def read_back_sheets(sheets: Sheets, dpi: int) -> ReadBack:
    """Every code read at a resolution and measured; what is wrong, and the figures."""
    if sheets.placed:
        return read_back(sheets.pdf, sheets.placed, sheets.pages, dpi)
    return ReadBack(verify(sheets.pdf, sheets.codes, dpi), ())


def verify_sheets(sheets: Sheets, dpi: int) -> tuple[str, ...]:
    """What does not read back at a resolution, in words; empty when every code reads right."""
    return read_back_sheets(sheets, dpi).problems


def label_size(stock: Stock) -> LabelSize:
    """The size of a stock's labels as the layout wants it."""
    return LabelSize(stock.label_width, stock.label_height, stock.inset_x, stock.inset_y)


def laid_out(
    text: LabelText, stock: Stock, *, dpi: int = 203, code: str = CodeChoice.BARS
) -> tuple[Stock, Layout]:
    """One label laid out, with its stock: of a continuous roll or tape so long as it has to be."""
    return _laid_out(text, _Job(stock, dpi, CodeChoice(code), TRUE))


def _on_its_page(spot: Spot, page: Stock, stock: Stock) -> Spot:
    return replace(spot, page_size=(page.page_width, page.page_height)) if stock.grows else spot


def _laid_out(text: LabelText, job: _Job) -> tuple[Stock, Layout]:
    """NoRoom where it fits with no code that may be tried."""
    tidy = text.checked()
    check_carried(tidy.strings(), tidy.title)
    tried = (Symbology.GS1_DATA_MATRIX,) if _has_gs1(tidy, job) else _TRIED[job.choice]
    if job.stock.grows:
        found = cut(job.stock, lambda page: _best(tidy, replace(job, stock=page), tried)[0])
    else:
        laid = _best(tidy, job, tried)[0]
        found = (job.stock, laid) if laid else None
    if found is None:
        raise _no_room(tidy, job, tried, _best(tidy, job, tried)[1])
    return found


def _best(
    tidy: LabelText, job: _Job, tried: Iterable[Symbology]
) -> tuple[Layout | None, NoRoom | None]:
    """The layout with the code that costs the least, and why the first code did not fit."""
    found: Layout | None = None
    refusal: NoRoom | None = None
    for symbology in tried:
        try:
            laid = layout(tidy, job.sizes, job.dpi, symbology)
        except NoRoom as error:
            refusal = refusal or error
            continue
        if found is None or len(laid.left_off) < len(found.left_off):
            found = laid
        if not found.left_off:
            break
    return found, refusal


def _has_gs1(text: LabelText, job: _Job) -> bool:
    return job.choice is CodeChoice.GS1 and bool(text.gs1)


def _no_room(
    text: LabelText, job: _Job, tried: Iterable[Symbology], refusal: NoRoom | None
) -> NoRoom:
    """The refusal with what would do: a smaller code on this stock, the next larger stocks."""
    remedies = []
    if Symbology.DATA_MATRIX not in tried and _fits(text, job.stock, job.dpi, {*_MATRIX}):
        remedies.append("With a Data Matrix it fits")
    fitting = [it for it in shipped_stocks() if _fits(text, it, job.dpi, tried)]
    fitting.sort(key=lambda it: (it.label_width * it.label_height, it.name))
    named = [f"{it.name} ({it.size})" for it in fitting[:_MOST_NAMED]]
    if named:
        remedies.append(f"It fits {listed(named, 'or')}")
    remedy = ". ".join(remedies) or "Shorten its date or cautions"
    return NoRoom(f"{refusal}. {remedy}")


_MATRIX = (Symbology.DATA_MATRIX,)


def _fits(text: LabelText, stock: Stock, dpi: int, tried: Iterable[Symbology]) -> bool:
    for symbology in tried:
        try:
            layout(text, label_size(stock), dpi, symbology)
        except NoRoom:
            continue
        return True
    return False


def _placed(labels: Iterable[tuple[Spot, tuple[object, ...]]], job: _Job) -> Iterable[PlacedCode]:
    """Where every code comes to lie, with the printer's correction."""
    stock, setting = job.stock, job.setting
    for spot, elements in labels:
        wide, high = spot.page_size or (stock.label_width, stock.label_height)
        page_height = spot.page_size[1] if spot.page_size else stock.page_height
        left, top = setting.placed(spot.left, spot.top)
        right, bottom = setting.placed(spot.left + wide, spot.top + high)
        label = left, page_height - bottom, right, page_height - top
        for symbol in elements:
            if isinstance(symbol, Symbol):
                ink = _ink(symbol, spot, page_height, setting)
                yield _placed_code(symbol, spot, label, ink)


def codes_alone(
    labels: Iterable[tuple[Spot, tuple[Element, ...]]], height: float, setting: Setting = TRUE
) -> Iterator[PlacedCode]:
    """Where every code of a sheet comes to lie that is no label, each to be read by itself.

    ``height`` is the page's, in mm. What is read is the code with its quiet zones.
    """
    for spot, elements in labels:
        for symbol in elements:
            if isinstance(symbol, Symbol):
                left, low, right, high = ink = _ink(symbol, spot, height, setting)
                beside = symbol.measure.quiet_mm
                above = max(symbol.measure.quiet_y_mm, symbol.measure.dot_mm)
                around = left - beside, low - above, right + beside, high + above
                yield _placed_code(symbol, spot, around, ink)


def _ink(symbol: Symbol, spot: Spot, page_height: float, setting: Setting) -> Box:
    """The dark modules in mm from the page's bottom left corner."""
    measure, dot = symbol.measure, symbol.measure.dot_mm
    first, low, high = symbol_dots(symbol, spot, page_height, setting)
    last = first + measure.modules_wide * measure.dots
    return first * dot, low * dot, last * dot, (low + high) * dot


def _placed_code(symbol: Symbol, spot: Spot, label: Box, ink: Box) -> PlacedCode:
    text = transmitted(symbol.text) if _is_gs1(symbol) else symbol.text
    return PlacedCode(spot.page, text, symbol.measure, label, ink)


def _check_on_page(labels: Iterable[tuple[Spot, tuple[Element, ...]]], job: _Job) -> None:
    """BadInput where the printer's correction would cut something off at the page's edge."""
    stock, setting = job.stock, job.setting
    for spot, elements in labels:
        width, height = spot.page_size or (stock.page_width, stock.page_height)
        for box in (element.box for element in elements):
            left, top = setting.placed(spot.left + box.left, spot.top + box.top)
            right, bottom = setting.placed(spot.left + box.right, spot.top + box.bottom)
            if min(left, top) < -_HAIR or right > width + _HAIR or bottom > height + _HAIR:
                raise BadInput(
                    f"the printer's setting would push labels of {stock.name} off the page",
                    "Measure it again on the alignment page, or take stock with wider margins",
                )


def _is_gs1(symbol: Symbol) -> bool:
    return symbol.measure.symbology is Symbology.GS1_DATA_MATRIX


def _bookmarks(groups: Sequence[str], copies: int) -> dict[int, str]:
    """The place of the label at which each group begins."""
    return {
        at * copies: group
        for at, group in enumerate(groups)
        if group and (at == 0 or groups[at - 1] != group)
    }


def _left_off(layouts: Sequence[Layout], stock: Stock) -> tuple[str, ...]:
    counts = Counter(name for laid in layouts for name in laid.left_off)
    return tuple(
        f"{name} left off {count} of {len(layouts)} labels: no room on {stock.size}"
        for name, count in counts.items()
    )


def _other_codes(layouts: Sequence[Layout], job: _Job) -> tuple[str, ...]:
    """Tells of labels that carry another code than the one that was hoped for."""
    if job.choice not in {CodeChoice.AUTO, CodeChoice.GS1}:
        return ()
    found = Counter(
        element.measure.symbology
        for laid in layouts
        for element in laid.elements
        if isinstance(element, Symbol)
    )
    total = "1 label" if len(layouts) == 1 else f"{len(layouts)} labels"
    notes = []
    if job.choice is CodeChoice.GS1 and (
        without := len(layouts) - found[Symbology.GS1_DATA_MATRIX]
    ):
        notes.append(f"our own code on {without} of {total}: no GS1 code for them")
    if instead := found[Symbology.DATA_MATRIX]:
        notes.append(
            f"Data Matrix on {instead} of {total}: bars do not fit {job.stock.size} as well"
        )
    return tuple(notes)
