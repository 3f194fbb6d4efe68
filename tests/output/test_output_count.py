"""The variance list as people and scripts get it."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

from given import box, item, kind, lot
from stockcheck.output.count_report import Counted, Told, signed, variance_report
from stockcheck.output.report import Report
from stockcheck.output.write import render

DAY = date(2026, 11, 25)
TUBE, KIT = item(kind(), "sealant, 50 ml tube"), box("Tyre kit")
LINES = (
    Counted(lot(TUBE, 1), KIT, "", 5, 5, 0, "agrees"),
    Counted(lot(TUBE, 2), KIT, "opened", 5, 3, -2, "short", -480, ("look behind the seat",)),
    Counted(lot(TUBE, 3), KIT, "", 1, None, -1, "not found"),
)
TOLD = Told("Count C1 of Tyre kit", ("begun",), (("Tyre kit", "half a tube"),), "EUR")


def made(told: Told = TOLD, *, everything: bool = False) -> Report:
    return variance_report(LINES, told, on=DAY, store="Kit", everything=everything)


def test_people_see_what_differs_with_its_sign_and_its_worth() -> None:
    text = " ".join(str(render(made(), "text")).split())
    assert "short sealant, 50 ml tube (opened) L2 5 3 −2 look behind the seat" in text
    assert "not found sealant, 50 ml tube L3 1 - −1" in text
    assert "L1" not in text
    assert "in Tyre kit half a tube" in text
    assert "3 lines: 1 agrees, 1 short, 1 not found" in text
    assert "by what the lots cost: −4.80 EUR; of 1 more the cost is not known" in text


def test_scripts_get_every_line_with_numbers_and_null_for_what_was_not_counted() -> None:
    rows = json.loads(str(render(made(everything=True), "json")))["rows"]
    assert [(row["lot"], row["counted"], row["variance"], row["value"]) for row in rows] == [
        ("L1", 5, 0, None),
        ("L2", 3, -2, -4.8),
        ("L3", None, -1, None),
        (None, None, None, None),
    ]
    assert rows[3]["finding"] == "not in the books"


def test_a_blind_list_hides_the_books_in_every_format() -> None:
    blind = made(replace(TOLD, blind=True), everything=True)
    for fmt in ("text", "csv", "json"):
        done = str(render(blind, fmt))
        assert "short" not in done
        assert "−2" not in done
        assert "look behind" not in done
    assert {row.values["book"] for row in blind.rows} == {None}
    assert blind.totals == ("2 counted, 1 to count",)


def test_a_list_without_differences_says_so() -> None:
    report = variance_report(LINES[:1], Told("C"), on=DAY, store="Kit", everything=False)
    assert report.empty == "Everything agrees with the books."
    assert not report.rows


def test_a_difference_has_its_sign() -> None:
    assert [signed(number) for number in (2, 0, -3)] == ["+2", "0", "−3"]
