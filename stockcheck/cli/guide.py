"""``guide``: pages of worked answers, for reading on the way; they need no store."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FILE_OR_DASH, at_terminal, may_colour, put, screen_width

if TYPE_CHECKING:
    from pathlib import Path

    from click.shell_completion import CompletionItem

_LINES = 24  # of a terminal that does not tell


class Topic(click.ParamType[str]):
    """A topic of the guide, by its name or by a command that it is about."""

    name = "topic"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The topic; a usage error that tells the nearest where there is none."""
        from stockcheck.data.guide import TOPICS, topic_of, words

        topic = topic_of(value)
        if topic is None:
            from stockcheck.core.names import nearest, nearest_of

            names = TOPICS if nearest_of(value, TOPICS) else words()
            more = nearest(value, names, "'stockcheck guide' lists them")
            raise click.UsageError(f"there is no topic {value!r}{more}", ctx)
        return topic

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """The topics that begin so, each with its question."""
        from click.shell_completion import CompletionItem

        from stockcheck.data.guide import TOPICS, question

        begun = incomplete.casefold()
        return [
            CompletionItem(topic, help=question(topic))
            for topic in TOPICS
            if topic.startswith(begun)
        ]


@click.command()
@click.argument("topic", type=Topic(), required=False)
@click.option(
    "--format",
    "fmt",
    type=click.Choice(["text", "html"]),
    default="text",
    show_default=True,
    help="How to write it; html without TOPIC is all pages in one file.",
)
@click.option(
    "--output",
    type=FILE_OR_DASH,
    help="Write to this file instead of the screen (- is the screen).",
)
def guide(topic: str | None, fmt: str, output: Path | None) -> None:
    """Answer questions about the trade and about this tool, with worked examples.

    Without TOPIC it lists the topics. Their examples run on the demo. At a terminal a page that is
    longer than the screen goes through your pager ($PAGER, else less); PAGER=cat shows it at once.

    \b
    Examples:
      stockcheck guide
      stockcheck guide dates
    """
    from stockcheck.data.guide import TOPICS, page

    seen = output is None or str(output) == "-"
    if fmt == "html":
        from stockcheck.output.prose_html import render_pages

        topics = TOPICS if topic is None else (topic,)
        put(render_pages([(each, page(each)) for each in topics]).encode(), output)
        return
    width = screen_width() if seen else 80
    text = _contents(width) if topic is None else _text(topic, width, seen=seen)
    if seen and at_terminal() and text.count("\n") >= _screen_height():
        click.echo_via_pager(text.rstrip("\n"))
    else:
        put(text, output)


def _text(topic: str, width: int, *, seen: bool) -> str:
    from stockcheck.data.guide import page
    from stockcheck.output.prose_text import render_page

    return render_page(page(topic), width=width, colour=seen and may_colour())


def _contents(width: int) -> str:
    """The topics, each with its question."""
    from stockcheck.data.guide import TOPICS, question
    from stockcheck.output.layout import wrap
    from stockcheck.output.text import display_width

    room = max(map(len, TOPICS)) + 4
    lines = []
    for topic in TOPICS:
        first, *more = wrap(question(topic), width - room, display_width)
        lines += [f"  {topic.ljust(room - 2)}{first}", *(" " * room + part for part in more)]
    ways = (
        "Read one with 'stockcheck guide TOPIC'. The examples run on the demo ('stockcheck demo')."
    )
    return "\n".join(["Guide: worked answers", *lines, *wrap(ways, width, display_width)]) + "\n"


def _screen_height() -> int:
    """The lines of the screen."""
    lines = os.environ.get("LINES", "")
    if lines.isascii() and lines.isdigit() and int(lines):
        return int(lines)
    try:
        return os.get_terminal_size(sys.stdout.fileno()).lines or _LINES
    except (OSError, ValueError):
        return _LINES


COMMANDS = {"guide": guide}
