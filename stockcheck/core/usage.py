"""What was used on earlier trips, out of the ledger: occasions, units and the exposure to them.

Only what was taken to be used counts, and reaching for a thing when none was left. Write-offs,
corrections, counts, moves and what is past its date are never uses, nor is what was undone.
Exposure is what causes use: days away, distance, person-days; never months at home. A trip on
which nothing was used is data. A trip of which nothing at all was recorded is a question.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.carry import Log, Measure
from stockcheck.core.model import MEASURES
from stockcheck.core.movements import What
from stockcheck.core.planning import Trip


@dataclass(frozen=True, slots=True)
class Entry:
    """What one movement did to the stock of one item: so many units more or, negative, fewer.

    ``together`` is the first movement of the command that wrote it, ``reverses`` the movement that
    it undoes. ``trip_id`` is given where the movement is known to belong to a trip, on whatever day
    it was written. ``difference`` marks a use that was found as a difference when a trip was
    closed: how often it was used is not known then.
    """

    number: int
    what: What
    on: date
    quantity: int
    together: int
    reverses: int | None = None
    trip_id: int | None = None
    difference: bool = False


@dataclass(frozen=True, slots=True)
class Wanted:
    """Somebody reached for a thing when none, or not enough, was left: so many units lacked.

    It is a use that the stock could not serve. ``together`` is that of the use which it adds to,
    where some were left and used up; else it is an occasion by itself.
    """

    on: date
    quantity: int
    trip_id: int | None = None
    together: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Use:
    """Units used on so many occasions; ``lacking`` are those of them that were wanted in vain."""

    on: date
    quantity: int
    occasions: int = 1
    trip_id: int | None = None
    lacking: int = 0


@dataclass(frozen=True, slots=True)
class Travelled:
    """A trip that is over or under way, and what is known of its log.

    ``came_back`` is the day of return, None for the planned one. ``closed`` says that somebody
    went through what came back: its log is complete. ``recorded`` says that at least something, of
    whatever item, was recorded as used or wanted on it. ``distance_km`` is what was driven, None
    for what was planned.
    """

    trip: Trip
    came_back: date | None = None
    closed: bool = False
    recorded: bool = False
    distance_km: int | None = None

    @property
    def last_day(self) -> date:
        """The last day away."""
        return self.came_back or self.trip.returns

    @property
    def driven(self) -> int | None:
        """Kilometres, as driven or else as planned."""
        return self.trip.distance_km if self.distance_km is None else self.distance_km


@dataclass(frozen=True, slots=True)
class Share:
    """What one trip gives to the log: its exposure, and how many units were used on it."""

    travelled: Travelled
    exposure: int
    occasions: int
    units: int


@dataclass(frozen=True, slots=True)
class History:
    """The log of one item, trip by trip, and what is to be asked or told beside it.

    ``log`` is None where no trip could be counted: no log is a question, and not a zero. ``doubts``
    are sentences; ``at_home`` is how many units were used on no trip and so are left out.
    """

    log: Log | None
    shares: tuple[Share, ...]
    doubts: tuple[str, ...] = ()
    at_home: int = 0


def uses(entries: Iterable[Entry], wanted: Iterable[Wanted] = (), unit: str = "each") -> list[Use]:
    """Every use of an item, by day. What one command took out is one occasion.

    A difference found at a trip's close counts one occasion a piece, since nobody knows how often
    it was used; one occasion altogether where the item is measured (ml, g, cm). What was returned
    lessens the latest uses before it.
    """
    every = sorted(entries, key=lambda it: it.number)
    undone = {it.reverses for it in every if it.reverses is not None}
    live = [it for it in every if it.number not in undone and it.what is not What.REVERSED]
    found: dict[int, Use] = {}
    for entry in live:
        if entry.what is What.ISSUED and entry.quantity < 0:
            found[entry.together] = _grown(found.get(entry.together), entry, unit)
        elif entry.what is What.RETURNED and entry.quantity > 0:
            _give_back(found, entry)
    alone = [_lacking(found, it) for it in wanted if it.quantity > 0]
    all_of_them = [*found.values(), *(it for it in alone if it is not None)]
    return sorted((it for it in all_of_them if it.quantity), key=lambda it: it.on)


def history(
    used: Sequence[Use],
    travelled: Iterable[Travelled],
    measure: Measure,
    *,
    on: date,
    since: date | None = None,
) -> History:
    """The log of an item over the trips that began before ``on``; one under way counts up to then.

    A closed trip counts whether or not the item was used. One that was not closed counts where
    anything was recorded on it, and is told as a doubt; else it is asked about and left out. Days
    before ``since``, the item's first day on the books, are no exposure; a distance is not divided,
    so a trip that the item joined on the way is left out of it.
    """
    trips = sorted(
        (it for it in travelled if it.trip.departs <= on),
        key=lambda it: (it.trip.departs, it.trip.id),
    )
    by_trip = _by_trip(used, trips, on)
    shares: list[Share] = []
    doubts: list[str] = []
    for one in trips:
        mine = by_trip.get(one.trip.id, [])
        doubt, counts = _doubt(one, on, used_on_it=bool(mine))
        exposure = _exposure(one, measure, on, since) if counts else None
        if doubt:
            doubts.append(doubt)
        if counts and exposure is None:
            doubts.append(f"{one.trip.name}: its {measure.value} are not known; it is left out.")
        if exposure:
            times, units = sum(it.occasions for it in mine), sum(it.quantity for it in mine)
            shares.append(Share(one, exposure, times, units))
    counted = [use for it in shares for use in by_trip.get(it.travelled.trip.id, [])]
    at_home = sum(it.quantity for it in by_trip.get(None, []))
    log = _log(counted, sum(it.exposure for it in shares), measure) if shares else None
    return History(log, tuple(shares), tuple(doubts), at_home)


def exposure_ahead(trip: Trip, measure: Measure) -> int | None:
    """The exposure of a coming trip, its margin days included; None where no distance is known.

    A distance has no margin: a late return is waiting, not driving.
    """
    if measure is Measure.KM:
        return trip.distance_km
    days = (trip.horizon - trip.departs).days + 1
    return days * trip.people if measure is Measure.PERSON_DAYS else days


def _grown(before: Use | None, entry: Entry, unit: str) -> Use:
    taken = -entry.quantity
    times = taken if entry.difference and unit not in MEASURES else 1
    if before is None:
        return Use(entry.on, taken, times, entry.trip_id)
    more = times if entry.difference and unit not in MEASURES else 0
    return replace(before, quantity=before.quantity + taken, occasions=before.occasions + more)


def _give_back(found: dict[int, Use], entry: Entry) -> None:
    left = entry.quantity
    for key in sorted(found, reverse=True):
        use = found[key]
        if left and use.on <= entry.on and entry.trip_id in {None, use.trip_id}:
            back = min(left, use.quantity)
            left -= back
            kept = use.quantity - back
            found[key] = replace(use, quantity=kept, occasions=min(use.occasions, max(kept, 1)))


def _lacking(found: dict[int, Use], wanted: Wanted) -> Use | None:
    """A use of its own; None where it was added to the use that emptied the stock."""
    use = found.get(wanted.together) if wanted.together is not None else None
    if use is None or wanted.together is None:
        return Use(wanted.on, wanted.quantity, 1, wanted.trip_id, wanted.quantity)
    more = wanted.quantity
    found[wanted.together] = replace(use, quantity=use.quantity + more, lacking=use.lacking + more)
    return None


def _by_trip(
    used: Iterable[Use], trips: Sequence[Travelled], on: date
) -> dict[int | None, list[Use]]:
    """Uses by the trip that they belong to, as told, else by day; None for those on no trip."""
    known = {it.trip.id for it in trips}
    found: dict[int | None, list[Use]] = {}
    for use in used:
        if use.on > on:
            continue
        days = (it.trip.id for it in trips if it.trip.departs <= use.on <= it.last_day)
        key = use.trip_id if use.trip_id in known else next(days, None)
        found.setdefault(key, []).append(use)
    return found


def _doubt(one: Travelled, on: date, *, used_on_it: bool) -> tuple[str, bool]:
    """What is to be told about a trip's log, "" for nothing, and whether the trip counts."""
    if one.closed:
        return "", True
    if one.recorded or used_on_it:
        if one.last_day >= on:
            return "", True
        return f"{one.trip.name} was not closed: what is recorded is taken to be all.", True
    if one.last_day >= on:
        return "", False
    days = f"{spoken(one.trip.departs)} to {spoken(one.last_day)}"
    told = f"{one.trip.name} ({days}) was not closed and nothing was recorded on it"
    return f"{told}: was nothing used? Close it to count it.", False


def _exposure(one: Travelled, measure: Measure, on: date, since: date | None) -> int | None:
    """What a trip adds to the log; 0 where the item was not along, None where it is not known."""
    first = max(one.trip.departs, since or one.trip.departs)
    last = min(one.last_day, on)
    days = max(0, (last - first).days + 1)
    if measure is Measure.DAYS:
        return days
    if measure is Measure.PERSON_DAYS:
        return days * one.trip.people
    if first > one.trip.departs or one.last_day > on:
        return 0
    return one.driven


def _log(used: Iterable[Use], exposure: int, measure: Measure) -> Log:
    sizes: Counter[int] = Counter()
    for use in used:
        each, over = divmod(use.quantity, use.occasions)
        sizes[each + 1] += over
        sizes[each] += use.occasions - over
    told = tuple(sorted((size, number) for size, number in sizes.items() if number and size))
    return Log(sum(number for _, number in told), exposure, measure, told)
