"""How a session speaks: words in capitals, coloured where a terminal allows, and the bell."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import may_colour, screen_width
from stockcheck.cli.wrapping import wrapped
from stockcheck.core.scanning import Mood, Said

if TYPE_CHECKING:
    from stockcheck.core.scanning import Step

_COLOURS = {Mood.GOOD: "green", Mood.WARN: "yellow", Mood.BAD: "red"}


def tell(lines: Iterable[Said]) -> None:
    """Print lines, wrapped to the screen; their words stand out."""
    colour, width = may_colour(), screen_width()
    text = "\n".join(_styled(line, width, colour=colour) for line in lines)
    if text:
        click.echo(text)


def _styled(line: Said, width: int, *, colour: bool) -> str:
    lead = " " * line.indent
    word = f"{line.word}  " if line.word else ""
    text = (lead + word + line.text).rstrip()
    if len(text) > width or not (text.isascii() and text.isprintable()):
        text = wrapped(text.strip(), width, line.indent)
    hue = _COLOURS.get(line.mood)
    if not colour or hue is None:
        return text
    if not line.word:
        return click.style(text, fg=hue)
    at = len(lead)
    end = at + len(line.word)
    return text[:at] + click.style(text[at:end], fg=hue, bold=True) + text[end:]


def ring(step: Step) -> None:
    """The terminal's bell, where something is bad and there is a terminal to ring."""
    if step.rings and sys.stdout.isatty():
        click.echo("\a", nl=False)


def tell_around(step: Step, told: frozenset[int] = frozenset()) -> None:
    """The cautions of what a step is about, save of lots told already, and how to get rid of it."""
    if not step.beware and not step.disposed:
        return
    from stockcheck.cli.telling import tell_cautions, tell_disposal

    tell_cautions(each for each in step.beware if each.lot.id not in told)
    if step.disposed:
        tell_disposal(step.disposed)


def tell_step(step: Step, told: frozenset[int] = frozenset()) -> None:
    """All that a step says before its work; ``told`` are lots whose cautions were said just now."""
    ring(step)
    tell(step.before)
    tell_around(step, told)
