"""The departure pack in a real browser: on a phone and a desk, light and dark, off the network.

Run by name (``pytest tests/browser``); needs Chromium. Pictures are left where STOCKCHECK_PICTURES
names a folder, to be looked at.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from pypdfium2 import PdfDocument

from chromium import Browser, browser_path, running

Run = Callable[..., "subprocess.CompletedProcess[str]"]
PHONE, DESK = 360, 1280
SCREENS = [(width, dark) for width in (PHONE, DESK) for dark in (False, True)]
NAMES = [f"{width} px {'dark' if dark else 'light'}" for width, dark in SCREENS]
LONG = "Verbindungsstückgewindedichtmittelnachfüllpackung" * 2


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = browser_path()
    assert path is not None, "no Chromium here; on Debian: apt-get install -y chromium"
    with running(path) as found:
        yield found


@pytest.fixture
def pack(demo: Run, tmp_path: Path) -> Path:
    """The demo's pack, with an audit, and with names that are long or look like markup."""
    for words in (
        ("kit-lists", "usual", "First aid", "de-din-13164-2022"),
        ("box", "add", LONG, "--inside", "Cab"),
        ("item", "add", f"<b>{LONG}</b>", "--kind", "rtv-silicone"),
        ("receive", "--box", LONG, "--item", f"<b>{LONG}</b>", "--quantity", "2", "--expiry",
         "EXP 03/2027"),
        ("pack", "Spring count", "--format", "html"),
    ):  # fmt: skip
        done = demo(*words)
        assert done.returncode == 0, done.stderr
    return tmp_path / "departure-pack.html"


def keep(picture: bytes, name: str) -> Image.Image:
    """The picture, left in the folder that the environment names."""
    folder = os.environ.get("STOCKCHECK_PICTURES")
    if folder:
        Path(folder, f"{name}.png").write_bytes(picture)
    return Image.open(BytesIO(picture)).convert("L")


@pytest.mark.parametrize(("width", "dark"), SCREENS, ids=NAMES)
def test_it_fits_its_screen_and_is_as_light_or_dark_as_the_screen(
    browser: Browser, pack: Path, width: int, dark: bool
) -> None:
    browser.look(pack, width, dark=dark)
    assert browser.value("innerWidth") == width
    assert browser.value("document.documentElement.scrollWidth") <= width
    wide = "[...document.body.querySelectorAll('*')].filter(e => e.closest('thead') === null &&"
    wide += f" e.getBoundingClientRect().right > {width} + 0.5).map(e => e.outerHTML.slice(0, 80))"
    assert browser.value(wide) == []
    picture = keep(browser.picture(), f"pack-{width}-{'dark' if dark else 'light'}")
    assert picture.width == width
    common = max(picture.getcolors() or [(0, 0)])[1]
    assert isinstance(common, int)
    assert (common < 60) == dark
    assert (common > 195) == (not dark)


def test_it_asks_for_nothing_but_itself_and_breaks_no_policy(browser: Browser, pack: Path) -> None:
    browser.look(pack, PHONE)
    assert browser.requests == [pack.as_uri()]
    assert browser.complaints == []
    assert browser.value("document.styleSheets.length") == 1
    assert browser.value("document.styleSheets[0].cssRules.length") > 30


def test_a_script_that_came_in_all_the_same_would_not_run(browser: Browser, tmp_path: Path) -> None:
    """The policy is what stops it: the same page without its policy runs the script."""
    from given_bundle import bundle, report, row
    from stockcheck.output.bundle import Part
    from stockcheck.output.html import render_bundle

    page = render_bundle(bundle(Part("way", report("Way", row(1)))))
    evil = page.replace("</body>", "<script>document.title = 'taken'</script></body>")
    open_page = evil.replace("Content-Security-Policy", "x-nothing")
    titles = []
    for name, html in (("evil", evil), ("open", open_page)):
        file = tmp_path / f"{name}.html"
        file.write_text(html, "utf-8")
        browser.look(file, PHONE)
        titles.append(browser.value("document.title") == "taken")
    assert titles == [False, True]


def test_letters_are_large_enough_and_rows_become_cards_on_a_phone(
    browser: Browser, pack: Path
) -> None:
    browser.look(pack, PHONE)
    size = "parseFloat(getComputedStyle(document.querySelector('td')).fontSize)"
    assert browser.value(size) >= 16
    assert browser.value("getComputedStyle(document.querySelector('tbody')).display") == "block"
    browser.look(pack, DESK)
    shown = "getComputedStyle(document.querySelector('tbody')).display"
    assert browser.value(shown) == "table-row-group"


def test_every_entry_of_the_contents_leads_to_what_it_names(browser: Browser, pack: Path) -> None:
    browser.look(pack, PHONE)
    count = browser.value("document.querySelectorAll('nav>ol>li>a').length")
    assert count >= 8
    for number in range(count):
        browser.value(f"document.querySelectorAll('nav>ol>li>a')[{number}].click()")
        name = browser.value(f"document.querySelectorAll('nav>ol>li>a')[{number}].innerText")
        heading = browser.value("document.querySelector(':target h2').innerText")
        top = browser.value("document.querySelector(':target').getBoundingClientRect().top")
        bottom = browser.value("innerHeight + scrollY - document.documentElement.scrollHeight")
        assert heading == name
        assert abs(top) < 2 or abs(bottom) < 2  # at the top, or the page ends before


def test_each_box_can_be_gone_to_from_the_contents(browser: Browser, pack: Path) -> None:
    browser.look(pack, PHONE)
    links = "document.querySelectorAll('nav ul a')"
    names = browser.value(f"[...{links}].map(it => it.innerText)")
    assert "Truck bed / Water" in names
    browser.value(f"{links}[{names.index('Truck bed / Water')}].click()")
    assert browser.value("document.querySelector(':target').innerText") == "Truck bed / Water"


@pytest.mark.parametrize("words", ["L105", "1000001057", "Аптечка Нины"])
def test_the_browser_finds_a_lot_by_its_code(browser: Browser, pack: Path, words: str) -> None:
    browser.look(pack, PHONE)
    assert browser.value(f"window.find({words!r})") is True


def test_it_prints_in_black_on_white_with_nothing_cut_off(browser: Browser, pack: Path) -> None:
    browser.look(pack, DESK, dark=True)
    document = PdfDocument(browser.printed())
    assert len(document) > 3
    text = document[0].get_textpage().get_text_bounded()
    assert "Spring count" in text
    assert "Not ready" in text
    picture = document[0].render(scale=1, grayscale=True).to_pil()
    colours = picture.getcolors() or []
    assert max(colours)[1] == 255


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize(
    "words",
    [("expiry", "--trip", "Spring count"), ("restock", "--trip", "Spring count"),
     ("expiry", "--sort", "last_usable_day", "--only", "quantity>1")],
    ids=lambda words: " ".join(words)[:30],
)  # fmt: skip
def test_a_report_by_itself_fits_a_phone_too(
    browser: Browser, demo: Run, tmp_path: Path, words: tuple[str, ...], width: int
) -> None:
    done = demo(*words, "--format", "html", "--output", "report.html")
    assert done.returncode == 0, done.stderr
    browser.look(tmp_path / "report.html", width, dark=False)
    assert browser.value("document.documentElement.scrollWidth") <= width
    keep(browser.picture(), f"report-{words[0]}-{len(words)}-{width}")
    assert browser.requests == [(tmp_path / "report.html").as_uri()]
