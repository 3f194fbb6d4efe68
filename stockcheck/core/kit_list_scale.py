"""How many a line of a kit list asks for, by the people and the days of the journey."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Scale:
    """How a line's quantity grows; as it stands it does not.

    ``per_people`` and ``per_days``: the quantity once for each started so many. ``steps`` are
    (people, quantity), up to so many people so many pieces, in place of the line's own quantity;
    beyond the last step it is that step's, in proportion to the people and rounded up (as the
    Irish guideline has it: over 50 people pro rata).
    """

    per_people: int = 0
    per_days: int = 0
    steps: tuple[tuple[int, int], ...] = ()

    def of(self, quantity: int, people: int, days: int) -> int:
        """The quantity for so many people and days."""
        asked = self._by_steps(people) if self.steps else quantity
        if self.per_people:
            asked *= _started(people, self.per_people)
        if self.per_days:
            asked *= _started(days, self.per_days)
        return asked

    def _by_steps(self, people: int) -> int:
        for up_to, asked in self.steps:
            if people <= up_to:
                return asked
        up_to, asked = self.steps[-1]
        return _started(asked * people, up_to)

    @property
    def words(self) -> str:
        """The scale in words: ``per person``, ``for each 3 days``, ``20 up to 10 people``."""
        said = [f"{asked} up to {up_to} people" for up_to, asked in self.steps]
        said += ["pro rata beyond"] if said else []
        said += [_each(self.per_people, "person", "people")] if self.per_people else []
        said += [_each(self.per_days, "day", "days")] if self.per_days else []
        return ", ".join(said)


AS_IT_STANDS = Scale()


def _started(number: int, each: int) -> int:
    return -(-number // each)


def _each(number: int, one: str, many: str) -> str:
    return f"per {one}" if number == 1 else f"for each {number} {many}"
