"""Rows chosen and put in order: what each condition means of each sort of value."""

from __future__ import annotations

from contextlib import suppress
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.output.choosing import choice, chosen, sort_key
from stockcheck.output.report import Column, Json, Report, Row, Section

ON = date(2026, 11, 25)
STOCK: list[dict[str, Json]] = [
    {"lot": "L9", "item": "Крем для рук", "quantity": 3, "day": date(2027, 1, 31), "ok": True},
    {"lot": "L10", "item": "tape, 25 mm", "quantity": 12, "day": date(2026, 11, 25), "ok": False},
    {"lot": "L2", "item": "TAPE, black", "quantity": 2, "day": None, "ok": True},
    {"lot": "L11", "item": "", "quantity": None, "day": date(2027, 2, 1), "ok": False},
]  # fmt: skip


def report(rows: list[dict[str, Json]] = STOCK, grouped: str = "Under") -> Report:
    """The rows in two sections, the second with a note that counts them."""
    made = [Row(values) for values in rows]
    sections = (Section("Cab", tuple(made[:2])), Section("Roof", tuple(made[2:]), "2 rows", True))
    return Report(
        "Stock", ON, "Truck", (Column("lot", "Lot"), Column("item", "Item")), sections,
        totals=(f"{len(rows)} in all",), grouped=grouped,
    )  # fmt: skip


def lots(*only: str, sort: tuple[str, ...] = ()) -> str:
    return " ".join(str(row.values["lot"]) for row in chosen(report(), choice(only, sort)).rows)


@pytest.mark.parametrize(
    ("only", "found"),
    [
        (["item=tape"], "L10 L2"),
        (["item=крем"], "L9"),
        (["item==tape, black"], "L2"),
        (["item!=tape"], "L9 L11"),
        (["item="], "L11"),
        (["item!="], "L9 L10 L2"),
        (["quantity=2"], "L2"),  # a number is no text: 12 has a 2, but is not 2
        (["quantity>=3"], "L9 L10"),
        (["quantity<2.5"], "L2"),
        (["quantity="], "L11"),
        (["day<=2027-01-31"], "L9 L10"),
        (["day<2027"], "L10"),
        (["day<=2027-01"], "L9 L10"),
        (["day>2027-01"], "L11"),
        (["day=2027"], "L9 L11"),
        (["day<=today"], "L10"),
        (["day="], "L2"),
        (["ok=yes"], "L9 L2"),
        (["ok=false"], "L10 L11"),
        (["item=tape", "quantity>2"], "L10"),
        (["Item = TAPE", " quantity > 2 "], "L10"),
        (["item=nothing so"], ""),
    ],
    ids=str,
)
def test_a_condition_keeps_the_rows_that_are_so(only: list[str], found: str) -> None:
    assert lots(*only) == found


@pytest.mark.parametrize(
    ("sort", "found"),
    [
        ("lot", "L2 L9 L10 L11"),
        ("-lot", "L11 L10 L9 L2"),
        ("quantity", "L2 L9 L10 L11"),  # unknown last
        ("-quantity", "L10 L9 L2 L11"),  # there too
        ("day", "L10 L9 L11 L2"),
        ("ok,-lot", "L11 L10 L9 L2"),
        ("item", "L10 L2 L9 L11"),
    ],
)
def test_rows_are_sorted_by_number_day_or_text(sort: str, found: str) -> None:
    assert lots(sort=(sort,)) == found


def test_what_is_told_of_all_rows_says_so() -> None:
    made = chosen(report(), choice(["quantity>2", "item=mm"], []))
    assert made.facts == ("only where quantity > 2 and item has 'mm': 1 of 4 rows",)
    assert made.totals == ("of all 4 rows:", "4 in all")
    assert [section.heading for section in made.sections] == ["Cab"]
    half = chosen(report(), choice(["lot==L2"], []))
    assert half.sections[0].note == ""  # it counted a row that is not there
    every = chosen(report(), choice(["lot=L"], []))
    assert (every.sections[1].note, every.totals) == ("2 rows", ("4 in all",))


def test_nothing_found_is_not_nothing_there() -> None:
    made = chosen(report(), choice(["lot=X"], []))
    assert (made.rows, made.empty) == ((), "No row is so.")
    none = Report("Stock", ON, "", (), (), keys=("lot",), empty="Nothing on hand.")
    assert chosen(none, choice(["lot=X"], [])).empty == "Nothing on hand."


def test_sorted_rows_stand_in_one_list_and_tell_where_they_stood() -> None:
    made = chosen(report(grouped="Box"), choice([], ["lot"]))
    assert len(made.sections) == 1
    assert made.columns[-1].heading == "Box"
    assert [row.shown["section"] for row in made.rows] == ["Roof", "Cab", "Cab", "Roof"]
    assert made.facts == ("sorted by lot",)
    assert all("section" not in row.values for row in made.rows)  # the contract's keys are kept


@pytest.mark.parametrize(
    ("only", "sort", "error", "said"),
    [
        (["lott=L2"], [], UnknownName, "there is no column 'lott' here; did you mean 'lot'?"),
        ([], ["-quantty"], UnknownName, "did you mean 'quantity'? Columns: lot, item"),
        ([], ["zzz"], UnknownName, "take one of these. Columns: lot, item, quantity, day, ok"),
        (["tape"], [], BadInput, "names no column with what to look for"),
        (["=tape"], [], BadInput, "Write it as COLUMN=TEXT"),
        (["quantity<many"], [], BadInput, "'many' is no number and no day"),
        (["day<"], [], BadInput, "Write a number, YYYY-MM-DD"),
        (["item<3"], [], BadInput, "item holds no number or day like that"),
        (["quantity<2027-01-01"], [], BadInput, "quantity=2027-01-01 looks for a part"),
        ([], ["lot,,day"], BadInput, "--sort has an empty column"),
        ([], [""], BadInput, "--sort has an empty column"),
    ],
    ids=str,
)
def test_what_cannot_be_asked_is_refused_with_a_remedy(
    only: list[str], sort: list[str], error: type[BadInput], said: str
) -> None:
    with pytest.raises(error) as told:
        chosen(report(), choice(only, sort))
    assert said in str(told.value)


VALUES = st.none() | st.integers() | st.dates() | st.text(max_size=9) | st.booleans()


@given(st.lists(VALUES, max_size=12), st.booleans())
def test_sorting_keeps_every_row_and_unknown_ones_last(values: list[Json], down: bool) -> None:
    rows = [Row({"at": number, "v": value}) for number, value in enumerate(values)]
    before = Report("R", ON, "", (), (Section("", tuple(rows)),), keys=("at", "v"))
    after = chosen(before, choice([], ["-v" if down else "v"])).rows
    assert sorted(after, key=lambda row: str(row.values["at"])) == sorted(
        rows, key=lambda row: str(row.values["at"])
    )
    keys = [sort_key(row.values["v"]) for row in after]
    known = [key for key in keys if key is not None]
    assert keys[: len(known)] == known
    assert known == sorted(known, reverse=down)


@given(st.text(max_size=30))
def test_any_text_is_a_condition_or_refused(text: str) -> None:
    with suppress(BadInput):
        assert len(chosen(report(), choice([text], [text])).rows) <= len(STOCK)
