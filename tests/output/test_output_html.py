"""HTML: well formed, self-contained, escaped, linked; its colours legible by WCAG's own figure."""

from __future__ import annotations

import re
from base64 import b64encode
from hashlib import sha256
from itertools import pairwise

import pytest
from hypothesis import given as over
from hypothesis import strategies as st

from given_bundle import bundle, drawn, report, row
from html_pages import Page, read_page
from stockcheck.output.bundle import Bundle, Part
from stockcheck.output.html import render_bundle, render_html
from stockcheck.output.html_style import STYLE
from stockcheck.output.report import Tone

NASTY = '<script>alert("x")</script>" onclick=\'y\' &amp; <img src=http://a.example/b.png>'


def whole(item: str = "sealant") -> Bundle:
    return bundle(
        Part("way", report("What goes off", row(2, item, Tone.WARN, "decided: replace"))),
        Part("boxes", report("Boxes", row(1, item), row(2, item), row(2, item)), "", drawn("Cab")),
        Part("stops", report("Stops")),
        lots_in="boxes",
    )


def test_a_document_is_well_formed_with_unique_ids_and_every_link_leads_somewhere() -> None:
    page = read_page(render_bundle(whole()))
    assert page.wrong == []
    assert len(page.ids) == len(set(page.ids))
    assert {link.removeprefix("#") for link in page.links} <= set(page.ids)
    assert {"#way", "#boxes", "#stops", "#L2"} <= set(page.links)


def test_a_single_report_is_a_whole_file_too() -> None:
    page = read_page(render_html(report("Boxes", row(1), cautions=("Flammable: away from heat.",))))
    assert page.wrong == []
    assert [page.text.count(words) for words in ("Boxes", "away from heat")] == [2, 1]
    assert page.links == []


def outside(page: Page) -> list[str]:
    """Everything by which an element could fetch something."""
    names = ("src", "srcset", "data", "action", "poster", "background", "style", "xlink:href")
    found = [value for _, it in page.tags for name, value in it.items() if name in names]
    found += [link for link in page.links if not link.startswith("#")]
    return found + [
        tag for tag, _ in page.tags if tag in {"script", "link", "iframe", "img", "object"}
    ]


def test_nothing_comes_from_elsewhere_and_nothing_runs() -> None:
    html = render_bundle(whole())
    page = read_page(html)
    assert outside(page) == []
    assert "@import" not in STYLE
    assert "url(" not in STYLE
    assert [name for _, it in page.tags for name in it if name.startswith("on")] == []


def test_the_policy_allows_the_style_sheet_that_is_in_the_file_and_nothing_else() -> None:
    html = render_bundle(whole())
    (style,) = re.findall(r"<style>(.*?)</style>", html, re.DOTALL)
    digest = b64encode(sha256(style.encode()).digest()).decode()
    (policy,) = [
        it["content"]
        for it in read_page(html).of("meta")
        if it.get("http-equiv") == "Content-Security-Policy"
    ]
    assert policy.split("; ") == [
        "default-src 'none'",
        f"style-src 'sha256-{digest}'",
        "base-uri 'none'",
        "form-action 'none'",
    ]


def test_markup_in_names_is_shown_and_never_obeyed() -> None:
    document = bundle(
        Part("way", report(NASTY, row(1, NASTY, Tone.BAD, NASTY), totals=(NASTY,))), title=NASTY
    )
    page = read_page(render_bundle(document))
    assert page.wrong == []
    assert outside(page) == []
    assert page.text.count(NASTY) >= 5


@over(st.text(max_size=40))
def test_any_text_leaves_the_file_well_formed(words: str) -> None:
    page = read_page(render_html(report(words, row(1, words, Tone.BAD, words), facts=(words,))))
    assert page.wrong == []
    assert outside(page) == []
    assert [tag for tag, _ in page.tags].count("td") == 5


def test_a_lot_is_found_by_its_short_form_and_by_its_digits() -> None:
    page = read_page(render_bundle(whole()))
    assert page.ids.count("L2") == 1  # of two boxes that have it, the first
    assert "0000000002" in page.text


def test_headings_and_tables_say_what_they_are() -> None:
    page = read_page(render_bundle(whole()))
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert page.of("html") == [{"lang": "en"}]
    assert all(it["scope"] == "col" for it in page.of("th"))
    assert all(it.get("role") == "table" for it in page.of("table"))
    cells = [it for it in page.of("td") if "colspan" not in it]
    assert all(it["data-head"] for it in cells)


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, definition."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2, definition."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula_gives_the_published_ends() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # just too little


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
@pytest.mark.parametrize("ink", ["ink", "soft", "bad", "warn", "good", "link"])
def test_letters_have_the_contrast_that_wcag_asks_for(scheme: int, ink: str) -> None:
    """WCAG 2.2, success criterion 1.4.3, level AA: 4.5 to 1."""
    roots = re.findall(r":root\{(.*?)\}", STYLE, re.DOTALL)[:2]
    colours = dict(re.findall(r"--(\w+):(#[0-9a-f]{6})", roots[scheme]))
    for ground in ("paper", "field"):
        assert contrast(colours[ink], colours[ground]) >= 4.5
