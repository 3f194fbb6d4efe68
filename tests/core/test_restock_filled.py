"""What fills a shortage in turn: surplus, what is on order, a substitute, a purchase."""

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
    PLASTER,
    SPARES,
    TRUCK,
    TUBE,
    TYRES,
    WIDE,
    held,
    par,
    sells,
)
from stockcheck.core.model import Holding, Importance
from stockcheck.core.order_days import WorkingDays
from stockcheck.core.planning import Par, Supplier
from stockcheck.core.restock import Need, restock
from stockcheck.core.restock_sources import Incoming, Sources, Substitute

IN_TIME = DEPARTS - timedelta(days=2)


def planned(
    pars: Sequence[Par],
    sources: Sources,
    holdings: Sequence[Holding] = (),
    departs: date | None = DEPARTS,
) -> tuple[Need, ...]:
    return restock(pars, holdings, sources, on=TODAY, horizon=HORIZON, departs=departs, boxes=BOXES)


# On order


@pytest.mark.parametrize(
    ("line", "counts"),
    [
        (Incoming(1, TUBE, 4, IN_TIME), 4),
        (Incoming(1, TUBE, 4, IN_TIME + timedelta(days=1)), 0),
        (Incoming(1, TUBE, 4), 0),
        (Incoming(1, TUBE, 40, IN_TIME), 6),
        (Incoming(1, TUBE, 4, IN_TIME, good_through=HORIZON), 4),
        (Incoming(1, TUBE, 4, IN_TIME, good_through=HORIZON - timedelta(days=1)), 0),
        (Incoming(1, WIDE, 4, IN_TIME), 0),
    ],
)
def test_what_is_on_order_counts_where_it_comes_in_time_and_lasts(
    line: Incoming, counts: int
) -> None:
    (need,) = planned([par(1, TYRES, 6)], Sources(incoming=[line]))
    assert (need.on_order, need.buy, need.short) == (counts, 6 - counts, 6)
    assert (f"{counts} on order in time" in need.reason) is bool(counts)


def test_what_was_ordered_for_a_box_goes_there_first() -> None:
    pars = [par(1, SPARES, 3), par(2, TYRES, 3)]
    line = Incoming(1, TUBE, 4, IN_TIME, box=TYRES)
    assert {it.box.name: it.on_order for it in planned(pars, Sources(incoming=[line]))} == {
        "Spares": 1, "Tyre kit": 3,
    }  # fmt: skip


def test_a_par_of_a_kind_takes_any_item_of_it_that_is_on_order() -> None:
    (need,) = planned(
        [par(1, TYRES, 3, PLASTER)], Sources(incoming=[Incoming(1, WIDE, 2, IN_TIME)])
    )
    assert (need.on_order, need.buy) == (2, 1)


# Substitutes


def test_a_substitute_is_used_by_its_ratio_and_never_split() -> None:
    """Two narrow for one wide: five left over stand in for two, and one stays where it is."""
    allowed = Substitute(1, WIDE, NARROW, per_item=1, per_by=2)
    stock = [held(1, SPARES, 5, item=NARROW)]
    (need,) = planned([par(1, TYRES, 3, WIDE)], Sources(substitutes=[allowed]), stock)
    assert [(it.quantity, it.covers) for it in need.stand_ins] == [(4, 2)]
    assert (need.short, need.buy) == (3, 1)


def test_what_another_par_level_claims_never_stands_in() -> None:
    allowed = Substitute(1, WIDE, NARROW)
    pars = [par(1, TYRES, 3, WIDE), par(2, SPARES, 5, NARROW)]
    first, _ = sorted(
        planned(pars, Sources(substitutes=[allowed]), [held(1, SPARES, 5, item=NARROW)]),
        key=lambda it: it.par.id,
    )
    assert (first.stand_ins, first.buy) == ((), 3)


def test_two_that_stand_in_for_each_other_use_no_unit_twice() -> None:
    both = [Substitute(1, WIDE, NARROW), Substitute(2, NARROW, WIDE)]
    pars = [par(1, TYRES, 4, WIDE), par(2, TYRES, 4, NARROW)]
    stock = [held(1, SPARES, 3, item=NARROW), held(2, SPARES, 3, item=WIDE)]
    needs = planned(pars, Sources(substitutes=both), stock)
    assert sum(it.buy for it in needs) == 2
    assert not any(it.stand_ins for it in needs)


def test_a_substitute_that_ends_on_the_way_does_not_stand_in() -> None:
    allowed = Substitute(1, WIDE, NARROW)
    stock = [held(1, SPARES, 5, ENDS, item=NARROW)]
    (need,) = planned([par(1, TYRES, 3, WIDE)], Sources(substitutes=[allowed]), stock)
    assert need.stand_ins == ()


def test_a_substitute_is_bought_where_nobody_sells_the_thing_itself() -> None:
    allowed = Substitute(1, WIDE, NARROW, per_item=1, per_by=2)
    sources = Sources([sells(1, 10, 300, item=NARROW)], substitutes=[allowed])
    (need,) = planned([par(1, TYRES, 6, WIDE)], sources)
    assert [(it.offer.item, it.packs) for it in need.purchase.parts] == [(NARROW, 2)]


# Purchases


def test_several_packs_of_different_offers_are_combined_where_that_is_cheaper() -> None:
    """Need 12; 10 at 9.00 and 2 at 2.50: one of each, 11.50."""
    offers = [sells(1, 10, 900), sells(2, 2, 250, supplier=FAR)]
    (need,) = planned([par(1, TYRES, 12)], Sources(offers))
    assert [(it.offer.id, it.packs) for it in need.purchase.parts] == [(1, 1), (2, 1)]
    assert need.price_cents == 1150


def test_shipping_decides_between_suppliers_for_the_whole_list() -> None:
    """Reference case B2: 20 wanted; 10 at 8.00 with 4.90 shipping, or 5 at 5.00 without: 20.00."""
    fee = replace(FAR, fee_cents=490)
    offers = [sells(1, 10, 800, supplier=fee), sells(2, 5, 500)]
    (need,) = planned([par(1, TYRES, 20)], Sources(offers))
    assert [(it.offer.id, it.packs) for it in need.purchase.parts] == [(2, 4)]


def test_what_comes_too_late_is_left_out_where_something_comes_in_time() -> None:
    slow = Supplier(3, "Slow boat", lead_days=300)
    offers = [sells(1, 1, 500), sells(2, 1, 100, supplier=slow)]
    (need,) = planned([par(1, TYRES, 1)], Sources(offers))
    assert (need.offer, need.late) == (offers[0], False)
    assert "too late from Slow boat: 1 for 1.00, comes 21 SEP 2027" in need.reason


def test_a_shelf_with_few_packs_is_told() -> None:
    few = replace(sells(1, 2, 100), packs_left=2)
    (need,) = planned([par(1, TYRES, 7)], Sources([few]))
    assert (need.packs, need.purchase.uncovered) == (2, 3)
    assert "3 of it more than is sold in time" in need.reason


def test_a_short_dated_offer_does_not_serve_what_stands_by() -> None:
    short = replace(sells(1, 1, 100), good_days=30)
    (need,) = planned([par(1, TYRES, 1)], Sources([short, sells(2, 1, 900)]))
    assert need.offer is not None
    assert need.offer.id == 2


def test_money_that_does_not_suffice_goes_to_what_is_vital() -> None:
    pars = [
        par(1, TYRES, 2, WIDE, importance=Importance.DESIRABLE),
        par(2, TYRES, 2, importance=Importance.VITAL),
    ]
    offers = [sells(1, 1, 300), sells(2, 1, 100, item=WIDE)]
    vital, desirable = planned(pars, Sources(offers, budget_cents=750))
    assert (vital.packs, vital.purchase.uncovered) == (2, 0)
    assert (desirable.packs, desirable.purchase.uncovered) == (1, 1)


# Days


def test_working_days_and_holidays_of_the_supplier_are_passed_over() -> None:
    """A weekend lies between the last delivery and the departure, and one in the lead time."""
    working = WorkingDays(holidays=frozenset({date(2027, 1, 1), date(2027, 1, 6)}))
    shop = replace(NEAR, lead_working=True, country="DE-BY")
    sources = Sources([sells(1, 1, 100, supplier=shop)], working={shop.id: working})
    (need,) = planned([par(1, TRUCK, 1)], sources)
    # departure Mon 1 FEB 2027, there by Sat 30 JAN, so Fri 29 JAN; five working days before
    assert need.order_by == date(2027, 1, 22)
    assert "5 working days' delivery" in need.order_why
