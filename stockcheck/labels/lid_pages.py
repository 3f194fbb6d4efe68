"""A lid sheet over its panels: head, table, cautions, disposal; headings again on each panel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stockcheck.core.errors import BadInput
from stockcheck.core.printer import Setting
from stockcheck.labels import lid_blocks as blocks_of
from stockcheck.labels.draw import TRUE, draw
from stockcheck.labels.elements import NOTHING, Band, Element, Part, Run, stacked
from stockcheck.labels.fitting import Room, fit
from stockcheck.labels.lid import FOLDS, Lid
from stockcheck.labels.lid_blocks import PANELS, Panel
from stockcheck.labels.measure import Measure, Symbology, measures
from stockcheck.labels.printing import CodeChoice, Sheets, codes_alone
from stockcheck.labels.sheet import Spot
from stockcheck.labels.stock import Stock

_SYMBOLOGIES = {
    CodeChoice.BARS: Symbology.CODE_128,
    CodeChoice.MATRIX: Symbology.DATA_MATRIX,
    CodeChoice.QR: Symbology.QR,
}
_DASH = 2.5  # mm: dashes of a fold line and the gaps between them
_HAIRLINE = 0.12


def sheets(
    lids: Sequence[Lid],
    paper: str,
    fold: str,
    dpi: int,
    code: str,
    title: str,
    setting: Setting = TRUE,
) -> Sheets:
    """The PDF of all lids, each beginning on a sheet of its own."""
    choice = CodeChoice(code)
    if choice not in _SYMBOLOGIES:
        raise BadInput(f"code {code}: a lid sheet has {', '.join(_SYMBOLOGIES)}")
    panel = PANELS[fold]
    across, down = FOLDS.get((paper, fold), (1, 1))
    width, height = across * panel.width, down * panel.height
    per_sheet = across * down
    labels: list[tuple[Spot, tuple[Element, ...]]] = []
    codes: list[tuple[str, ...]] = []
    bookmarks: dict[int, str] = {}
    for lid in lids:
        panels = list(_panels(lid, panel, _measure(lid, panel, _SYMBOLOGIES[choice], dpi)))
        bookmarks[len(labels)] = lid.name
        for at, elements in enumerate(panels):
            row, column = divmod(at % per_sheet, across)
            if at % per_sheet == 0:
                codes.append((lid.code,) if at == 0 else ())
                if per_sheet > 1:
                    labels.append((Spot(len(codes) - 1, 0, 0), _fold_lines(panel, across, down)))
            spot = Spot(len(codes) - 1, column * panel.width, row * panel.height)
            labels.append((spot, elements))
    stock = Stock("lid", "", False, width, height, width, height)
    pdf = draw(labels, stock, title, setting=setting, outline=bookmarks)
    placed = tuple(codes_alone(labels, height, setting))
    return Sheets(pdf, len(codes), tuple(codes), placed=placed)


def lid_pages(lid: Lid, paper: str, dpi: int) -> list[tuple[Element, ...]]:
    """What stands on each page of a lid sheet with bars that is not folded."""
    panel = PANELS[paper]
    return list(_panels(lid, panel, _measure(lid, panel, Symbology.CODE_128, dpi)))


def _fold_lines(panel: Panel, across: int, down: int) -> tuple[Element, ...]:
    """Dashes where the sheet is folded, from edge to edge."""
    found: list[Element] = []
    width, height = across * panel.width, down * panel.height
    half = _HAIRLINE / 2
    for column in range(1, across):
        steps = int(height / (2 * _DASH))
        found += [
            Band(column * panel.width - half, (2 * at + 0.5) * _DASH, _HAIRLINE, _DASH)
            for at in range(steps)
        ]
    for row in range(1, down):
        steps = int(width / (2 * _DASH))
        found += [
            Band((2 * at + 0.5) * _DASH, row * panel.height - half, _DASH, _HAIRLINE)
            for at in range(steps)
        ]
    return tuple(found)


def _measure(lid: Lid, panel: Panel, symbology: Symbology, dpi: int) -> Measure:
    """The largest code that takes at most two fifths of the panel's width."""
    found = measures(lid.code, symbology, dpi)
    fitting = [it for it in found if it.width_mm <= 0.42 * panel.inner]
    return (fitting or list(found[-1:]))[0]


def _panels(lid: Lid, panel: Panel, measure: Measure) -> Iterator[tuple[Element, ...]]:
    """Panel after panel, with what is on each told at its foot."""
    bodies = list(_bodies(lid, panel, measure))
    for number, blocks in enumerate(bodies, start=1):
        elements = list(stacked(blocks, 0.0).elements(panel.margin, panel.margin))
        words = f"{lid.name} · {lid.short}" + (
            f" · {number} of {len(bodies)}" if len(bodies) > 1 else ""
        )
        fitted = fit(words, Room(panel.inner, panel.small, 5.0))
        baseline = panel.height - panel.margin
        elements.append(Run(panel.margin, baseline, fitted.lines[0], fitted.size))
        yield tuple(elements)


def _bodies(lid: Lid, panel: Panel, measure: Measure) -> Iterator[list[Part]]:
    """The blocks of each panel; what does not fit goes onto the next, below its heading again."""
    blocks: list[Part] = [blocks_of.head(lid, panel, measure)]
    used = blocks[0].height
    for section in blocks_of.sections(lid, panel):
        lead = section.heading
        for block in section.blocks:
            if used + lead.height + block.height > panel.room:
                yield blocks
                blocks = [blocks_of.continued(lid, panel)]
                used, lead = blocks[0].height, section.heading
            blocks += [lead, block]
            used += lead.height + block.height
            lead = NOTHING
    yield blocks
