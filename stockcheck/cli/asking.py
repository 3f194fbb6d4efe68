"""Asking at a terminal what a printed date means that is unsure or wants confirming."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import WORDS, at_terminal, complain, say
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from stockcheck.core.dates import DateText, Reading
    from stockcheck.core.intake_dates import DateRules, PrintedMade
    from stockcheck.core.model import DateContext, PrintedExpiry


def ask_expiry(text: str, context: DateContext, rules: DateRules) -> PrintedExpiry | None:
    """The maker's date as the person at the terminal reads it; None where nothing is to be asked.

    The text stays as printed and the answer is noted with it.
    """
    from stockcheck.core.dates import Says, read_date
    from stockcheck.core.model import PrintedExpiry

    if not _may_ask(text, rules):
        return None
    found = read_date(text, rules.today, context=context, order=rules.order)
    if found.says in {Says.MADE, Says.BATCH, Says.OPENED_LIFE}:
        return None
    answer = _answer(found, context, rules)
    if answer is None:
        return None
    chosen, noted = answer
    return PrintedExpiry(found.text, chosen.date, chosen.last_usable_day, noted)


def ask_made(text: str, context: DateContext, rules: DateRules) -> PrintedMade | None:
    """The made date as the person at the terminal reads it; None where nothing is to be asked."""
    from stockcheck.core.dates import Says, read_made
    from stockcheck.core.intake_dates import PrintedMade

    if not _may_ask(text, rules):
        return None
    found = read_made(text, rules.today, context=context, order=rules.order)
    past = tuple(each for each in found.readings if each.date.first_day() <= rules.today)
    if found.says is not Says.MADE or not past:
        return None
    answer = _answer(replace(found, readings=past), context, rules)
    return PrintedMade(found.text, answer[0].date, answer[1]) if answer else None


def _may_ask(text: str, rules: DateRules) -> bool:
    return bool(text.strip()) and rules.when_unsure == "ask" and at_terminal()


def _answer(found: DateText, context: DateContext, rules: DateRules) -> tuple[Reading, str] | None:
    """The reading that is meant and how that is noted; None where the text is clear, or no date."""
    from stockcheck.core.dates import Outcome

    if found.outcome is Outcome.UNSURE:
        return _choose(found)
    if found.reading is not None and found.confirm:
        return _confirm(found, context, rules)
    return None


def _choose(found: DateText) -> tuple[Reading, str]:
    """The readings, the earliest first, which Enter alone takes."""
    from stockcheck.core.calendar import spoken

    ways = "1 way" if len(found.readings) == 1 else f"{len(found.readings)} ways"
    say(f"{found.text!r} can be read in {ways} ({found.note}):")
    for number, reading in enumerate(found.readings, 1):
        say(f"{number}  {_meaning(found, reading)}: {reading.why}", 2)
    choice = click.prompt("Which", type=click.IntRange(1, len(found.readings)), default=1)
    chosen = found.readings[choice - 1]
    others = [spoken(each.last_usable_day) for each in found.readings if each is not chosen]
    left = f" (not {', '.join(others)})" if others else ""
    return chosen, f"asked, and {spoken(chosen.last_usable_day)} chosen{left}"


def _confirm(found: DateText, context: DateContext, rules: DateRules) -> tuple[Reading, str]:
    """The one reading shown with what speaks against it; who says no writes what is meant."""
    from stockcheck.core.calendar import in_words
    from stockcheck.core.intake_dates import taken_as

    (reading,) = found.readings
    say(f"{found.text!r}: {taken_as(found)}.")
    if click.confirm(f"Is it {_meaning(found, reading)}?", default=True):
        return reading, f"asked, and confirmed: {taken_as(found)}"
    meant = _written_out(found, context, rules)
    return meant, f"asked, and {in_words(meant.date)} meant, not {in_words(reading.date)}"


def _meaning(found: DateText, reading: Reading) -> str:
    from stockcheck.core.calendar import in_words, spoken
    from stockcheck.core.dates import Says

    if found.says is Says.MADE:
        return f"made {in_words(reading.date)}"
    return f"good through {spoken(reading.last_usable_day)}"


def _written_out(found: DateText, context: DateContext, rules: DateRules) -> Reading:
    """A date that somebody writes out in full; asked until it is one."""
    from stockcheck.core.dates import Says, read_date, read_made

    read = read_made if found.says is Says.MADE else read_date
    while True:
        text = click.prompt("Then write it out (YYYY-MM-DD or YYYY-MM)")
        again = read(text, rules.today, context=context)
        if again.reading is not None:
            return again.reading
        say(f"{text!r} is not clear either: {again.note or 'it can be read in several ways'}.")


def asked_words(question: str) -> str:
    """What somebody answers in words, "" for nothing; asked again where it cannot be kept."""
    while True:
        answer = click.prompt(question, default="", show_default=False)
        try:
            return WORDS.convert(answer, None, None)
        except BadInput as error:
            complain(str(error))
