"""Until when a holding is good: its limits, the one that governs, its status on a day, the advice.

A limit can shorten, never stretch, what is printed; and no date is not good news.
"""

from __future__ import annotations

from datetime import date, timedelta

from stockcheck.core.calendar import Life, Precision, spoken
from stockcheck.core.model import (
    Certainty,
    CountsFrom,
    DateMeaning,
    Holding,
    Kind,
    LifeRule,
    Limit,
    Lot,
    PastDate,
    State,
    Status,
)

PRINTED, SHELF, OPENED, NO_LIMIT = "printed", "shelf", "opened", "no limit"
DUE_DAYS = 60
SHORT_LIFE_MONTHS = 36


def limits(lot: Lot, opened_on: date | None) -> tuple[Limit, ...]:
    """Every limit on a lot's stock that is sealed or was opened on a day, earliest first."""
    kind = lot.item.kind
    found = (_printed(lot), _shelf(lot, kind.sealed), _opened(lot, kind.opened, opened_on))
    return tuple(sorted((limit for limit in found if limit), key=lambda it: it.last_usable_day))


def governing(found: tuple[Limit, ...]) -> Limit | None:
    """The earliest limit, which governs; None without any."""
    return found[0] if found else None


def governed_by(kind: Kind, limit: Limit | None) -> str:
    """The word for what governs: a limit's name, ``no limit``, or "" for the undated."""
    if limit is not None:
        return limit.name
    return "" if kind.has_life else NO_LIMIT


def _printed(lot: Lot) -> Limit | None:
    if lot.expiry is None:
        return None
    printed = lot.expiry
    why = f"printed {printed.text!r}, good through {spoken(printed.last_usable_day)}"
    if printed.assumed:
        why += f" ({printed.assumed})"
    return Limit(PRINTED, printed.last_usable_day, why, "the pack", Certainty.PUBLISHED)


def _shelf(lot: Lot, rule: LifeRule | None) -> Limit | None:
    if rule is None or (lot.expiry is not None and not binds_beside_a_printed_date(lot, rule)):
        return None
    if rule.counts_from is CountsFrom.RECEIVED:
        if lot.received_on is None:
            return None
        last = rule.life.after(lot.received_on)
        return _shelf_limit(rule, last, f"received {spoken(lot.received_on)}")
    if lot.made is not None:
        last, _ = made_life(lot, rule.life)
        why = f"made {lot.made} + {rule.life} sealed = {spoken(last)}"
        if lot.made.precision is not Precision.DAY:
            why += ", counted from the first day that the made date allows"
        return Limit(SHELF, last, why, rule.source, rule.certainty)
    if lot.received_on is None:
        return None
    age = _age_when_received(rule.life)
    last = Life(rule.life.months - age, rule.life.days).after(lot.received_on)
    words = f"received {spoken(lot.received_on)}, taken as made {age} months before"
    return _shelf_limit(rule, last, words)


def binds_beside_a_printed_date(lot: Lot, rule: LifeRule) -> bool:
    """Whether a sealed life counts where the maker printed a date of their own.

    The usual figures of the trade are for packs with nothing printed: the maker knows their goods
    better. A published limit, or the person's own, binds beside it, counted from a day that is
    known and not assumed.
    """
    known = lot.received_on if rule.counts_from is CountsFrom.RECEIVED else lot.made
    return known is not None and rule.certainty in {Certainty.PUBLISHED, Certainty.OWN}


def _shelf_limit(rule: LifeRule, last: date, words: str) -> Limit:
    why = f"{words} + {rule.life} sealed = {spoken(last)}"
    return Limit(SHELF, last, why, rule.source, rule.certainty)


def _age_when_received(life: Life) -> int:
    """Months; common practice, no source: goods are 6 months old when bought, 12 if they live for
    3 years. They are taken off the life before it is counted: two steps of months would drift.
    """
    return 6 if life.months < SHORT_LIFE_MONTHS else 12


def made_life(lot: Lot, life: Life) -> tuple[date, date]:
    """The earliest and the latest last usable day of a life counted from the made date.

    They are one day for a made day; for a made month the earliest counts from the month's first
    day (that day included), the latest from its last.
    """
    if lot.made is None:
        raise ValueError("a lot without a made date has no life counted from it")
    latest = life.after(lot.made.last_day())
    if lot.made.precision is Precision.DAY:
        return latest, latest
    return life.after(lot.made.first_day()) - timedelta(days=1), latest


def _opened(lot: Lot, rule: LifeRule | None, opened_on: date | None) -> Limit | None:
    if rule is None or opened_on is None:
        return None
    last = rule.life.after(opened_on)
    why = f"opened {spoken(opened_on)} + {rule.life} = {spoken(last)}"
    if rule.life == Life():
        why = f"opened {spoken(opened_on)}, to be used at once: nothing is kept"
    if lot.expiry is not None and opened_on > lot.expiry.last_usable_day:
        why += "; it was opened after its printed date"
    return Limit(OPENED, last, why, rule.source, rule.certainty)


def status(
    holding: Holding, on: date, *, horizon: date | None = None, due_days: int = DUE_DAYS
) -> Status:
    """How the holding stands on a day; with a horizon, whether it ends on the trip."""
    if holding.state is State.HELD:
        return Status.HELD
    if holding.state is State.LAST_RESORT:
        return Status.LAST_RESORT
    last = holding.last_usable_day
    if last is None:
        return Status.UNDATED if holding.kind.has_life else Status.IN_DATE
    if last < on:
        return Status.EXPIRED
    if horizon is not None and last < horizon:
        return Status.ENDS_ON_TRIP
    return Status.DUE if last < on + timedelta(days=due_days) else Status.IN_DATE


def usable(holding: Holding, day: date) -> bool:
    """Whether the holding may be counted on as stock on that day."""
    return status(holding, day, due_days=0) is Status.IN_DATE


def advice(holding: Holding, standing: Status) -> str:
    """What to do about a holding that stands so, in a few words."""
    kind = holding.kind
    match standing:
        case Status.EXPIRED:
            return _past_date(kind)
        case Status.UNDATED:
            return "find its date, else treat as expired"
        case Status.ENDS_ON_TRIP:
            return "replace before leaving"
        case Status.DUE:
            return "use first"
        case Status.HELD:
            return "do not use"
        case Status.LAST_RESORT:
            return "last resort only"
        case _:
            return ""


def _past_date(kind: Kind) -> str:
    if kind.past is PastDate.DISCARD:
        return "do not use; discard"
    if kind.past is PastDate.INSPECT and kind.meaning is not DateMeaning.SAFETY:
        return "inspect; plan a new one"
    if kind.past is PastDate.NO_LIMIT:
        return "inspect"
    if kind.meaning is DateMeaning.SAFETY:
        return "do not use; replace"
    return "replace; keep as last resort"
