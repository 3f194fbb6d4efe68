"""What lies in the box, lot by lot: by keyboard, by scanner, from lines, or as options say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import at_terminal, say
from stockcheck.core.actions import Action, read_action
from stockcheck.core.audit_round import (
    Answer,
    Seen,
    Step,
    line_words,
    read_found,
    read_line,
    until_of,
)
from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput
from stockcheck.core.words import counted, listed

if TYPE_CHECKING:
    from stockcheck.cli.auditing import Audited
    from stockcheck.core.model import Holding
    from stockcheck.store.files import Store

_HELP = (
    "Enter or its scanned label: there as the books say. A number: so many. 4 d1: four, one of"
    " them with a damaged pack. Another label: that lot lies here as the books say; L75 4: four of"
    " it. undo: the last answer again. all: the rest is as the books say. Every answer is kept at"
    " once; Ctrl-C leaves, and the same command goes on from there."
)


@dataclass(frozen=True, slots=True)
class _Place:
    """A holding to ask about at a step; None where the books have nothing there."""

    number: int
    step: Step
    held: Holding | None


class Asking:
    """The answers of a round, by holding; at a terminal each is kept in the store at once."""

    def __init__(self, store: Store, done: Audited, on: date, as_booked: bool) -> None:
        self._store, self._done, self._on = store, done, on
        self._rest_as_booked = as_booked
        self._seen: dict[int, Seen] = {}
        self._answers: list[list[int]] = []
        self._passed: set[int] = set()
        self._at_terminal = at_terminal()

    def resume(self, answers: Sequence[Answer]) -> None:
        """Take up what was answered before the round was broken off."""
        by_id = {it.id: it for it in self._done.held}
        for it in answers:
            held = by_id.get(it.holding_id) or self._brought(it.lot_id)
            if held is not None:
                self._seen[it.holding_id] = Seen(held, it.booked, it.found, it.damaged)

    def take(self, found: Sequence[str], damaged: Sequence[str]) -> None:
        """What the options say; BadInput for what is no lot, no number, or more than there is."""
        torn = dict(self._pair(each, "--damaged") for each in damaged)
        told = dict(self._pair(each, "--found") for each in found)
        for lot_id in dict.fromkeys([*told, *torn]):
            number, bad = told.get(lot_id, self._booked(lot_id)), torn.get(lot_id, 0)
            if bad > number:
                raise BadInput(f"--damaged L{lot_id}={bad}: only {number} of it were found")
            self._lies_here(lot_id, number, bad)

    def _pair(self, text: str, option: str) -> tuple[int, int]:
        from stockcheck.store.names import find_id

        lot, sign, number = text.rpartition("=")
        if not sign or not number.isascii() or not number.isdigit() or len(number) > 9:
            raise BadInput(f"{option} {text!r}: write it LOT=N, such as L75=4")
        return find_id(self._store.conn, "lot", lot), int(number)

    def line(self, text: str) -> None:
        """One line: ``all``, or a lot's code with how many of it; BadInput for anything else."""
        if text.strip().casefold() == "all":
            self._rest_as_booked = True
            return
        code, answer = read_line(text)
        lot_id = self._lot_of(code)
        told = read_found(answer, self._booked(lot_id))
        if told is None:
            raise BadInput(f"{answer!r}: more damaged than there are")
        self._lies_here(lot_id, *(told if answer or self._here(lot_id) else (1, 0)))

    def _here(self, lot_id: int) -> list[Holding]:
        return [it for it in self._done.held if it.lot.id == lot_id]

    def _booked(self, lot_id: int) -> int:
        return sum(it.quantity for it in self._here(lot_id))

    def _lies_here(self, lot_id: int, number: int, bad: int) -> None:
        """So many of a lot lie here: shared among its holdings up to their books, then more."""
        here, left, torn, seen = self._here(lot_id), number, bad, []
        for it in here:
            found = min(it.quantity, left) if it is not here[-1] else left
            damaged = min(torn, found)
            seen.append(Seen(it, it.quantity, found, damaged))
            left, torn = left - found, torn - damaged
        if not here and number and (brought := self._brought(lot_id)):
            seen.append(Seen(replace(brought, quantity=number), 0, number, bad))
        self._keep(*seen)

    def _brought(self, lot_id: int) -> Holding | None:
        """A lot that lies here though the books have it elsewhere, or used up."""
        from stockcheck.store import reads

        conn = self._store.conn
        held = reads.holdings(conn, lot_ids=[lot_id], empty=True)
        if not held:
            return None
        box = next(it for it in reads.boxes(conn, retired=True) if it.id == self._done.box_id)
        known = min(held, key=lambda it: it.last_usable_day or date.max)
        return replace(known, id=-lot_id, box=box)

    def _keep(self, *seen: Seen) -> None:
        """Take an answer: of one holding, or of all those of a lot."""
        self._seen |= {it.holding.id: it for it in seen}
        self._answers.append([it.holding.id for it in seen])
        if self._at_terminal:
            from stockcheck.store.round_answers import keep

            with self._store.writing() as conn:
                for it in seen:
                    keep(conn, self._done.box_id, it, self._on)

    def _undo(self) -> None:
        """Strike the last answer, so that it is asked again."""
        from stockcheck.store.round_answers import let_go

        if not self._answers:
            say("nothing was answered yet that could be taken back", 4)
            return
        last = self._answers.pop()
        with self._store.writing() as conn:
            let_go(conn, self._done.box_id, last)
        for holding_id in last:
            self._seen.pop(holding_id, None)

    def all(self, steps: Sequence[Step]) -> list[Seen]:
        """Every holding with what was found of it; asks for those not told yet."""
        places = [
            _Place(number, step, held)
            for number, step in enumerate(steps, 1)
            for held in (step.look_at or (() if step.above else (None,)))
        ]
        if not self._at_terminal:
            self._refuse_untold(places)
        elif not self._rest_as_booked:
            say(_HELP)
            self._ask_all(places, len(steps))
        for place in places:
            if place.held is not None and place.held.id not in self._seen:
                held = place.held
                self._seen[held.id] = Seen(held, held.quantity, held.quantity)
        return list(self._seen.values())

    @property
    def answered(self) -> int:
        """Of how many holdings there is an answer."""
        return len(self._seen)

    def _refuse_untold(self, places: Sequence[_Place]) -> None:
        missing = [it.held for it in places if it.held and it.held.id not in self._seen]
        if missing and not self._rest_as_booked:
            lots = ", ".join(dict.fromkeys(it.lot.short for it in missing[:8]))
            raise BadInput(
                f"nobody can be asked about {lots}{' ...' if len(missing) > 8 else ''}: give"
                " --found LOT=N or a line 'LOT N' for each, or --as-booked"
            )

    def _ask_all(self, places: Sequence[_Place], steps: int) -> None:
        told = 0
        while not self._rest_as_booked and (place := self._next(places)):
            if place.number != told:
                self._say_step(place.step, f"{place.number} of {steps}")
                told = place.number
            if place.held is None:
                self._ask_more(place.number)
            else:
                self._ask(place.held)

    def _next(self, places: Sequence[_Place]) -> _Place | None:
        open_ = (
            it
            for it in places
            if (it.held.id not in self._seen if it.held else it.number not in self._passed)
        )
        return next(open_, None)

    def _say_step(self, step: Step, where: str) -> None:
        line = next((it for it in self._done.result.lines if it.line.name == step.line), None)
        if line is None:
            say("In the box, not on the list")
            return
        above = f"; {listed(list(step.above))} looked at above" if step.above else ""
        say(f"{where}: {line_words(line)}{above}")

    def _ask(self, it: Holding) -> None:
        day = until_of(it)
        until = f", {'good through ' if it.last_usable_day else ''}{day}" if day else ""
        opened = f", opened {spoken(it.opened_on)}" if it.opened_on else ""
        inside = f", in {it.box.name}" if it.box.id != self._done.box_id else ""
        amount = counted(it.quantity, it.item.unit)
        words = f"  {it.lot.short} {it.item.name}{inside}: {amount} by the books{until}{opened}"
        answer = click.prompt(words, default="", show_default=False).strip()
        if answer.casefold() == "all":
            self._rest_as_booked = True
        elif (told := read_found(answer, it.quantity)) is not None:
            self._keep(Seen(it, it.quantity, *told))
        elif not self._word(answer):
            self._other(answer, asked=it)

    def _ask_more(self, place: int) -> None:
        """At a line for which the books have nothing, a scanned label tells what is there."""
        words = "  nothing by the books; scan what is there, or Enter"
        answer = click.prompt(words, default="", show_default=False).strip()
        if not answer or read_action(answer) is Action.DONE:
            self._passed.add(place)
        elif answer.casefold() == "all":
            self._rest_as_booked = True
        elif not self._word(answer):
            self._other(answer)

    def _word(self, answer: str) -> bool:
        """Whether the answer was a word that is no answer of a lot; it is then done."""
        if answer in {"?", "help"}:
            say(_HELP)
        elif read_action(answer) is Action.UNDO:
            self._undo()
        else:
            return False
        return True

    def _other(self, answer: str, asked: Holding | None = None) -> None:
        """A scanned or typed lot, perhaps with how many of it; tells what else it is."""
        try:
            lot_id = self._lot_of(read_line(answer)[0])
            if asked is not None and lot_id == asked.lot.id and not read_line(answer)[1]:
                self._keep(Seen(asked, asked.quantity, asked.quantity))
            elif self._here(lot_id) or read_line(answer)[1]:
                self.line(answer)
                say(f"L{lot_id}: {self._found_of(lot_id)} here, by the books"
                    f" {self._booked(lot_id)}", 4)  # fmt: skip
            else:
                self._lies_here(lot_id, self._how_many(lot_id), 0)
        except BadInput as error:
            say(f"{error}; ? tells what may be answered", 4)

    def _found_of(self, lot_id: int) -> int:
        return sum(it.found for it in self._seen.values() if it.holding.lot.id == lot_id)

    def _how_many(self, lot_id: int) -> int:
        """How many of a lot that the books have elsewhere; a scanned code is no number."""
        while True:
            answer = click.prompt(f"  how many of L{lot_id}, elsewhere by the books", default="1")
            told = read_found(answer, 1)
            if told is not None and not told[1]:
                return told[0]
            say("type how many there are", 4)

    def _lot_of(self, text: str) -> int:
        """The lot that a scanned or typed code means; BadInput tells what else it is."""
        from stockcheck.core.recognising import Sort
        from stockcheck.store.recognising import recognise

        found = recognise(self._store.conn, text, self._on)
        if found.sort is Sort.LOT and found.id is not None:
            return found.id
        lots = found.maker.lots if found.maker else ()
        if len(lots) == 1:
            return lots[0].id
        if lots:
            raise BadInput(f"that may be {', '.join(it.short for it in lots)}: type the lot")
        raise BadInput(f"{text!r} is no lot of this store and no number")
