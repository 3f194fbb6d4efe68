"""What closes the gaps of an audit: stock to spare elsewhere, then what is sold. All invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from given import NEAR, box, offer, par
from given_kit import kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.audit_gaps import Around, gaps
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.model import Box, Holding, Item, Lot
from stockcheck.core.planning import Offer, Par
from stockcheck.core.restock import Need, restock

ON, HORIZON = date(2027, 3, 1), date(2027, 5, 31)
GOOD, ENDING = date(2029, 1, 31), date(2027, 4, 30)
KIT, SHELF, TRUCK = box("Kit", 1), box("Shelf", 2), box("Truck", 3)
BOXES = (KIT, SHELF, TRUCK)
GLOVES = Line("Gloves", 4, ("gloves",), unit="pair", dated=True)
PAD = Line("Pad", 2, ("pad",), dated=True, sterile=True, width_mm=100, spec="10 cm")
PAIRS = Item(1, "", "gloves, pair", kit_kind("gloves"), unit="pair")
SINGLES = Item(2, "", "gloves, single", kit_kind("gloves"))
WIDE = Item(3, "", "pad, 10 cm", kit_kind("pad"), pack=5, width_mm=100)
NARROW = Item(4, "", "pad, 5 cm", kit_kind("pad"), width_mm=50)


def held(
    number: int, of: Item, where: Box, quantity: int, until: date = GOOD, opened: date | None = None
) -> Holding:
    return Holding(number, Lot(number, "", of), where, quantity, opened, last_usable_day=until)


def found(
    *stock: Holding,
    lines: tuple[Line, ...] = (PAD,),
    offers: tuple[Offer, ...] = (),
    pars: tuple[Par, ...] = (),
    kept: tuple[int, ...] = (KIT.id,),
    departs: date | None = None,
) -> tuple[Need, ...]:
    kits = KitList("mine", "My list", "invented", "", "own", "", lines)
    here = [it for it in stock if it.box == KIT]
    needs = restock(pars, stock, offers, on=ON, horizon=HORIZON, departs=None, boxes=BOXES)
    kinds = {it.kind.key: it.kind for it in (PAIRS, WIDE)}
    around = Around(stock, needs, offers, BOXES, kept, kinds)
    return gaps(audit(kits, here, ON, horizon=HORIZON), KIT, around, departs=departs)


def test_a_list_that_is_met_leaves_no_gap() -> None:
    assert found(held(1, WIDE, KIT, 2)) == ()


def test_a_gap_is_closed_by_what_fits_elsewhere_and_then_by_an_offer() -> None:
    [need] = found(
        held(1, WIDE, SHELF, 1), held(2, NARROW, SHELF, 9), offers=(offer(1, WIDE, 5, 400),)
    )
    assert [(move.holding.id, move.quantity) for move in need.move_from] == [(1, 1)]
    assert (need.short, need.buy, need.packs, need.price_cents) == (2, 1, 1, 400)
    assert need.reason == "'Pad' asks 2, usable 0: short 2"


def test_what_ends_on_the_trip_opened_or_already_wanted_is_not_moved() -> None:
    unfit = (
        held(1, WIDE, SHELF, 2, ENDING),
        held(2, WIDE, SHELF, 2, opened=ON),
    )
    [need] = found(*unfit)
    assert (need.move_from, need.buy, need.item) == ((), 2, None)
    assert need.wants == "Pad (10 cm)"


@pytest.mark.parametrize(("level", "moved"), [(0, 2), (2, 1), (3, 0), (9, 0)])
def test_what_a_par_level_wants_stays_in_its_box(level: int, moved: int) -> None:
    pars = (par(1, SHELF, level, WIDE),) if level else ()
    [need] = found(held(1, WIDE, SHELF, 3), pars=pars)
    assert sum(move.quantity for move in need.move_from) == moved


def test_a_box_that_is_held_against_a_list_itself_keeps_what_it_has() -> None:
    [need] = found(held(1, WIDE, SHELF, 3), kept=(KIT.id, SHELF.id))
    assert need.move_from == ()


def test_pairs_are_closed_by_pairs_or_by_single_gloves() -> None:
    [pairs] = found(held(1, PAIRS, SHELF, 9), lines=(GLOVES,))
    [singles] = found(held(2, SINGLES, SHELF, 7), lines=(GLOVES,))
    assert [(pairs.short, pairs.buy), (singles.short, singles.buy)] == [(4, 0), (8, 2)]
    assert sum(move.quantity for move in singles.move_from) == 6


def test_two_lines_are_never_closed_by_the_same_stock() -> None:
    both = (PAD, replace(PAD, name="Pad too"))
    needs = found(held(1, WIDE, SHELF, 3), lines=both)
    assert [sum(move.quantity for move in need.move_from) for need in needs] == [2, 1]


def test_what_goes_off_on_the_trip_is_a_gap_and_says_so() -> None:
    [need] = found(held(1, WIDE, KIT, 2, ENDING))
    assert need.reason == "'Pad' asks 2, usable 2, 2 of them not to the end: short 2"


def test_the_cheapest_offer_is_taken_and_a_late_one_is_told() -> None:
    dear, cheap = offer(1, WIDE, 5, 900), offer(2, WIDE, 2, 300)
    [need] = found(offers=(dear, cheap), departs=date(2027, 3, 5))
    assert need.offer == cheap
    assert need.late
    assert NEAR.lead_days is not None
    assert "late" in need.reason


def test_of_a_set_each_part_that_lacks_is_a_line() -> None:
    kit = Line(
        "Set", 2, (), unit="set", parts=(replace(PAD, quantity=1), replace(GLOVES, quantity=2))
    )
    needs = found(held(1, WIDE, KIT, 2), lines=(kit,))
    assert [(need.wants, need.short) for need in needs] == [("Set: Gloves", 4)]


def test_what_is_named_without_a_number_wants_one() -> None:
    [need] = found(lines=(replace(PAD, quantity=None),), offers=(offer(1, WIDE, 5, 400),))
    assert (need.short, need.packs) == (1, 1)
    assert "without a number" in need.reason


def test_bottles_and_pairs_are_bought_by_what_they_make_of_the_line() -> None:
    """100 ml lack: two bottles of 50 ml; 3 single gloves lack: two pairs."""
    wash = Line("Wash", 100, ("pad",), unit="ml")
    bottle = Item(5, "", "wash, 50 ml", kit_kind("pad"))
    [need] = found(lines=(wash,), offers=(offer(1, bottle, 1, 300),))
    assert (need.short, need.buy, need.packs) == (2, 2, 2)
    singles = Line("Gloves", 3, ("gloves",), dated=True)
    [need] = found(held(1, PAIRS, SHELF, 1), lines=(singles,), offers=(offer(1, PAIRS, 1, 200),))
    assert [move.quantity for move in need.move_from] == [1]
    assert (need.short, need.buy) == (2, 1)


def test_what_nobody_has_keeps_the_unit_of_its_line_and_what_lies_there_is_told() -> None:
    wash = Line("Wash", 100, ("pad",), unit="ml")
    bottle = Item(5, "", "wash, 50 ml", kit_kind("pad"))
    [need] = found(held(1, bottle, KIT, 2, date(2027, 1, 31)), lines=(wash,))
    assert (need.wants, need.par.unit, need.buy) == ("Wash", "ml", 100)
    assert need.reason == "'Wash' asks 100 ml, usable 0, 2 of L1 expired: short 100 ml"
