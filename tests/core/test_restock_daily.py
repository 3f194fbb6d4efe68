"""What is used up day by day: stock that ends on the way serves until it ends, and once only."""

from __future__ import annotations

from datetime import date

from given import TODAY, box, holding, item, kind, par
from stockcheck.core.needs import Basis, Rule, worked
from stockcheck.core.par_rules import Needed
from stockcheck.core.planning import Trip
from stockcheck.core.restock import Need, restock

FOOD = item(kind("ration"), "ration")
TRIP = Trip(1, "Loop", date(2027, 2, 1), date(2027, 2, 28), people=1)
TRUCK, POUCH = box("Truck", 1), box("Pouch", 2, inside=1)
A_DAY = Rule(Basis.DAY, 1)


def needs(*held: tuple[int, date], pars: int = 1, basis: Rule = A_DAY) -> tuple[Need, ...]:
    done = worked(basis, TRIP)
    assert done.quantity is not None
    wanted = [par(number, TRUCK, done.quantity, FOOD) for number in range(1, pars + 1)]
    stock = [holding(n, FOOD, POUCH, q, last) for n, (q, last) in enumerate(held, 1)]
    asked = Needed(tuple(wanted), dict.fromkeys(range(1, pars + 1), done))
    horizon, departs, boxes = TRIP.horizon, TRIP.departs, [TRUCK, POUCH]
    return restock(asked, stock, [], on=TODAY, horizon=horizon, departs=departs, boxes=boxes)


def test_what_ends_on_the_way_counts_for_the_days_up_to_its_end() -> None:
    """Given 20 good through day 10, when one a day is used, then 10 of them serve."""
    (need,) = needs((20, date(2027, 2, 10)))
    assert (need.needed, need.usable, need.served, need.short) == (28, 10, 10, 18)
    assert "10 of them are used on the way before they end" in need.reason


def test_all_that_can_be_used_in_time_and_what_lasts_make_it_met() -> None:
    (need,) = needs((10, date(2027, 2, 10)), (18, date(2027, 2, 28)))
    assert (need.needed, need.usable, need.short) == (28, 28, 0)


def test_what_stands_by_must_last_to_the_end() -> None:
    (need,) = needs((20, date(2027, 2, 10)), basis=Rule(Basis.PERSON, 5))
    assert (need.needed, need.usable, need.served, need.short) == (5, 0, 0, 5)


def test_what_ends_before_departure_serves_nobody() -> None:
    (need,) = needs((20, date(2027, 1, 31)))
    assert (need.served, need.short) == (0, 28)
