"""Manual pages as roff: what is shown is what was given (man(7), groff_char(7))."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.output.roff import Page, Part, Tagged, Verbatim, Words, escaped, render_page

ON = date(2026, 11, 25)
# From groff_char(7): what the escapes stand for.
GLYPHS = {"\\(rs": "\\", "\\-": "-", "\\(aq": "'", "\\(dq": '"', "\\(ga": "`", "\\(ha": "^",
          "\\(ti": "~", "\\&": ""}  # fmt: skip


def shown(source: str) -> str:
    """A line of roff as a formatter shows it."""
    return re.sub(
        r"\\\[u([0-9A-F]{4,6})\]|\\f[BIR]|\\\(..|\\.",
        lambda found: chr(int(found[1], 16)) if found[1] else GLYPHS.get(found[0], ""),
        source,
    )


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=60))
def test_any_text_is_shown_as_it_is(text: str) -> None:
    source = escaped(text)
    assert source.isascii()
    assert shown(source) == text


@pytest.mark.parametrize(
    "text", [".TH trick", "'br", "\\fB bold", "a\n.so /etc/passwd", "...", "-x"]
)
def test_no_text_becomes_a_request(text: str) -> None:
    page = Page(
        "x", ON, "x 1", (Part("NAME", (Words(text), Tagged("-x", text), Verbatim((text,)))),)
    )
    lines = render_page(page).splitlines()
    requests = [line for line in lines if line.startswith((".", "'"))]
    assert [line.split()[0] for line in requests] == [".TH", ".SH", ".TP", ".PP", ".EX", ".EE"]


def test_options_are_bold_and_what_they_take_is_italic() -> None:
    page = Page("x", ON, "x 1", (Part("OPTIONS", (Tagged("-n, --to BOX / [a|b]", "Where."),)),))
    assert "\\fB\\-n\\fR, \\fB\\-\\-to\\fR \\fIBOX\\fR / \\fI[a|b]\\fR\nWhere.\n" in render_page(
        page
    )
