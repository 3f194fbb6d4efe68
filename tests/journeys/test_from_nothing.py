"""From nothing to a printed pack: README's own commands, in an empty folder, without the demo."""

from __future__ import annotations

import sys
from pathlib import Path

from pypdfium2 import PdfDocument

from newcomer import commands, run_all

BEFORE = 2  # the clone, and README's first command, which installs


def test_it_takes_less_than_ten_commands() -> None:
    ours = [command for command in commands() if command.startswith("stockcheck ")]
    assert ours[-1].startswith("stockcheck --store survey.db pack ")
    assert BEFORE + len(ours) < 10


def test_the_pack_is_printed_and_says_what_the_tables_said(tmp_path: Path) -> None:
    said = run_all(Path(sys.executable).parent, tmp_path)
    assert "Departure pack: Dry season" in said[-1]
    pages = [
        page.get_textpage().get_text_bounded() for page in PdfDocument(tmp_path / "survey.pdf")
    ]
    cover = " ".join(pages[0].split())
    for words in ("12 JAN 2027", "02 MAR 2027", "1 person", "1 line of the restock list is short"):
        assert words in cover
    way = next(page for page in pages if page.startswith("What goes off on the way"))
    assert "31 JAN 2027 rubber solution" in " ".join(way.split())
    assert {path.name for path in tmp_path.iterdir()} == {
        "boxes.csv", "items.csv", "stock.csv", "par.csv", "survey.db", "survey.pdf",
    }  # fmt: skip
    lids = {page.split("\r\n")[0] for page in pages}
    assert {"Truck", "Tyres", "Water"} <= lids
