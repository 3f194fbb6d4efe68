"""A maker's code in a session: the lot that it stands for, or the offer to take the pack in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stockcheck.core.model import Holding
from stockcheck.core.recognising import MakerCode, Match
from stockcheck.core.scanning import (
    Ask,
    Given,
    MakeItem,
    Mood,
    Question,
    Said,
    Session,
    Setting,
    Step,
    TakeIn,
)
from stockcheck.core.scanning_words import places
from stockcheck.core.words import counted, listed

_AGAIN = "Scan it again for yes"


def scan_maker(session: Session, given: Given, setting: Setting) -> Step | None:
    """What a maker's code comes to; None where it stands for lots that are on hand, told as such.

    A code is taken for the stock of its lots where any is on hand; where none is, the pack can be
    received.
    """
    maker = given.recognised.maker if given.recognised else None
    if maker is None:
        return None
    session = replace(session, maker=maker, lot_ids=(), about="", waiting=None)
    if maker.item is None:
        return _unknown(session, maker, given, setting)
    session = replace(session, about=maker.item.name)
    if any(each.quantity > 0 for each in given.held) and maker.match is not Match.NEW:
        return None
    return _offer(
        session, maker, setting, problem=given.recognised.problem if given.recognised else ""
    )


def _unknown(session: Session, maker: MakerCode, given: Given, setting: Setting) -> Step:
    """No item has this GTIN: it can be made, or be another pack of one that there is."""
    note = given.recognised.problem if given.recognised else ""
    if not maker.gtin:
        line = Said(f"a maker's code without a GTIN: {maker.says or 'nothing of use'}", Mood.WARN)
        return Step(session, (line, *_notes(note)), rings=True)
    says = f", {maker.says}" if maker.says else ""
    lines = [Said(f"no item has the GTIN {maker.gtin}{says}", Mood.WARN, "UNKNOWN"), *_notes(note)]
    lines += [Said(text, Mood.BAD, indent=4) for text in maker.warnings]
    ask = Ask.MAKE_ITEM
    words = f"Make an item of it? {_AGAIN}"
    if maker.level_of is not None:
        ask = Ask.ANOTHER_PACK
        words = f"It looks like another pack of {maker.level_of.name}. Take it for one? {_AGAIN}"
    if not setting.asks:
        return Step(session, tuple(lines), rings=True)
    question = Question(ask, frozenset({given.key}), maker=maker)
    return Step(replace(session, question=question), (*lines, Said(words, indent=4)), rings=True)


def _offer(session: Session, maker: MakerCode, setting: Setting, problem: str) -> Step:
    """A pack of a known item of which nothing is on hand under that batch and date."""
    item = maker.item
    if item is None:
        raise ValueError("an unknown GTIN is made an item first")
    what = f"{item.name}{f', {maker.says}' if maker.says else ''}"
    new = "NEW" if not maker.lots else "NONE LEFT"
    bad = bool(maker.warnings)
    lines = [Said(what, Mood.BAD if bad else Mood.WARN, new), *_notes(problem)]
    lines += [Said(text, Mood.BAD, indent=4) for text in maker.warnings]
    if not setting.asks or item.retired_on:
        return Step(session, tuple(lines), rings=bad)
    if session.box is None:
        lines.append(Said("Scan the box that it goes into, then it again, to receive it", indent=4))
        return Step(session, tuple(lines), rings=bad)
    amount = counted(maker.units, item.unit)
    words = f"Receive {amount} into {session.box.name}? {_AGAIN}, or type how many {_units(maker)}"
    question = Question(Ask.RECEIVE, frozenset({maker.key}), maker=maker)
    lines.append(Said(words, indent=4))
    return Step(replace(session, question=question), tuple(lines), rings=bad)


def _units(maker: MakerCode) -> str:
    unit = maker.item.unit if maker.item else "each"
    return "there are" if unit == "each" else f"{counted(2, unit).removeprefix('2 ')} there are"


def receive(session: Session, maker: MakerCode, units: int, *, anyway: bool) -> Step:
    """The step that takes a pack in; asked once more where something speaks against it."""
    session = replace(session, question=None)
    if session.box is None:
        return Step(session, (Said("Scan the box that it goes into first", Mood.WARN),))
    if maker.item is None:
        return Step(session, (Said("No item has that GTIN yet: scan it again first", Mood.WARN),))
    against = against_receiving(maker)
    if against and not anyway:
        question = Question(Ask.RECEIVE_ANYWAY, frozenset({maker.key}), quantity=units, maker=maker)
        why = listed(list(against))
        words = f"{why[:1].upper()}{why[1:]}. Take it in all the same? Scan it once more for yes"
        return Step(replace(session, question=question), (Said(words, Mood.BAD),), rings=True)
    lot = maker.lots[0].id if maker.lots and maker.meaning.last_usable_day else None
    return Step(session, work=TakeIn(maker, session.box, units, lot, anyway=anyway))


def against_receiving(maker: MakerCode) -> tuple[str, ...]:
    """What speaks against taking a pack in, in a few words each."""
    found = []
    if maker.recall is not None:
        found.append(f"its batch is RECALLED ({maker.recall.short}) and goes on hold at once")
    if maker.held_lots:
        found.append("its batch is ON HOLD elsewhere")
    if maker.expired:
        found.append("it is EXPIRED already")
    return tuple(found)


def answer_maker(session: Session, question: Question, given: Given, *, yes: bool) -> Step | None:
    """The answer to an offer about a maker's code; None where the line is none."""
    maker = question.maker
    if maker is None or not (yes or given.number is not None):
        return None
    if question.ask in {Ask.MAKE_ITEM, Ask.ANOTHER_PACK}:
        if not yes:
            return None
        work = MakeItem(maker, another_pack=question.ask is Ask.ANOTHER_PACK)
        return Step(replace(session, question=None), work=work)
    units = given.number if given.number is not None else question.quantity or maker.units
    if units < 1:
        return Step(replace(session, question=None), (Said("Nothing was received."),))
    return receive(session, maker, units, anyway=yes and question.ask is Ask.RECEIVE_ANYWAY)


def also_known(maker: MakerCode, held: Sequence[Holding]) -> list[Said]:
    """What a maker's code says beside the stock it stands for."""
    lines = [Said(text, Mood.BAD, indent=4) for text in maker.warnings]
    if maker.match is Match.ITEM and maker.item is not None:
        lots = sorted({each.lot.short for each in held if each.quantity > 0})
        lines.append(
            Said(
                "its code says neither batch nor date, so it may be any lot:"
                f" {', '.join(lots)} ({places(held)})",
                indent=4,
            )
        )
    return lines


def _notes(problem: str) -> list[Said]:
    return [Said(problem, Mood.WARN, indent=4)] if problem else []
