"""What each sort of label says: of opened packs, holds, last resorts, items and boxes. Invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import given
from label_checks import glyphs, runs, said
from stockcheck.core.calendar import Life
from stockcheck.core.model import Certainty, DateMeaning, Holding, LifeRule, State
from stockcheck.data.kinds import shipped_kind
from stockcheck.labels import symbols
from stockcheck.labels.elements import Band, Rule
from stockcheck.labels.layout import layout
from stockcheck.labels.printing import label_size
from stockcheck.labels.stock import load_stock
from stockcheck.labels.wording import (
    box_label,
    hold_label,
    item_label,
    last_resort_label,
    lot_label,
    opened_label,
)

TODAY = given.TODAY
USUAL = label_size(load_stock("a4-3x7"))
THREE_MONTHS = LifeRule(Life(months=3), "the invented sheet", Certainty.OWN)
AT_ONCE = LifeRule(Life(), "the invented sheet", Certainty.OWN)


def glue(
    *,
    opened: LifeRule | None = THREE_MONTHS,
    opened_on: date | None = None,
    state: State = State.STOCK,
    last: date | None = date(2027, 11, 30),
) -> Holding:
    kind = replace(given.kind("glue", opened=opened), cautions=("flammable",))
    lot = given.lot(given.item(kind, "glue, 20 ml"), 42, expiry=given.printed("EXP", "2027-11"))
    return given.holding(1, lot, given.box("Tyre kit"), 2, last, opened_on=opened_on, state=state)


def test_a_sealed_pack_gets_lines_for_both_days_and_the_life_that_the_kind_gives() -> None:
    label = opened_label(glue(), TODAY)
    assert label.date == ""
    assert label.write_ins == ("opened", "use through")
    assert label.about == "good for 3 months once opened, never past NOV 2027"
    drawn = layout(label, USUAL, 203).elements
    assert sum(isinstance(it, Rule) for it in drawn) == 2


def test_an_opened_pack_says_when_and_through_when_it_may_be_used() -> None:
    opened = replace(glue(opened_on=date(2026, 9, 2)), last_usable_day=date(2026, 12, 2))
    label = opened_label(replace(opened, governed_by="opened"), TODAY)
    assert (label.opened, label.date, label.date_word) == (
        "02 SEP 2026",
        "02 DEC 2026",
        "use through",
    )
    assert label.write_ins == ()


def test_what_is_used_at_once_has_no_day_through_which_it_keeps() -> None:
    label = opened_label(glue(opened=AT_ONCE), TODAY)
    assert label.about == "use at once, keep nothing"
    assert label.write_ins == ("opened",)


def test_a_lot_of_which_nothing_is_kept_has_no_line_for_its_opening() -> None:
    assert lot_label(glue(opened=AT_ONCE), TODAY).opened is None
    assert lot_label(glue(), TODAY).opened == ""


def test_what_keeps_to_its_date_once_opened_says_that_date() -> None:
    label = opened_label(glue(opened=None), TODAY)
    assert (label.date, label.date_word) == ("NOV 2027", "use through")


def test_a_hold_says_why_and_has_a_line_for_who_releases_it() -> None:
    label = hold_label(glue(), TODAY, reason="leaks at the cap")
    assert label.banner == "ON HOLD: DO NOT USE"
    assert label.about == "leaks at the cap"
    assert label.write_ins == ("released by",)
    assert label.lines == ("since 25 NOV 2026", "date NOV 2027")


def test_a_hold_without_a_reason_has_a_line_to_write_it_on() -> None:
    assert hold_label(glue(), TODAY).write_ins == ("why", "released by")


@pytest.mark.parametrize(
    ("state", "last", "banner"),
    [
        (State.HELD, date(2027, 11, 30), "ON HOLD: DO NOT USE"),
        (State.LAST_RESORT, date(2026, 1, 31), "LAST RESORT ONLY"),
        (State.STOCK, date(2026, 11, 24), "EXPIRED"),
        (State.STOCK, date(2026, 11, 25), ""),  # good through the end of the day
    ],
)
def test_a_state_stands_white_on_black_over_the_whole_width(
    state: State, last: date, banner: str
) -> None:
    """No colour is needed to see it."""
    label = lot_label(glue(state=state, last=last), TODAY)
    assert label.banner == banner
    drawn = layout(label, USUAL, 203).elements
    bands = [it for it in drawn if isinstance(it, Band)]
    assert [run.text for run in runs(drawn) if run.white] == ([banner] if banner else [])
    assert [band.width for band in bands] == ([USUAL.inner] if banner else [])


def test_a_last_resort_says_that_its_date_is_past() -> None:
    past = glue(state=State.LAST_RESORT, last=date(2026, 1, 31))
    label = last_resort_label(past, TODAY)
    assert label.date_word == "was good through"
    assert "only when nothing else is left" in label.lines
    safety = replace(past.kind, meaning=DateMeaning.SAFETY)
    item = replace(past.item, kind=safety)
    label = last_resort_label(replace(past, lot=replace(past.lot, item=item)), TODAY)
    assert "past its safety date: see label and leaflet" in label.lines


def test_days_are_iso_all_over_a_label_that_asks_for_them() -> None:
    label = lot_label(glue(opened_on=date(2026, 9, 2)), TODAY, iso=True)
    received = replace(glue().lot, received_on=date(2026, 2, 28), made=None)
    assert label.opened == "2026-09-02"
    assert lot_label(replace(glue(), lot=received), TODAY, iso=True).lines == ("rec. 2026-02-28",)
    assert hold_label(glue(), TODAY, iso=True).lines == ("since 2026-11-25", "date 2027-11")


def test_batch_and_made_date_stand_after_their_symbols() -> None:
    lot = replace(given.lot(glue().item, 42, made="2025-06"), batch="7C21-B")
    drawn = layout(lot_label(replace(glue(), lot=lot), TODAY), USUAL, 203).elements
    assert {symbols.BATCH, symbols.MADE} <= set(glyphs(drawn))
    assert "7C21-B" in said(drawn)
    assert "JUN 2025" in said(drawn)


def test_an_item_says_where_it_belongs_how_many_and_how_to_keep_it() -> None:
    kind = shipped_kind("nadcc-tablets")
    assert kind is not None
    item = given.item(kind, "water tablet, for 1 l", 17, unit="tablet", pack=50)
    label = item_label(item, place="Water", keep=100)
    assert label.short == "I17"
    assert label.lines == ("keep 100 tablets", "packs of 50 tablets")
    drawn = layout(label, USUAL, 203).elements
    assert glyphs(drawn) == [symbols.STORE_BELOW, symbols.KEEP_DRY]
    assert "max. 30 °C" in said(drawn)


def test_a_box_says_what_is_in_it_most_of_all_first_and_when_its_audit_is_due() -> None:
    contents = [glue(), glue(), given.holding(2, given.item(given.kind("tape")), given.box())]
    label = box_label(
        given.box("Tyre kit", 3), "Truck / Tyre kit", 3, contents=contents, audit_due=TODAY
    )
    assert label.about == "glue, tape"
    assert label.lines == ("3 holdings", "audit due 25 NOV 2026")
    assert label.place == "in Truck"
    assert label.sign == ""
