"""Until when a holding is good: its limits, the one that governs, its status on a day, the advice.

Kinds and lots are invented; published figures are held against the same functions in
tests/reference.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import TODAY, box, holding, item, kind, life, printed
from given import lot as lot_of
from stockcheck.core.calendar import Life, PartialDate
from stockcheck.core.model import (
    Certainty,
    CountsFrom,
    DateMeaning,
    Holding,
    Kind,
    LifeRule,
    Limit,
    Lot,
    PastDate,
    PrintedExpiry,
    State,
    Status,
)
from stockcheck.core.shelf_life import (
    advice,
    governed_by,
    governing,
    limits,
    made_life,
    status,
    usable,
)

KIND = kind("threadlocker")
TIMELESS = replace(KIND, key="wire", meaning=DateMeaning.NONE, past=PastDate.NO_LIMIT)
NOV_2027 = printed("EXP 11/2027", "2027-11")


def lot(
    kind: Kind = KIND,
    *,
    expiry: PrintedExpiry | None = None,
    made: str = "",
    received_on: date | None = None,
) -> Lot:
    bottle = item(kind, "threadlocker, 10 ml bottle")
    return lot_of(bottle, 42, expiry=expiry, made=made, received_on=received_on)


def held(
    last: date | None,
    *,
    kind: Kind = KIND,
    state: State = State.STOCK,
    opened_on: date | None = None,
) -> Holding:
    where = box("Sealants")
    return holding(1, lot(kind), where, 1, last, opened_on=opened_on, state=state)


def sealed(text: str, counts_from: CountsFrom = CountsFrom.MADE) -> Kind:
    return replace(KIND, sealed=life(text, counts_from))


# Limits


def test_what_is_printed_is_a_limit_with_its_own_words() -> None:
    assert limits(lot(expiry=NOV_2027), None) == (
        Limit(
            "printed",
            date(2027, 11, 30),
            "printed 'EXP 11/2027', good through 30 NOV 2027",
            "the pack",
        ),
    )


def test_a_reading_that_was_assumed_says_so_in_the_limit() -> None:
    printed = replace(NOV_2027, assumed="earliest reading taken")
    (limit,) = limits(lot(expiry=printed), None)
    assert limit.why == ("printed 'EXP 11/2027', good through 30 NOV 2027 (earliest reading taken)")


def test_a_made_day_and_the_sealed_life_make_a_limit_with_the_rules_source() -> None:
    assert limits(lot(sealed("24 months"), made="2025-03-31"), None) == (
        Limit(
            "shelf",
            date(2027, 3, 31),
            "made 2025-03-31 + 24 months sealed = 31 MAR 2027",
            "the invented sheet",
            Certainty.TYPICAL,
        ),
    )


@pytest.mark.parametrize(
    ("made", "earliest", "latest"),
    [
        ("2025-03-31", date(2027, 3, 31), date(2027, 3, 31)),
        ("2025-03", date(2027, 2, 28), date(2027, 3, 31)),
        ("2026-03", date(2028, 2, 29), date(2028, 3, 31)),
        ("2025", date(2026, 12, 31), date(2027, 12, 31)),
        ("2024-W35", date(2026, 8, 25), date(2026, 9, 1)),
        ("2024-02-29", date(2026, 2, 28), date(2026, 2, 28)),
    ],
)
def test_a_life_counts_from_the_first_day_that_the_made_date_allows(
    made: str, earliest: date, latest: date
) -> None:
    one = lot(sealed("24 months"), made=made)
    (limit,) = limits(one, None)
    assert made_life(one, Life(months=24)) == (earliest, latest)
    assert limit.last_usable_day == earliest


def test_a_made_month_says_from_which_day_it_was_counted() -> None:
    (limit,) = limits(lot(sealed("24 months"), made="2025-03"), None)
    assert limit.why == (
        "made 2025-03 + 24 months sealed = 28 FEB 2027, "
        "counted from the first day that the made date allows"
    )


def test_a_lot_that_was_never_dated_by_its_maker_has_no_life_from_it() -> None:
    with pytest.raises(ValueError, match="without a made date"):
        made_life(lot(), Life(months=24))


@pytest.mark.parametrize(
    ("life", "last", "months_before"),
    [
        ("24 months", date(2028, 2, 29), 6),
        ("35 months", date(2029, 1, 31), 6),
        ("36 months", date(2028, 8, 31), 12),
        ("5 years", date(2030, 8, 31), 12),
    ],
)
def test_without_a_made_date_goods_are_taken_as_half_a_year_or_a_year_old_when_received(
    life: str, last: date, months_before: int
) -> None:
    """Common practice, no source: 6 months, or 12 for what lives for 3 years and longer."""
    (limit,) = limits(lot(sealed(life), received_on=date(2026, 8, 31)), None)
    assert limit.last_usable_day == last
    assert f"received 31 AUG 2026, taken as made {months_before} months before" in limit.why


def test_a_life_that_counts_from_receipt_assumes_no_age() -> None:
    kind = sealed("9 months", CountsFrom.RECEIVED)
    (limit,) = limits(lot(kind, made="2020", received_on=date(2026, 5, 31)), None)
    assert limit.last_usable_day == date(2027, 2, 28)
    assert limit.why == "received 31 MAY 2026 + 9 months sealed = 28 FEB 2027"


@pytest.mark.parametrize(
    "undated",
    [
        lot(),
        lot(made="2025-03"),
        lot(received_on=TODAY),
        lot(sealed("24 months")),
        lot(sealed("9 months", CountsFrom.RECEIVED), made="2025-03"),
    ],
)
def test_what_lacks_a_life_or_the_day_it_counts_from_has_no_limit(undated: Lot) -> None:
    assert limits(undated, None) == ()


def test_opening_adds_a_limit_and_the_earliest_of_all_governs() -> None:
    own = life("36 months", certainty=Certainty.OWN)
    kind = replace(KIND, sealed=own, opened=life("6 months"))
    found = limits(lot(kind, expiry=NOV_2027, made="2024-06-01"), date(2026, 8, 31))
    assert [(it.name, it.last_usable_day) for it in found] == [
        ("opened", date(2027, 2, 28)),
        ("shelf", date(2027, 6, 1)),
        ("printed", date(2027, 11, 30)),
    ]
    assert governing(found) == found[0]
    assert found[0].why == "opened 31 AUG 2026 + 6 months = 28 FEB 2027"


@pytest.mark.parametrize(
    ("certainty", "binds"),
    [
        (Certainty.PUBLISHED, True),
        (Certainty.OWN, True),
        (Certainty.TYPICAL, False),
        (Certainty.PRACTICE, False),
        (Certainty.MEMORY, False),
    ],
)
def test_beside_a_printed_date_only_a_published_limit_or_your_own_binds(
    certainty: Certainty, binds: bool
) -> None:
    kind = replace(KIND, sealed=life("12 months", certainty=certainty))
    found = limits(lot(kind, expiry=NOV_2027, made="2026-01-31"), None)
    assert ("shelf" in [it.name for it in found]) is binds


@pytest.mark.parametrize("counts_from", CountsFrom)
def test_beside_a_printed_date_no_life_counts_from_a_day_that_is_not_known(
    counts_from: CountsFrom,
) -> None:
    kind = replace(KIND, sealed=life("12 months", counts_from, Certainty.PUBLISHED))
    received_on = TODAY if counts_from is CountsFrom.MADE else None
    found = limits(lot(kind, expiry=NOV_2027, received_on=received_on), None)
    assert [it.name for it in found] == ["printed"]


def test_an_opened_pack_of_a_kind_without_an_opened_life_stays_good_to_its_date() -> None:
    assert [it.name for it in limits(lot(expiry=NOV_2027), TODAY)] == ["printed"]


def test_what_must_be_used_at_once_when_opened_keeps_for_that_day_only() -> None:
    kind = replace(KIND, opened=life("0 days"))
    (limit,) = limits(lot(kind), TODAY)
    assert limit.last_usable_day == TODAY
    assert limit.why == "opened 25 NOV 2026, to be used at once: nothing is kept"


def test_a_tube_opened_after_its_printed_date_stays_expired_and_is_flagged() -> None:
    kind = replace(KIND, opened=life("7 days"))
    found = limits(lot(kind, expiry=NOV_2027), date(2027, 12, 1))
    assert found[0].last_usable_day == date(2027, 11, 30)
    assert found[1].why.endswith("; it was opened after its printed date")


def test_a_tube_opened_on_its_last_usable_day_is_not_flagged() -> None:
    kind = replace(KIND, opened=life("7 days"))
    assert "after" not in limits(lot(kind, expiry=NOV_2027), date(2027, 11, 30))[1].why


@given(
    st.dates(date(2000, 1, 1), date(2060, 12, 31)),
    st.dates(date(2000, 1, 1), date(2060, 12, 31)),
    st.integers(0, 60),
)
def test_no_rule_ever_stretches_what_is_printed(last: date, day: date, months: int) -> None:
    life = LifeRule(Life(months=months), "invented", Certainty.OWN)
    kind = replace(KIND, sealed=life, opened=life)
    printed = PrintedExpiry(last.isoformat(), PartialDate(last.isoformat()), last)
    first = governing(limits(lot(kind, expiry=printed, made=day.isoformat()), day))
    assert first is not None
    assert first.last_usable_day <= last


@pytest.mark.parametrize(
    ("kind", "expiry", "word"),
    [(KIND, NOV_2027, "printed"), (KIND, None, ""), (TIMELESS, None, "no limit")],
    ids=["dated", "undated", "without a life"],
)
def test_the_word_for_what_governs(kind: Kind, expiry: PrintedExpiry | None, word: str) -> None:
    assert governed_by(kind, governing(limits(lot(kind, expiry=expiry), None))) == word


# Status


@pytest.mark.parametrize(
    ("days_left", "standing"),
    [(-1, Status.EXPIRED), (0, Status.DUE), (59, Status.DUE), (60, Status.IN_DATE)],
)
def test_a_holding_is_due_within_sixty_days_and_expired_only_when_the_day_is_past(
    days_left: int, standing: Status
) -> None:
    assert status(held(TODAY + timedelta(days=days_left)), TODAY) is standing


def test_how_long_before_a_holding_is_due_can_be_chosen() -> None:
    holding = held(TODAY + timedelta(days=10))
    assert status(holding, TODAY, due_days=10) is Status.IN_DATE
    assert status(holding, TODAY, due_days=11) is Status.DUE


@pytest.mark.parametrize(
    ("last", "standing"),
    [
        (date(2026, 11, 24), Status.EXPIRED),
        (date(2026, 11, 25), Status.ENDS_ON_TRIP),
        (date(2027, 5, 1), Status.ENDS_ON_TRIP),
        (date(2027, 5, 2), Status.IN_DATE),
    ],
    ids=["before today", "today", "the day before the horizon", "the horizon"],
)
def test_a_holding_ends_on_the_trip_when_it_does_not_reach_the_end_of_the_horizon(
    last: date, standing: Status
) -> None:
    assert status(held(last), TODAY, horizon=date(2027, 5, 2)) is standing


def test_what_reaches_a_near_horizon_but_not_much_more_is_due() -> None:
    assert status(held(TODAY), TODAY, horizon=TODAY) is Status.DUE


@pytest.mark.parametrize("last", [date(2020, 1, 1), None, date(2040, 1, 1)])
def test_hold_and_last_resort_stand_above_every_date(last: date | None) -> None:
    assert status(held(last, state=State.HELD), TODAY) is Status.HELD
    assert status(held(last, state=State.LAST_RESORT), TODAY) is Status.LAST_RESORT


def test_no_date_is_not_good_news_unless_the_kind_has_no_life() -> None:
    assert status(held(None), TODAY) is Status.UNDATED
    assert status(held(None, kind=TIMELESS), TODAY) is Status.IN_DATE


def test_a_kind_without_a_life_still_obeys_a_date_that_was_printed() -> None:
    assert status(held(date(2026, 1, 1), kind=TIMELESS), TODAY) is Status.EXPIRED


@pytest.mark.parametrize(
    ("holding", "counts"),
    [
        (held(TODAY), True),
        (held(TODAY - timedelta(days=1)), False),
        (held(None), False),
        (held(None, kind=TIMELESS), True),
        (held(date(2040, 1, 1), state=State.HELD), False),
        (held(date(2040, 1, 1), state=State.LAST_RESORT), False),
    ],
    ids=["last usable day", "expired", "undated", "no limit", "held", "last resort"],
)
def test_only_what_is_in_date_and_free_counts_as_usable(holding: Holding, counts: bool) -> None:
    assert usable(holding, TODAY) is counts


@given(st.dates(), st.integers(0, 400))
def test_what_is_not_usable_on_a_day_is_not_usable_later(last: date, days: int) -> None:
    day = min(last, date(9000, 1, 1))
    assert usable(held(last), day) >= usable(held(last), day + timedelta(days=days))


# Advice


@pytest.mark.parametrize(
    ("past", "meaning", "words"),
    [
        (PastDate.DISCARD, DateMeaning.SAFETY, "do not use; discard"),
        (PastDate.DISCARD, DateMeaning.QUALITY, "do not use; discard"),
        (PastDate.LAST_RESORT, DateMeaning.QUALITY, "replace; old one last resort only"),
        (PastDate.LAST_RESORT, DateMeaning.SAFETY, "replace; old one last resort only"),
        (PastDate.INSPECT, DateMeaning.INSPECT, "inspect; plan a new one"),
        (PastDate.INSPECT, DateMeaning.SAFETY, "do not use; replace"),
        (PastDate.NO_LIMIT, DateMeaning.NONE, "inspect"),
    ],
)
def test_past_its_date_the_kind_decides_what_is_advised(
    past: PastDate, meaning: DateMeaning, words: str
) -> None:
    kind = replace(KIND, past=past, meaning=meaning)
    assert advice(held(date(2026, 1, 1), kind=kind), Status.EXPIRED) == words


@pytest.mark.parametrize(
    ("standing", "words"),
    [
        (Status.UNDATED, "find its date, else treat as expired"),
        (Status.ENDS_ON_TRIP, "replace before leaving"),
        (Status.DUE, "use first"),
        (Status.HELD, "do not use"),
        (Status.LAST_RESORT, "last resort only"),
        (Status.IN_DATE, ""),
    ],
)
def test_each_standing_has_its_advice(standing: Status, words: str) -> None:
    assert advice(held(date(2030, 1, 1)), standing) == words
