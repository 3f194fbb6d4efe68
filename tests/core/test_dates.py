"""How printed dates are read, beyond the published cases of tests/reference/test_printed_dates.py.

Today is 25 November 2026.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.calendar import PartialDate, Precision
from stockcheck.core.dates import (
    ORDERS,
    DateText,
    Outcome,
    Says,
    earliest,
    read_date,
    read_made,
)
from stockcheck.core.model import DateContext

TODAY = date(2026, 11, 25)


def _lasts(found: DateText) -> list[str]:
    return [str(reading.last_usable_day) for reading in found.readings]


def _isos(found: DateText) -> list[str]:
    return [reading.date.iso for reading in found.readings]


@pytest.mark.parametrize(
    "text",
    [
        *("EXP 11/2027", "exp.11/2027", "EXP11/2027", "Exp. Date: 11/2027", "EXPIRY:11/2027"),
        *("expires 11/2027", "EXPIRES END NOV 2027", "Expiry date November 2027", "EXPNOV2027"),
        *("EXP-11-2027", "exp (11/2027)", "11/2027 EXP", "EXP\n11/2027", "EXP\u00a011/2027"),
        *(
            "BB END 11/2027",
            "BBE 11.2027",
            "best-before-end 11/2027",
            "Best before end of NOV 2027",
        ),
        *("USE BEFORE END OF 11/2027", "DO NOT USE AFTER 11/2027", "2027\u201111", "2027 November"),
        *("Best used before the end of 11/2027", "11 / 2027", "EXP ⌛ 11/2027", "'11/2027'"),
    ],
)
def test_words_and_separators_in_any_dress_say_the_end_of_the_month(text: str) -> None:
    assert _lasts(read_date(text, TODAY)) == ["2027-11-30"]


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("5 JÄNNER 2027", "2027-01-05"),
        ("5. Ma\u0308rz 2027", "2027-03-05"),
        ("MRZ 2027", "2027-03"),
        ("Okt 2027", "2027-10"),
        ("31 Dez 2027", "2027-12-31"),
        ("Sept 2027", "2027-09"),
        ("November 5th, 2027", "2027-11-05"),
        ("2027 5 Nov", "2027-11-05"),
        ("12 NOV 27", "2027-11-12"),
        ("NOV 12 27", "2027-11-12"),
    ],
)
def test_a_named_month_settles_the_rest(text: str, iso: str) -> None:
    assert _isos(read_date(text, TODAY)) == [iso]


def test_month_and_two_figures_may_be_a_day_or_a_year() -> None:
    found = read_date("NOV 26", TODAY)

    assert found.outcome is Outcome.UNSURE
    assert list(zip(_isos(found), _lasts(found), strict=True)) == [
        ("2026-11-26", "2026-11-26"),
        ("2026-11", "2026-11-30"),
    ]


@pytest.mark.parametrize(("text", "iso"), [("NOV 35", "2035-11"), ("35 NOV", "2035-11")])
def test_figures_that_are_no_day_are_a_year(text: str, iso: str) -> None:
    found = read_date(text, TODAY)

    assert (found.outcome, _isos(found)) == (Outcome.CLEAR, [iso])


@pytest.mark.parametrize(
    ("text", "outcome", "isos"),
    [
        ("FEB 30", Outcome.CLEAR, ["2030-02"]),  # 30 February does not exist
        ("30 FEB", Outcome.UNSURE, ["2030-02"]),  # nor does a layout with the year first
        ("35 FEB 05", Outcome.UNSURE, ["2035-02-05"]),
        ("NOV 123", Outcome.NOT_A_DATE, []),
        ("2027 NOV 2028", Outcome.NOT_A_DATE, []),
        ("NOV", Outcome.NOT_A_DATE, []),
        ("NOV DEC 2027", Outcome.NOT_A_DATE, []),
        ("FE 2027", Outcome.NOT_A_DATE, []),
        ("2027W097", Outcome.CLEAR, ["2027-03-07"]),
        ("2027-W09/7", Outcome.NOT_A_DATE, []),
        ("27-W09", Outcome.NOT_A_DATE, []),
        ("01/01/27", Outcome.CLEAR, ["2027-01-01"]),
        ("2027/13-05", Outcome.NOT_A_DATE, []),
        ("123/4/2027", Outcome.NOT_A_DATE, []),
    ],
)
def test_odd_shapes_are_taken_only_where_one_thing_is_possible(
    text: str, outcome: Outcome, isos: list[str]
) -> None:
    found = read_date(text, TODAY)

    assert (found.outcome, _isos(found)) == (outcome, isos)


def test_a_named_month_between_two_figures_is_day_first_and_tells_the_other() -> None:
    found = read_date("EXP 27 NOV 28", TODAY)

    assert (_isos(found), found.confirm) == (["2028-11-27"], True)
    assert found.note == "year first it would be 2027-11-28"


@pytest.mark.parametrize(
    ("words", "general", "food"),
    [
        ("EXP", ["2026-12-31", "2027-12-31"], ["2027-12-31"]),
        ("", ["2026-12-31", "2027-12-31"], ["2027-12-31"]),
        ("BBE", ["2027-12-31"], ["2027-12-31"]),
        ("BEST BEFORE", ["2026-12-31", "2027-12-31"], ["2027-12-31"]),
        ("USE BY", ["2026-12-31", "2027-12-31"], ["2027-12-31"]),
        ("USE BEFORE", ["2026-12-31"], ["2026-12-31"]),
        ("DISCARD AFTER", ["2027-12-31"], ["2027-12-31"]),
    ],
)
def test_a_year_alone_reaches_as_far_as_its_words_and_goods_say(
    words: str, general: list[str], food: list[str]
) -> None:
    assert _lasts(read_date(f"{words} 2027", TODAY)) == general
    assert _lasts(read_date(f"{words} 2027", TODAY, context=DateContext.FOOD)) == food


@pytest.mark.parametrize("words", ["USE BY", "BEST BEFORE", "BB"])
@pytest.mark.parametrize("context", [*DateContext])
def test_only_on_food_do_use_by_and_best_before_a_month_reach_its_end(
    words: str, context: DateContext
) -> None:
    found = read_date(f"{words} 11/2027", TODAY, context=context)

    food = context is DateContext.FOOD
    assert _lasts(found) == (["2027-11-30"] if food else ["2027-10-31", "2027-11-30"])
    assert found.confirm is (food and words == "USE BY")


@pytest.mark.parametrize(
    ("context", "source"),
    [
        (DateContext.GENERAL, "'end' as in Regulation (EU) 1169/2011, Annex X"),
        (DateContext.FOOD, "Regulation (EU) 1169/2011, Annex X"),
        (DateContext.COSMETIC, "Regulation (EC) 1223/2009, Art. 19"),
        (DateContext.MEDICINE, "an English prescribing group's table"),
    ],
)
def test_the_source_named_is_that_of_the_goods(context: DateContext, source: str) -> None:
    reading = read_date("Best used before the end of 06/2027", TODAY, context=context).reading

    assert reading is not None
    assert reading.why == f"month and year: good through the last day of the month ({source})"


def test_before_a_day_leaves_that_day_out() -> None:
    assert _lasts(read_date("USE BEFORE 01 DEC 2026", TODAY)) == ["2026-11-30"]


def test_each_reading_says_how_and_why() -> None:
    clear, unsure = read_date("EXP 11/2027", TODAY), read_date("USE BY 11/2027", TODAY)

    through = "month and year: good through the last day of the month"
    assert [reading.why for reading in (*clear.readings, *unsure.readings)] == [
        f"{through} (USP <7>)",
        f"{through} before (Royal Pharmaceutical Society, MEP ed. 35)",
        f"{through} (one English care-home guideline)",
    ]
    assert unsure.note == "published sources differ on how far these words reach"


@pytest.mark.parametrize(
    ("text", "lasts"),
    [
        ("Best before 25 Nov", ["2026-11-25"]),  # today is its last day
        ("Best before 25 Feb", ["2027-02-25"]),  # three months off, as far as the law goes
        ("Best before 26 Feb", ["2026-02-26", "2027-02-26"]),
        ("Best before 29 Feb", ["2024-02-29", "2028-02-29"]),
    ],
)
def test_food_without_a_year_is_the_next_such_day_within_three_months(
    text: str, lasts: list[str]
) -> None:
    assert _lasts(read_date(text, TODAY, context=DateContext.FOOD)) == lasts


def test_other_goods_without_a_year_are_asked() -> None:
    found = read_date("EXP 23 JAN", TODAY)

    assert (found.outcome, _lasts(found)) == (Outcome.UNSURE, ["2023-01-31", "2027-01-23"])


@pytest.mark.parametrize(
    ("text", "order", "isos"),
    [
        ("05/06/27", "dmy", ["2027-06-05"]),
        ("05/06/27", "mdy", ["2027-05-06"]),
        ("EXP 28/02/27", "ymd", ["2028-02-27"]),
        ("EXP 270228", "ymd", ["2027-02-28"]),
        ("EXP 13/06/27", "ymd", ["2013-06-27"]),
        ("EXP 27/06", "dmy", ["2027-06-27"]),
        ("EXP 10/11", "dmy", ["2011-10", "2027-11-10"]),
        ("EXP 31/01/2027", "mdy", ["2027-01-31"]),
        ("EXP 31/06/2027", "mdy", []),
        ("EXP NOV 26", "dmy", ["2026-11-26", "2026-11"]),
    ],
)
def test_an_order_decides_between_figures_and_revives_no_day(
    text: str, order: str, isos: list[str]
) -> None:
    assert _isos(read_date(text, TODAY, order=order)) == isos


def test_another_order_is_refused() -> None:
    with pytest.raises(ValueError, match="'ydm' is not an order"):
        read_date("05/06/27", TODAY, order="ydm")


@pytest.mark.parametrize("text", ["EXP 27/06", "EXP 31/06", "EXP 6/7", "31 JUN", "2027059"])
def test_forms_that_no_rule_names_are_asked(text: str) -> None:
    assert read_date(text, TODAY).outcome is Outcome.UNSURE


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("EXP 123127", Outcome.CLEAR),
        ("123127", Outcome.UNSURE),
        ("EXP 31012027", Outcome.CLEAR),
        ("10112027", Outcome.UNSURE),
        ("2435678", Outcome.NOT_A_DATE),
    ],
)
def test_figures_in_a_row_need_words_or_a_single_meaning(text: str, outcome: Outcome) -> None:
    assert read_date(text, TODAY).outcome is outcome


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("LOT A123 EXP 11/2027", Says.BATCH),
        ("EXP 11/2027 LOT A123", Says.BATCH),
        ("MFG 06/2025 EXP 06/2027", Says.MADE),
        ("USE BY/EXP 11/2027", Says.EXPIRY),
        ("EXP 11/2027 EXP 12/2027", Says.EXPIRY),
    ],
)
def test_a_text_that_says_several_things_is_not_picked_apart(text: str, says: Says) -> None:
    found = read_date(text, TODAY)

    assert (found.outcome, found.says) == (Outcome.NOT_A_DATE, says)
    assert found.note == "it says more than one thing: give the date alone"


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("SELL BY 11/2027", "a sell-by date is not an expiry"),
        ("EXP 11/2207", "its year is not within 80 years back and 50 ahead"),
        ("EXP 31/04/2027", "no such day, month or week in the calendar"),
        ("threadlocker", "not in a form that dates are printed in"),
        ("EXP", "not in a form that dates are printed in"),
        ("٣١/٠١/٢٠٢٧", "not in a form that dates are printed in"),
        ("EXP\x1d11/2027", "not in a form that dates are printed in"),
        ("EXP 11/2027 14:32", "not in a form that dates are printed in"),
        ("", "nothing is printed: unknown, not without limit"),
        ("EXP 11/2027" + " " * 80, "longer than 80 characters"),
    ],
)
def test_what_is_not_a_date_says_why(text: str, note: str) -> None:
    found = read_date(text, TODAY)

    assert (found.outcome, found.note) == (Outcome.NOT_A_DATE, note)


def test_a_date_many_years_ahead_is_shown_first() -> None:
    found = read_date("EXP 06/76", TODAY)

    assert (found.confirm, found.note) == (True, "more than 20 years ahead: confirm")


@pytest.mark.parametrize("text", ["12M", "2Y", "PAO 24 months"])
def test_an_open_jar_is_neither_an_expiry_nor_a_made_date(text: str) -> None:
    for found in (read_date(text, TODAY), read_made(text, TODAY)):
        assert (found.outcome, found.says) == (Outcome.NOT_A_DATE, Says.OPENED_LIFE)
        assert found.life is not None


@pytest.mark.parametrize("text", ["0M", "100M", "12 months", "EXP 12M", "M12"])
def test_other_spans_are_no_open_jar(text: str) -> None:
    assert read_date(text, TODAY).life is None


TEXTS = st.text(max_size=200) | st.text("0123456789/-. EXPBUSYMFGNOVJTW", max_size=24)
TODAYS = st.dates()


@given(TEXTS, TODAYS, st.sampled_from([*DateContext]), st.sampled_from([None, *ORDERS]))
def test_any_text_on_any_day_comes_out_as_one_of_three(
    text: str, today: date, context: DateContext, order: str | None
) -> None:
    for read in (read_date, read_made):
        found = read(text, today, context=context, order=order)
        lasts = [reading.last_usable_day for reading in found.readings]

        assert found.text == text
        assert lasts == sorted(lasts)
        assert earliest(found) == (found.readings[0] if lasts else None)
        assert (found.outcome is Outcome.NOT_A_DATE) is (not lasts)
        assert (found.reading is not None) is (found.outcome is Outcome.CLEAR)
        assert found.outcome is not Outcome.CLEAR or len(lasts) == 1
        for reading in found.readings:
            before = reading.date.first_day() - timedelta(days=1)
            assert reading.last_usable_day in {reading.date.last_day(), before}


@given(st.dates(date(1950, 1, 1), date(2076, 12, 31)))
def test_an_iso_day_is_read_as_itself(day: date) -> None:
    reading = read_date(day.isoformat(), TODAY).reading

    assert reading is not None
    assert (reading.date, reading.last_usable_day) == (PartialDate(day.isoformat()), day)
    assert reading.date.precision is Precision.DAY


@given(
    st.from_regex(r"[0-9]{1,4}[/.-][0-9]{1,2}([/.-][0-9]{1,4})?", fullmatch=True),
    st.sampled_from(ORDERS),
)
def test_an_order_never_makes_a_date_of_what_is_none(text: str, order: str) -> None:
    free, told = read_date(text, TODAY), read_date(text, TODAY, order=order)

    assert (free.outcome is Outcome.NOT_A_DATE) is (told.outcome is Outcome.NOT_A_DATE)
    assert len(told.readings) <= len(free.readings)


@pytest.mark.parametrize("text", ["9" * 10_000, "EXP " * 2_500, " " * 10_000, "DOT " + "A" * 9_996])
def test_a_text_longer_than_any_printed_date_is_refused_unread(text: str) -> None:
    assert read_date(text, TODAY).outcome is Outcome.NOT_A_DATE


def test_reading_dates_loads_no_heavy_library() -> None:
    import subprocess
    import sys

    code = "import sys, stockcheck.core.dates; print('dateutil' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "False"
