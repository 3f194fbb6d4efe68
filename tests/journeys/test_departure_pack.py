"""Leaving: one file for the truck, one for the phone, and the verdict in words."""

from __future__ import annotations

import re
import sqlite3
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdfium2 import PdfDocument

from html_pages import read_page
from stockcheck.core.codes import make_code
from stockcheck.labels.lid_drawn import DPI
from stockcheck.labels.readback import decoded, rendered

Run = Callable[..., "subprocess.CompletedProcess[str]"]
PARTS = (
    "What goes off on the way", "Timeline", "What is in each box", "Audit of First aid",
    "Left at risk, and what was decided", "What is still short", "What runs short first",
    "What to check at each stop",
    "Getting rid of it on return", "Cautions",
)  # fmt: skip
USUAL = ("kit-lists", "usual", "First aid", "de-din-13164-2022")


def texts(path: Path) -> list[str]:
    document = PdfDocument(path)
    return [page.get_textpage().get_text_bounded() for page in document]


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_the_pack_on_paper(demo: Run, tmp_path: Path, page: str) -> None:
    assert demo(*USUAL).returncode == 0
    done = demo("pack", "Spring count", "--page", page)
    assert done.returncode == 0, done.stderr
    assert "Spring count: Not ready" in done.stderr
    found = texts(tmp_path / "departure-pack.pdf")
    document = PdfDocument(tmp_path / "departure-pack.pdf")
    marks = [(mark.level, mark.get_title()) for mark in document.get_toc()]
    assert tuple(title for level, title in marks if level == 0)[1:] == PARTS
    assert "Аптечка Нины" in [title for level, title in marks if level == 1]
    for words in ("08 FEB 2027", "3 people", "18 holdings are expired", "does not meet the kit"):
        assert words in " ".join(found[0].split())
    assert len(found) == int(re.findall(r"page 1 of (\d+)", found[0])[0])


def test_each_box_has_its_lid_sheet_whose_code_reads_back(demo: Run, tmp_path: Path) -> None:
    demo("pack", "Spring count", "--box", "Cab")
    pdf = (tmp_path / "departure-pack.pdf").read_bytes()
    read = [text for image in rendered(pdf, DPI) for _, text in decoded(image)]
    assert read == [make_code("box", number) for number in (10, 12, 13, 11, 14)]


def test_the_same_day_gives_the_same_bytes_and_another_paper_another_file(
    demo: Run, tmp_path: Path
) -> None:
    for name in ("one", "two"):
        demo("pack", "Spring count", "--output", f"{name}.pdf")
        demo("pack", "Spring count", "--format", "html", "--output", f"{name}.html")
    for ending in ("pdf", "html"):
        one, two = ((tmp_path / f"{name}.{ending}").read_bytes() for name in ("one", "two"))
        assert one == two


def test_the_cover_tells_the_page_of_each_box(demo: Run, tmp_path: Path) -> None:
    demo("pack", "Spring count")
    found = texts(tmp_path / "departure-pack.pdf")
    named = re.findall(r"\b(Cab|First aid|Water|Аптечка Нины) (\d+)\b", found[0])
    assert [box for box, _ in named] == ["Cab", "First aid", "Water", "Аптечка Нины"]
    for box, number in named:
        assert box in found[int(number) - 1].splitlines()[0]


def test_what_runs_short_first_counts_only_what_goes_along(demo: Run, tmp_path: Path) -> None:
    """Worked by hand: 5 tablets a day from 8 February on, of which 77 usable ones last 15 days."""
    demo("pack", "Spring count")
    found = [" ".join(page.split()) for page in texts(tmp_path / "departure-pack.pdf")]
    (page,) = [page for page in found if page.startswith("What runs short first")]
    assert "420 tablets 77 tablets 343 tablets 22 FEB 2027" in page
    assert "runs short on 23 FEB 2027" in page
    assert "Store at the wells, day 27 (06 MAR 2027): have 0 tablets, get 100 tablets" in page
    demo("pack", "Spring count", "--leave", "Water", "--output", "dry.pdf")
    (cover, *_) = texts(tmp_path / "dry.pdf")
    assert "Nothing is planned to be used up day by day" in " ".join(cover.split())


def test_what_is_still_short_is_listed_the_vital_first(demo: Run, tmp_path: Path) -> None:
    done = demo("pack", "Spring count", "--format", "html")
    assert "48 lines of the restock list are short, 10 of them vital" in done.stderr
    text = read_page((tmp_path / "departure-pack.html").read_text("utf-8")).text
    part = text[text.rindex("What is still short") : text.rindex("What runs short first")]
    assert part.index("Vital") < part.index("Essential") < part.index("Desirable")
    assert "par 1; 1 held, of which 1 ends 31 JAN 2027" in part
    plain = demo("pack", "Spring count", "--without", "short", "--without", "forecast",
                 "--format", "html")  # fmt: skip
    assert plain.returncode == 0, plain.stderr
    text = read_page((tmp_path / "departure-pack.html").read_text("utf-8")).text
    assert "What is still short" not in text
    assert "What runs short first" not in text


def test_what_must_be_kept_apart_and_lies_together_is_told_with_its_box(
    demo: Run, tmp_path: Path
) -> None:
    demo("pack", "Spring count", "--format", "html")
    text = " ".join(read_page((tmp_path / "departure-pack.html").read_text("utf-8")).text.split())
    assert "Keep chlorine tablets (NaDCC) away from bearing grease" in text
    assert "both are now in Truck bed / Water" in text


def test_what_stays_at_home_is_in_no_part(demo: Run, tmp_path: Path) -> None:
    demo("pack", "Spring count", "--leave", "Home shelf", "--format", "html")
    page = read_page((tmp_path / "departure-pack.html").read_text("utf-8"))
    assert "without Home shelf" in page.text
    assert page.text.count("Home shelf") == 1 + page.text.count("from Home shelf")  # to be moved
    wrong = demo("pack", "Spring count", "--box", "Water", "--leave", "Truck bed")
    assert (wrong.returncode, "no box is left" in wrong.stderr) == (3, True)


def test_the_page_for_a_phone(demo: Run, tmp_path: Path) -> None:
    assert demo(*USUAL).returncode == 0
    done = demo("pack", "Spring count", "--format", "html")
    assert done.returncode == 0, done.stderr
    page = read_page((tmp_path / "departure-pack.html").read_text("utf-8"))
    assert page.wrong == []
    assert len(page.ids) == len(set(page.ids))
    assert {link.removeprefix("#") for link in page.links} <= set(page.ids)
    for part in PARTS:
        assert part in page.text
    assert page.text.count("wet, torn, opened or past its date means not sterile") == 0
    assert page.text.count("Wet, torn, opened or past its date means not sterile") == 1
    for code in ("L105", make_code("lot", 105)):  # tablets in Water, which last
        assert code in page.text


def test_decisions_inspections_and_holds_are_told(demo: Run, tmp_path: Path) -> None:
    said = ("--reason", "smooth, cures")
    assert demo("decide", "Fluids", "--lot", "L41", "--as", "replace", *said).returncode == 0
    assert demo("inspect", "L22", "--fail", "--note", "crumbles").returncode == 0
    demo("pack", "Spring count", "--format", "html", "--without", "boxes", "--without", "timeline")
    text = " ".join(read_page((tmp_path / "departure-pack.html").read_text("utf-8")).text.split())
    assert "decided: replace, 25 NOV 2026: smooth, cures" in text
    assert "inspected 25 NOV 2026, FAILED: crumbles" in text
    assert "set aside by hand" in text
    assert "What is in each box" not in text.replace("What is in each box There is no box", "")


def test_each_stop_tells_what_to_look_at_and_what_can_be_had(demo: Run, tmp_path: Path) -> None:
    """The pump is reached on day 36: 15 March 2027, when the repellent in the cab ends."""
    with sqlite3.connect(tmp_path / "stock.db") as conn:
        (trip,) = conn.execute("SELECT trip_id FROM trip WHERE name = 'Spring count'").fetchone()
        (item,) = conn.execute("SELECT item_id FROM lot WHERE lot_id = 62").fetchone()
        conn.execute("INSERT INTO trip_stop VALUES (900, ?, 36, 'the pump <1>', NULL)", (trip,))
        conn.execute("INSERT INTO trip_stop_item VALUES (900, ?, 2)", (item,))
    conn.close()
    assert demo("pack", "Spring count", "--format", "html").returncode == 0
    text = read_page((tmp_path / "departure-pack.html").read_text("utf-8")).text
    assert "Day 36, 15 MAR 2027: the pump <1>" in text
    stop = text[text.index("Day 36") : text.index("Day 52")]
    assert "insect repellent, 100 ml spray (at most 2)" in stop
    assert stop.index("gone off") < stop.index("replace here")
    wells = text[text.index("Day 27, 06 MAR 2027: Store at the wells") : text.index("Day 36")]
    assert "buy here" in wells  # what the forecast wants of the tablets there
    assert "(at most 100 tablets)" in wells
    assert "ends next" in wells  # the cold pack, which is not to be had there
    assert demo("pack", "Spring count").returncode == 0
    assert any("the pump <1>" in page for page in texts(tmp_path / "departure-pack.pdf"))


def test_a_store_without_anything_and_a_trip_that_is_over(empty: Run, tmp_path: Path) -> None:
    dates = ("--departs", "2026-12-01", "--returns", "2026-12-09")
    assert empty("trip", "add", "Shakedown", *dates).returncode == 0
    done = empty("pack", "Shakedown")
    assert "Shakedown: Not ready" in done.stderr
    (cover,) = texts(tmp_path / "departure-pack.pdf")
    for words in (
        "Nothing goes off before 09 DEC 2026.",
        "There is no box yet.",
        "1 person",
        "Nothing is in",
    ):
        assert words in " ".join(cover.split())
    assert empty("pack", "Shakedown", "--format", "html").returncode == 0
    over = empty("pack", "Shakedown", "--on", "2027-01-01")
    assert "The trip is over" in over.stderr
    (cover,) = texts(tmp_path / "departure-pack.pdf")
    assert "What goes off on the way: The trip is over." in " ".join(cover.split())


def test_under_way_only_what_lies_ahead_is_told(demo: Run, tmp_path: Path) -> None:
    """The stops are on 6 and 31 March; the forecast counts from today on with what there is."""
    assert demo("pack", "Spring count", "--on", "2027-03-10", "--format", "html").returncode == 0
    text = read_page((tmp_path / "departure-pack.html").read_text("utf-8")).text
    assert "from today on, day 31 of the trip, with what there is now" in text
    assert "Store at the wells" not in text
    assert "Day 52, 31 MAR 2027: Road house" in text
    assert "Before leaving on" not in text


def test_a_name_that_labels_cannot_print_lists_the_boxes_instead(
    empty: Run, tmp_path: Path
) -> None:
    empty("box", "add", "صندوق")
    empty("trip", "add", "Away", "--departs", "2026-12-01", "--returns", "2026-12-09")
    done = empty("pack", "Away")
    assert done.returncode == 0, done.stderr
    assert "the boxes are listed instead" in done.stderr
    assert "What is in each box" in texts(tmp_path / "departure-pack.pdf")[1]


def test_without_par_levels_the_pack_does_not_say_enough(empty: Run, tmp_path: Path) -> None:
    for words in (
        ("box", "add", "Water"),
        ("item", "add", "water tablet", "--kind", "nadcc-tablets", "--unit", "tablet"),
        ("receive", "--box", "Water", "--item", "water tablet", "--quantity", "50",
         "--expiry", "EXP 11/2028"),
        ("trip", "add", "Away", "--departs", "2027-02-08", "--returns", "2027-02-20"),
        ("pack", "Away"),
    ):  # fmt: skip
        done = empty(*words)
        assert done.returncode == 0, done.stderr
    assert "Good through the trip; whether it is enough is not known" in " ".join(
        done.stderr.split()
    )
    assert "Water" in " ".join(texts(tmp_path / "departure-pack.pdf"))
    empty("par", "add", "--box", "Water", "--item", "water tablet", "--quantity", "40")
    assert "Departure pack: Away: Ready" in empty("pack", "Away").stderr


def test_an_unknown_trip_or_box_is_answered_with_the_nearest(demo: Run) -> None:
    for words, near in (
        (("Spring cuont",), "Spring count"),
        (("Spring count", "--box", "Watr"), "Water"),
    ):
        done = demo("pack", *words)
        assert (done.returncode, near in done.stderr) == (3, True)
