"""Help on narrow screens: options beside their words as far as there is room, nothing wider."""

from __future__ import annotations

from collections.abc import Iterable

import click

_NARROW = 70
_WIDEST = 100


class HelpLayout(click.HelpFormatter):
    """As click lays help out, with a narrower first column and long choices broken at a |."""

    def write_dl(
        self, rows: Iterable[tuple[str, str]], col_max: int = 30, col_spacing: int = 2
    ) -> None:
        """Terms and what they mean."""
        if self.width < _NARROW:
            col_max = min(col_max, max(10, self.width // 3))
        room = self.width - self.current_indent
        broken = [(_broken(term, room, self.current_indent), words) for term, words in rows]
        super().write_dl(broken, col_max, col_spacing)


def _broken(term: str, room: int, indent: int) -> str:
    """A term in lines no longer than the room, each but the first set in."""
    if len(term) <= room:
        return term
    lines: list[str] = []
    line = ""
    for part in term.replace("|", "|\0").replace(" [", " \0[").split("\0"):
        if line and len(line + part.rstrip()) > room - 2 * bool(lines):
            lines.append(line.rstrip())
            line = ""
        line += part
    return ("\n" + " " * (indent + 2)).join([*lines, line])


def help_width(columns: int) -> int:
    """The columns that help takes of a screen: as click reckons, but down to 40."""
    return min(columns, _WIDEST) - 2
