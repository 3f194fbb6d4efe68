"""``clear-out --write-off`` at a terminal: line by line, then once for all of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import click

from stockcheck.cli.shell import confirm, say
from stockcheck.core.clearing import Clearing, by_route
from stockcheck.core.words import counted

_ANSWERS = ("y", "n", "all", "skip", "stop")


def chosen_by_hand(found: Sequence[Clearing], on: date) -> list[Clearing]:
    """What somebody says is gone; nothing is written before the last question.

    Stop ends the asking with what was said so far.
    """
    chosen: list[Clearing] = []
    say("For each line: y gone, n not, all or skip for the rest of its route, stop to ask no more.")
    for route, group in by_route(found).items():
        _tell_route(route, group)
        taken, stopped = _of_route(group, on)
        chosen += taken
        if stopped:
            break
    if chosen:
        click.echo()
        confirm(f"Write off {counted(len(chosen), 'holding')}?", yes=False)
    return chosen


def _of_route(group: Sequence[Clearing], on: date) -> tuple[list[Clearing], bool]:
    """What of one route is gone, and whether to ask no more."""
    chosen: list[Clearing] = []
    for number, each in enumerate(group):
        answer = _ask(each, f"{number + 1} of {len(group)}", on)
        if answer == "stop":
            return chosen, True
        if answer == "all":
            return [*chosen, *group[number:]], False
        if answer == "skip":
            return chosen, False
        if answer == "y":
            chosen.append(each)
    return chosen, False


def _ask(each: Clearing, place: str, on: date) -> str:
    from stockcheck.cli.telling import called

    amount = counted(each.holding.quantity, each.holding.item.unit)
    say(f"{place}  {amount} of {called(each.holding, on)} in {each.holding.box.name}")
    answer: str = click.prompt(
        "Gone", type=click.Choice(_ANSWERS, case_sensitive=False), default="n", show_choices=True
    )
    return answer


def _tell_route(route: str, group: Sequence[Clearing]) -> None:
    from stockcheck.cli.telling import tell_cautions
    from stockcheck.data.kinds import disposal_routes
    from stockcheck.output.clear_out_report import CONTROLLED

    told = disposal_routes()[route]
    click.echo()
    say(f"{told.name.upper()}: {told.text}")
    if any(each.medicine for each in group):
        say(f"Caution: {CONTROLLED}", 2)
    tell_cautions(each.holding for each in group)
