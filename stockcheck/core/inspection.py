"""Inspections: what a pass would do, and the record of a look, passed or failed.

The two classes are those of published shelf-life programmes for materials: Type I has a definite
life that nothing extends, Type II may be extended after a look, a test or a restoration
(US Army SB 740-94-8, read in an excerpt; DoDM 4140.27, from memory). A failed look ends the whole
lot, as T.O. 1-1-700 section 12.8 has it for sealants. How far and how often a pass extends stands
with its source in the kind's inspection rule; what the inspections make of a lot's limits is
worked out in ``shelf_life.limits``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput
from stockcheck.core.model import (
    Inspection,
    InspectionRule,
    Kind,
    Limit,
    Lot,
    PastDate,
)


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a pass on a day would do: whether it extends, until when, and why, in words.

    ``extends_to`` is the day through which the stock would be good; ``left`` is the number of
    extensions not used yet, the one at hand counted in.
    """

    may_extend: bool
    extends_to: date | None
    left: int
    why: str


def outlook(lot: Lot, opened_on: date | None, on: date) -> Outlook:
    """What a pass on that day would do for stock of the lot, sealed or opened on a day."""
    if reason := _not_inspected(lot.item.kind) or _failed_before(lot):
        return Outlook(may_extend=False, extends_to=None, left=0, why=reason)
    rule = lot.item.kind.inspection
    left = extensions_left(lot)
    if rule is None or rule.extends is None or not left:
        return Outlook(may_extend=False, extends_to=None, left=left, why=_extends_nothing(lot))
    before = shelf_life.governing(shelf_life.limits(lot, opened_on))
    after = shelf_life.governing(shelf_life.limits(_as_if_passed(lot, rule, on), opened_on))
    if after is None or after.last_usable_day < on or not _later(after, before):
        why = _look_only(after or before, on)
        return Outlook(may_extend=False, extends_to=None, left=left, why=why)
    why = _extends(after, rule, left, on)
    return Outlook(may_extend=True, extends_to=after.last_usable_day, left=left, why=why)


def inspect(
    lot: Lot,
    opened_on: date | None,
    *,
    on: date,
    passed: bool,
    by: str = "",
    note: str = "",
    answers: Sequence[bool] | None = None,
) -> Inspection:
    """The record of a look at a lot: with the day that a pass extends it to, where it does.

    ``answers`` are those to the kind's questions, in their order; yes is always good. BadInput
    when the kind is not inspected but discarded by its date, when the lot failed before, when its
    extensions are used up, and when a pass goes with a no.
    """
    if reason := _not_inspected(lot.item.kind):
        raise BadInput(f"{_named(lot)}: {reason}; write it off at once if it looks wrong")
    if reason := _failed_before(lot):
        raise BadInput(f"{_named(lot)}: {reason}")
    _check_answers(lot, answers, passed=passed)
    if not passed:
        return Inspection(on, passed, by, note)
    if shelf_life.used_up(lot):
        raise BadInput(f"{_named(lot)}: {_extends_nothing(lot)}; a failed look can be recorded")
    rule = lot.item.kind.inspection
    if rule is None or rule.extends is None or not outlook(lot, opened_on, on).may_extend:
        return Inspection(on, passed, by, note)
    return Inspection(on, passed, by, note, rule.extends.after(on))


def extensions_left(lot: Lot) -> int:
    """How many more passes may extend the lot; 0 for a kind that no inspection extends."""
    rule = lot.item.kind.inspection
    if rule is None or rule.extends is None or shelf_life.never_extended(lot.item.kind):
        return 0
    return rule.times - len(shelf_life.extensions(lot))


def _not_inspected(kind: Kind) -> str:
    """Why a kind is not inspected at all; "" for those that are."""
    if kind.inspection is not None:
        return ""
    if never := shelf_life.never_extended(kind):
        return (
            f"{never}: {'discard' if kind.past is PastDate.DISCARD else 'replace'} it by its date"
        )
    if kind.past is PastDate.DISCARD:
        return "it is discarded past its date, not inspected"
    return ""


def _failed_before(lot: Lot) -> str:
    failed = shelf_life.failure(lot)
    if failed is None:
        return ""
    by = f" by {failed.by}" if failed.by else ""
    return (
        f"it failed inspection on {spoken(failed.on)}{by}, and one fail ends the lot: write it off"
    )


def _check_answers(lot: Lot, answers: Sequence[bool] | None, *, passed: bool) -> None:
    if answers is None:
        return
    rule = lot.item.kind.inspection
    questions = rule.ask if rule else ()
    if len(answers) != len(questions):
        raise BadInput(
            f"{_named(lot)}: {len(answers)} answers to {len(questions)} questions; give one each"
        )
    for question, yes in zip(questions, answers, strict=True):
        if passed and not yes:
            raise BadInput(f"{_named(lot)}: no to {question!r} is no pass; record it as failed")


def _extends_nothing(lot: Lot) -> str:
    """Why a pass extends nothing, for a kind that is inspected and has no extension left."""
    kind = lot.item.kind
    rule = kind.inspection
    if shelf_life.used_up(lot) and rule is not None:
        many = "extension" if rule.times == 1 else "extensions"
        return f"{rule.times} of {rule.times} {many} used ({_source(rule)}): replace it"
    never = shelf_life.never_extended(kind)
    if not never and not kind.has_life:
        never = "it has no date to extend"
    reason = never or "no rule extends this kind"
    return f"a pass says that it looked right that day, and no more: {reason}"


def _as_if_passed(lot: Lot, rule: InspectionRule, on: date) -> Lot:
    until = rule.extends.after(on) if rule.extends else None
    return replace(lot, inspections=(*lot.inspections, Inspection(on, True, extends_to=until)))


def _later(after: Limit, before: Limit | None) -> bool:
    return before is None or after.last_usable_day > before.last_usable_day


def _look_only(standing: Limit | None, on: date) -> str:
    limit = f"its {standing.name} limit, {spoken(standing.last_usable_day)}," if standing else "it"
    return f"a pass on {spoken(on)} is a look only: {limit} stands"


def _extends(after: Limit, rule: InspectionRule, left: int, on: date) -> str:
    number = rule.times - left + 1
    until = f"through {spoken(after.last_usable_day)}"
    if after.name != shelf_life.INSPECTED:
        until += f", where its {after.name} limit ends"
    return (
        f"a pass on {spoken(on)} makes it good {until}:"
        f" extension {number} of {rule.times}, at most {rule.extends} ({_source(rule)})"
    )


def _source(rule: InspectionRule) -> str:
    return f"{rule.source}; {rule.certainty}"


def _named(lot: Lot) -> str:
    return f"{lot.short} {lot.item.name}"
