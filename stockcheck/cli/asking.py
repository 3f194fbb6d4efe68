"""Asking at a terminal which reading of an unsure date is meant."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import at_terminal, say

if TYPE_CHECKING:
    from stockcheck.core.dates import DateText, Reading
    from stockcheck.core.intake import DateRules
    from stockcheck.core.model import DateContext, PrintedExpiry


def ask_expiry(text: str, context: DateContext, rules: DateRules) -> PrintedExpiry | None:
    """The maker's date as the person at the terminal reads it; None where nothing is to be asked.

    The text stays as printed and the answer is noted with it.
    """
    from stockcheck.core.calendar import spoken
    from stockcheck.core.dates import Says, read_date
    from stockcheck.core.model import PrintedExpiry

    found = read_date(text, rules.today, context=context, order=rules.order)
    if found.says in {Says.MADE, Says.BATCH, Says.OPENED_LIFE} or not _to_ask(found, rules):
        return None
    chosen = _ask(found)
    others = ", ".join(
        spoken(each.last_usable_day) for each in found.readings if each is not chosen
    )
    noted = f"asked, and {spoken(chosen.last_usable_day)} chosen (not {others})" if others else ""
    return PrintedExpiry(found.text, chosen.date, chosen.last_usable_day, noted)


def _to_ask(found: DateText, rules: DateRules) -> bool:
    from stockcheck.core.dates import Outcome

    unsure = found.outcome is Outcome.UNSURE and bool(found.readings)
    return unsure and rules.when_unsure == "ask" and at_terminal()


def _ask(found: DateText) -> Reading:
    """The readings, the earliest first, which Enter alone takes."""
    from stockcheck.core.calendar import spoken

    say(f"{found.text!r} can be read in {len(found.readings)} ways ({found.note}):")
    for number, reading in enumerate(found.readings, 1):
        say(f"{number}  good through {spoken(reading.last_usable_day)}: {reading.why}", 2)
    choice = click.prompt("Which", type=click.IntRange(1, len(found.readings)), default=1)
    return found.readings[choice - 1]
