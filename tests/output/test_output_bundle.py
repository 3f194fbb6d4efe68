"""Several reports as one PDF: page numbers, bookmarks, the cover's contents, drawn pages, paper."""

from __future__ import annotations

import re

import pytest
from pypdfium2 import PdfDocument

from given_bundle import bundle, drawn, report, row
from stockcheck.core.errors import BadInput
from stockcheck.output.bundle import Bundle, Part
from stockcheck.output.pdf_bundle import render_bundle

MANY = tuple(row(number, f"sealant {number}") for number in range(1, 121))


def texts(document: Bundle, page: str = "A4") -> list[str]:
    found = PdfDocument(render_bundle(document, page=page).pdf)
    return [each.get_textpage().get_text_bounded() for each in found]


def whole() -> Bundle:
    return bundle(
        Part("way", report("What goes off", *MANY), "120 holdings"),
        Part("boxes", report("Boxes", row(1)), "2 boxes", drawn("Cab", "Truck bed")),
        Part("stops", report("Stops")),
        Part("cautions", report("Cautions", row(7))),
    )


def test_every_page_has_its_number_in_one_run() -> None:
    found = texts(whole())
    pages = [re.findall(r"page (\d+) of (\d+)", text) for text in found]
    assert pages == [[(str(at), str(len(found)))] for at in range(1, len(found) + 1)]


def test_the_cover_says_where_each_part_begins_and_that_one_is_empty() -> None:
    found = texts(whole())
    cover = found[0]
    starts = {
        title: next(at for at, text in enumerate(found[1:], 2) if text.startswith(title))
        for title in ("What goes off", "Cautions")
    }
    lines = [line.strip() for line in cover.splitlines()]
    assert f"What goes off: 120 holdings {starts['What goes off']}" in lines
    assert f"Cautions {starts['Cautions']}" in lines
    assert "Stops: Nothing." in lines
    assert not [text for text in found[1:] if text.startswith("Stops")]
    for words in ("Spring count", "Not ready", "1 holding is expired.", "3 people"):
        assert words in cover


def test_bookmarks_of_two_levels_lead_to_the_pages() -> None:
    done = render_bundle(whole())
    found = PdfDocument(done.pdf)
    marks = [(it.level, it.get_title(), it.get_dest().get_index()) for it in found.get_toc()]
    assert [(level, title) for level, title, _ in marks] == [
        (0, "Departure pack: Spring count"),
        (0, "What goes off"), (1, "Truck"),
        (0, "Boxes"), (1, "Cab"), (1, "Truck bed"),
        (0, "Cautions"), (1, "Truck"),
    ]  # fmt: skip
    for _, title, page in marks:
        if title in {"What goes off", "Cautions"}:
            assert title in found[page].get_textpage().get_text_bounded()
    assert done.drawn == tuple(page for _, title, page in marks if title in {"Cab", "Truck bed"})


@pytest.mark.parametrize(("page", "size"), [("A4", (595.3, 841.9)), ("Letter", (612.0, 792.0))])
def test_the_paper_is_what_was_asked_for(page: str, size: tuple[float, float]) -> None:
    document = PdfDocument(render_bundle(whole(), page=page).pdf)
    assert {tuple(round(side, 1) for side in each.get_size()) for each in document} == {size}
    with pytest.raises(BadInput, match="Letter"):
        render_bundle(whole(), page="A3")


def test_the_same_document_gives_the_same_bytes() -> None:
    assert render_bundle(whole()).pdf == render_bundle(whole()).pdf


def test_a_document_without_anything_is_its_cover() -> None:
    found = texts(bundle(Part("way", report("What goes off")), Part("stops", report("Stops"))))
    assert len(found) == 1
    assert "What goes off: Nothing." in found[0]


def test_markup_and_letters_that_no_font_has_are_printed_as_they_can_be() -> None:
    document = bundle(Part("way", report("<b>Way</b>", row(1, "Клей \U0001f600"))), title="A & <B>")
    found = texts(document)
    assert "A & <B>" in found[0]
    assert "Клей □" in found[1]
