"""Pages of worked answers as text: blocks, and outputs wrapped anew for another screen."""

from __future__ import annotations

import pytest

from stockcheck.output.prose import Grid, Heading, Items, Listing, Paragraph, blocks
from stockcheck.output.prose_html import render_pages
from stockcheck.output.prose_text import render_page


def test_a_page_is_taken_apart_into_its_blocks() -> None:
    page = (
        "# Why?\nA line\ngoes on.\n\n- one\n  and more\n- two\n\n1. first\n2. second\n\n"
        "| A | B |\n|---|---|\n| `x` | y |\n\n```console\n$ do\n\nit\n```\n"
    )
    assert list(blocks(page.replace("# Why?\n", "# Why?\n\n"))) == [
        Heading(1, "Why?"),
        Paragraph("A line goes on."),
        Items(("one and more", "two"), numbered=False),
        Items(("first", "second"), numbered=True),
        Grid(("A", "B"), (("`x`", "y"),)),
        Listing("console", ("$ do", "", "it")),
    ]


def test_code_is_quoted_and_stays_in_one_piece() -> None:
    shown = render_page("A word or two more, then `stockcheck why L13` and on.", width=40)
    assert shown.splitlines()[1] == "'stockcheck why L13' and on."


def test_words_are_never_wider_than_can_be_read_with_ease() -> None:
    assert max(map(len, render_page("word " * 99, width=200).splitlines())) <= 100


def test_a_table_stacks_where_its_columns_have_no_room() -> None:
    page = "| Limit | Where from |\n|---|---|\n| printed | the pack |\n| heat | an estimate |\n"
    assert render_page(page, width=80).splitlines() == [
        "Limit    Where from", "printed  the pack", "heat     an estimate",
    ]  # fmt: skip
    assert render_page(page, width=40).splitlines() == [
        "printed", "  Where from: the pack", "", "heat", "  Where from: an estimate",
    ]  # fmt: skip


OUTPUT = [
    "L13  gasket silicone, black, 80 ml tube: 1 in Sealants and adhesives, opened 30",
    "  JUL 2026",
    "  shelf limit (governs): received 06 JUL 2024 + 96 months sealed = 06 JUL 2032",
    "    source: no published figure found (common practice)",
    "No.   Day          What              Qty  Lot   Item           Box    Why of all",
    "                                                for 1 l",
]


def shown(width: int) -> list[str]:
    return render_page("```console\n" + "\n".join(OUTPUT) + "\n```\n", width=width).splitlines()


def test_an_output_is_shown_as_it_was_where_it_was_made_for() -> None:
    assert shown(80) == OUTPUT


def test_what_eighty_columns_had_broken_is_whole_on_a_wider_screen() -> None:
    assert shown(120) == [f"{OUTPUT[0]} JUL 2026", *OUTPUT[2:]]


def test_on_a_narrow_screen_each_line_is_wrapped_below_itself() -> None:
    assert shown(40)[:3] == [
        "L13  gasket silicone, black, 80 ml", "  tube: 1 in Sealants and adhesives,",
        "  opened 30 JUL 2026",
    ]  # fmt: skip
    assert "    source: no published figure found" in shown(40)


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_a_command_can_be_copied_from_any_screen(width: int) -> None:
    command = 'stockcheck receive --box Water --item "water tablet, for 1 l" --quantity 10'
    lines = render_page(f"```console\n$ {command}\n```\n", width=width).splitlines()
    copied = " ".join(line[2:].removesuffix(" \\") for line in lines)
    assert copied == command
    assert [line[:2] for line in lines] == ["$ ", *["> "] * (len(lines) - 1)]


def test_words_are_never_markup() -> None:
    page = "# Is <b> bold & `<i>`?\n\n```text\n<script>\n```\n"
    text = render_pages([("x", page)])
    assert "Is &lt;b&gt; bold &amp; <code>&lt;i&gt;</code>?" in text
    assert "<script>" not in text
