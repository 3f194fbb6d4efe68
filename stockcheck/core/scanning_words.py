"""What a session with a scanner says about stock: a word that can be called out, then the facts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.calendar import spoken
from stockcheck.core.expiry import Standing, standings, until_words
from stockcheck.core.model import Box, Holding, State, Status
from stockcheck.core.scanning import GOOD, SPOKEN, Mood, Said, Setting
from stockcheck.core.words import counted, listed

_MOODS = {
    Status.IN_DATE: Mood.GOOD,
    Status.DUE: Mood.WARN,
    Status.ENDS_ON_TRIP: Mood.WARN,
    Status.LAST_RESORT: Mood.WARN,
}
MOST_LINES = 60
"""So many lines of a box are told in a session: nobody reads more between two scans."""
HELP = (
    "Scan a box, then what is in it; after a lot: use one, open, count, write off, move, label."
    " The same scan again answers yes, any other no. undo takes back, done ends."
)


def standing_of(held: Iterable[Holding], setting: Setting) -> list[Standing]:
    """How stock stands, the worst first."""
    return standings(held, setting.on, horizon=setting.horizon)


def rings(found: Iterable[Standing]) -> bool:
    """Whether any of it is bad enough for the bell."""
    return any(each.status not in GOOD for each in found)


def mood_of(status: Status) -> Mood:
    """How a status is coloured."""
    return _MOODS.get(status, Mood.BAD)


def tell_stock(standing: Standing, setting: Setting, *, place: bool = True) -> list[Said]:
    """Two lines: the word, the item and its lot; then how many, where, until when and advice."""
    held = standing.holding
    facts = [counted(held.quantity, held.item.unit) + (f" in {held.box.name}" if place else "")]
    if held.opened_on:
        facts.append(f"opened {spoken(held.opened_on)}")
    facts.append(until(held, setting.on))
    advice = f": {standing.advice}" if standing.advice else ""
    unit = " left" if held.opened_on and held.item.unit in {"ml", "g", "cm"} else ""
    facts[0] += unit
    return [
        Said(
            f"{held.item.name}  {held.lot.short}",
            mood_of(standing.status),
            SPOKEN[standing.status],
        ),
        Said(", ".join(facts) + advice, indent=4),
    ]


def until(held: Holding, on: date) -> str:
    """``good through 30 NOV 2027``; in the past when that is; why there is no day, if none."""
    last = held.last_usable_day
    if last is None:
        return "no date known" if held.kind.has_life else "no limit"
    return f"{'was ' if last < on else ''}good through {until_words(held)}"


def tell_box(box: Box, found: Sequence[Standing], setting: Setting) -> list[Said]:
    """A box with all that is in it as it stands, a line each, the worst first."""
    if not found:
        return [Said(f"{box.name} ({box.short}) holds nothing by the books", word="BOX")]
    noun = "holding" if len(found) == 1 else "holdings"
    lines = [Said(f"{box.name} ({box.short}): {len(found)} {noun}, the worst first", word="BOX")]
    lines += [_line(each, setting.on) for each in found[:MOST_LINES]]
    if len(found) > MOST_LINES:
        more = f"and {len(found) - MOST_LINES} more; 'stockcheck expiry --box {box.short}' has all"
        lines.append(Said(more, indent=2))
    return lines


def _line(standing: Standing, on: date) -> Said:
    held = standing.holding
    opened = ", opened" if held.opened_on else ""
    amount = counted(held.quantity, held.item.unit)
    advice = f": {standing.advice}" if standing.advice else ""
    text = f"{held.lot.short} {held.item.name}{opened}, {amount}, {until(held, on)}{advice}"
    return Said(text, mood_of(standing.status), SPOKEN[standing.status], indent=2)


def places(held: Iterable[Holding]) -> str:
    """Where stock is, each box once: ``3 in Water and 1 in Cab``."""
    by_box: dict[str, int] = {}
    unit = ""
    for each in held:
        by_box[each.box.name] = by_box.get(each.box.name, 0) + each.quantity
        unit = each.item.unit
    return listed([f"{counted(number, unit)} in {name}" for name, number in by_box.items()])


def reason_to_go(held: Sequence[Holding], setting: Setting) -> str:
    """Why stock is written off where nobody typed a reason: what its status says of it."""
    for each in standing_of(held, setting):
        match each.status:
            case Status.EXPIRED:
                return "expired"
            case Status.UNDATED:
                return "no date known"
            case Status.HELD:
                return "was on hold"
            case Status.LAST_RESORT:
                return "last resort, no longer kept"
            case _:
                break
    return "written off in a scanning session"


def usable_here(held: Iterable[Holding], on: date) -> list[Holding]:
    """What may be used on a day without asking."""
    return [each for each in held if shelf_life.usable(each, on)]


def on_hold(held: Iterable[Holding]) -> list[Holding]:
    """What must not be used at all."""
    return [each for each in held if each.state is State.HELD]
