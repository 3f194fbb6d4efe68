"""What needs doing before the next trip: facts that were read -> tasks in order of urgency."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import IntEnum
from typing import TYPE_CHECKING, NamedTuple

from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Holding, State, Status
from stockcheck.core.words import counted, listed

if TYPE_CHECKING:
    from stockcheck.core.expiry import Standing
    from stockcheck.core.planning import Trip
    from stockcheck.core.purchasing import Order
    from stockcheck.core.recalls import Recall
    from stockcheck.core.restock import Need

BACKUP_DAYS = 30
"""Days after which a backup counts as old: each month. Common practice, from memory."""


class Urgency(IntEnum):
    """When a task is due: at once, before the trip, or whenever there is time for it."""

    NOW = 1
    BEFORE = 2
    SOME_TIME = 3

    @property
    def words(self) -> str:
        """As reports give it."""
        return ("now", "before leaving", "in time")[self - 1]


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do: what, how many, in words, the names concerned, by when, and the command."""

    key: str
    urgency: Urgency
    count: int
    words: str
    command: str
    names: tuple[str, ...] = ()
    by: date | None = None


class Late(NamedTuple):
    """A box that is overdue for a count or an audit; without a day it never had one."""

    box: str
    due: date | None


class Labels(NamedTuple):
    """How many labels lack and how many have changed."""

    lacking: int = 0
    changed: int = 0


NO_LABELS = Labels()


@dataclass(frozen=True, slots=True)
class Facts:
    """What was read. ``trip`` is the next one; ``needs`` and ``asks`` are of its restock list.

    ``asks`` counts par levels that could not be worked out; ``backed_up`` is the day of the last
    backup that bears its day, None where there is none; ``stocked`` whether anything is on hand.
    """

    on: date
    trip: Trip | None = None
    standings: Sequence[Standing] = ()
    needs: Sequence[Need] = ()
    asks: int = 0
    orders: Sequence[Order] = ()
    counts: Sequence[Late] = ()
    rounds: Sequence[Late] = ()
    labels: Labels = NO_LABELS
    recalls: Sequence[tuple[Recall, Sequence[Holding]]] = ()
    unclosed: Sequence[Trip] = ()
    backed_up: date | None = None
    stocked: bool = True


def next_trip(trips: Iterable[Trip], closed: Iterable[int], on: date) -> Trip | None:
    """The soonest that has not returned and was not closed; one under way is the next."""
    over = set(closed)
    left = [it for it in trips if it.returns >= on and it.id not in over and not it.retired_on]
    return min(left, key=lambda it: (it.departs, it.returns, it.id), default=None)


def unclosed(trips: Iterable[Trip], closed: Iterable[int], on: date) -> tuple[Trip, ...]:
    """The trips that are past their return, and were neither closed nor retired."""
    over = set(closed)
    return tuple(
        it for it in trips if it.returns < on and it.id not in over and it.retired_on is None
    )


def refuse_past(trip: Trip, on: date) -> None:
    """BadInput for a trip that is over: there is nothing to do before it."""
    if trip.returns < on:
        raise BadInput(
            f"{trip.name} was back on {spoken(trip.returns)}, before {spoken(on)}",
            "Name a later trip; 'trip list' shows them",
        )


def todo(facts: Facts) -> tuple[Task, ...]:
    """Every task, the most urgent first, then by its day; of one urgency in a fixed order.

    What can hurt comes first (recalled, expired, undated, vital and late), then what the trip
    needs, then what keeps the books true.
    """
    found = [
        *_recalls(facts),
        *_stock(facts),
        *_short(facts),
        *_purchases(facts),
        *_books(facts),
    ]
    return tuple(sorted(found, key=lambda it: it.urgency))


def quoted(name: str) -> str:
    """A name as it is typed after a command; in quotes where it has more than letters."""
    if name and all(char.isalnum() or char in "-_." for char in name) and name[0] != "-":
        return name
    if any(char in '"$`\\!' for char in name):
        return "'" + name.replace("'", "'\\''") + "'"
    return f'"{name}"'


def _recalls(facts: Facts) -> Iterable[Task]:
    hit = [(recall, held) for recall, held in facts.recalls if held]
    if not hit:
        return
    loose = [each for _, held in hit for each in held if each.state is not State.HELD]
    stock = sum(len(held) for _, held in hit)
    words = f"Recalled and on hand: {counted(stock, 'holding')}"
    command = "stockcheck recall list"
    if loose:
        words += f", {len(loose)} not on hold"
        first = loose[0]
        where = f"--from {quoted(first.box.name)}"
        command = f"stockcheck hold {first.lot.short} {where} --reason recalled"
    urgency = Urgency.NOW if loose else Urgency.BEFORE
    names = tuple(f"{recall.short} {recall.item or recall.gtin}" for recall, _ in hit)
    yield Task("recalled", urgency, stock, words, command, names)


def _stock(facts: Facts) -> Iterable[Task]:
    def standing(*which: Status) -> list[Standing]:
        return [each for each in facts.standings if each.status in which]

    for key, status, said in (
        ("expired", Status.EXPIRED, "Expired"),
        ("undated", Status.UNDATED, "No date known"),
    ):
        if found := standing(status):
            boxes = _most_first(found)
            yield Task(
                key, Urgency.NOW, len(found), f"{said}: {_in_boxes(len(found), boxes)}",
                f"stockcheck decide {quoted(boxes[0][0])}", _box_names(boxes),
            )  # fmt: skip
    if held := standing(Status.HELD):
        boxes = _most_first(held)
        yield Task(
            "held", Urgency.BEFORE, len(held), f"On hold: {_in_boxes(len(held), boxes)}",
            "stockcheck expiry --status held", _box_names(boxes),
        )  # fmt: skip
    yield from _ending(facts, standing(Status.ENDS_ON_TRIP), standing(Status.DUE))


def _ending(facts: Facts, ends: list[Standing], due: list[Standing]) -> Iterable[Task]:
    if facts.trip is not None and ends:
        boxes = _most_first(ends)
        early = sum(day < facts.trip.departs for day in _lasts(ends))
        more = f", {'all' if early == len(ends) else early} before leaving" if early else ""
        yield Task(
            "ends on trip", Urgency.BEFORE, len(ends),
            f"Ends on the trip: {_in_boxes(len(ends), boxes)}{more}",
            f'stockcheck expiry --trip {quoted(facts.trip.name)} --status "ends on trip"',
            _box_names(boxes), min(_lasts(ends)),
        )  # fmt: skip
    elif facts.trip is None and due:
        boxes = _most_first(due)
        yield Task(
            "due", Urgency.SOME_TIME, len(due), f"Ends soon: {_in_boxes(len(due), boxes)}",
            "stockcheck expiry --status due", _box_names(boxes), min(_lasts(due)),
        )  # fmt: skip


def _lasts(found: Iterable[Standing]) -> list[date]:
    return [each.holding.last_usable_day or date.max for each in found]


def _most_first(found: Iterable[Standing]) -> list[tuple[str, int]]:
    boxes = Counter(each.holding.box.name for each in found)
    return sorted(boxes.items(), key=lambda it: (-it[1], it[0].casefold()))


def _in_boxes(count: int, boxes: Sequence[tuple[str, int]]) -> str:
    return f"{counted(count, 'holding')} in {counted(len(boxes), 'box')}"


def _box_names(boxes: Iterable[tuple[str, int]]) -> tuple[str, ...]:
    return tuple(f"{name} ({count})" for name, count in boxes)


def _short(facts: Facts) -> Iterable[Task]:
    if facts.trip is None:
        return
    trip = quoted(facts.trip.name)
    lacking = [it for it in facts.needs if it.short and (it.buy or it.move_from or it.stand_ins)]
    vital = [it for it in lacking if it.importance.value == "vital"]
    other = [it for it in lacking if it.importance.value != "vital"]
    if vital:
        yield _shortage("vital short", "Vital, short", vital, f"stockcheck restock --trip {trip}")
    if other:
        orderable = any(it.buy and it.offer is not None for it in other)
        command = f"stockcheck order {trip}" if orderable else f"stockcheck restock --trip {trip}"
        yield _shortage("short", "Short", other, command)
    if facts.asks:
        yield Task(
            "open need", Urgency.BEFORE, facts.asks,
            f"Need not known: {counted(facts.asks, 'par level')}",
            f"stockcheck restock --trip {trip}",
        )  # fmt: skip


def _shortage(key: str, said: str, needs: Sequence[Need], command: str) -> Task:
    late = sum(it.late for it in needs)
    nobody = sum(bool(it.buy) and it.offer is None for it in needs)
    days = [it.order_by for it in needs if it.buy and it.order_by is not None]
    first = min(days, default=None)
    more = [f"order by {spoken(first)}"] if first and not late else []
    more += [f"{late} late to order"] if late else []
    more += [f"{nobody} sold by nobody known"] if nobody else []
    urgency = Urgency.NOW if late or key == "vital short" else Urgency.BEFORE
    words = f"{said}: {counted(len(needs), 'line')}{', ' if more else ''}{', '.join(more)}"
    names = tuple(dict.fromkeys(it.wants for it in needs))
    return Task(key, urgency, len(needs), words, command, names, first)


def _purchases(facts: Facts) -> Iterable[Task]:
    awaited = [it for it in facts.orders if it.state in {"open", "partly delivered"}]
    if not awaited:
        return
    dated = sorted(awaited, key=lambda it: (it.expected_on or date.max, it.id))
    late = [it for it in dated if it.expected_on and it.expected_on < facts.on]
    first = dated[0]
    words = f"On order: {counted(len(awaited), 'purchase')}"
    words += f", {len(late)} overdue" if late else ""
    if first.expected_on and not late:
        words += f", the first expected {spoken(first.expected_on)}"
    command = "stockcheck purchase list" if late else f"stockcheck purchase show {first.id}"
    names = tuple(f"#{it.id} {it.supplier}" for it in dated)
    urgency = Urgency.NOW if late else Urgency.BEFORE
    yield Task("on order", urgency, len(awaited), words, command, names, first.expected_on)


def _books(facts: Facts) -> Iterable[Task]:
    if facts.unclosed:
        count, first = len(facts.unclosed), facts.unclosed[0]
        yield Task(
            "trips to close", Urgency.SOME_TIME, count,
            f"Back, not closed: {counted(count, 'trip')}",
            f"stockcheck trip close {quoted(first.name)}",
            tuple(it.name for it in facts.unclosed), first.returns,
        )  # fmt: skip
    yield from _overdue("counts overdue", "Count overdue", facts.counts, "stockcheck count")
    yield from _overdue("audits overdue", "Audit overdue", facts.rounds, "stockcheck round do")
    yield from _labels(facts.labels)
    yield from _backup(facts)


def _overdue(key: str, said: str, late: Sequence[Late], command: str) -> Iterable[Task]:
    if not late:
        return
    ordered = sorted(late, key=lambda it: (it.due or date.min, it.box.casefold()))
    never = sum(it.due is None for it in late)
    words = f"{said}: {counted(len(late), 'box')}" + (f", {never} never done" if never else "")
    names = tuple(it.box for it in ordered)
    full = f"{command} {quoted(names[0])}"
    yield Task(key, Urgency.SOME_TIME, len(late), words, full, names, ordered[0].due)


def _labels(labels: Labels) -> Iterable[Task]:
    said = [f"{labels.lacking} lacking"] if labels.lacking else []
    said += [f"{labels.changed} changed"] if labels.changed else []
    if said:
        option = "--new" if labels.lacking else "--changed"
        yield Task(
            "labels", Urgency.SOME_TIME, sum(labels), f"Labels: {listed(said)}",
            f"stockcheck labels {option} --output labels.pdf",
        )  # fmt: skip


def _backup(facts: Facts) -> Iterable[Task]:
    last = facts.backed_up
    if not facts.stocked or (last and last >= facts.on - timedelta(days=BACKUP_DAYS)):
        return
    words = f"Backup: the last is of {spoken(last)}" if last else "Backup: none yet"
    done = Task("backup", Urgency.SOME_TIME, 1, words, "stockcheck backup")
    yield replace(done, by=last + timedelta(days=BACKUP_DAYS) if last else None)
