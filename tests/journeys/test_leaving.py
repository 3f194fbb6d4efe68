"""Before leaving: the papers are printed, can be read, and every label scans."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp

from stockcheck.core.codes import read_code

Run = Callable[..., "subprocess.CompletedProcess[str]"]
PAPERS = {
    "expiry": (["expiry", "--trip", "Spring count"], "Expiry report", "Аптечка Нины"),
    "restock": (["restock", "--trip", "Spring count"], "Restock list", "No supplier known"),
    "audit": (["audit", "B12", "--list", "de-din-13164-2022"], "Audit of First aid", "Wet wipe"),
}


def pages(path: Path) -> list[str]:
    """The text of each page of a PDF."""
    document = pypdfium2.PdfDocument(path)
    try:
        return [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()


def codes(path: Path, dpi: int) -> set[str]:
    """Every code read back from the pages of a PDF, printed at a printer's resolution."""
    document = pypdfium2.PdfDocument(path)
    try:
        images = [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in document]
    finally:
        document.close()
    return {found.text for image in images for found in zxingcpp.read_barcodes(image)}


@pytest.mark.parametrize(("words", "title", "inside"), PAPERS.values(), ids=PAPERS.keys())
def test_each_paper_has_its_title_day_pages_and_names(
    demo: Run, tmp_path: Path, words: list[str], title: str, inside: str
) -> None:
    for paper, width in (("A4", 595), ("Letter", 612)):
        file = f"{paper}.pdf"
        done = demo(*words, "--format", "pdf", "--page", paper, "--output", file)
        assert (done.returncode, done.stdout, done.stderr) == (0, "", f"wrote {file}\n")
        found = pages(tmp_path / file)
        assert title in found[0]
        assert "25 NOV 2026" in found[0]
        assert inside in "".join(found)
        for number, text in enumerate(found, 1):
            assert f"{number} of {len(found)}" in text
        document = pypdfium2.PdfDocument(tmp_path / file)
        assert round(document[0].get_width()) == width
        document.close()


def test_the_same_paper_twice_is_the_same_bytes(demo: Run, tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        assert demo("expiry", "--format", "pdf", "--output", name).returncode == 0
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_every_label_of_a_box_scans_and_says_its_day_as_printed(demo: Run, tmp_path: Path) -> None:
    done = demo("labels", "--box", "Medicines", "--output", "l.pdf", "--start", "5")
    assert "12 labels on 1 page of a4-3x7" in done.stderr
    read = codes(tmp_path / "l.pdf", 203)
    numbers = {found[1] for code in read if (found := read_code(code)) and found[0] == "lot"}
    assert {50, 51, 53, 58, 59, 60} <= numbers
    assert len(read) == 12
    text = "".join(pages(tmp_path / "l.pdf"))
    for words in ("SEP 2028", "05 FEB 2027"):
        assert words in text
    demo("labels", "L51", "--dates", "iso", "--output", "iso.pdf")
    assert "2028-09" in "".join(pages(tmp_path / "iso.pdf"))


def test_copies_packs_and_boxes(demo: Run, tmp_path: Path) -> None:
    done = demo(
        "labels", "L51", "B3", "--copies", "2", "--stock", "roll-62x29", "--output", "l.pdf"
    )
    assert "4 labels on 4 pages of roll-62x29" in done.stderr
    per_pack = demo("labels", "L51", "--per-unit", "--output", "p.pdf")
    assert "2 labels on 1 page" in per_pack.stderr  # 40 tablets in packs of 20
    boxes = demo("labels", "--boxes", "--stock", "a4-2x4", "--output", "b.pdf")
    assert "14 labels on 2 pages" in boxes.stderr
    kinds = {found[0] for code in codes(tmp_path / "b.pdf", 203) if (found := read_code(code))}
    assert kinds == {"box"}


def test_the_demo_leaves_every_file_it_names(made_stores: Path) -> None:
    folder = made_stores / "demo"
    for name in ("expiry.txt", "restock.txt", "audit.txt"):
        text = (folder / name).read_text("utf-8")
        assert "as of 25 NOV 2026" in text
        assert max(len(line) for line in text.splitlines()) <= 80
    for name in ("expiry.pdf", "restock.pdf", "audit.pdf", "labels.pdf"):
        assert pages(folder / name)
    told = (made_stores / "demo.out").read_text("utf-8")
    assert max(len(line) for line in told.splitlines()) <= 80
    assert "invented" in told
    commands = [line.split() for line in told.splitlines()[-3:]]
    assert {words[0] for words in commands} == {"stockcheck"}


def test_the_next_commands_that_the_demo_tells_work(made_stores: Path, demo: Run) -> None:
    told = (made_stores / "demo.out").read_text("utf-8").splitlines()[-3:]
    for line in told:
        words = line.split()[1:]
        words[1] = "stock.db"
        assert demo(*words).returncode == 0, line


def test_the_demo_never_overwrites_one_without_being_told(demo: Run, tmp_path: Path) -> None:
    assert demo("demo", "practice").returncode == 0
    (tmp_path / "practice" / "mine.txt").write_text("kept", "utf-8")
    refused = demo("demo", "practice")
    assert refused.returncode == 3
    assert "--replace" in refused.stderr
    assert demo("demo", "practice", "--replace").returncode == 0
    assert (tmp_path / "practice" / "mine.txt").read_text("utf-8") == "kept"
