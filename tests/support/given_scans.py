"""What tests of scanning sessions are given: things scanned, and sessions that take their lines.

All of it is invented, as in ``given``.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from given import TODAY, box, holding, item, kind, lot, printed
from stockcheck.core.actions import Action
from stockcheck.core.meaning import Meaning
from stockcheck.core.model import Box, Holding, PastDate, State
from stockcheck.core.reading import read_any
from stockcheck.core.recalls import Recall
from stockcheck.core.recognising import KnownLot, MakerCode, Match, Recognised, Sort
from stockcheck.core.scanning import Command, Given, Session, Setting, Step
from stockcheck.core.scanning_steps import advance

WATER, CAB, SHED = box("Water", 1), box("Cab", 2), box("Shed", 3)
SEALANT = kind(past=PastDate.DISCARD)
TUBE = item(SEALANT, "sealant, 50 ml tube", 7)
SETTING = Setting(TODAY, horizon=date(2027, 5, 2))
FAR_DAY, PAST_DAY, TRIP_DAY = date(2029, 6, 30), date(2026, 9, 30), date(2027, 3, 31)
CODE = "(01)09506000134352(17)290630(10)AB"


def stock(
    number: int,
    where: Box = WATER,
    quantity: int = 3,
    last: date | None = FAR_DAY,
    *,
    opened_on: date | None = None,
    state: State = State.STOCK,
    lot_number: int = 0,
) -> Holding:
    """A holding of its own lot (or of ``lot_number``) of the tube, good through ``last``."""
    of = lot(TUBE, lot_number or number, expiry=printed("EXP", "2029-06") if last else None)
    return holding(number, of, where, quantity, last, opened_on=opened_on, state=state)


def scanned_lot(*held: Holding, recall: Recall | None = None, number: int = 0) -> Given:
    """The label of a lot, with what is held of it anywhere."""
    lot_id = number or held[0].lot.id
    found = Recognised(f"L{lot_id}", Sort.LOT, lot_id, TUBE.name)
    return Given(f"lot:{lot_id}", recognised=found, held=held, recall=recall)


def scanned_box(of: Box = WATER, *held: Holding) -> Given:
    """The label of a box, with what is in it."""
    found = Recognised(of.short, Sort.BOX, of.id, of.name, retired_on=of.retired_on)
    return Given(f"box:{of.id}", recognised=found, held=held, box=of)


def scanned_maker(
    *held: Holding,
    match: Match = Match.NEW,
    text: str = CODE,
    known_item: bool = True,
    **more: Any,
) -> Given:
    """A maker's code, with the lots that it may stand for."""
    lots = tuple(KnownLot(it.lot.id, "AB", it.last_usable_day, it.quantity) for it in held)
    told: Meaning = read_any(text, TODAY, "general", None)
    maker = MakerCode(told, match, TUBE if known_item else None, lots=lots)
    maker = replace(maker, **more)
    name = TUBE.name if known_item else ""
    found = Recognised(text, Sort.MAKER, name=name, maker=maker, meaning=told)
    return Given(maker.key, recognised=found, held=held)


def action(which: Action, *held: Holding, quantity: int | None = None, rest: str = "") -> Given:
    """An action of the card, with what is held of the lot scanned before it."""
    return Given(f"action:{which.value}", command=Command(which, quantity, rest), held=held)


def number(figure: int) -> Given:
    """A number typed by itself."""
    return Given("", number=figure)


def after(*lines: Given, setting: Setting = SETTING, session: Session | None = None) -> Step:
    """The step that the last of some lines comes to, each taken in turn."""
    step = Step(session or Session())
    for line in lines:
        step = advance(step.session, line, setting)
    return step


def said(step: Step) -> str:
    """All that a step says, on one line."""
    told = (*step.before, *step.after)
    return " ".join(f"{line.word} {line.text}".strip() for line in told)
