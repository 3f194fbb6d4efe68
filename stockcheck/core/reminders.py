"""What a calendar should remind of: which day, of what, and what to do then.

Each reminder has a key that stays the same while the thing stays the same, whatever becomes of its
day or words, so that a calendar that takes it in again moves it instead of showing it twice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from stockcheck.core.audit_due import Overdue
from stockcheck.core.calendar import spoken
from stockcheck.core.codes import make_code
from stockcheck.core.deciding import asked_again, may_be_inspected
from stockcheck.core.expiry import until_words
from stockcheck.core.model import DateMeaning, Holding, State, Status
from stockcheck.core.planning import Supplier, Trip, trip_words
from stockcheck.core.restock import Need
from stockcheck.core.shelf_life import advice, status
from stockcheck.core.words import counted, listed

ALARM_DAYS = 7
"""Days from the alarm to the day itself: a week, common practice, from memory."""
_GOOD = frozenset({Status.IN_DATE, Status.DUE})


class Sort(StrEnum):
    """The sorts of things that are reminded of."""

    GOES_OFF = "goes off"
    ORDER_BY = "order by"
    AUDIT = "audit due"
    COUNT = "count due"
    INSPECT = "inspection due"
    DEPARTS = "departs"
    RETURNS = "returns"


_TOLD = {
    Sort.GOES_OFF: ("goes off", "go off"),
    Sort.ORDER_BY: ("order", "orders"),
    Sort.AUDIT: ("audit", "audits"),
    Sort.COUNT: ("count", "counts"),
    Sort.INSPECT: ("inspection", "inspections"),
    Sort.DEPARTS: ("departure", "departures"),
    Sort.RETURNS: ("return", "returns"),
}  # one, and several


@dataclass(frozen=True, slots=True)
class Reminder:
    """One whole day's reminder. ``gone`` says that what it was about has left.

    ``revision`` counts how often it has changed on the day that it is made for.
    """

    sort: Sort
    thing: str
    day: date
    title: str
    lines: tuple[str, ...] = ()
    place: str = ""
    gone: bool = False
    revision: int = 0

    @property
    def key(self) -> str:
        """The same for the same thing and sort, whatever its day: ``count-due-2000000018``."""
        return f"{self.sort.value.replace(' ', '-')}-{self.thing}"


def goes_off(holdings: Iterable[Holding], on: date, cautions: Mapping[str, str]) -> list[Reminder]:
    """One reminder for all of an item in a box that has the same last usable day, from today on.

    What is on hold, a last resort, expired or undated has no day to wait for and is left out; so is
    what is only inspected on its day (``inspections``).
    """
    together: defaultdict[tuple[int, int, date], list[Holding]] = defaultdict(list)
    for each in holdings:
        if each.quantity > 0 and _waits(each, on) and each.last_usable_day is not None:
            together[each.item.id, each.box.id, each.last_usable_day].append(each)
    return [
        _going_off(sorted(found, key=_first_in), day, cautions)
        for (_, _, day), found in together.items()
    ]


def gone_off_list(
    holdings: Iterable[Holding], on: date, kept: Collection[Reminder]
) -> list[Reminder]:
    """What may have had a reminder of its own before and has none now, marked as gone.

    Of used up, moved and opened packs the holdings stay with a quantity of zero.
    """
    keys = {each.key for each in kept}
    found: dict[str, Reminder] = {}
    for each in holdings:
        day = each.last_usable_day
        if each.state is State.STOCK and day is not None and day >= on:
            looked = _to_inspect(each, status(each, on))
            sort = Sort.INSPECT if looked else Sort.GOES_OFF
            title = _look_title(each) if looked else _title(each)
            gone = Reminder(sort, _thing(each), day, title, place=each.box.name, gone=True)
            found[gone.key] = gone
    return [each for key, each in found.items() if key not in keys]


def unlisted(holdings: Iterable[Holding], on: date) -> int:
    """How many holdings are expired or undated already, and so have no day to wait for."""
    past = {Status.EXPIRED, Status.UNDATED}
    return sum(each.quantity > 0 and status(each, on) in past for each in holdings)


def orders(trip: Trip, needs: Iterable[Need], on: date) -> list[Reminder]:
    """For each supplier of the trip's restock list the first day by which a line is to be ordered.

    A day that is past is today: it is late, and said to be.
    """
    lines: defaultdict[int, list[tuple[date, Need]]] = defaultdict(list)
    suppliers: dict[int, Supplier] = {}
    for need in needs:
        if need.buy and need.offer is not None and need.order_by is not None:
            suppliers[need.offer.supplier.id] = need.offer.supplier
            lines[need.offer.supplier.id].append((need.order_by, need))
    return [
        _order(trip, suppliers[number], sorted(found, key=lambda it: it[0]), on)
        for number, found in lines.items()
    ]


def due_at_boxes(sort: Sort, dues: Iterable[Overdue], on: date) -> list[Reminder]:
    """When each box's audit or count is due; today where that is past or it never was done.

    A count without a day is due at no time; an audit without one never was done.
    """
    found = []
    for each in dues:
        if each.due is None and sort is Sort.COUNT:
            continue
        last = f"last done {spoken(each.last)}" if each.last else "never done yet"
        late = each.due is not None and each.due < on
        lines = (last, f"overdue since {spoken(each.due)}") if late else (last,)
        day = max(each.due or on, on)
        title = f"{each.box}: {sort.value}"
        found.append(Reminder(sort, make_code("box", each.box_id), day, title, lines, each.box))
    return found


def inspections(
    holdings: Iterable[Holding],
    on: date,
    cautions: Mapping[str, str],
    decided: Mapping[int, Status],
) -> list[Reminder]:
    """What is to be looked at: on its day where the date means an inspection; today where that is
    past or unknown, and where a look may still extend what is expired or undated.

    ``decided`` tells how a holding stood, by its id, when something else than a look was decided
    about it: then it is left out, unless it stands worse by now. Never a safety date.
    """
    found = []
    for held in holdings:
        standing = status(held, on)
        if not _to_inspect(held, standing) or held.quantity <= 0:
            continue
        if held.id in decided and not asked_again(decided[held.id], standing):
            continue
        last = held.last_usable_day
        until = f"good through the end of {until_words(held)}" if last else "undated"
        lines = (_amount(held), until, *_short(held, cautions))
        day = max(last or on, on)
        found.append(
            Reminder(Sort.INSPECT, _thing(held), day, _look_title(held), lines, held.box.name)
        )
    return found


def of_trip(trip: Trip, on: date) -> list[Reminder]:
    """Departure and return, from today on."""
    thing = f"trip-{trip.id}"
    both = (
        Reminder(Sort.DEPARTS, thing, trip.departs, f"{trip.name}: departs", (trip_words(trip),)),
        Reminder(Sort.RETURNS, thing, trip.returns, f"{trip.name}: returns", (trip_words(trip),)),
    )
    return [each for each in both if each.day >= on]


def in_order(
    found: Iterable[Reminder], *, until: date | None = None, only: Collection[Sort] = ()
) -> tuple[Reminder, ...]:
    """By day, sort and title; through the day ``until``, and of some sorts where any are named."""
    kept = [
        each
        for each in found
        if (until is None or each.day <= until) and (not only or each.sort in only)
    ]
    places = list(Sort)
    return tuple(sorted(kept, key=lambda it: (it.day, places.index(it.sort), it.title, it.thing)))


def tally(found: Sequence[Reminder]) -> str:
    """How many of each sort, in words: ``3 go off, 1 order and 2 counts``."""
    here = [each.sort for each in found if not each.gone]
    words = [
        f"{here.count(sort)} {_TOLD[sort][here.count(sort) > 1]}" for sort in Sort if sort in here
    ]
    gone = sum(each.gone for each in found)
    return listed([*words, f"{gone} cancelled"] if gone else words)


def alarms(day: date, on: date, wanted: Collection[int]) -> tuple[int, ...]:
    """How many days before a day alarms ring, the earliest first: none that would have rung before
    today. Where none is left of those that are wanted, one rings on the day itself.
    """
    left = sorted({days for days in wanted if (day - on).days >= days}, reverse=True)
    return tuple(left) if left or not wanted else (0,)


def _waits(held: Holding, on: date) -> bool:
    standing = status(held, on)
    return standing in _GOOD and not _to_inspect(held, standing)


def _to_inspect(held: Holding, standing: Status) -> bool:
    if held.kind.meaning is DateMeaning.SAFETY or not may_be_inspected(held.lot):
        return False
    if standing in _GOOD:
        return held.kind.meaning is DateMeaning.INSPECT and held.last_usable_day is not None
    return standing in {Status.EXPIRED, Status.UNDATED}


def _first_in(held: Holding) -> tuple[int, date]:
    return held.lot.id, held.opened_on or date.min


def _thing(held: Holding) -> str:
    """The lot in its box, sealed or opened on a day: what is on hand may change, this does not."""
    opened = f"-{held.opened_on:%Y%m%d}" if held.opened_on else ""
    return f"{held.lot.code}-{held.box.code}{opened}"


def _title(held: Holding) -> str:
    return f"{held.item.name} goes off ({held.box.name})"


def _look_title(held: Holding) -> str:
    return f"Inspect {held.item.name} ({held.box.name})"


def _going_off(found: list[Holding], day: date, cautions: Mapping[str, str]) -> Reminder:
    first = found[0]
    past = advice(replace(first, last_usable_day=day), Status.EXPIRED)
    lines = (
        *(_amount(each) for each in found),
        f"good through the end of {until_words(first)}, by its limit: {first.governed_by}",
        *((f"after that: {past}",) if past else ()),
        *_short(first, cautions),
    )
    return Reminder(Sort.GOES_OFF, _thing(first), day, _title(first), lines, first.box.name)


def _amount(held: Holding) -> str:
    opened = f", opened {spoken(held.opened_on)}" if held.opened_on else ""
    batch = f", batch {held.lot.batch}" if held.lot.batch else ""
    return f"{held.lot.short}: {counted(held.quantity, held.item.unit)}{batch}{opened}"


def _short(held: Holding, cautions: Mapping[str, str]) -> tuple[str, ...]:
    """The first sentence of each caution; the whole of it stands in every report."""
    texts = [cautions[key] for key in held.kind.cautions if key in cautions]
    return tuple(f"{text.partition('. ')[0].rstrip('.')}." for text in texts)


def _order(trip: Trip, supplier: Supplier, lines: list[tuple[date, Need]], on: date) -> Reminder:
    first = lines[0][0]
    told = [
        f"{it.item.name if it.item else it.wants}: {counted(it.packs, 'pack')}"
        f" for {it.box.name}, by {spoken(day)}"
        for day, it in lines
        if it.packs
    ]
    late = (f"late: the day was {spoken(first)}",) if first < on else ()
    title = f"Order from {supplier.name} for {trip.name}"
    thing = f"trip-{trip.id}-supplier-{supplier.id}"
    return Reminder(Sort.ORDER_BY, thing, max(first, on), title, (*late, *told))
