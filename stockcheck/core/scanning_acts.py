"""What the actions of a session do to the stock that was scanned: plans and words, nothing written.

Each takes what is held of the lots meant and works on the box at hand alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from stockcheck.core import movements
from stockcheck.core.actions import Action
from stockcheck.core.errors import BadInput
from stockcheck.core.fefo import Take
from stockcheck.core.model import MEASURES, Box, Holding
from stockcheck.core.movements import Movement
from stockcheck.core.scanning import (
    SPOKEN,
    Ask,
    Command,
    Deed,
    Mood,
    Post,
    Question,
    Said,
    Session,
    Setting,
    Step,
)
from stockcheck.core.scanning_words import on_hold, places, reason_to_go, standing_of, usable_here
from stockcheck.core.selecting import corrections, of_one_box, to_open, to_use
from stockcheck.core.words import counted

_COUNTED = "counted in a scanning session"


def act(session: Session, command: Command, held: Sequence[Holding], setting: Setting) -> Step:
    """Do an action to the thing scanned last; a refusal in words where it cannot be done."""
    try:
        here = at_hand(session, held)
        return _DOING[command.action](session, command, here, setting)
    except BadInput as error:
        return Step(session, (Said(str(error), Mood.BAD),), rings=True)


def at_hand(session: Session, held: Sequence[Holding]) -> list[Holding]:
    """The stock in the current box, those of which none is left too; without a box in the only one.

    BadInput where it is not clear which stock is meant, or where there is none.
    """
    live = [each for each in held if each.quantity > 0]
    if session.box is not None:
        here = [each for each in held if each.box.id == session.box.id]
        if not here and live:
            raise BadInput(f"it is not in {session.box.name} by the books, but {places(live)}")
        if not here:
            raise BadInput(f"{session.about} was never in {session.box.name} by the books")
        return here
    if len({each.box.id for each in live}) > 1:
        raise BadInput(f"there is {places(live)}: scan the box first")
    if not live:
        raise BadInput(f"there is none of {session.about} on hand: scan its box first")
    return live


def keys_of(session: Session, action: Action) -> frozenset[str]:
    """The scans that mean the same again: the action, or the thing that it is about."""
    lots = {f"lot:{number}" for number in session.lot_ids}
    maker = {maker_key(session)} if session.maker else set()
    return frozenset({f"action:{action.value}", *lots, *maker})


def maker_key(session: Session) -> str:
    """The key of the maker's code scanned last."""
    return session.maker.key if session.maker else ""


def _use(session: Session, command: Command, here: list[Holding], setting: Setting) -> Step:
    live = _live(session, here)
    quantity = command.quantity or _one(live[0])
    if not usable_here(live, setting.on):
        return _ask_to_use(session, quantity, live, setting)
    takes = to_use(live, quantity, setting.on, anyway=False)
    return used(session, takes, live, setting)


def _one(holding: Holding) -> int:
    """One of a thing: for what is measured out, a pack or what is left of it."""
    if holding.item.unit in MEASURES:
        return min(holding.item.pack, holding.quantity)
    return 1


def _ask_to_use(session: Session, quantity: int, live: list[Holding], setting: Setting) -> Step:
    if len(on_hold(live)) == len(live):
        raise BadInput(f"{session.about} is ON HOLD: it must not be used until it is released")
    to_use(live, quantity, setting.on, anyway=True)  # refuses what is too much even so
    question = Question(Ask.USE_ANYWAY, keys_of(session, Action.USE_ONE), tuple(live), quantity)
    word = SPOKEN[standing_of(live, setting)[0].status]
    words = f"{word}: use it all the same, at your own risk? Scan it again for yes"
    return Step(
        replace(session, question=question),
        (Said(words, Mood.BAD),),
        beware=tuple(live),
        rings=True,
    )


def used(
    session: Session, takes: Sequence[Take], live: Sequence[Holding], setting: Setting
) -> Step:
    """The step that uses what was picked."""
    plans = [p for take in takes for p in movements.issue(take.holding, take.quantity, setting.on)]
    return _posted(session, "used", plans, takes, live)


def _open(session: Session, command: Command, here: list[Holding], setting: Setting) -> Step:
    takes = to_open(_live(session, here), command.quantity, setting.on, session.about)
    plans = [movements.open_pack(take.holding, take.quantity, setting.on) for take in takes]
    step = _posted(session, "opened", plans, takes, here)
    lots = tuple(dict.fromkeys(take.holding.lot.id for take in takes))
    return replace(step, show=lots, after=step.after[:1])


def _write_off(session: Session, command: Command, here: list[Holding], setting: Setting) -> Step:
    live = _one_lot(session, here)
    takes = of_one_box(live, command.quantity, "write off")
    reason = command.rest.strip() or reason_to_go([take.holding for take in takes], setting)
    held = tuple(take.holding for take in takes)
    question = Question(
        Ask.WRITE_OFF,
        keys_of(session, Action.WRITE_OFF),
        held,
        sum(take.quantity for take in takes),
        reason=reason,
    )
    words = (
        f"Write off {counted(question.quantity or 0, held[0].item.unit)} of {session.about} in"
        f" {held[0].box.name} ({reason})? Scan it again for yes, or type how many"
    )
    return Step(
        replace(session, question=question), (Said(words, Mood.WARN),), beware=held, disposed=held
    )


def written_off(session: Session, question: Question, quantity: int | None) -> Step:
    """The step that writes off what was asked about."""
    takes = of_one_box(list(question.held), quantity or question.quantity, "write off")
    plans = [movements.write_off(t.holding, t.quantity, question.reason) for t in takes]
    return _posted(session, "written off", plans, takes, question.held)


def _count(session: Session, command: Command, here: list[Holding], _setting: Setting) -> Step:
    if len({each.lot.id for each in here}) > 1:
        raise BadInput(f"there are several lots of {session.about}: scan the label of one")
    if command.quantity is not None:
        return counted_as(session, here, command.quantity)
    question = Question(Ask.COUNT, keys_of(session, Action.COUNT), tuple(here))
    words = f"How many of {session.about} are there? Type it, or scan each once and then count"
    return Step(replace(session, question=question), (Said(words),))


def counted_as(session: Session, here: Sequence[Holding], number: int) -> Step:
    """The step that sets the books to what was counted of one lot in one box."""
    there = sum(each.quantity for each in here)
    first = here[0]
    amount = counted(number, first.item.unit)
    if number == there:
        return Step(session, (Said(f"{amount}, as the books have it", Mood.GOOD),))
    plans, _ = corrections(here, number, _COUNTED)
    lines = (Said(f"Counted {amount} of {session.about}; the books had {there}", Mood.GOOD),)
    deed = _deed("counted", first, number - there)
    return Step(session, work=Post(tuple(plans), (deed,), tuple(here)), after=lines)


def _move(session: Session, command: Command, here: list[Holding], _setting: Setting) -> Step:
    live = _one_lot(session, here)
    question = Question(Ask.WHERE_TO, held=tuple(live), quantity=command.quantity)
    words = f"Which box does {session.about} go into? Scan it"
    lines = () if command.rest else (Said(words),)
    return Step(replace(session, question=question), lines, then=command.rest)


def moved(session: Session, question: Question, target: Box, quantity: int | None) -> Step:
    """The step that moves what was asked about into a box; BadInput for one out of use."""
    if target.retired_on is not None:
        raise BadInput(f"box {target.name!r} is out of use since {target.retired_on}")
    takes = of_one_box(list(question.held), quantity or question.quantity, "move")
    plans = [movements.move(take.holding, take.quantity, target.id) for take in takes]
    step = _posted(session, "moved", plans, takes, question.held, target)
    seen = {(take.holding.lot.id, target.id) for take in takes}
    return replace(step, session=replace(step.session, seen=step.session.seen | seen))


def _label(session: Session, _command: Command, here: list[Holding], _setting: Setting) -> Step:
    lots = dict.fromkeys((*session.labels, *(each.lot.id for each in here)))
    words = f"A label for {session.about} is noted; the end of the session tells how to print it"
    return Step(replace(session, labels=tuple(lots)), (Said(words, Mood.GOOD),))


def _live(session: Session, here: Sequence[Holding]) -> list[Holding]:
    live = [each for each in here if each.quantity > 0]
    if not live:
        raise BadInput(f"the books have none of {session.about} there; count sets them right")
    return live


def _one_lot(session: Session, here: Sequence[Holding]) -> list[Holding]:
    live = _live(session, here)
    lots = sorted({each.lot.short for each in live})
    if len(lots) > 1:
        raise BadInput(f"there are {len(lots)} lots, {', '.join(lots)}: scan the label of one")
    return live


def _posted(
    session: Session,
    what: str,
    plans: Sequence[Movement],
    takes: Sequence[Take],
    held: Sequence[Holding],
    target: Box | None = None,
) -> Step:
    """A step that writes movements, and then says what was done and what is left."""
    unit, place = takes[0].holding.item.unit, takes[0].holding.box.name
    number = sum(take.quantity for take in takes)
    left = sum(each.quantity for each in held if each.box.id == takes[0].holding.box.id) - number
    into = f" to {target.name}" if target else ""
    rest = f"{counted(left, unit) if left else 'none'} left there"
    lots = ", ".join(dict.fromkeys(take.holding.lot.short for take in takes))
    said = f"{what.capitalize()}: {counted(number, unit)} of {takes[0].holding.item.name} ({lots})"
    lines = (
        Said(f"{said} from {place}{into}" if target else f"{said} in {place}", Mood.GOOD),
        Said(rest, indent=4),
    )
    deeds = tuple(
        _deed(what, take.holding, take.quantity, target.name if target else "") for take in takes
    )
    work = Post(tuple(plans), deeds, tuple(take.holding for take in takes))
    return Step(replace(session, question=None, waiting=None), work=work, after=lines)


def _deed(what: str, holding: Holding, quantity: int, to_box: str = "") -> Deed:
    item = holding.item
    return Deed(what, holding.lot.short, item.name, quantity, item.unit, holding.box.name, to_box)


_Doing = Callable[[Session, Command, list[Holding], Setting], Step]
_DOING: dict[Action, _Doing] = {
    Action.USE_ONE: _use,
    Action.OPEN: _open,
    Action.COUNT: _count,
    Action.WRITE_OFF: _write_off,
    Action.MOVE: _move,
    Action.LABEL: _label,
}
