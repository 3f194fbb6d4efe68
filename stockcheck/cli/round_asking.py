"""What lies in the box, lot by lot: by keyboard, by scanner, or as options say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import at_terminal, say
from stockcheck.core.audit_round import Seen, Step, read_found
from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput
from stockcheck.core.words import counted, listed

if TYPE_CHECKING:
    from stockcheck.cli.auditing import Audited
    from stockcheck.core.model import Holding
    from stockcheck.store.files import Store

_HELP = (
    "Enter or its scanned label: there as the books say. A number: so many. 4 d1: four, one of"
    " them with a damaged pack. Another label: that lot lies here. all: the rest is as the books"
    " say."
)


class Asking:
    """The answers of a round so far, by holding."""

    def __init__(self, store: Store, done: Audited, on: date, as_booked: bool) -> None:
        self._store, self._done, self._on = store, done, on
        self._rest_as_booked = as_booked
        self._seen: dict[int, Seen] = {}
        self._extra: list[Seen] = []

    def take(self, found: Sequence[str], damaged: Sequence[str]) -> None:
        """What the options say; BadInput for what is no lot, no number, or more than there is."""
        torn = dict(self._pair(each, "--damaged") for each in damaged)
        told = dict(self._pair(each, "--found") for each in found)
        for lot_id in dict.fromkeys([*told, *torn]):
            here = [it for it in self._done.held if it.lot.id == lot_id]
            booked = sum(it.quantity for it in here)
            number, bad = told.get(lot_id, booked), torn.get(lot_id, 0)
            if bad > number:
                raise BadInput(f"--damaged L{lot_id}={bad}: only {number} of it were found")
            if here:
                self._share(here, number, bad)
            elif number:
                self._elsewhere(lot_id, number, bad)

    def _pair(self, text: str, option: str) -> tuple[int, int]:
        from stockcheck.store.names import find_id

        lot, sign, number = text.rpartition("=")
        if not sign or not number.isascii() or not number.isdigit() or len(number) > 9:
            raise BadInput(f"{option} {text!r}: write it LOT=N, such as L75=4")
        return find_id(self._store.conn, "lot", lot), int(number)

    def _share(self, here: Sequence[Holding], number: int, bad: int) -> None:
        """Share a lot's count among its holdings in this box: each up to its books, then more."""
        left, torn = number, bad
        for it in here:
            found = min(it.quantity, left) if it is not here[-1] else left
            damaged = min(torn, found)
            self._seen[it.id] = Seen(it, it.quantity, found, damaged)
            left, torn = left - found, torn - damaged

    def _elsewhere(self, lot_id: int, number: int, bad: int = 0) -> None:
        """A lot that lies here though the books have it elsewhere, or used up."""
        from stockcheck.store import reads

        conn = self._store.conn
        held = reads.holdings(conn, lot_ids=[lot_id], empty=True)
        box = next(it for it in reads.boxes(conn, retired=True) if it.id == self._done.box_id)
        if held:
            known = min(held, key=lambda it: it.last_usable_day or date.max)
            there = replace(known, id=-lot_id, box=box, quantity=number)
            self._extra.append(Seen(there, 0, number, bad))

    def all(self, steps: Sequence[Step]) -> list[Seen]:
        """Every holding with what was found of it; asks for those not told yet."""
        if not at_terminal():
            self._refuse_untold(steps)
        elif not self._rest_as_booked:
            say(_HELP)
        for number, step in enumerate(steps, 1):
            if not self._rest_as_booked and at_terminal():
                self._say_step(step, f"{number} of {len(steps)}")
            for it in step.look_at:
                self._one(it)
        return [*self._seen.values(), *self._extra]

    def so_far(self) -> list[str]:
        """The options that give the answers so far once more."""
        found: Counter[str] = Counter()
        torn: Counter[str] = Counter()
        for it in (*self._seen.values(), *self._extra):
            found[it.holding.lot.short] += it.found
            torn[it.holding.lot.short] += it.damaged
        said = [f"--found {lot}={number}" for lot, number in found.items()]
        return said + [f"--damaged {lot}={number}" for lot, number in torn.items() if number]

    def _refuse_untold(self, steps: Sequence[Step]) -> None:
        missing = [it for step in steps for it in step.look_at if it.id not in self._seen]
        if missing and not self._rest_as_booked:
            lots = ", ".join(dict.fromkeys(it.lot.short for it in missing[:8]))
            raise BadInput(
                f"nobody can be asked about {lots}{' ...' if len(missing) > 8 else ''}: give"
                " --found LOT=N for each, or --as-booked"
            )

    def _say_step(self, step: Step, where: str) -> None:
        line = next((it for it in self._done.result.lines if it.line.name == step.line), None)
        if line is None:
            say("In the box, not on the list")
            return
        asks = "named" if line.required is None else counted(line.required, line.unit)
        spec = f" ({line.line.spec})" if line.line.spec else ""
        above = f"; {listed(list(step.above))} looked at above" if step.above else ""
        say(f"{where}: {step.line}{spec}, asked {asks}{above}")
        if not step.look_at and not step.above:
            self._ask_more()

    def _one(self, it: Holding) -> None:
        if it.id in self._seen:
            return
        if self._rest_as_booked:
            self._seen[it.id] = Seen(it, it.quantity, it.quantity)
            return
        until = f", good through {spoken(it.last_usable_day)}" if it.last_usable_day else ""
        opened = f", opened {spoken(it.opened_on)}" if it.opened_on else ""
        amount = counted(it.quantity, it.item.unit)
        words = f"  {it.lot.short} {it.item.name}: {amount} by the books{until}{opened}"
        while it.id not in self._seen:
            answer = click.prompt(words, default="", show_default=False).strip()
            self._answered(it, answer)

    def _answered(self, it: Holding, answer: str) -> None:
        if answer in {"?", "help"}:
            say(_HELP)
        elif answer.casefold() == "all":
            self._rest_as_booked = True
            self._seen[it.id] = Seen(it, it.quantity, it.quantity)
        elif len(answer) < 8 and (told := read_found(answer, it.quantity)) is not None:
            self._seen[it.id] = Seen(it, it.quantity, *told)
        else:
            lot_id = self._scanned(answer)
            if lot_id == it.lot.id:
                self._seen[it.id] = Seen(it, it.quantity, it.quantity)
            elif lot_id is not None:
                self._other(lot_id)

    def _ask_more(self) -> None:
        """At a line for which the books have nothing, a scanned label tells what is there."""
        while answer := click.prompt(
            "  nothing by the books; scan what is there, or Enter", default="", show_default=False
        ).strip():
            lot_id = self._scanned(answer)
            if lot_id is not None:
                self._other(lot_id)

    def _other(self, lot_id: int) -> None:
        here = [it for it in self._done.held if it.lot.id == lot_id]
        if here:
            booked = sum(it.quantity for it in here)
            number = click.prompt(
                f"  how many of L{lot_id}", type=click.IntRange(0), default=booked
            )
            self._share(here, number, 0)
        else:
            number = click.prompt(f"  how many of L{lot_id}", type=click.IntRange(0), default=1)
            self._elsewhere(lot_id, number)

    def _scanned(self, text: str) -> int | None:
        """The lot that a scanned or typed code means; tells what else it is."""
        from stockcheck.core.recognising import Sort
        from stockcheck.store.recognising import recognise

        found = recognise(self._store.conn, text, self._on)
        if found.sort is Sort.LOT and found.id is not None:
            return found.id
        lots = found.maker.lots if found.maker else ()
        if len(lots) == 1:
            return lots[0].id
        if lots:
            say(f"that may be {', '.join(it.short for it in lots)}: type the lot", 4)
        else:
            say(f"{text!r} is no lot of this store and no number; ? tells what may be answered", 4)
        return None
