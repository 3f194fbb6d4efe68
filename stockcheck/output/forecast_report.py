"""A trip day by day as a table: what is used up, until when it lasts, and what to get where."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from stockcheck.core.calendar import spoken
from stockcheck.core.forecast import Forecast, Outlook, day_of
from stockcheck.core.model import Holding
from stockcheck.core.planning import Trip, trip_words
from stockcheck.core.projection_stock import told
from stockcheck.core.words import counted
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

_COLUMNS = (
    Column("item", "Item", weight=4),
    Column("needed", "Needed", right=True, fixed=True),
    Column("there", "Aboard", right=True, fixed=True),
    Column("short", "Short", right=True, fixed=True),
    Column("until", "Lasts through", fixed=True),
)
_KEYS = (
    "item", "box", "lot", "needed", "there", "short", "first_short", "lasts_through", "wasted",
    "left", "saved_short", "saved_waste", "wanted_at_start", "stops", "lost_stop", "reason",
)  # fmt: skip


def forecast_report(
    found: Forecast, trip: Trip, *, on: date, store: str, cautions: Mapping[str, str]
) -> Report:
    """The report: first what is used up, then stock that ends on the way."""
    used_up = tuple(_row(it, trip) for it in found.outlooks)
    ending = tuple(_ending(it, trip) for it in found.ending)
    sections = [Section("Used up on the way", used_up)] if used_up else []
    sections += [Section("Ends on the way", ending)] if ending else []
    kinds = [it.par.item.kind for it in found.outlooks if it.par.item]
    kinds += [it.kind for it in found.ending]
    keys = {key for kind in kinds for key in kind.cautions}
    short = sum(1 for it in found.outlooks if it.projection.short)
    totals = (
        [f"{short} of {len(used_up)} things that are used up run short"]
        if used_up
        else ["nothing is planned to be used up day by day: 'par add --plan' or '--basis' says how"]
    )
    return Report(
        title=f"Forecast: {trip.name}",
        on=on,
        store=store,
        columns=_COLUMNS,
        keys=_KEYS,
        sections=tuple(sections),
        facts=(
            trip_words(trip),
            *_under_way(trip, on),
            "all boxes are taken to be aboard and share what they hold; first to end, first used",
        ),
        totals=tuple(totals),
        cautions=tuple(text for key, text in cautions.items() if key in keys),
        empty="Nothing ends on the way.",
        grouped="What of it",
    )


def _under_way(trip: Trip, on: date) -> list[str]:
    day = (on - trip.departs).days + 1
    return [f"from today on, day {day} of the trip, with what there is now"] if day > 1 else []


def _row(it: Outlook, trip: Trip) -> Row:
    unit = it.par.item.unit if it.par.item else "each"
    run = it.projection
    buys = it.stops.bought if it.stops else ()
    lost = it.stops.lost.name if it.stops and it.stops.lost else None
    said = [told(run, unit), *_saved(it, unit), *_stops(it, trip, unit)]
    values: dict[str, Json] = {
        "item": it.wants,
        "box": None,
        "lot": None,
        "needed": it.daily.total,
        "there": it.there,
        "short": run.short,
        "first_short": run.first_short,
        "lasts_through": run.lasts_through,
        "wasted": run.wasted,
        "left": run.left,
        "saved_short": float(it.saved.units_not_short),
        "saved_waste": float(it.saved.units_not_wasted),
        "wanted_at_start": it.wanted_at_start,
        "stops": [
            {
                "place": buy.stop.name,
                "day": buy.stop.day,
                "date": day_of(trip, buy.stop.day),
                "before": buy.before,
                "buy": buy.quantity,
                "wanted": buy.wanted,
            }
            for buy in buys
        ],
        "lost_stop": lost,
        "reason": "; ".join(said),
    }
    shown = {
        "needed": counted(it.daily.total, unit),
        "there": counted(it.there, unit),
        "short": counted(run.short, unit) if run.short else "",
        "until": spoken(run.lasts_through)
        if run.lasts_through >= day_of(trip, it.daily.first)
        else "not a day",
    }
    return Row(values, shown, Tone.BAD if run.short else Tone.GOOD, tuple(said))


def _saved(it: Outlook, unit: str) -> list[str]:
    short, waste = it.saved.units_not_short, it.saved.units_not_wasted
    if not short and not waste:
        return []
    parts = [f"{_mean(waste)} {_unit(unit)}fewer wasted"] if waste else []
    parts += [f"{_mean(short)} {_unit(unit)}fewer short"] if short else []
    return [f"first to end first: on the average {' and '.join(parts)} than in a random order"]


def _unit(unit: str) -> str:
    return "" if unit == "each" else f"{unit} "


def _mean(units: Fraction) -> str:
    return f"{float(units):.1f}".removesuffix(".0")


def _stops(it: Outlook, trip: Trip, unit: str) -> list[str]:
    if it.stops is None:
        return []
    lost = f", even if {it.stops.lost.name} has nothing" if it.stops.lost else ""
    lines = [f"with stops: start with {counted(it.wanted_at_start, unit)}{lost}"]
    for buy in it.stops.bought:
        when = spoken(day_of(trip, buy.stop.day))
        lines.append(
            f"{buy.stop.name}, day {buy.stop.day} ({when}): have {counted(buy.before, unit)},"
            f" get {counted(buy.quantity, unit)}"
        )
    if it.stops.short:
        lines.append(f"{counted(it.stops.short, unit)} short even with every stop")
    return lines


def _ending(it: Holding, trip: Trip) -> Row:
    last = it.last_usable_day
    values: dict[str, Json] = dict.fromkeys(_KEYS)
    values |= {
        "item": it.item.name,
        "box": it.box.name,
        "lot": it.lot.short,
        "there": it.quantity,
        "lasts_through": last,
        "reason": f"ends on {trip.name}",
    }
    shown = {
        "item": f"{it.item.name} ({it.lot.short}, {it.box.name})",
        "there": counted(it.quantity, it.item.unit),
        "needed": "",
        "short": "",
        "until": spoken(last) if last else "",
    }
    return Row(values, shown, Tone.WARN)
