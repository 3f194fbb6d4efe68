"""What a departure pack says: whether the boxes are ready, what goes off on the way, what was left
at risk and decided, and what to look at where the truck stops.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from stockcheck.core.calendar import spoken
from stockcheck.core.deciding import Decided, asked_again
from stockcheck.core.expiry import Standing
from stockcheck.core.forecast import day_of
from stockcheck.core.model import Holding, Item, Status
from stockcheck.core.planning import Trip
from stockcheck.core.words import counted, listed

if TYPE_CHECKING:
    from stockcheck.core.forecast import Forecast, PlacedStop

AT_RISK = (Status.EXPIRED, Status.UNDATED, Status.HELD, Status.LAST_RESORT)
"""How something stands that must not be counted on, and is aboard all the same."""
_UNMEASURED = "No par level says how much a box should hold, so nobody can tell what is enough."
Key: TypeAlias = tuple[int, int, date | None]


class Said(NamedTuple):
    """What was decided about a holding, how it stood then, why, and when."""

    decided: str
    standing: Status
    reason: str
    on: date


@dataclass(frozen=True, slots=True)
class Risk:
    """A holding that is aboard and not to be counted on, with what was decided, if anything.

    ``settled`` is false where nothing was decided, where it has got worse since, and where it was
    to be replaced and still lies there.
    """

    standing: Standing
    said: Said | None

    @property
    def settled(self) -> bool:
        """Whether somebody decided on purpose that it rides along as it is."""
        if self.standing.status in {Status.HELD, Status.LAST_RESORT}:
            return True  # it was set aside by hand, and is marked as such
        if self.said is None or asked_again(self.said.standing, self.standing.status):
            return False
        return self.said.decided not in {Decided.REPLACE, Decided.WRITE_OFF, Decided.NO_LONGER}

    @property
    def to_replace(self) -> bool:
        """Whether it was decided to replace it, and it is still there."""
        return self.said is not None and self.said.decided == Decided.REPLACE


class Readiness(StrEnum):
    """The verdict in a word or two."""

    READY = "ready"
    UNMEASURED = "good through the trip; whether it is enough is not known"
    ON_PURPOSE = "ready, with risks taken on purpose"
    NOT_READY = "not ready"
    OVER = "the trip is over"


@dataclass(frozen=True, slots=True)
class Lacks:
    """What else keeps the boxes from being ready: lines of the restock list, of them vital ones,
    boxes that do not meet their kit list, and whether ``nothing`` at all is in the boxes.

    ``unmeasured``: there is no par level, so that nobody can tell what is enough.
    """

    short: int = 0
    vital: int = 0
    boxes: tuple[str, ...] = ()
    nothing: bool = False
    unmeasured: bool = False


class Ending(NamedTuple):
    """How many holdings end before leaving, on the way, and only if the return is late."""

    before: int = 0
    way: int = 0
    late: int = 0

    @property
    def words(self) -> str:
        """How many when, such as "2 before leaving, 9 on the way"."""
        parts = ((self.before, "before leaving"), (self.way, "on the way"),
                 (self.late, "if the return is late"))  # fmt: skip
        return ", ".join(f"{number} {when}" for number, when in parts if number)


_NO_ENDING = Ending()


@dataclass(frozen=True, slots=True)
class Verdict:
    """How ready the boxes are, and each reason for it as a sentence."""

    readiness: Readiness
    reasons: tuple[str, ...]


class There(NamedTuple):
    """An item that can be had at a stop; ``most`` is None where it does not run out."""

    item_id: int
    name: str
    unit: str
    most: int | None = None

    @property
    def amount(self) -> str:
        """How much there is of it, in words; "" where it does not run out."""
        return "" if self.most is None else f"at most {counted(self.most, self.unit)}"


class Buy(NamedTuple):
    """What the forecast wants bought at a stop."""

    name: str
    amount: str


class Stop(NamedTuple):
    """A place on the way, the day that it is reached, and what can be had there.

    Without any item named all of them are. ``buy`` is what the rest of the way asks for.
    """

    on: date
    place: str
    items: tuple[There, ...] = ()
    buy: tuple[Buy, ...] = ()

    def has(self, item_id: int) -> There | None:
        """That item, where it is to be had."""
        return next((each for each in self.items if each.item_id == item_id), None)


@dataclass(frozen=True, slots=True)
class StopCheck:
    """A stop, the last day that it must see through, what ended since the last one, what ends next.

    ``gone`` ended before the stop, and after the one before it; ``ends`` is good on the day of the
    stop and not through ``until``.
    """

    stop: Stop
    until: date
    gone: tuple[Standing, ...]
    ends: tuple[Standing, ...]


def key_of(holding: Holding) -> Key:
    """By what a decision knows its holding: the lot, the box, and the day of opening."""
    return holding.lot.id, holding.box.id, holding.opened_on


def risks(found: Iterable[Standing], said: Mapping[Key, Said]) -> tuple[Risk, ...]:
    """What is aboard and not to be counted on, the undecided first, else in the order given."""
    every = [Risk(each, said.get(key_of(each.holding))) for each in found if each.status in AT_RISK]
    return tuple(sorted(every, key=lambda it: it.settled))


def by_day(found: Iterable[Standing]) -> tuple[Standing, ...]:
    """What goes off on the way, in the order of its days."""
    ending = [each for each in found if each.status is Status.ENDS_ON_TRIP]
    return tuple(sorted(ending, key=_ends))


def _ends(standing: Standing) -> tuple[date, str, int, int]:
    holding = standing.holding
    last = holding.last_usable_day or date.max
    return last, holding.item.name.casefold(), holding.lot.id, holding.id


def endings(found: Iterable[Standing], trip: Trip) -> Ending:
    """How many end when: what is good through the day of return ends only if that is late."""
    days = [each.holding.last_usable_day or date.max for each in by_day(found)]
    before = sum(day < trip.departs for day in days)
    late = sum(day >= trip.returns for day in days)
    return Ending(before, len(days) - before - late, late)


def verdict(
    trip: Trip, on: date, found: Sequence[Risk], lacks: Lacks, ending: Ending = _NO_ENDING
) -> Verdict:
    """Whether the boxes are ready for the trip, and why.

    Ready is only what is in date through the horizon, enough, and up to its kit list. What was
    decided on purpose makes it ready all the same, and is said; so is how much is ``ending`` on
    the way: where it is needed to the end, the restock list is short of it. What ends before
    leaving would be aboard expired, so that it keeps the boxes from being ready.
    """
    if trip.horizon < on:
        return Verdict(Readiness.OVER, (f"It had to last through {spoken(trip.horizon)}.",))
    open_ones = [each for each in found if not each.settled]
    settled = [each for each in found if each.settled]
    blocking = (*_open(open_ones), *_before(ending, trip), *_lacking(lacks))
    kept = (*_settled(settled), *_ending(ending))
    unmeasured = (_UNMEASURED,) if lacks.unmeasured else ()
    if blocking:
        return Verdict(Readiness.NOT_READY, (*blocking, *kept, *unmeasured))
    if unmeasured:
        return Verdict(Readiness.UNMEASURED, (*kept, *unmeasured))
    if kept:
        return Verdict(Readiness.ON_PURPOSE, kept)
    good = f"Everything in the boxes is good through {spoken(trip.horizon)}, and enough."
    return Verdict(Readiness.READY, (good,))


def _open(found: Sequence[Risk]) -> tuple[str, ...]:
    """A sentence for each way to stand that nobody has settled, the worst first."""
    replacing = [each for each in found if each.to_replace]
    rest = [each for each in found if not each.to_replace]
    words = {
        Status.EXPIRED: "expired, and nothing is decided about",
        Status.UNDATED: "undated, which never counts as usable, and nothing is decided about",
    }
    said = []
    for status, text in words.items():
        number = sum(each.standing.status is status for each in rest)
        if number:
            said.append(f"{_holdings(number)} {text} {'it' if number == 1 else 'them'}.")
    if replacing:
        number = len(replacing)
        said.append(f"{_holdings(number)} to be replaced, and still the old one{_s(number)}.")
    return tuple(said)


def _lacking(lacks: Lacks) -> tuple[str, ...]:
    said = ["Nothing is in the boxes, as far as the books know."] if lacks.nothing else []
    if lacks.short:
        what = "vital line" if lacks.vital == lacks.short else "line"
        some = f", {lacks.vital} of them vital" if 0 < lacks.vital < lacks.short else ""
        are, s = ("is", "") if lacks.short == 1 else ("are", "s")
        said.append(f"{lacks.short} {what}{s} of the restock list {are} short{some}.")
    if lacks.boxes:
        does = "does" if len(lacks.boxes) == 1 else "do"
        said.append(f"{listed(list(lacks.boxes))} {does} not meet the kit list through the trip.")
    return tuple(said)


def _settled(found: Sequence[Risk]) -> tuple[str, ...]:
    held = sum(each.standing.status is Status.HELD for each in found)
    kept = sum(each.standing.status is Status.LAST_RESORT for each in found)
    other = len(found) - held - kept
    said = []
    if held:
        said.append(f"{_holdings(held)} on hold: not to be used.")
    if kept:
        said.append(f"{_holdings(kept)} aboard as a last resort, never counted as stock.")
    if other:
        said.append(
            f"{_holdings(other)} decided to ride along as {'it is' if other == 1 else 'they are'}."
        )
    return tuple(said)


def _before(ending: Ending, trip: Trip) -> tuple[str, ...]:
    number = ending.before
    what = "1 holding ends" if number == 1 else f"{number} holdings end"
    return (f"{what} before leaving on {spoken(trip.departs)}.",) if number else ()


def _ending(ending: Ending) -> tuple[str, ...]:
    way, late = ending.way, ending.late
    if not way and not late:
        return ()
    number = way or late
    what = "1 holding goes off" if number == 1 else f"{number} holdings go off"
    more = f", {late} more if the return is late" if way and late else ""
    when = f"on the way{more}" if way else "if the return is late"
    return (f"{what} {when}, as listed by date.",)


def _holdings(number: int) -> str:
    return "1 holding is" if number == 1 else f"{number} holdings are"


def _s(number: int) -> str:
    return "" if number == 1 else "s"


def placed(
    stops: Iterable[PlacedStop], seen: Forecast, trip: Trip, items: Mapping[int, Item]
) -> list[Stop]:
    """A trip's stops with what each has, and what the forecast wants bought there."""
    buys: dict[tuple[int, str], list[Buy]] = {}
    for outlook in seen.outlooks:
        unit = outlook.par.item.unit if outlook.par.item else "each"
        for bought in outlook.stops.bought if outlook.stops else ():
            if bought.quantity:
                key = bought.stop.day, bought.stop.name
                amount = counted(bought.quantity, unit)
                buys.setdefault(key, []).append(Buy(outlook.wants, amount))
    return [
        Stop(
            day_of(trip, each.day),
            each.place,
            tuple(
                There(number, items[number].name, items[number].unit, most)
                for number, most in each.has.items()
            ),
            tuple(buys.get((each.day, each.place), ())),
        )
        for each in stops
    ]


def stop_checks(
    stops: Sequence[Stop], found: Iterable[Standing], trip: Trip
) -> tuple[StopCheck, ...]:
    """What to look at in each stop of a trip, in the order of their days.

    A holding that ends between two stops is told at the first of them, where another can still be
    had, and at the second as gone. What ends on the day of a stop counts as ending after it.
    """
    ending = by_day(found)
    ordered = sorted(stops, key=lambda it: (it.on, it.place))
    checks = []
    before = trip.departs
    for number, stop in enumerate(ordered):
        later = [each.on for each in ordered[number + 1 :] if each.on > stop.on]
        until = later[0] - timedelta(days=1) if later else trip.horizon
        days = [(each.holding.last_usable_day or date.max, each) for each in ending]
        gone = tuple(each for day, each in days if before <= day < stop.on)
        ends = tuple(each for day, each in days if stop.on <= day < until)
        checks.append(StopCheck(stop, until, gone, ends))
        before = stop.on
    return tuple(checks)
