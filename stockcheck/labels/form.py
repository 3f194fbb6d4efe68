"""A printed form: rows with codes to scan and places to write, for counting and auditing by hand.

All measures are millimetres. A form is drawn in black alone and is legible on any printer; codes
stand so far apart that a scanner held to one does not catch its neighbour.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from stockcheck.labels.printing import Sheets

PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
USUAL_DPI = 300


class Cell(StrEnum):
    """What a column is for: to read, to scan, to write on, to tick, or to write a number in."""

    TEXT = "text"
    CODE = "code"
    WRITE = "write"
    TICK = "tick"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class FormColumn:
    """One column. ``mm`` is its width; without it a text or write column takes a ``share`` of what
    is left, and the others what they need. ``right`` sets texts to the right, as figures stand.
    """

    heading: str
    cell: Cell = Cell.TEXT
    share: float = 1.0
    mm: float | None = None
    bold: bool = False
    right: bool = False


@dataclass(frozen=True, slots=True)
class FormRow:
    """One row: a text for each column. A code column takes ten digits of ours, or nothing.

    ``group`` is a heading printed where it changes. A ``blank`` row has lines to write on in place
    of texts and codes. What stands in a write, tick or count column is printed small beside it.
    """

    cells: tuple[str, ...]
    group: str = ""
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """A whole form.

    ``facts`` stand under the title, ``fill_in`` are words with a line to write on after each (who,
    when), ``foot`` and ``cautions`` come after the last row, cautions in bold. ``code`` is drawn
    large in the head with ``code_words`` below; ``empty`` stands in place of rows.
    """

    title: str
    columns: tuple[FormColumn, ...]
    rows: tuple[FormRow, ...]
    facts: tuple[str, ...] = ()
    fill_in: tuple[str, ...] = ()
    foot: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    code: str = ""
    code_words: str = ""
    empty: str = "Nothing to list."


def form_pdf(
    form: Form, *, page: str = "A4", dpi: int = USUAL_DPI, landscape: bool = False
) -> Sheets:
    """The form as a PDF with the codes that each page must read back as.

    ``page`` is a name of ``PAGES``, ``dpi`` the printer's resolution, on whose dots all bars lie.
    ``left_off`` of the result tells what could not be printed as it is written. BadInput for an
    unknown page, an odd resolution, or columns that do not fit side by side. ValueError for a row
    that has not one text for each column.
    """
    from stockcheck.labels.form_pages import paged

    width, height = page_size(page)
    if landscape:
        width, height = height, width
    for row in form.rows:
        if len(row.cells) != len(form.columns):
            raise ValueError(f"{len(row.cells)} cells for {len(form.columns)} columns: {row}")
    return paged(form, width, height, dpi)


def checked_form(
    form: Form, *, page: str = "A4", dpi: int = USUAL_DPI, landscape: bool = False
) -> Sheets:
    """As ``form_pdf``, read back; BadInput when a code would not scan."""
    return read_back(form_pdf(form, page=page, dpi=dpi, landscape=landscape), dpi)


def read_back(sheets: Sheets, dpi: int) -> Sheets:
    """The same sheets, when every code on them reads; BadInput telling which does not."""
    from stockcheck.labels.printing import verify_sheets

    if unreadable := verify_sheets(sheets, dpi):
        raise BadInput("not handed over, it does not read back: " + "; ".join(unreadable))
    return sheets


def page_size(page: str) -> tuple[float, float]:
    """Width and height of a page in mm; BadInput for a name that is not in ``PAGES``."""
    sizes = {name.casefold(): size for name, size in PAGES.items()}
    size = sizes.get(page.strip().casefold())
    if size is None:
        raise BadInput(f"page {page!r}: there are {' and '.join(PAGES)}")
    return size
