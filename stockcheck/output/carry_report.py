"""How many to carry: a sentence, a table of quantity against the chance of running out, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.carry import Carry, Chance, curve
from stockcheck.core.carry_words import percent, sentence, why
from stockcheck.core.model import Item
from stockcheck.core.usage import History, Share
from stockcheck.core.usage_told import Told
from stockcheck.core.words import counted
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

_COLUMNS = (
    Column("carry", "Carry", right=True, fixed=True),
    Column("chance", "Runs out", right=True, fixed=True),
    Column("bar", "Chance of running out", weight=6),
    Column("enough", "", weight=2),
)
_KEYS = ("carry", "unit", "chance_of_running_out", "recommended", "item", "trip")
_BAR = 40


@dataclass(frozen=True, slots=True)
class Asked:
    """What the answer is about: the item, the trip in words, and what is there already."""

    item: Item
    trip: str
    usable: int
    horizon: date


def carry_report(
    answer: Carry, history: History, told: Sequence[Told], asked: Asked, *, on: date, store: str
) -> Report:
    """The report; without a number it has no rows, and its words are the question."""
    unit = asked.item.unit
    facts = [asked.trip, sentence(answer, unit)]
    if answer.number is not None:
        there = counted(asked.usable, unit)
        lacking = max(0, answer.number - asked.usable)
        more = f"; {counted(lacking, unit)} more to get" if lacking else ""
        facts.append(f"good through {spoken(asked.horizon)} on hand: {there}{more}")
    rows = tuple(_row(it, answer, asked) for it in curve(answer))
    log = [_share(it, unit) for it in history.shares] + [it.words(unit) for it in told]
    if history.at_home:
        log.append(f"left out: {counted(history.at_home, unit)} used on no trip")
    return Report(
        title=f"How many to carry: {asked.item.name}",
        on=on,
        store=store,
        columns=_COLUMNS,
        keys=_KEYS,
        sections=(Section("", rows),) if rows else (),
        facts=tuple(facts),
        totals=(*(why(answer, unit) if rows else ()), *log, *history.doubts),
        empty="Nothing can be told yet." if not rows else "",
    )


def _row(point: Chance, answer: Carry, asked: Asked) -> Row:
    here = point.carried == answer.number
    chance = float(point.of_running_out)
    values: dict[str, Json] = {
        "carry": point.carried,
        "unit": asked.item.unit,
        "chance_of_running_out": chance,
        "recommended": here,
        "item": asked.item.name,
        "trip": asked.trip.partition(":")[0],
    }
    shown = {
        "carry": counted(point.carried, asked.item.unit),
        "chance": percent(point.of_running_out, up=True),
        "bar": "#" * round(chance * _BAR),
        "enough": f"<- {percent(answer.assurance)} reached" if here else "",
    }
    return Row(values, shown, Tone.GOOD if here else Tone.PLAIN)


def _share(share: Share, unit: str) -> str:
    used = counted(share.units, unit) if share.units else "none"
    times = f" on {share.occasions} occasions" if share.occasions > 1 else ""
    trip = share.travelled.trip
    return f"{trip.name}, left {spoken(trip.departs)}: {used} used{times} in {share.exposure}"
