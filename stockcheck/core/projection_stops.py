"""Stops on the way where more can be had: what to start with, and what to buy at each.

Stock bought on the morning of a stop serves that day. The plan survives the loss of any one stop,
unless told otherwise: a station that is shut or sold out is found out when it is too late.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stockcheck.core.planned_use import Daily


@dataclass(frozen=True, slots=True)
class Stop:
    """A place reached on a day (1 is that of departure); ``most`` is None where it never runs out.

    What is had there is the same thing, in units of stock.
    """

    day: int
    most: int | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Bought:
    """What one stop gives in a plan: stock before, what is bought, stock after, and what it takes.

    ``wanted`` is the stock after buying that is enough for the rest of the way; less than that is
    short later on.
    """

    stop: Stop
    before: int
    quantity: int
    wanted: int

    @property
    def after(self) -> int:
        """Stock after buying."""
        return self.before + self.quantity


@dataclass(frozen=True, slots=True)
class StopPlan:
    """What to start with and to buy where. ``lost`` is the stop whose loss asks for so much.

    ``start`` keeps to the load limit; ``wanted`` is what it should be. ``short`` are units that
    lack on the way if every stop gives what it should.
    """

    wanted: int
    start: int
    bought: tuple[Bought, ...]
    lost: Stop | None
    short: int


def start_quantity(daily: Daily, stops: Sequence[Stop], after: int = 0) -> int:
    """The least stock after a day that with all of the later stops is enough to the end.

    S0 = max over s of [need up to s − what the stops up to s give], never below 0. For the start,
    that is before everything: ``after`` is 0, the day before departure, or lower.
    """
    total = daily.total
    gives: dict[int, int] = {}
    for stop in stops:
        if stop.day > after:
            gives[stop.day] = gives.get(stop.day, 0) + (total if stop.most is None else stop.most)
    worst = lacking = 0
    for place, need in enumerate(daily.quantities):
        day = daily.first + place
        if day > after:
            lacking += need - gives.get(day, 0)
            worst = max(worst, lacking)
    return worst


def safe_start(
    daily: Daily, stops: Sequence[Stop], after: int = 0, *, survive_loss: bool = True
) -> tuple[int, Stop | None]:
    """The least stock that is enough even without any one of the later stops, and which one.

    None where no stop's loss matters, or with ``survive_loss`` off.
    """
    enough, lost = start_quantity(daily, stops, after), None
    if survive_loss:
        for place, stop in enumerate(stops):
            others = [*stops[:place], *stops[place + 1 :]]
            without = start_quantity(daily, others, after)
            if stop.day > after and without > enough:
                enough, lost = without, stop
    return enough, lost


def stop_plan(
    daily: Daily,
    stops: Sequence[Stop],
    *,
    survive_loss: bool = True,
    load: int | None = None,
    start: int | None = None,
) -> StopPlan:
    """What to start with, and at each stop in turn as much as makes the rest of the way safe.

    ``load`` is the most that can be carried at once, ``start`` what there is to start with, where
    that is given. More than needed is not bought: the next stop is nearer to the end.
    """
    in_turn = sorted(stops, key=lambda it: it.day)
    wanted, lost = safe_start(daily, in_turn, daily.first - 1, survive_loss=survive_loss)
    most = wanted if load is None else min(wanted, load)
    begin = most if start is None else start
    stock, short = begin, 0
    bought: list[Bought] = []
    by_day: dict[int, list[Stop]] = {}
    for stop in in_turn:
        by_day.setdefault(stop.day, []).append(stop)
    for place, need in enumerate(daily.quantities):
        day = daily.first + place
        for number, stop in enumerate(by_day.get(day, [])):
            rest = [*by_day[day][number + 1 :], *(it for it in in_turn if it.day > day)]
            goal, _ = safe_start(daily, rest, day - 1, survive_loss=survive_loss)
            taken = _taken(stop, stock, goal, load)
            bought.append(Bought(stop, stock, taken, goal))
            stock += taken
        short += max(0, need - stock)
        stock = max(0, stock - need)
    return StopPlan(wanted, begin, tuple(bought), lost, short)


def legs(days: int, stops: Sequence[Stop]) -> tuple[int, ...]:
    """The days between one stop and the next, for what is used by chance: size it leg by leg.

    Stops on day 20 and 45 of 60 days give 19, 25 and 16. Each leg's assurance is the root of the
    whole trip's (``carry.each_of``).
    """
    starts = sorted({1, *(it.day for it in stops if 1 <= it.day <= days)})
    return tuple(
        after - before for before, after in zip(starts, [*starts[1:], days + 1], strict=True)
    )


def _taken(stop: Stop, stock: int, goal: int, load: int | None) -> int:
    wanted = max(0, goal - stock)
    if stop.most is not None:
        wanted = min(wanted, stop.most)
    return wanted if load is None else min(wanted, max(0, load - stock))
