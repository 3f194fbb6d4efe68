"""One lot by options; at a terminal what is missing is asked, and each answer checked at once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import click

from stockcheck.cli.asking import ask_expiry, ask_made
from stockcheck.cli.shell import at_terminal, say
from stockcheck.core.errors import BadInput
from stockcheck.core.intake import NOT_ASKED, REQUIRED, Answers, named, read_lines

if TYPE_CHECKING:
    from stockcheck.core.errors import Problem
    from stockcheck.core.intake import Arrival, DateRules, Shelves
    from stockcheck.core.model import DateContext

_DATES = frozenset({"expiry", "made"})
_DAYS = _DATES | {"opened", "received"}
_QUESTIONS = {
    "box": "The box it goes into",
    "item": "The item, by name, code or GTIN",
    "quantity": "How many units",
    "expiry": "The date as printed, with the words beside it (Enter for none)",
    "made": "The made date as printed (Enter for none)",
    "opened": "Opened on (YYYY-MM-DD, today; Enter for sealed)",
    "received": "Bought on (YYYY-MM-DD, today, unknown)",
    "batch": "Its batch as printed (Enter for none)",
}


def one_arrival(given: dict[str, str], shelves: Shelves, rules: DateRules) -> Arrival:
    """The lot that the options describe, with what is missing asked where somebody can answer.

    BadInput with every option that is wrong, before anything is asked; a wrong answer is asked
    again. UsageError where something is missing and nobody can be asked.
    """
    missing = [name for name in REQUIRED if name not in given]
    if missing and not at_terminal():
        words = ", ".join(f"--{name}" for name in missing)
        raise click.UsageError(f"give {words} too, or --from FILE")
    form = _Form(shelves, rules, dict(given))
    if at_terminal():
        form.refuse_wrong(leaving_out=_DATES)
        for name in missing:
            form.ask(name)
        for name in sorted(_DATES & given.keys()):
            form.settle(name)
        form.refuse_wrong()
        if not _DAYS & given.keys():
            form.ask_days()
    return form.arrival()


@dataclass(slots=True)
class _Form:
    """The fields so far, and what was said of their dates."""

    shelves: Shelves
    rules: DateRules
    fields: dict[str, str]
    answers: Answers = field(default=NOT_ASKED)

    def ask_days(self) -> None:
        """The printed date and the day it was bought; without the one the other days count."""
        self.ask("expiry", "")
        if not self.fields["expiry"].strip():
            self.ask("made", "")
            self.ask("opened", "")
        self.ask("received", "unknown")
        if "batch" not in self.fields:
            self.ask("batch", "")

    def ask(self, name: str, default: str | None = None) -> None:
        """Ask for one field until the answer is good beside the others."""
        while True:
            self.fields[name] = click.prompt(
                _QUESTIONS[name], default=default, show_default=bool(default)
            )
            self.settle(name)
            wrong = self.problems()
            if not wrong:
                return
            for problem in wrong:
                say(problem.by_option.removeprefix("--"))

    def settle(self, name: str) -> None:
        """Ask what a printed date means, where that is unsure or wants confirming."""
        text = self.fields[name]
        if name == "expiry":
            said = ask_expiry(text, self.context, self.rules)
            self.answers = replace(self.answers, expiry=said)
        if name == "made":
            self.answers = replace(self.answers, made=ask_made(text, self.context, self.rules))

    @property
    def context(self) -> DateContext:
        """By what rules the dates of the item are read."""
        from stockcheck.core.model import DateContext

        item = named(self.shelves.items, " ".join(self.fields.get("item", "").split()))
        return item.kind.dates if item else DateContext.GENERAL

    def problems(self) -> list[Problem]:
        """What is wrong with the fields so far; what is still missing is not."""
        return [problem for problem in self._read()[1] if problem.field in self.fields]

    def refuse_wrong(self, leaving_out: frozenset[str] = frozenset()) -> None:
        """BadInput with every field so far that is wrong."""
        wrong = [problem for problem in self.problems() if problem.field not in leaving_out]
        if wrong:
            raise BadInput("\n".join(problem.by_option for problem in wrong))

    def arrival(self) -> Arrival:
        """The lot that the fields describe. BadInput with everything that is wrong."""
        arrivals, problems = self._read()
        if problems:
            raise BadInput("\n".join(problem.by_option for problem in problems))
        return arrivals[0]

    def _read(self) -> tuple[list[Arrival], list[Problem]]:
        line = (1, self.fields)
        return read_lines("the options", [line], self.shelves, self.rules, self.answers)
