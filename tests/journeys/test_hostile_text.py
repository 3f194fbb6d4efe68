"""Whatever is typed into any text: kept as words and harmless everywhere, or refused by name.

What a spreadsheet runs: OWASP, "CSV Injection". What hides in text: Unicode Technical Report 36,
"Unicode Security Considerations", section 2.5 (bidirectional) and 3 (non-visual). Escape sequences:
ECMA-48.
"""

from __future__ import annotations

import csv
import io
import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from hostile import KEPT, REFUSED, steers
from stockcheck.core.harmless import from_csv_cell, to_csv_cell

Run = Callable[..., "subprocess.CompletedProcess[str]"]

WAYS_IN = {
    "name of a store": ["--store", "new.db", "init", "--name", "{}"],
    "name of a box": ["box", "add", "{}"],
    "new name of a box": ["box", "change", "Water", "--rename", "{}"],
    "note of a box": ["box", "add", "Pouch", "--note", "{}"],
    "name of an item": ["item", "add", "{}", "--kind", "ptfe-tape"],
    "size of an item": ["item", "change", "I1", "--size", "{}"],
    "note of an item": ["item", "change", "I1", "--note", "{}"],
    "name of a supplier": ["supplier", "add", "{}"],
    "note of a supplier": ["supplier", "add", "Stall", "--note", "{}"],
    "note of an offer": ["offer", "add", "--supplier", "Village shop", "--item", "I7",
                         "--pack", "10", "--price", "2", "--note", "{}"],
    "name of a trip": ["trip", "add", "{}", "--departs", "2027-09-06", "--returns", "2027-10-30"],
    "note of a trip": ["trip", "change", "Spring count", "--note", "{}"],
    "batch of a lot": ["lot", "change", "L12", "--batch", "{}", "--reason", "misread"],
    "note of a lot": ["lot", "change", "L12", "--note", "{}", "--reason", "misread"],
    "reason of a change": ["lot", "change", "L12", "--batch", "B7", "--reason", "{}"],
    "reason of a use": ["use", "L109", "-n", "1", "--from", "Water", "--reason", "{}"],
    "reason of a hold": ["hold", "L31", "--reason", "{}"],
    "reason of a write-off": ["write-off", "L34", "-n", "1", "--from", "Electrical", "--yes",
                              "--reason", "{}"],
    "reason of a correction": ["correct", "L50", "--count", "12", "--reason", "{}"],
    "reason of an undo": ["undo", "--reason", "{}"],
    "batch of a recall": ["recall", "add", "I7", "--batch", "{}"],
    "reason of a recall": ["recall", "add", "I7", "--batch", "B7", "--reason", "{}"],
    "who inspected": ["inspect", "L22", "--fail", "--by", "{}"],
    "note of an inspection": ["inspect", "L22", "--fail", "--note", "{}"],
    "note of a match": ["kit-lists", "match", "de-din-13164-2022", "Wet wipe", "wet wipe, skin",
                        "--note", "{}"],
    "who did a round": ["round", "do", "Medicines", "--list", "us-red-cross-family-of-four",
                        "--as-booked", "--by", "{}"],
    "name of a printer": ["label-stock", "printer", "{}", "--mark-x", "11"],
    "note of a printer": ["label-stock", "printer", "office", "--mark-x", "11", "--note", "{}"],
    "note of what was wanted": ["wanted", "I70", "--note", "{}"],
    "note from memory": ["remember", "I70", "--used", "1", "--days", "3", "--note", "{}"],
    "place of a stop": ["trip", "stop", "add", "Spring count", "--day", "3", "--place", "{}"],
    "note of a closing": ["trip", "close", "Shakedown weekend", "--nothing-more",
                          "--on", "2027-01-18", "--note", "{}"],
    "note of a substitute": ["item", "substitute", "I49", "--by", "I50", "--note", "{}"],
    "reason of a cancelling": ["purchase", "cancel", "1", "--reason", "{}"],
    "name of a kind": ["kind", "add", "own", "--meaning", "none", "--past", "no limit",
                       "--name", "{}"],
    "storage of a kind": ["kind", "change", "rtv-silicone", "--storage", "{}"],
    "batch of an arrival": ["receive", "--box", "Water", "--item", "I70", "--quantity", "1",
                            "--batch", "{}"],
    "note of an arrival": ["receive", "--box", "Water", "--item", "I70", "--quantity", "1",
                           "--note", "{}"],
    "reason of a decision": ["decide", "Sealants and adhesives", "--lot", "L22", "--as", "replace",
                             "--reason", "{}"],
    "climate of a box": ["box", "add", "Pouch", "--climate", "{}"],
    "pile of sheets": ["labels", "L12", "--output", "l.pdf", "--pile", "{}"],
}  # fmt: skip
TURN = 5  # each way in tries every fifth text, from another one on: in all, each some six times
SEEN = [
    *(["box", "list"], ["item", "list"], ["supplier", "list"], ["trip", "list"], ["lot", "list"]),
    *(["history", "L12"], ["history", "L109"], ["recall", "list", "--all"], ["expiry"]),
]


def _turn(texts: dict[str, str], way: str) -> list[tuple[str, str]]:
    return list(texts.items())[list(WAYS_IN).index(way) % TURN :: TURN]


def _given(words: list[str], text: str) -> list[str]:
    """The text in its place, behind -- or = where it could be taken for an option."""
    at = words.index("{}")
    if words[at - 1].startswith("--"):
        return [*words[: at - 1], f"{words[at - 1]}={text}", *words[at + 1 :]]
    return [*words[:at], *words[at + 1 :], "--", text]


@pytest.mark.parametrize("way", WAYS_IN)
def test_what_nobody_could_see_is_refused_by_its_code_point_and_changes_nothing(
    inside: Run, tmp_path: Path, way: str
) -> None:
    before = (tmp_path / "stock.db").read_bytes()
    words = WAYS_IN[way]
    for tries, text in _turn(REFUSED, way):
        done = inside(*_given(words, text))
        assert done.returncode in {2, 3}, (tries, done)
        bad = next(char for char in text if not char.isprintable() or char == "\u3164")
        assert f"U+{ord(bad):04X}" in done.stderr, (tries, done.stderr)
        assert not steers(done.stdout + done.stderr), (tries, done.stderr)
        assert (tmp_path / "stock.db").read_bytes() == before, tries


@pytest.mark.parametrize("way", WAYS_IN)
def test_words_like_any_other_are_kept_and_do_no_harm(
    inside: Run, tmp_path: Path, way: str
) -> None:
    before = (tmp_path / "stock.db").read_bytes()
    words = WAYS_IN[way]
    for tries, text in _turn(KEPT, way):
        done = inside(*_given(words, text))
        assert done.returncode == 0, (tries, done.stderr)
        assert not steers(done.stdout), tries
        (tmp_path / "stock.db").write_bytes(before)
        (tmp_path / "new.db").unlink(missing_ok=True)


@pytest.mark.parametrize("words", WAYS_IN.values(), ids=WAYS_IN)
def test_ten_thousand_characters_are_refused_with_the_limit(
    inside: Run, tmp_path: Path, words: list[str]
) -> None:
    before = (tmp_path / "stock.db").read_bytes()
    done = inside(*_given(words, "gauze " * 1700))
    assert done.returncode in {2, 3}, done
    assert "characters" in done.stderr
    assert len(done.stderr) < 2000
    assert (tmp_path / "stock.db").read_bytes() == before


@pytest.fixture
def full_of_it(inside: Run, tmp_path: Path) -> list[str]:
    """The demo's store with every harmful text as the name of a box, an item, and in its notes."""
    texts = [text for tries, text in KEPT.items() if "blanks to us" not in tries]
    with (tmp_path / "in.csv").open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(["box", "item", "quantity", "expiry", "batch", "note"])
        for text in texts:
            assert (
                inside("box", "add", "--note", f"about {text}", "--", f"box {text}").returncode == 0
            )
            assert inside("item", "add", "--kind", "ptfe-tape", "--", text).returncode == 0
            out.writerow([f"box {text}", to_csv_cell(text), 2, "2026-01", text[:60], text])
    done = inside("receive", "--from", "in.csv")
    assert done.returncode == 0, done.stderr
    return texts


def test_it_comes_out_as_it_went_in_of_every_format(inside: Run, full_of_it: list[str]) -> None:
    words = ["expiry", "--status", "expired", "--format"]
    items = {row["item"] for row in json.loads(inside(*words, "json").stdout)["rows"]}
    assert items >= set(full_of_it)
    table = list(csv.DictReader(io.StringIO(inside(*words, "csv").stdout, newline="")))
    assert {from_csv_cell(row["item"]) for row in table} == items
    for row in table:
        assert not row["item"].startswith(("=", "+", "@", "-", "＝")), row


@pytest.mark.usefixtures("full_of_it")
def test_no_report_hands_a_terminal_what_steers_it(inside: Run) -> None:
    for words in SEEN:
        for fmt in ("text", "csv", "json"):
            done = inside(*words, "--format", fmt)
            assert done.returncode == 0, done.stderr
            printed = done.stdout.replace("\r\n", "\n") if fmt == "csv" else done.stdout
            assert not steers(printed), (words, fmt)


@pytest.mark.usefixtures("full_of_it")
def test_markup_is_words_in_a_pdf_and_on_labels(inside: Run, tmp_path: Path) -> None:
    import pypdfium2

    for words in (
        ["expiry", "--format", "pdf"],
        ["labels", "--new"],
        ["restock", "--by", "2027-05-02", "--format", "pdf"],
    ):
        done = inside(*words, "--output", "out.pdf")
        refused = words[0] == "labels" and "the label typeface cannot print" in done.stderr
        assert done.returncode == (3 if refused else 0), (words, done.stderr)
    assert inside("expiry", "--format", "pdf", "--output", "out.pdf").returncode == 0
    pages = pypdfium2.PdfDocument(tmp_path / "out.pdf")
    text = " ".join(page.get_textpage().get_text_bounded() for page in pages)
    assert "<script>alert(1)</script>" in " ".join(text.split())


def test_a_store_of_another_hand_cannot_steer_the_terminal(demo: Run, tmp_path: Path) -> None:
    import sqlite3

    conn = sqlite3.connect(tmp_path / "stock.db")
    for text in ("a\x1b]0;owned\x07\x1b[2J", "b\u202ecod.exe", "c\x9b2J\r\x00d"):
        conn.execute(
            "INSERT INTO box (code, name, name_key, note) SELECT printf('%010d', ?), ?, ?, ?",
            (len(text), text, text, text),
        )
        conn.execute("UPDATE lot SET note = ?, batch = ? WHERE lot_id = 12", (text, text))
    conn.commit()
    conn.close()
    for words in (*SEEN, ["find", "a"], ["why", "L12"], ["box", "show", "Water"], ["scan", "L12"]):
        done = demo(*words)
        assert not steers(done.stdout + done.stderr), words
        if words in SEEN:
            shown = demo(*words, "--format", "csv").stdout
            assert not steers(shown.replace("\r\n", "\n")), words
