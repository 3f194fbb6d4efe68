"""Plain words wrapped to the screen: by the cells that they take, and never cut away."""

from __future__ import annotations

import click

_QUOTED = r"(?<!\w)'[^'\n]{1,60}'(?!\w)|\"[^\"\n]{1,60}\""
_KEPT = "\0"  # for a blank that is no place to break


def wrapped(text: str, width: int, indent: int = 0, hang: int = 2) -> str:
    """A text in lines, those after the first further in by ``hang``."""
    first, others = " " * indent, " " * (indent + hang)
    if text.isascii():
        return click.wrap_text(text, width, first, others)
    from stockcheck.output.layout import wrap
    from stockcheck.output.text import display_width

    lines = list(wrap(" ".join(text.split()), width - len(others), display_width))
    return "\n".join((others if at else first) + line for at, line in enumerate(lines))


def hanging(text: str, width: int) -> str:
    """A message's paragraph in lines that hang below its first.

    A path, a command's word and a name in quotes stay in one piece, to be copied.
    """
    from re import sub
    from textwrap import wrap

    whole = sub(_QUOTED, lambda found: found[0].replace(" ", _KEPT), text)
    lines = wrap(
        whole, width, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False
    )
    return "\n".join(lines).replace(_KEPT, " ")
