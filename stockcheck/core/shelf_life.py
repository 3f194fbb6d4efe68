"""Until when a holding is good: its limits, the one that governs, its status on a day, the advice.

A limit can shorten, never stretch, what is printed; only a passed inspection extends, where the
kind's rule lets it; and no date is not good news.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from stockcheck.core.calendar import Life, Precision, spoken
from stockcheck.core.model import (
    Certainty,
    CountsFrom,
    DateContext,
    DateMeaning,
    Holding,
    Inspection,
    Kind,
    LifeRule,
    Limit,
    Lot,
    PastDate,
    State,
    Status,
)

PRINTED, SHELF, OPENED, NO_LIMIT = "printed", "shelf", "opened", "no limit"
INSPECTED = "inspected"
HEAT = "heat"
NEVER_EXTENDED = frozenset({"medicine", "sterile", "cold-chain"})
"""Cautions of things whose date nobody who only looks at them may move."""
DUE_DAYS = 60
SHORT_LIFE_MONTHS = 36


def limits(lot: Lot, opened_on: date | None) -> tuple[Limit, ...]:
    """Every limit on a lot's stock that is sealed or was opened on a day.

    Those that stand come first, the earliest first; those that an inspection superseded follow.
    """
    kind = lot.item.kind
    known = (_printed(lot), _shelf(lot, kind.sealed), _opened(lot, kind.opened, opened_on))
    found = [limit for limit in known if limit]
    if lot.inspections:
        found = _with_inspections(found, lot, opened_on)
    return tuple(sorted(found, key=lambda it: (it.superseded, it.last_usable_day)))


def governing(found: Sequence[Limit]) -> Limit | None:
    """The earliest limit that is not superseded, which governs; None without any."""
    standing = (limit for limit in found if not limit.superseded)
    return min(standing, key=lambda it: it.last_usable_day, default=None)


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


def never_extended(kind: Kind) -> str:
    """Why no inspection may extend dates of this kind; "" where its inspection rule decides."""
    if kind.meaning is DateMeaning.SAFETY:
        return "a safety date is never extended"
    if kind.dates is DateContext.MEDICINE or NEVER_EXTENDED.intersection(kind.cautions):
        return "the date of a medicine or of a sterile thing is never extended"
    return ""


def failure(lot: Lot) -> Inspection | None:
    """The lot's first failed inspection, which ends it; None while it has none."""
    failed = [each for each in lot.inspections if not each.passed]
    return min(failed, key=lambda it: it.on, default=None)


def extensions(lot: Lot) -> tuple[Inspection, ...]:
    """The passed inspections that extend the lot, by day: as many as its kind's rule allows.

    A pass on or after the day of a failed inspection is none of them.
    """
    rule = lot.item.kind.inspection
    if rule is None or rule.extends is None or never_extended(lot.item.kind):
        return ()
    failed = failure(lot)
    end = failed.on if failed else date.max
    found = [each for each in lot.inspections if each.passed and each.extends_to and each.on < end]
    return tuple(sorted(found, key=lambda it: (it.on, it.extends_to or it.on, it.by))[: rule.times])


def half_of(life: Life) -> Life:
    """Half of a life in whole months (half a month is 15 days) or whole days, rounded down."""
    if life.months == 1:
        return Life(days=15)
    return Life(months=life.months // 2) if life.months else Life(days=life.days // 2)


def used_up(lot: Lot) -> bool:
    """Whether inspections may extend this kind, but have extended the lot as often as they may."""
    used = len(extensions(lot))
    rule = lot.item.kind.inspection
    return used > 0 and rule is not None and used >= rule.times


def _with_inspections(found: list[Limit], lot: Lot, opened_on: date | None) -> list[Limit]:
    """The limits as the lot's inspections leave them, taken in the order of their days."""
    kind = lot.item.kind
    for number, each in enumerate(extensions(lot), 1):
        new = _passed(kind, each, number, opened_on)
        found = _laid_over(
            found, new, [it for it in found if _gives_way(it, kind, each, opened_on)]
        )
    failed = failure(lot)
    return [*found, _failed(failed)] if failed else found


def _gives_way(limit: Limit, kind: Kind, each: Inspection, opened_on: date | None) -> bool:
    """Whether a pass may stand in place of a limit; a heat limit, say, never gives way.

    An opened pack's limit gives way to a look at the opened pack only, and not where nothing is
    kept once it is open.
    """
    if limit.name != OPENED:
        return limit.name in {PRINTED, SHELF, INSPECTED}
    keeps = kind.opened is not None and kind.opened.life != Life()
    return keeps and opened_on is not None and opened_on <= each.on


def _laid_over(found: list[Limit], new: Limit, giving_way: list[Limit]) -> list[Limit]:
    """A pass stands in place of what ends earlier; where nothing does, it changes nothing."""
    standing = [limit for limit in found if not limit.superseded]
    ending = [
        it for it in giving_way if it in standing and it.last_usable_day < new.last_usable_day
    ]
    if standing and not ending:
        return [*found, replace(new, superseded=True)]
    return [*(replace(it, superseded=True) if it in ending else it for it in found), new]


def _passed(kind: Kind, each: Inspection, number: int, opened_on: date | None) -> Limit:
    """The limit that a pass sets: never later than the day of the look and the rule's extension.

    For an opened pack it is at most half the opened life, as half the sealed life is the usual
    extension of a sealed one (common practice).
    """
    rule = kind.inspection
    if rule is None or rule.extends is None:
        raise ValueError(f"{kind.name} has no rule by which an inspection extends it")
    last, words = rule.extends.after(each.on), f"good {rule.extends} more"
    if kind.opened is not None and opened_on is not None and opened_on <= each.on:
        half = half_of(kind.opened.life)
        if half.after(each.on) < last:
            last, words = half.after(each.on), f"good {half} more, half its opened life"
    if each.extends_to is not None and each.extends_to < last:
        last, words = each.extends_to, "good"
    used = f"{number} of {rule.times} extension{'' if rule.times == 1 else 's'} used"
    why = f"{_looked(each)}, passed: {words}, through {spoken(last)}; {used}"
    return Limit(INSPECTED, last, why, rule.source, rule.certainty)


def _failed(each: Inspection) -> Limit:
    why = f"{_looked(each)}, failed: nothing of it is good from that day"
    last = each.on - timedelta(days=1)
    return Limit(INSPECTED, last, why, "the inspection", Certainty.OWN)


def _looked(each: Inspection) -> str:
    return f"inspected {spoken(each.on)}" + (f" by {each.by}" if each.by else "")


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
    if age_unknown(holding):
        return Status.UNDATED
    if horizon is not None and last < horizon:
        return Status.ENDS_ON_TRIP
    return Status.DUE if last < on + timedelta(days=due_days) else Status.IN_DATE


def age_unknown(holding: Holding) -> bool:
    """Whether a safety kind has only the day that it was opened: nobody knows how old it was then.

    Its opened life still ends it, but until then it is undated and never counts. For a quality
    kind the opened life alone is taken.
    """
    if holding.opened_on is None or holding.kind.meaning is not DateMeaning.SAFETY:
        return False
    lot = holding.lot
    return lot.expiry is None and _shelf(lot, lot.item.kind.sealed) is None


def usable(holding: Holding, day: date) -> bool:
    """Whether the holding may be counted on as stock on that day."""
    return status(holding, day, due_days=0) is Status.IN_DATE


def advice(holding: Holding, standing: Status) -> str:
    """What to do about a holding that stands so, in a few words."""
    match standing:
        case Status.EXPIRED:
            return _past_date(holding.lot)
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


def _past_date(lot: Lot) -> str:
    kind = lot.item.kind
    if failure(lot):
        return "failed inspection; do not use, write off"
    if kind.past is PastDate.DISCARD:
        return "do not use; discard"
    if kind.past is PastDate.INSPECT and kind.meaning is not DateMeaning.SAFETY:
        return "no extension left; replace" if used_up(lot) else "inspect; plan a new one"
    if kind.past is PastDate.NO_LIMIT:
        return "inspect"
    if kind.past is PastDate.LAST_RESORT:
        return "replace; old one last resort only"
    return "do not use; replace"
