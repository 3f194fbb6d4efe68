"""The restock list: what counts, what is moved, what is bought, and why, in words and figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from given import FAR, NEAR, TODAY
from given_trip import (
    BOXES,
    DEPARTS,
    ENDS,
    HORIZON,
    NARROW,
    PAST,
    PLASTER,
    POUCH,
    SPARES,
    TRUCK,
    TUBE,
    TYRES,
    WIDE,
    held,
    listed,
    par,
    sells,
)
from stockcheck.core.claims import MoveFrom
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Holding, Importance, State
from stockcheck.core.planning import Offer, Par
from stockcheck.core.restock import Need, grouped_by_supplier, restock
from stockcheck.core.restock_words import Lack


def line(
    one: Par,
    holdings: Sequence[Holding] = (),
    offers: Sequence[Offer] = (),
    departs: date = DEPARTS,
) -> Need:
    (need,) = listed([one], holdings, offers, departs=departs)
    return need


# What counts


def test_stock_that_reaches_the_horizon_meets_the_par_and_nothing_is_bought() -> None:
    need = line(par(1, TYRES, 4), [held(1, TYRES, 6)], [sells(1, 10, 900)])
    assert (need.needed, need.usable, need.short, need.buy, need.packs) == (4, 6, 0, 0, 0)
    assert (need.offer, need.price_cents, need.order_by) == (None, None, None)
    assert need.reason == "par 4; 6 held"


@pytest.mark.parametrize(
    ("last", "usable"),
    [(HORIZON, 3), (HORIZON - timedelta(days=1), 0), (None, 0), (PAST, 0)],
    ids=["ends on the horizon day", "ends the day before", "undated", "expired"],
)
def test_standby_stock_must_be_good_through_the_end_of_the_horizon_day(
    last: date | None, usable: int
) -> None:
    assert line(par(1, TYRES, 3), [held(1, TYRES, 3, last)]).usable == usable


def test_an_empty_store_is_short_of_every_par() -> None:
    need = line(par(1, TYRES, 4))
    assert (need.usable, need.short, need.reason) == (0, 4, "par 4; none held")
    assert need.lacking == (Lack("never enough", 4),)


def test_a_box_counts_the_boxes_inside_it_at_any_depth() -> None:
    assert line(par(1, TRUCK, 5), [held(1, TRUCK, 1), held(2, POUCH, 4)]).short == 0


def test_a_pouch_keeps_its_own_need_before_the_box_around_it_counts() -> None:
    outer, inner = listed([par(1, TRUCK, 3), par(2, POUCH, 2)], [held(1, POUCH, 4)])
    assert (inner.usable, inner.short) == (2, 0)
    assert (outer.usable, outer.short) == (2, 1)


def test_a_par_by_kind_counts_what_no_par_by_item_has_claimed() -> None:
    pars = [par(1, TYRES, 10, PLASTER), par(2, TYRES, 4, WIDE)]
    wide, any_kind = sorted(
        listed(pars, [held(1, TYRES, 6, item=WIDE), held(2, TYRES, 5, item=NARROW)]),
        key=lambda need: need.needed,
    )
    assert (wide.usable, wide.short) == (4, 0)
    assert (any_kind.usable, any_kind.short) == (7, 3)


def test_a_par_by_kind_does_not_add_millilitres_to_tubes() -> None:
    bottle = replace(NARROW, id=9, unit="ml")
    stock = [held(1, TYRES, 2, item=WIDE), held(2, TYRES, 200, item=bottle)]
    need = line(par(1, TYRES, 5, PLASTER), stock)
    assert (need.usable, need.short) == (2, 3)
    assert need.reason == ("par 5; 2 held; 3 too few; 200 ml of it not counted: set a par by item")


def test_what_is_retired_is_left_out() -> None:
    old_box, old_item = replace(SPARES, retired_on=PAST), replace(WIDE, retired_on=PAST)
    old_offer = replace(sells(1, 1, 1), retired_on=PAST)
    gone = sells(2, 1, 1, supplier=replace(FAR, retired_on=PAST))
    pars = [par(1, TYRES, 1), par(2, old_box, 3), par(3, TYRES, 3, old_item)]
    (need,) = listed(
        pars, [held(1, old_box, 5)], [old_offer, gone], boxes=(TRUCK, TYRES, POUCH, old_box)
    )
    assert (need.par.id, need.move_from, need.offer) == (1, (), None)


def test_a_list_for_a_day_that_is_past_is_refused_with_a_remedy() -> None:
    with pytest.raises(BadInput) as refused:
        listed([], horizon=date(2026, 11, 24))
    assert str(refused.value) == (
        "the restock list is wanted for 24 NOV 2026, which is before 25 NOV 2026: "
        "name a later day or trip"
    )


# Why it is short


@pytest.mark.parametrize(
    ("holdings", "reason"),
    [
        ([held(1, TYRES, 4)], "par 6; 4 held; 2 too few"),
        ([held(1, TYRES, 6, PAST)], "par 6; 6 held, of which 6 expired"),
        ([held(1, TYRES, 6, None)], "par 6; 6 held, of which 6 undated"),
        ([held(1, TYRES, 6, state=State.HELD)], "par 6; 6 held, of which 6 on hold"),
        (
            [held(1, TYRES, 6, PAST, state=State.LAST_RESORT)],
            "par 6; 6 held, of which 6 kept as last resort",
        ),
        (
            [held(1, TYRES, 2, PAST), held(2, TYRES, 1, ENDS), held(3, TYRES, 1)],
            (
                "par 6; 4 held, of which 2 expired, 1 ends 12 MAR 2027 before the horizon "
                "02 MAY 2027; 2 too few even if all were good"
            ),
        ),
        (
            [held(1, TYRES, 3, ENDS), held(2, TYRES, 3, date(2027, 4, 1))],
            (
                "par 6; 6 held, of which 3 end 12 MAR 2027 and 3 end 01 APR 2027 before the "
                "horizon 02 MAY 2027"
            ),
        ),
    ],
)
def test_the_reason_says_in_words_and_figures_what_does_not_count(
    holdings: list[Holding], reason: str
) -> None:
    assert line(par(1, TYRES, 6), holdings).reason == reason


def test_every_cause_of_a_shortage_is_told_apart() -> None:
    stock = [
        held(1, TYRES, 1, PAST),
        held(2, TYRES, 2, None),
        held(3, TYRES, 3, state=State.HELD),
        held(4, TYRES, 4, state=State.LAST_RESORT),
        held(5, TYRES, 5, ENDS),
    ]
    assert line(par(1, TYRES, 20), stock).lacking == (
        Lack("never enough", 5),
        Lack("expired", 1),
        Lack("undated", 2),
        Lack("held", 3),
        Lack("last resort", 4),
        Lack("ends on trip", 5, ENDS),
    )


# Moving before buying


def test_a_surplus_elsewhere_is_moved_before_anything_is_bought() -> None:
    spare = held(1, SPARES, 3)
    need = line(par(1, TYRES, 4), [spare], [sells(1, 1, 500)])
    assert need.move_from == (MoveFrom(spare, 3),)
    assert (need.short, need.buy, need.packs, need.price_cents) == (4, 1, 1, 500)


def test_the_lot_that_ends_first_and_still_reaches_the_horizon_is_the_one_to_move() -> None:
    late, soon, too_soon = held(1, SPARES, 2), held(2, SPARES, 2, HORIZON), held(3, SPARES, 2, ENDS)
    need = line(par(1, TYRES, 3), [late, soon, too_soon])
    assert need.move_from == (MoveFrom(soon, 2), MoveFrom(late, 1))


def test_a_box_gives_only_what_is_beyond_its_own_par_and_keeps_what_lasts_longest() -> None:
    late, soon = held(1, SPARES, 2), held(2, SPARES, 2, HORIZON)
    keeps, lacks = listed([par(1, SPARES, 3), par(2, TYRES, 3)], [late, soon])
    assert (keeps.move_from, keeps.short) == ((), 0)
    assert (lacks.move_from, lacks.buy) == ((MoveFrom(soon, 1),), 2)


@pytest.mark.parametrize(
    "holding",
    [
        held(1, SPARES, 9, PAST),
        held(1, SPARES, 9, None),
        held(1, SPARES, 9, state=State.HELD),
        held(1, SPARES, 9, state=State.LAST_RESORT),
    ],
    ids=["expired", "undated", "held", "last resort"],
)
def test_what_may_not_be_used_is_never_moved(holding: Holding) -> None:
    need = line(par(1, TYRES, 4), [holding])
    assert (need.move_from, need.buy) == ((), 4)


def test_what_is_vital_gets_the_surplus_first() -> None:
    vital = par(2, POUCH, 2, importance=Importance.VITAL)
    first, second = listed([par(1, TYRES, 2), vital], [held(1, SPARES, 3)])
    assert (first.par, first.buy) == (vital, 0)
    assert second.buy == 1


def test_a_par_by_kind_leaves_alone_what_a_par_by_item_waits_for() -> None:
    wide, narrow = held(1, SPARES, 2, item=WIDE), held(2, SPARES, 2, item=NARROW)
    pars = [par(1, SPARES, 2, PLASTER), par(2, TYRES, 2, WIDE)]
    assert [need.buy for need in listed(pars, [wide, narrow])] == [0, 0]


def test_a_par_by_kind_changes_what_it_counts_so_that_another_box_gets_its_item() -> None:
    wide, narrow = held(1, TYRES, 2, item=WIDE), held(2, TYRES, 2, HORIZON, item=NARROW)
    pars = [par(1, TYRES, 2, PLASTER), par(2, SPARES, 2, WIDE)]
    assert [need.move_from for need in listed(pars, [wide, narrow])] == [(MoveFrom(wide, 2),), ()]


# Buying


def test_two_boxes_that_lack_the_same_share_one_pack() -> None:
    pars = [par(1, SPARES, 3), par(2, TYRES, 4)]
    spares, tyres = listed(pars, offers=[sells(1, 10, 900)])
    assert (spares.buy, spares.packs, spares.price_cents) == (3, 1, 900)
    assert (tyres.buy, tyres.packs, tyres.price_cents) == (4, 0, 0)
    assert tyres.reason == "par 4; none held; out of the packs bought for Spares"


def test_a_list_for_some_boxes_buys_whole_packs_for_them_and_leaves_the_others_their_own() -> None:
    pars = [par(1, SPARES, 3), par(2, TYRES, 4), par(3, POUCH, 1)]
    (need,) = restock(
        pars,
        [held(1, SPARES, 4)],
        [sells(1, 10, 900)],
        on=TODAY,
        horizon=HORIZON,
        departs=DEPARTS,
        boxes=BOXES,
        only_in={TYRES.id},
    )
    assert need.box == TYRES
    assert [(move.holding.box, move.quantity) for move in need.move_from] == [(SPARES, 1)]
    assert (need.buy, need.packs, need.price_cents) == (3, 1, 900)


def test_what_nobody_sells_is_counted_in_its_usual_packs_without_a_price() -> None:
    need = line(par(1, TYRES, 5, replace(TUBE, pack=2)))
    assert (need.buy, need.packs, need.offer, need.price_cents) == (5, 3, None, None)


def test_a_par_by_kind_buys_the_cheapest_item_of_that_kind() -> None:
    offers = [sells(1, 10, 500, item=WIDE), sells(2, 10, 400, item=NARROW), sells(3, 9, 1)]
    need = line(par(1, TYRES, 12, PLASTER), offers=offers)
    assert (need.item, need.packs, need.price_cents) == (NARROW, 2, 800)


def test_a_par_by_kind_that_nobody_sells_names_no_item_and_no_packs() -> None:
    need = line(par(1, TYRES, 12, PLASTER))
    assert (need.wants, need.item, need.buy, need.packs) == ("any plaster", None, 12, 0)


def test_what_is_bought_must_be_good_through_the_horizon() -> None:
    assert line(par(1, TYRES, 1)).use_by_not_before == HORIZON


# Ordering in time


def test_an_order_that_is_late_is_flagged_and_said() -> None:
    need = line(par(1, TYRES, 1), offers=[sells(1, 1, 1)], departs=TODAY + timedelta(days=6))
    assert (need.order_by, need.late) == (date(2026, 11, 24), True)
    assert need.reason == (
        "par 1; none held; late: it was to be ordered by 24 NOV 2026;"
        " ordered today it comes 30 NOV 2026"
    )


def test_the_last_day_to_order_is_not_late() -> None:
    need = line(par(1, TYRES, 1), offers=[sells(1, 1, 1)], departs=TODAY + timedelta(days=7))
    assert (need.order_by, need.late) == (TODAY, False)


def test_without_a_trip_there_is_no_day_to_order_by() -> None:
    (need,) = listed([par(1, TYRES, 1)], offers=[sells(1, 1, 1)], departs=None)
    assert need.order_by is None


# The list


def test_vital_lines_come_first_then_by_box_and_name() -> None:
    pars = [
        par(1, TYRES, 1, WIDE),
        par(2, TYRES, 1, NARROW),
        par(3, SPARES, 1),
        par(4, TYRES, 1, importance=Importance.VITAL),
    ]
    assert [need.par.id for need in listed(pars)] == [4, 3, 2, 1]


def test_lines_are_grouped_by_supplier_with_moves_first_and_the_unsold_last() -> None:
    pars = [par(1, TYRES, 2), par(2, TYRES, 1, WIDE), par(3, TYRES, 1, NARROW), par(4, POUCH, 1)]
    offers = [sells(1, 1, 5, supplier=NEAR), sells(2, 1, 5, supplier=FAR, item=WIDE)]
    other, gone = replace(TUBE, id=7, name="inner tube"), replace(TUBE, id=8, name="wire")
    more = [par(5, TYRES, 1, other), par(6, TYRES, 1, gone)]
    stock = [held(1, SPARES, 1, item=other), held(2, TYRES, 1, item=gone)]
    groups = grouped_by_supplier(listed([*pars, *more], stock, offers))
    assert [(it.heading, [need.par.id for need in it.needs]) for it in groups] == [
        ("nothing to buy: move", [5]),
        ("Coast Supply", [2]),
        ("Desert Stores", [1, 4]),
        ("no supplier known", [3]),
    ]
