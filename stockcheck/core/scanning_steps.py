"""One line of a session worked out: from what it is and the session before it to what comes of it.

A thing is scanned, then what is to be done with it; an action with nothing before it waits for its
thing. A question is answered yes by the same scan again; any other scan declines it and counts as
the next one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stockcheck.core.actions import Action
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Holding
from stockcheck.core.recognising import Recognised, Sort
from stockcheck.core.scanning import (
    Ask,
    Command,
    Done,
    Given,
    Mood,
    Question,
    Said,
    Session,
    Setting,
    Step,
    Undo,
)
from stockcheck.core.scanning_acts import act, counted_as, moved, used, written_off
from stockcheck.core.scanning_makers import also_known, answer_maker, receive, scan_maker
from stockcheck.core.scanning_words import places, rings, standing_of, tell_box, tell_stock
from stockcheck.core.selecting import to_use
from stockcheck.core.words import listed

_LEFT = Said("Left as it was.")


def advance(session: Session, given: Given, setting: Setting) -> Step:
    """What comes of a line."""
    try:
        return _advance(session, given, setting)
    except BadInput as error:
        return Step(replace(session, question=None), (Said(str(error), Mood.BAD),), rings=True)


def _advance(session: Session, given: Given, setting: Setting) -> Step:
    if session.question is None:
        return _fresh(session, given, setting)
    answered = _answered(session, session.question, given, setting)
    if answered is not None:
        return answered
    left = replace(session, question=None)
    if given.answer is False or _undoes(given):
        return Step(left, (_LEFT,))
    step = _fresh(left, given, setting)
    return replace(step, before=(_LEFT, *step.before))


def _undoes(given: Given) -> bool:
    """Whether the line is undo, which first takes back what is only being asked or waited for."""
    return given.command is not None and given.command.action is Action.UNDO


def _answered(session: Session, question: Question, given: Given, setting: Setting) -> Step | None:
    """What an answer comes to; None where the line is no answer to the question."""
    yes = given.answer is True or given.key in question.again
    number = given.number if question.takes_a_number else None
    done = replace(session, question=None)
    match question.ask:
        case Ask.COUNT:
            return _counting(session, question, given)
        case Ask.WHERE_TO if given.box is not None:
            return moved(done, question, given.box, None)
        case Ask.WHERE_FROM if given.box is not None and session.box is not None:
            there = tuple(it for it in question.held if it.box.id == given.box.id)
            return moved(done, replace(question, held=there), session.box, None) if there else None
        case Ask.MOVE_HERE if (yes or number) and session.box is not None:
            return moved(done, question, session.box, number)
        case Ask.WRITE_OFF if yes or number:
            return written_off(done, question, number)
        case Ask.USE_ANYWAY if yes:
            takes = to_use(question.held, question.quantity or 1, setting.on, anyway=True)
            return used(done, takes, question.held, setting)
        case Ask.RECEIVE | Ask.RECEIVE_ANYWAY | Ask.MAKE_ITEM | Ask.ANOTHER_PACK:
            return answer_maker(session, question, given, yes=yes)
    return None


def _counting(session: Session, question: Question, given: Given) -> Step | None:
    """A count: a number ends it, the thing adds one, the action again ends it."""
    done = replace(session, question=None)
    if given.number is not None:
        return counted_as(done, question.held, given.number)
    if given.command is not None and given.command.action is Action.COUNT:
        return counted_as(done, question.held, given.command.quantity or question.counted)
    if given.key in question.again:
        more = replace(question, counted=question.counted + 1)
        words = f"{more.counted} so far; scan the next, then count to be done"
        return Step(replace(session, question=more), (Said(words),))
    return None


def _fresh(session: Session, given: Given, setting: Setting) -> Step:
    """A line with no question open."""
    if given.command is not None:
        return _command(session, given.command, given.held, setting)
    if given.answer is not None or given.number is not None:
        words = "Nothing was asked; scan a box or what is in it"
        return Step(session, (Said(words),))
    if given.receive is not None:
        if session.maker is None:
            return Step(session, (Said("Scan the maker's code of the pack first", Mood.WARN),))
        return receive(session, session.maker, given.receive * session.maker.units, anyway=False)
    if given.recognised is None:
        return Step(session)
    return _scanned(session, given, given.recognised, setting)


def _command(session: Session, command: Command, held: Sequence[Holding], setting: Setting) -> Step:
    if command.action is Action.DONE:
        return Step(session, work=Done())
    if command.action is Action.UNDO:
        if session.waiting is not None:
            return Step(replace(session, waiting=None), (_LEFT,))
        return Step(session, work=Undo())
    if not session.lot_ids:
        words = f"Now scan what is to be {_PAST[command.action]}"
        return Step(replace(session, waiting=command), (Said(words),))
    return act(replace(session, waiting=None), command, held, setting)


_PAST = {
    Action.USE_ONE: "used",
    Action.OPEN: "opened",
    Action.COUNT: "counted",
    Action.WRITE_OFF: "written off",
    Action.MOVE: "moved",
    Action.LABEL: "labelled",
}


def _scanned(session: Session, given: Given, found: Recognised, setting: Setting) -> Step:
    match found.sort:
        case Sort.BOX:
            return _box(session, given, setting)
        case Sort.LOT | Sort.ITEM:
            return _stock(replace(session, maker=None), given, found.name, setting)
        case Sort.MAKER:
            step = scan_maker(session, given, setting)
            if step is not None:
                return step
            with_maker = replace(session, maker=found.maker)
            return _stock(with_maker, given, found.name, setting)
        case Sort.DATE:
            return Step(session, (Said(found.title, word="DATE"), *_complaint(found)))
        case Sort.ACTION:
            words = f"the action {found.name!r} is for a session at a terminal"
            return Step(session, (Said(words, Mood.WARN),))
        case _:
            unknown = (*session.unknown, found.text)
            lines = (Said(found.complaint, Mood.BAD, "UNKNOWN"),)
            return Step(replace(session, unknown=unknown), lines, rings=True)


def _complaint(found: Recognised) -> list[Said]:
    return [Said(found.complaint, Mood.WARN, indent=4)] if found.complaint else []


def _box(session: Session, given: Given, setting: Setting) -> Step:
    """A box becomes the current one, with its contents told."""
    box = given.box
    if box is None or box.retired_on is not None:
        words = given.recognised.complaint if given.recognised else "no such box"
        return Step(session, (Said(words, Mood.BAD),), rings=True)
    held = [each for each in given.held if each.quantity > 0]
    boxes = tuple(dict.fromkeys((*session.boxes, box.id)))
    after = replace(session, box=box, lot_ids=(), about="", maker=None, boxes=boxes)
    found = standing_of(held, setting)
    lines = tell_box(box, found, setting)
    if given.inside:
        words = f"boxes inside it, to be scanned by themselves: {listed(list(given.inside))}"
        lines.append(Said(words, indent=2))
    return Step(after, tuple(lines), rings=rings(found))


def _stock(session: Session, given: Given, name: str, setting: Setting) -> Step:
    """A lot, or an item: told as it stands in the current box, or where else it is."""
    live = [each for each in given.held if each.quantity > 0]
    here = [each for each in live if session.box and each.box.id == session.box.id]
    lots = tuple(dict.fromkeys(each.lot.id for each in here or live or given.held))
    if given.recognised and given.recognised.sort is Sort.LOT and given.recognised.id:
        lots = (given.recognised.id,)
    about = f"{name} (L{lots[0]})" if len(lots) == 1 else name
    session = replace(session, lot_ids=lots, about=about)
    step = _told(session, given, live, here, setting)
    return _waited(step, given, setting)


def _told(
    session: Session, given: Given, live: list[Holding], here: list[Holding], setting: Setting
) -> Step:
    lines = _recalled(given)
    if not live:
        where = "none on hand by the books"
        lines.append(Said(f"{session.about}: {where}; count sets them right", Mood.WARN, "NONE"))
        return Step(session, tuple(lines), rings=True)
    shown = standing_of(here or live, setting)
    for each in shown:
        lines += tell_stock(each, setting)
    maker = given.recognised.maker if given.recognised else None
    lines += also_known(maker, live) if maker else []
    lines += _complaint(given.recognised) if given.recognised else []
    bad = rings(shown) or given.recall is not None or bool(maker and maker.warnings)
    beware = tuple(each.holding for each in shown) if bad else ()
    if here or session.box is None:
        others = [each for each in live if each not in here] if here else []
        lines += [Said(f"also {places(others)}", indent=4)] if others else []
        found = {(each.lot.id, each.box.id) for each in here}
        seen = session.seen | (found if len(found) == 1 else set())  # else it may be any of them
        return Step(replace(session, seen=seen), tuple(lines), beware=beware, rings=bad)
    return _elsewhere(session, given, live, Step(session, tuple(lines), beware=beware, rings=True),
                      setting)  # fmt: skip


def _elsewhere(
    session: Session, given: Given, live: list[Holding], step: Step, setting: Setting
) -> Step:
    """Stock that the books have in another box: it can be moved here."""
    box = session.box
    if box is None:
        return step
    words = f"not in {box.name} by the books, but {places(live)}"
    lots = {each.lot.id for each in live}
    if not setting.asks or session.waiting is not None or len(lots) > 1:
        return replace(step, before=(*step.before, Said(words, Mood.WARN, "ELSEWHERE")))
    again = frozenset({given.key, *(f"lot:{number}" for number in lots)})
    if len({each.box.id for each in live}) > 1:
        ask, how = Ask.WHERE_FROM, "To move it here, scan the box that it came from"
    else:
        ask = Ask.MOVE_HERE
        how = "Move it here? Scan it again for yes, or type how many"
    question = Question(ask, again, tuple(live))
    lines = (*step.before, Said(words, Mood.WARN, "ELSEWHERE"), Said(how, indent=4))
    if given.recognised and given.recognised.maker:
        lines += (Said("Is it a new pack, come in just now? Type receive", indent=4),)
    return replace(step, session=replace(session, question=question), before=lines)


def _recalled(given: Given) -> list[Said]:
    if given.recall is None or (given.recognised and given.recognised.maker):
        return []
    return [Said(f"{given.recall.words}. Do not use it", Mood.BAD, "RECALLED")]


def _waited(step: Step, given: Given, setting: Setting) -> Step:
    """The action that was waiting for a thing is done to it."""
    waiting = step.session.waiting
    if waiting is None:
        return step
    session = replace(step.session, waiting=None)
    done = act(session, waiting, [it for it in given.held if it.lot.id in session.lot_ids], setting)
    return replace(
        done,
        before=(*step.before, *done.before),
        beware=(*step.beware, *done.beware),
        rings=step.rings or done.rings,
    )
