"""Harmful words on labels, in calendars, in documents, and as names of files.

Escaping and folding of a calendar's texts: RFC 5545, sections 3.1 and 3.3.11. What makes a name a
path or a device: POSIX.1-2017, 3.271 "Pathname"; the reserved names of one family of systems (CON,
NUL, COM1) are from memory.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from hostile import KEPT, steers
from html_pages import read_page
from stockcheck.core.codes import make_code
from stockcheck.labels.readback import decoded, rendered

Run = Callable[..., "subprocess.CompletedProcess[str]"]

TEXTS = {tries: text[:100].strip() for tries, text in KEPT.items() if "blanks to us" not in tries}
TRIP = "<b>Wells</b>; BEGIN:VEVENT, \\n =1+1"
PRINTABLE = ["markup", "half a tag", "formula", "formula by @", "SQL", "path", "JSON"]


def ok(done: subprocess.CompletedProcess[str]) -> str:
    assert done.returncode == 0, (done.args, done.stderr)
    assert not steers(done.stderr), done.args
    return done.stdout


@pytest.fixture
def named(inside: Run) -> Run:
    """The demo with a box, an item and a lot for every harmful text; the lots end on a trip."""
    ok(inside("trip", "add", "--departs", "2027-02-08", "--returns", "2027-04-26", "--note",
              "</title>", "--", TRIP))  # fmt: skip
    ok(inside("box", "add", "--note", "<i>&amp;", "--", "B <script>alert(2)</script>"))
    for text in TEXTS.values():
        ok(inside("item", "add", "--kind", "rtv-silicone", f"--note={text}", "--", text))
        ok(inside("receive", "--box=B <script>alert(2)</script>", f"--item={text}",
                  "--quantity", "2", "--expiry", "EXP 03/2027", f"--batch={text[:60]}",
                  f"--note={text}"))  # fmt: skip
    return inside


def test_a_calendar_has_every_name_as_it_is_and_no_event_more(named: Run, tmp_path: Path) -> None:
    from icalendar import Calendar

    ok(named("calendar", TRIP, "--output", "all.ics"))
    data = (tmp_path / "all.ics").read_bytes()
    lines = data.split(b"\r\n")
    assert not {*data.replace(b"\r\n", b"")} & {*b"\r\n"}  # only ever together
    assert max(map(len, lines)) <= 75
    for line in lines:
        line.decode()  # folded between characters, never within one
        assert not line or line[:1] == b" " or line.partition(b":")[1], line
    read: Any = Calendar.from_ical(data)
    events = read.walk("VEVENT")
    assert lines.count(b"BEGIN:VEVENT") == len(events) > len(TEXTS)
    told = "\n".join(f"{it['summary']}\n{it.get('description', '')}" for it in events)
    for tries, text in TEXTS.items():
        assert text in told, tries
    assert TRIP in told


def test_an_html_pack_has_every_name_as_words(named: Run, demo_tags: set[str]) -> None:
    page = read_page(ok(named("pack", TRIP, "--format", "html", "--output", "-")))
    assert page.wrong == []
    assert {name for name, _ in page.tags} <= demo_tags
    assert not [name for _, attributes in page.tags for name in attributes if name[:2] == "on"]
    words = " ".join(page.text.split())
    for tries, text in TEXTS.items():
        assert text in words, tries


@pytest.fixture
def demo_tags(inside: Run) -> set[str]:
    """The elements that an ordinary pack has."""
    page = read_page(ok(inside("pack", "Spring count", "--format", "html", "--output", "-")))
    return {name for name, _ in page.tags}


@pytest.mark.parametrize(
    "words",
    [
        ["pack", TRIP],
        ["clear-out", "--on", "2027-05-01", "--sheet"],
        ["clear-out", "--on", "2027-05-01", "--format", "pdf", "--output"],
        ["expiry", "--trip", TRIP, "--format", "pdf", "--output"],
        ["count", "B <script>alert(2)</script>", "--sheet"],
    ],
    ids=lambda words: f"{words[0]} {words[-1]}",
)
def test_documents_on_paper_have_markup_as_words(
    named: Run, tmp_path: Path, words: list[str]
) -> None:
    from pypdfium2 import PdfDocument

    given = [*words, "--output", "out.pdf"] if words[0] == "pack" else [*words, "out.pdf"]
    done = named(*given)
    ok(done)
    text = " ".join(page.get_textpage().get_text_bounded() for page in
                    PdfDocument(tmp_path / "out.pdf"))  # fmt: skip
    squeezed = "".join(text.split()).replace("\ufffe", "").replace("-", "")
    for tries in PRINTABLE:
        assert "".join(TEXTS[tries].split()).replace("-", "")[:24] in squeezed, tries
    assert not steers(text.replace("\r\n", "\n").replace("\x02", "-"))


@pytest.mark.parametrize("tries", [*TEXTS, "very long"])
def test_a_label_of_a_harmful_name_reads_back_and_says_it_plainly(
    inside: Run, tmp_path: Path, tries: str
) -> None:
    from pypdfium2 import PdfDocument

    name = TEXTS.get(tries, "sealant " * 14 + "tube")
    ok(inside("item", "add", "--kind", "rtv-silicone", "--", name))
    ok(inside("receive", "--box", "Cab", f"--item={name}", "--quantity", "1",
              "--expiry", "EXP 03/2028", f"--batch={name[:60]}"))  # fmt: skip
    rows = json.loads(ok(inside("lot", "list", f"--item={name}", "--format", "json")))["rows"]
    [lot] = [row["lot"] for row in rows]
    done = inside("labels", lot, "--output", "l.pdf")
    if done.returncode == 3:
        assert "the label typeface cannot print" in done.stderr
        assert not (tmp_path / "l.pdf").exists()
        return
    ok(done)
    pdf = (tmp_path / "l.pdf").read_bytes()
    read = [text for image in rendered(pdf, 300) for _, text in decoded(image)]
    assert set(read) == {make_code("lot", int(lot[1:]))}
    text = " ".join(page.get_textpage().get_text_bounded() for page in PdfDocument(pdf))
    assert not steers(text.replace("\r\n", "\n").replace("\x02", "-"))
    first = name.split()[0]
    assert first[:8] in text


PLACES = ["../../elsewhere", "/srv/elsewhere", "..\\..\\elsewhere", "CON", "NUL", "COM1", "a/b",
          "~root", "-rf", ".", "..", "x" * 118, "name\u0301.pdf", "a:b*c?"]  # fmt: skip


def test_no_name_becomes_a_path(
    inside: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = tmp_path / "one" / "two" / "three"
    here.mkdir(parents=True)
    monkeypatch.chdir(here)
    before = set(tmp_path.rglob("*"))
    for number, name in enumerate(PLACES):
        ok(inside("box", "add", "--", name))
        ok(inside("trip", "add", "--departs", "2027-02-08", "--returns", "2027-04-26", "--", name))
        ok(inside("label-stock", "printer", "--mark-x", "11", "--", name))
        ok(inside("receive", f"--box={name}", "--item", "I70", "--quantity", "1",
                  f"--batch={name[:60]}", "--expiry", "EXP 03/2027"))  # fmt: skip
        box = json.loads(ok(inside("box", "list", "--format", "json")))["rows"][-1]["code"]
        for words in (
            ["pack", "--output", f"p{number}.html", "--format", "html", "--", name],
            ["calendar", "--output", f"c{number}.ics", "--", name],
            ["labels", box, "--output", f"l{number}.pdf"],
            ["count", "--sheet", f"s{number}.pdf", "--", name],
            ["clear-out", f"--box={name}", "--sheet", f"o{number}.pdf", "--on", "2028-01-01"],
        ):
            done = inside(*words)
            typeface = "typeface cannot print" in done.stderr
            assert done.returncode == (3 if typeface else 0), (words, done.stderr)
    ok(inside("backup"))
    ok(inside("export", "out"))
    new = set(tmp_path.rglob("*")) - before
    ours = {here / "out", *(here / "out").iterdir()}
    endings = {"p": "html", "c": "ics", "l": "pdf", "s": "pdf", "o": "pdf"}
    for number in range(len(PLACES)):
        ours |= {here / f"{letter}{number}.{end}" for letter, end in endings.items()}
    strange = {each for each in new - ours if "backups" not in str(each.relative_to(tmp_path))}
    assert strange == set()


@pytest.mark.parametrize(
    "words",
    [
        *(["expiry", "--format", "csv", "--output", "{}"], ["pack", "--output", "{}"]),
        *(["labels", "L12", "--output", "{}"], ["calendar", "--output", "{}"], ["export", "{}"]),
        *(["backup", "{}"], ["restore", "{}", "--yes"], ["salvage", "{}", "--to", "n.db"]),
        *(["receive", "--from", "{}"], ["import", "{}", "--to", "n.db"], ["demo", "{}"]),
        *(["scan", "--photo", "{}"], ["--store", "{}", "box", "list"], ["--store", "{}", "init"]),
        *(["heat", "log", "Cab", "{}"], ["kit-lists", "check", "{}"]),
        ["label-stock", "check", "{}"],
        ["count", "Water", "--sheet", "{}"],
    ],
    ids=" ".join,
)  # fmt: skip
@pytest.mark.parametrize(
    "place", ["a\0b", "n" * 300, "n" * 300 + "/y", "/dev/null/x", "x\n\x1b[2J"]
)
def test_a_path_that_cannot_be_is_told_in_one_message(
    inside: Run, tmp_path: Path, words: list[str], place: str
) -> None:
    if words[0] == "demo" and "\x1b" in place:
        return  # where it can be written it is, and takes long
    before = (tmp_path / "stock.db").read_bytes()
    done = inside(*[place if word == "{}" else word for word in words])
    assert "please report it" not in done.stderr, done.stderr
    assert not steers(done.stdout + done.stderr)
    assert done.returncode in ({0, 2, 3, 4} if "\x1b" in place else {2, 3, 4}), done
    if words[0] not in {"calendar", "count"}:  # which note an identity, and begin a count
        assert (tmp_path / "stock.db").read_bytes() == before
