"""Lid sheets: what is in a box, what should be, until when; cautions, disposal; over panels."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from pypdfium2 import PdfDocument

import given
from label_pdf import MM, overlaps, text_boxes
from stockcheck.core.claims import standing
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Box, Holding, State
from stockcheck.core.planning import Par
from stockcheck.data.kinds import cautions, disposal_routes, shipped_kind
from stockcheck.labels.lid import Lid, LidLine, lid_of, lid_sheet
from stockcheck.labels.printing import verify_sheets

TODAY = given.TODAY
KIT = given.box("First aid", 12, inside=1)


def held(key: str, number: int, quantity: int = 1, last: date | None = None) -> Holding:
    kind = shipped_kind(key)
    assert kind is not None
    return given.holding(number, given.item(kind, kind.name, number), KIT, quantity, last)


def lid(holdings: list[Holding], pars: list[Par] | None = None, box: Box = KIT) -> Lid:
    return lid_of(
        box, f"Cab / {box.name}", holdings, standing(pars or [], holdings, [box], TODAY), TODAY
    )


def many(count: int) -> Lid:
    lines = tuple(
        LidLine(f"dressing {at}, Клей", f"{at}", "9", "30 NOV 2027", f"L{at}", "", "short 1")
        for at in range(1, count + 1)
    )
    texts = tuple(cautions().values())[:5]
    routes = tuple((it.name, it.text) for it in disposal_routes().values())
    return Lid(
        KIT.code, "B12", "First aid", lines, "in Cab", ("36 holdings",), ("Burns (B13)",),
        texts, routes, "first aid",
    )  # fmt: skip


def test_things_stand_by_name_the_earliest_first_with_the_par_level_once() -> None:
    early, late = held("plaster", 1, 4, date(2027, 1, 31)), held("plaster", 2, 6, date(2028, 1, 31))
    late = replace(late, lot=replace(late.lot, item=early.item))
    found = lid([late, held("eye-pad", 3), early], [given.par(1, KIT, 12, early.item)])
    assert [(it.name, it.lot, it.quantity, it.par, it.note) for it in found.lines] == [
        ("adhesive plaster", "L1", "4", "12", "short 2"),
        ("adhesive plaster", "L2", "6", "", ""),
        ("sterile eye pad", "L3", "1", "", ""),
    ]


def test_no_piece_counts_for_two_par_levels() -> None:
    few = held("plaster", 1, 4, date(2027, 1, 31))
    kind_too = [given.par(1, KIT, 4, few.item), given.par(2, KIT, 3, few.kind)]
    assert [(it.name, it.quantity, it.note, it.state) for it in lid([few], kind_too).lines] == [
        ("adhesive plaster", "4", "", ""),
        ("any adhesive plaster", "0", "", "MISSING"),
    ]


def test_what_lies_in_a_box_inside_counts_for_the_par_level() -> None:
    pouch = given.box("Burns pouch", 13, inside=12)
    gel = replace(held("burn-gel", 1, 2, date(2027, 1, 31)), box=pouch)
    par = given.par(1, KIT, 3, gel.item)
    found = lid_of(KIT, "First aid", [], standing([par], [gel], [KIT, pouch], TODAY), TODAY)
    (line,) = found.lines
    assert (line.quantity, line.state, line.note) == ("2", "", "short 1")


def test_a_lid_and_a_label_tell_when_the_next_audit_is_due() -> None:
    due = date(2027, 3, 1)
    found = lid_of(KIT, "First aid", [], [], TODAY, audit_due=due)
    assert "audit due 01 MAR 2027" in found.facts


def test_what_should_be_there_and_is_not_is_missing() -> None:
    wanted = held("tourniquet", 9).item
    found = lid([], [given.par(1, KIT, 1, wanted), given.par(2, KIT, 4, wanted.kind)])
    assert [(it.name, it.quantity, it.par, it.state) for it in found.lines] == [
        (wanted.name, "0", "1", "MISSING"),
        (f"any {wanted.kind.name}", "0", "4", "MISSING"),
    ]


@pytest.mark.parametrize(
    ("change", "state"),
    [
        ({"last_usable_day": date(2026, 11, 24)}, "EXPIRED"),
        ({"last_usable_day": date(2026, 11, 25)}, ""),
        ({"last_usable_day": None}, "NOT COUNTED"),
        ({"state": State.HELD}, "ON HOLD"),
        ({"state": State.LAST_RESORT}, "LAST RESORT ONLY"),
    ],
)
def test_what_may_not_be_used_says_so_and_counts_for_no_par(
    change: dict[str, Any], state: str
) -> None:
    it = replace(held("eye-pad", 3, 5, date(2028, 1, 1)), **change)
    (line,) = lid([it], [given.par(1, KIT, 5, it.item)]).lines
    assert line.state == state
    assert line.note == ("short 5" if state else "")


def test_cautions_and_disposal_are_those_of_what_is_or_should_be_in_the_box() -> None:
    wanted = held("cold-pack", 5).item
    found = lid([held("insulin", 1)], [given.par(1, KIT, 1, wanted)])
    texts = cautions()
    assert set(found.cautions) == {
        texts[key] for key in ("medicine", "cold-chain", "sharps", "oxidiser", "chemicals")
    }
    assert {name for name, _ in found.disposal} == {
        disposal_routes()[it].name
        for it in (held("insulin", 1).kind.disposal, wanted.kind.disposal)
    }


def test_a_first_aid_box_bears_the_sign_and_names_the_boxes_inside() -> None:
    kit = [held(key, at) for at, key in enumerate(("plaster", "eye-pad", "bandage-crepe"), 1)]
    inner = given.box("Burns pouch", 13, inside=12)
    found = lid_of(KIT, "Cab / First aid", kit, [], TODAY, inside=[inner])
    assert (found.sign, found.inside) == ("first aid", ("Burns pouch (B13)",))


FOLDED = [("a4", ""), ("a5", ""), ("a6", ""), ("a4", "a5"), ("a4", "a6"), ("a5", "a6")]


@pytest.mark.parametrize("count", [0, 1, 14, 120])
@pytest.mark.parametrize(("paper", "fold"), FOLDED)
def test_every_paper_reads_back_and_keeps_its_texts_apart_and_off_its_folds(
    paper: str, fold: str, count: int
) -> None:
    sheets = lid_sheet([many(count), many(3)], paper=paper, fold=fold)
    assert verify_sheets(sheets, 203) == ()
    boxes = list(text_boxes(sheets.pdf))
    assert overlaps(boxes) == []
    width, height = _page(sheets.pdf)
    folds_x = [width / 2] if fold else []
    folds_y = [height / 2] if (paper, fold) == ("a4", "a6") else []
    for _, text, box in boxes:
        assert box.left > 6.5, text
        assert box.right < width - 6.5, text
        assert box.top > 6.5, text
        assert box.bottom < height - 5, text
        assert not any(box.left < at < box.right for at in folds_x), text
        assert not any(box.top < at < box.bottom for at in folds_y), text
    if count == 120:
        assert sum("dressing 1" in text for _, text, _ in boxes) >= 1
        assert {text.split(",")[0] for _, text, _ in boxes if text.startswith("dressing")} >= {
            f"dressing {at}" for at in (1, 60, 120)
        }


def _page(pdf: bytes) -> tuple[float, float]:
    document = PdfDocument(pdf)
    width, height = document[0].get_size()
    document.close()
    return width * MM, height * MM


def test_a_folded_sheet_is_as_large_as_its_panels_together() -> None:
    assert _page(lid_sheet([many(3)], fold="a5").pdf) == pytest.approx((297, 210), abs=0.01)
    assert _page(lid_sheet([many(3)], fold="a6").pdf) == pytest.approx((210, 297), abs=0.01)


@pytest.mark.parametrize("code", ["bars", "matrix", "qr"])
def test_each_box_has_its_code_once_on_the_first_of_its_sheets(code: str) -> None:
    sheets = lid_sheet([many(60), many(1)], paper="a6", code=code)
    assert [len(codes) for codes in sheets.codes].count(1) == 2
    assert sheets.codes[0] == (KIT.code,)
    assert verify_sheets(sheets, 203) == ()


def test_the_same_lid_gives_the_same_bytes() -> None:
    assert lid_sheet([many(20)]).pdf == lid_sheet([many(20)]).pdf


@pytest.mark.parametrize(
    ("options", "problem"),
    [
        ({"paper": "a3"}, "paper 'a3': give a4, a5, a6"),
        ({"paper": "a5", "fold": "a4"}, "fold a5 to a4"),
        ({"code": "gs1"}, "a lid sheet has bars, matrix, qr"),
    ],
)
def test_paper_folds_and_codes_that_there_are_not_are_refused(
    options: dict[str, Any], problem: str
) -> None:
    with pytest.raises(BadInput, match=problem):
        lid_sheet([many(1)], **options)


def test_no_boxes_and_characters_that_cannot_be_printed_are_refused() -> None:
    with pytest.raises(BadInput, match="nothing to print"):
        lid_sheet([])
    with pytest.raises(BadInput, match="U\\+05DE"):
        lid_sheet([replace(many(1), name="שמן")])
