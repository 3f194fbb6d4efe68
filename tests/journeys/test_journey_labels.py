"""Labels, from what arrives to what is stuck on it: printed, continued, changed, printed again."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from given_labels import TUBE, Run, printed, refused, said, with_tubes


def pages(path: Path) -> list[str]:
    """The words on each page of a PDF."""
    with pypdfium2.PdfDocument(path) as document:
        return [page.get_textpage().get_text_range() for page in document]


@pytest.fixture
def kit(empty: Run) -> Run:
    return with_tubes(empty)


def test_arrive_label_nothing_new_three_more_units_three_labels(kit: Run) -> None:
    assert "10 labels on 1 page of a4-3x7" in said(kit("labels", "--new", "--per-unit"))
    assert "all that is on hand has its label" in said(kit("labels", "--new"))
    assert kit(*TUBE, "--quantity", "3").returncode == 0
    assert "would be 3 labels" in " ".join(kit("labels", "--new", "--dry-run").stdout.split())
    assert "3 labels on 1 page" in said(kit("labels", "--new"))  # the lot is labelled one a unit
    assert "Nothing to label" in said(kit("labels", "--new", "--per-unit"))


def test_one_label_a_lot_is_enough_for_what_comes_later(kit: Run) -> None:
    assert "1 label on 1 page" in said(kit("labels", "--new"))
    assert kit(*TUBE, "--quantity", "3").returncode == 0
    assert "Nothing to label" in said(kit("labels", "--new"))
    assert "12 labels" in said(kit("labels", "--new", "--per-unit"))


def test_units_that_were_used_take_their_labels_with_them(kit: Run) -> None:
    kit("labels", "--new", "--per-unit")
    assert kit("use", "tube", "-n", "4").returncode == 0
    kit(*TUBE, "--quantity", "3")
    assert "3 labels" in said(kit("labels", "--new"))


def test_receiving_points_to_its_labels(kit: Run) -> None:
    done = kit("receive", "--box", "Kit", "--item", "tube", "--quantity", "1", "--batch", "8D")
    assert "'stockcheck labels --new' prints the labels" in done.stdout


def test_a_part_used_sheet_over_three_prints_and_a_fresh_one(kit: Run) -> None:
    first = said(kit("labels", "L1", "--copies", "5"))
    assert "on a fresh sheet; 16 left on the sheet" in first
    second = said(kit("labels", "L1", "--copies", "14"))
    assert "from label 6 on, where the last print stopped; 2 left on the sheet" in second
    third = said(kit("labels", "L1", "--copies", "4"))
    assert "4 labels on 2 pages" in third
    assert "from label 20 on, where the last print stopped; 19 left on the last sheet" in third
    assert "on a fresh sheet; 20 left" in said(kit("labels", "L1", "--fresh-sheet"))
    assert "from label 9 on; 12 left" in said(kit("labels", "L1", "--start", "9"))
    assert "from label 10 on, where" in said(kit("labels", "L1"))


def test_every_stock_and_every_pile_has_its_own_sheet(kit: Run) -> None:
    kit("labels", "L1", "--copies", "5")
    assert "on a fresh sheet" in said(kit("labels", "L1", "--stock", "a4-2x7"))
    assert "on a fresh sheet" in said(kit("labels", "L1", "--pile", "waterproof"))
    assert "from label 6 on" in said(kit("labels", "L1"))
    assert "from label 2 on" in said(kit("labels", "L1", "--pile", "waterproof"))


def test_a_full_sheet_is_followed_by_a_fresh_one(kit: Run) -> None:
    assert "none left on the sheet" in said(kit("labels", "L1", "--copies", "21"))
    assert "on a fresh sheet" in said(kit("labels", "L1"))


def test_a_roll_has_no_part_used_sheet(kit: Run) -> None:
    done = said(kit("labels", "L1", "--stock", "roll-62x29", "--copies", "3"))
    assert "left on" not in done
    assert "is a roll" in refused(kit("labels", "L1", "--stock", "roll-62x29", "--start", "2"))


CHANGES: dict[str, tuple[list[str], str]] = {
    "moved": (["move", "L1", "--to", "Lid"], "box was Kit, now Lid"),
    "renamed box": (["box", "change", "Kit", "--rename", "Chest"], "box was Kit, now Chest"),
    "a new date": (
        ["lot", "change", "L1", "--expiry", "EXP 04/2027", "--reason", "misread"],
        "now 2027-04-30 by printed (2027-04)",
    ),
    "on hold": (["hold", "L1", "--reason", "is it dry?"], "state was stock, now held"),
    "a new batch": (["lot", "change", "L1", "--batch", "7D"], "batch was 7C, now 7D"),
    "a new name": (["item", "change", "tube", "--rename", "silicone"], "name was tube, now"),
}


@pytest.mark.parametrize("what", CHANGES)
def test_what_a_label_no_longer_says_is_listed_and_printed_again(kit: Run, what: str) -> None:
    words, difference = CHANGES[what]
    kit("labels", "--new", "--boxes")
    assert "every label printed so far still says" in said(kit("labels", "--changed"))
    assert kit(*words).returncode == 0
    done = kit("labels", "--changed")
    assert difference in " ".join(done.stdout.split())
    assert "in place of an older one" in said(done)
    assert "Nothing to label" in said(kit("labels", "--changed"))
    assert "Nothing to label" in said(kit("labels", "--new", "--boxes"))


def test_opening_one_of_ten_changes_one_label_of_ten(kit: Run) -> None:
    kit("labels", "--new", "--per-unit")
    assert kit("open", "L1").returncode == 0
    done = kit("labels", "--changed")
    assert "opened was none, now 2026-11-25" in " ".join(done.stdout.split())
    assert "1 label on 1 page" in said(done)
    assert [row["sort"] for row in printed(kit)] == ["opened", "lot"]


def test_using_some_changes_no_label(kit: Run) -> None:
    kit("labels", "--new")
    kit("use", "tube", "-n", "3")
    assert "Nothing to label" in said(kit("labels", "--changed"))


def test_another_way_of_writing_dates_changes_no_label(kit: Run) -> None:
    kit("labels", "--new", "--dates", "iso", "--code", "matrix")
    assert "Nothing to label" in said(kit("labels", "--changed"))


def test_after_a_jam_the_rest_is_printed_again_as_it_was(kit: Run, tmp_path: Path) -> None:
    kit("labels", "--new", "--per-unit", "--stock", "a4-2x4", "--output", "first.pdf")
    kit("move", "L1", "--to", "Lid")
    done = said(kit("labels", "--again", "--from-label", "8", "--output", "rest.pdf"))
    assert "3 labels on 1 page of a4-2x4" in done
    assert "on a fresh sheet; 5 left" in done
    (page,) = pages(tmp_path / "rest.pdf")
    assert page.count("1000000017") == 3 or page.count("L1") >= 3
    assert "Lid" not in page
    assert "Nothing to label" in said(kit("labels", "--new"))
    assert [row["again"] for row in printed(kit)] == [True, False]
    assert "10 labels" in " ".join(kit("labels", "--changed", "--dry-run").stdout.split())


def test_the_whole_last_print_again_is_the_same_but_for_its_place(kit: Run, tmp_path: Path) -> None:
    kit("labels", "L1", "B1", "--output", "one.pdf")
    kit("labels", "--again", "--output", "two.pdf")
    assert pages(tmp_path / "one.pdf") == pages(tmp_path / "two.pdf")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--again"], "nothing was printed yet"),
        (["--again", "L1"], "name nothing with it"),
        (["L1", "--from-label", "2"], "--from-label goes with --again"),
        (["--new", "--changed"], "two prints"),
        (["L1", "--start", "3", "--fresh-sheet"], "give one"),
        (["L1", "--preview", "labels.jpg"], "the name of a .png file"),
        (["L1", "--paper", "a5"], "are of --lid"),
        (["--lid"], "--lid: name boxes"),
        ([], "name lots, boxes or items"),
        (["L9"], "there is no lot 'L9'"),
        (["Kitt"], "did you mean 'Kit'"),
        (["L1", "--start", "22"], "Give 1 to 21"),
        (["L1", "--printer", "office"], "there is no printer 'office'"),
        (["L1", "--stock", "a4-3x77"], "did you mean 'a4-3x7'"),
    ],
)
def test_what_makes_no_sense_is_told_and_nothing_is_printed(
    kit: Run, tmp_path: Path, words: list[str], message: str
) -> None:
    done = kit("labels", *words)
    assert done.returncode in {2, 3}
    assert message in " ".join(done.stderr.split())
    assert not (tmp_path / "labels.pdf").exists()
    assert printed(kit) == []


def test_more_than_the_last_print_has_cannot_be_printed_again(kit: Run) -> None:
    kit("labels", "L1")
    assert "the last print has 1 label" in refused(kit("labels", "--again", "--from-label", "2"))


def test_a_print_that_could_not_be_written_is_not_remembered(kit: Run) -> None:
    assert "cannot write" in refused(kit("labels", "--new", "--output", "no/folder/x.pdf"))
    assert printed(kit) == []
    assert "1 label" in said(kit("labels", "--new"))


def test_what_is_only_tried_or_looked_at_is_not_remembered(kit: Run, tmp_path: Path) -> None:
    done = kit("labels", "--new", "--dry-run")
    assert "L1 tube, Kit: 1 label (new)" in " ".join(done.stdout.split())
    shown = kit("labels", "--new", "--preview", "text").stdout
    assert "tube" in shown
    assert "NOV 2028" in shown
    assert kit("labels", "L1", "--copies", "30", "--preview", "look.png").returncode == 0
    for name in ("look.png", "look-2.png"):
        assert (tmp_path / name).read_bytes().startswith(b"\x89PNG")
    assert printed(kit) == []


def test_a_preview_fits_a_narrow_screen(kit: Run) -> None:
    shown = kit("labels", "L1", "B2", "--preview", "text", COLUMNS="40").stdout
    assert max(map(len, shown.splitlines())) <= 40


def test_the_same_print_gives_the_same_bytes(kit: Run, tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        kit("labels", "L1", "B1", "B2", "I1", "--fresh-sheet", "--output", name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_boxes_are_the_bookmarks(demo: Run, tmp_path: Path) -> None:
    demo("labels", "--box", "Truck bed", "--fresh-sheet", "--output", "bed.pdf")
    with pypdfium2.PdfDocument(tmp_path / "bed.pdf") as document:
        titles = [mark.get_title() for mark in document.get_toc()]
    assert "Water" in titles
    assert len(titles) == len(set(titles))


def test_400_labels_and_only_the_one_that_came_later(kit: Run, tmp_path: Path) -> None:
    lines = [f"Kit,tube,1,EXP 11/2028,Q{number}" for number in range(399)]
    (tmp_path / "many.csv").write_text(
        "\n".join(["box,item,quantity,expiry,batch", *lines]), "utf-8"
    )
    assert kit("receive", "--from", "many.csv").returncode == 0
    assert "400 labels on 20 pages" in said(kit("labels", "--new"))
    kit("receive", "--box", "Lid", "--item", "tube", "--quantity", "2")
    assert "1 label on 1 page of a4-3x7" in said(kit("labels", "--new"))
    assert len(printed(kit)) == 401


def test_an_empty_store_has_nothing_to_print(empty: Run) -> None:
    assert "there is no box yet" in said(empty("labels", "--boxes"))
    for words in (["--new"], ["--changed"], ["--boxes"], ["--items"], ["--new", "--boxes"]):
        assert "Nothing to label" in said(empty("labels", *words))
    assert "no box yet" in said(empty("labels", "--lid", "--boxes"))
    assert "no label was printed yet" in empty("labels", "--printed").stdout


def test_an_item_is_labelled_for_its_shelf(kit: Run, tmp_path: Path) -> None:
    kit("par", "add", "--box", "Kit", "--item", "tube", "--quantity", "12")
    said(kit("labels", "tube", "--output", "item.pdf"))
    (page,) = pages(tmp_path / "item.pdf")
    assert "keep 12" in page
    said(kit("labels", "L1", "--as", "item", "--output", "same.pdf", "--fresh-sheet"))
    assert "keep 12" in pages(tmp_path / "same.pdf")[0]


def test_a_hold_label_says_why_and_since_when(kit: Run, tmp_path: Path) -> None:
    kit("hold", "L1", "--reason", "wet carton")
    said(kit("labels", "--new"))
    (page,) = pages(tmp_path / "labels.pdf")
    assert "ON HOLD: DO NOT USE" in page
    assert "wet carton" in page


def test_a_label_beside_the_lots_own_leaves_that_one_lacking(kit: Run) -> None:
    said(kit("labels", "L1", "--as", "opened"))
    assert "1 label" in said(kit("labels", "--new"))


def test_lid_sheets_are_written_and_remembered(kit: Run, tmp_path: Path) -> None:
    done = said(kit("labels", "--lid", "Kit", "Lid", "--paper", "a4", "--fold", "a6"))
    assert "2 lid sheets on 2 pages of A4, all read back" in done
    assert "tube" in pages(tmp_path / "labels.pdf")[0]
    assert [(row["thing"], row["sort"]) for row in printed(kit)] == [("B1", "lid"), ("B2", "lid")]
    assert "2 labels" in said(kit("labels", "--boxes", "--new", "--fresh-sheet", "--box", "Lid"))


def test_lid_sheets_again_are_of_the_same_boxes_with_what_is_in_them_now(
    kit: Run, tmp_path: Path
) -> None:
    said(kit("labels", "--lid", "Kit", "Lid", "--paper", "a5"))
    said(kit("move", "L1", "-n", "4", "--to", "Lid"))
    done = said(kit("labels", "--again", "--from-label", "2"))
    assert "1 lid sheet on 1 page of A5, all read back" in done
    assert "with what is in the boxes by now" in done
    (page,) = pages(tmp_path / "labels.pdf")
    assert "tube" in page
    assert next((row["thing"], row["again"]) for row in printed(kit)) == ("B2", True)
    assert "from label 2" in refused(kit("labels", "--again", "--from-label", "2"))


def test_a_box_that_was_looked_at_says_when_that_is_due_again(demo: Run, tmp_path: Path) -> None:
    assert "labels" in said(demo("labels", "--boxes", "--output", "boxes.pdf"))
    look = ["round", "do", "First aid", "--list", "de-din-13164-2022", "--by", "Nina"]
    assert demo(*look, stdin="all\n").returncode == 0
    listed = demo("labels", "--boxes", "--changed", "--output", "changed.pdf")
    assert "audit due" in said(listed) + listed.stdout
    (page,) = pages(tmp_path / "changed.pdf")
    assert "First aid" in page
    assert "audit due" in page


def test_a_printer_that_was_measured_moves_the_print(kit: Run, tmp_path: Path) -> None:
    kit("label-stock", "printer", "office", "--mark-x", "12", "--ruler-y", "99.5")
    kit("labels", "L1", "--fresh-sheet", "--output", "plain.pdf")
    kit("labels", "L1", "--fresh-sheet", "--printer", "office", "--output", "moved.pdf")
    plain, moved = ((tmp_path / name).read_bytes() for name in ("plain.pdf", "moved.pdf"))
    assert plain != moved
    assert "2 labels" not in said(kit("labels", "--again"))  # with the printer of then


def test_a_measured_printer_moves_lid_sheets_too(kit: Run, tmp_path: Path) -> None:
    kit("label-stock", "printer", "office", "--mark-x", "12", "--ruler-y", "99.5")
    kit("labels", "--lid", "Kit", "--output", "plain.pdf")
    done = kit("labels", "--lid", "Kit", "--printer", "office", "--output", "set.pdf", "--report")
    assert "all read back" in said(done)
    assert "Code 128" in done.stdout
    assert (tmp_path / "plain.pdf").read_bytes() != (tmp_path / "set.pdf").read_bytes()


def test_reading_back_is_reported_and_may_be_left_out(kit: Run) -> None:
    done = kit("labels", "L1", "--report")
    assert "symbol contrast" in " ".join(done.stdout.split())
    assert "not read back" in said(kit("labels", "L1", "--no-verify"))


def test_an_own_stock_file_is_checked_aligned_and_used(kit: Run, tmp_path: Path) -> None:
    good = (
        'media = "sheet"\n[page]\nwidth = 148\nheight = 210\n[label]\nwidth = 60\nheight = 35\n'
        "[grid]\ncolumns = 2\nrows = 5\npitch_x = 64\npitch_y = 38\nleft = 12\ntop = 11.5\n"
    )
    (tmp_path / "mine.toml").write_text(good, "utf-8")
    check = kit("label-stock", "check", "mine.toml")
    assert "all 10 labels lie on the page, and none overlap" in check.stdout
    assert "2 labels of 60 + 1 gaps of 4" in check.stdout
    said(kit("label-stock", "align", "mine.toml", "--output", "page.pdf"))
    assert "10" in pages(tmp_path / "page.pdf")[0]
    assert "9 left on the sheet" in said(kit("labels", "L1", "--stock", "mine.toml"))
    assert "from label 2 on" in said(kit("labels", "L1", "--stock", "mine.toml"))
    (tmp_path / "mine.toml").write_text(good.replace("left = 12", "left = 40"), "utf-8")
    for words in (["label-stock", "check"], ["label-stock", "align"], ["labels", "L1", "--stock"]):
        assert "grid.left 40: the last label would reach" in refused(kit(*words, "mine.toml"))
