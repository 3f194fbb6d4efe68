"""From a line of a session to what it is, with the stock that it is about."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.cli.shell import on_the_way
from stockcheck.core.recognising import Recognised, Sort
from stockcheck.core.scanning import Command, Given
from stockcheck.core.scanning_lines import tidy_line
from stockcheck.core.scanning_typed import (
    NO,
    YES,
    typed_command,
    typed_number,
    typed_receipt,
)
from stockcheck.store import reads
from stockcheck.store.recognising import recognise

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockcheck.core.model import Holding
    from stockcheck.core.planning import Trip
    from stockcheck.core.scanning import Session
    from stockcheck.store.files import Store


@dataclass(frozen=True, slots=True)
class Looking:
    """The store that lines are looked up in, the day, and the trip that stock is meant for."""

    store: Store
    on: date
    trip: Trip | None = None

    def line(self, session: Session, text: str) -> Given | None:
        """What a line is in a session; None for an empty one."""
        tidy = tidy_line(text)
        if not tidy:
            return None
        word = tidy.casefold()
        if word in YES or word in NO:
            return Given("", answer=word in YES)
        if command := typed_command(tidy):
            return self._command(session, command)
        if (packs := typed_receipt(tidy)) is not None:
            return Given("", receive=packs)
        number = typed_number(tidy)
        if number is not None and session.question and session.question.takes_a_number:
            return Given("", number=number)
        found = self.thing(tidy)
        unknown = found.recognised is None or found.recognised.sort is Sort.UNKNOWN
        return Given("", number=number) if number is not None and unknown else found

    def _command(self, session: Session, command: Command) -> Given:
        held = self.lots(session.lot_ids) if session.lot_ids else ()
        return Given(f"action:{command.action.value}", command=command, held=held)

    def thing(self, text: str) -> Given:
        """What a scanned text is, outside of any session too."""
        found = recognise(self.store.conn, text, self.on)
        key = f"{found.sort.value}:{found.id or found.text}"
        match found.sort:
            case Sort.BOX if found.id is not None:
                return self._box(key, found, found.id)
            case Sort.ITEM if found.id is not None:
                held = self._there(reads.holdings(self.store.conn, item_ids=[found.id], empty=True))
                return Given(key, recognised=found, held=held)
            case Sort.LOT if found.id is not None:
                return self._lot(key, found, found.id)
            case Sort.MAKER if found.maker is not None:
                known = [lot.id for lot in found.maker.lots]
                return Given(found.maker.key, recognised=found, held=self.lots(known))
            case _:
                return Given(key, recognised=found)

    def _lot(self, key: str, found: Recognised, number: int) -> Given:
        from stockcheck.store.recalls import recalled_among

        recalled = recalled_among(self.store.conn, [number])
        recall = recalled[0][1] if recalled else None
        return Given(key, recognised=found, held=self.lots([number]), recall=recall)

    def lots(self, numbers: Sequence[int]) -> tuple[Holding, ...]:
        """What is held of some lots, anywhere, none left included."""
        if not numbers:
            return ()
        return self._there(reads.holdings(self.store.conn, lot_ids=numbers, empty=True))

    def boxes(self, numbers: Sequence[int]) -> tuple[Holding, ...]:
        """What is in some boxes."""
        return self._there(reads.holdings(self.store.conn, box_ids=numbers))

    def _there(self, held: list[Holding]) -> tuple[Holding, ...]:
        return tuple(on_the_way(self.store, held, self.trip))

    def _box(self, key: str, found: Recognised, number: int) -> Given:
        conn = self.store.conn
        box = reads.boxes(conn, only=[number])[0]
        inside = tuple(reads.names_inside(conn, number))
        return Given(key, recognised=found, held=self.boxes([number]), box=box, inside=inside)
