"""A page of worked answers for a terminal, a file or a mail.

The outputs in a page were printed at 80 columns. On another screen they are wrapped anew as the
command itself would do it: a line that was broken there is joined with what hangs below it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from stockcheck.output.cells import NBSP
from stockcheck.output.layout import fit, need, widen, wrap
from stockcheck.output.prose import CODE, Block, Grid, Heading, Items, Listing, Paragraph, blocks
from stockcheck.output.text import GAP, STACKED_BELOW, display_width

WIDEST = 100  # of lines of words: longer ones are hard to find the next of
_PRINTED_AT = 80
_BOLD = "1"
_RULE = re.compile(r"(?<=\S )-{3,}$|^-{3,}$")
# Blanks at which no line of words ends: within a day, and before a unit.
_TOGETHER = re.compile(r"(?<=\d) (?=[A-Z]{3} \d{4})|(?<=\d [A-Z]{3}) (?=\d{4})|(?<=\d) (?=[°%])")
_GAPS = re.compile(r"(?<=\S) {2,}(?=\S)")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")


def render_page(text: str, *, width: int = 80, colour: bool = False) -> str:
    """The whole page, final newline included; ``colour`` makes headings and commands bold."""
    page = _Page(width, colour)
    return "\n\n".join("\n".join(page.lines(block)) for block in blocks(text)) + "\n"


class _Page:
    def __init__(self, width: int, colour: bool) -> None:
        self.width = width
        self.measure = min(width, WIDEST)
        self.colour = colour

    def lines(self, block: Block) -> Iterator[str]:
        match block:
            case Heading(level, text):
                yield from self.heading(level, text)
            case Paragraph(text):
                yield from self.hanging(text, "", "")
            case Items(texts, numbered):
                for number, text in enumerate(texts, 1):
                    lead = f"{number}. " if numbered else "- "
                    yield from self.hanging(text, lead, " " * len(lead))
            case Grid():
                yield from self.grid(block)
            case Listing():
                yield from self.listing(block)

    def bold(self, text: str) -> str:
        return f"\x1b[{_BOLD}m{text}\x1b[0m" if self.colour and text else text

    def heading(self, level: int, text: str) -> Iterator[str]:
        """The page's own as a report's title, the others as a rule with their words in it."""
        if level == 1:
            yield from map(self.bold, self.hanging(text, "", "  "))
            return
        *first, last = self.hanging(text, "-- ", "   ")
        yield from map(self.bold, first)
        yield self.bold(f"{last} {'-' * (self.measure - display_width(last) - 1)}".rstrip())

    def hanging(self, text: str, lead: str, hang: str) -> Iterator[str]:
        """A text wrapped, code in quotes and in one piece, further lines under the first word."""
        room = self.measure - max(len(lead), len(hang))
        whole = _TOGETHER.sub(NBSP, CODE.sub(_quoted, text))
        for number, line in enumerate(wrap(whole, room, display_width)):
            yield (hang if number else lead) + line

    def grid(self, grid: Grid) -> Iterator[str]:
        rows = [tuple(CODE.sub(r"\1", cell) for cell in row) for row in (grid.head, *grid.rows)]
        widths = self.widths(rows)
        if widths is None:
            yield from self.stacked(rows)
            return
        for number, row in enumerate(rows):
            parts = [list(wrap(c, w, display_width)) for c, w in zip(row, widths, strict=True)]
            for cells in zip_longest(*parts, fillvalue=""):
                line = GAP.join(
                    cell + " " * (width - display_width(cell))
                    for cell, width in zip(cells, widths, strict=True)
                ).rstrip()
                yield line if number else self.bold(line)

    def widths(self, rows: Sequence[tuple[str, ...]]) -> list[int] | None:
        """The width of each column; None where they cannot stand side by side."""
        if self.width < STACKED_BELOW:
            return None
        columns = list(zip(*rows, strict=True))
        room = self.measure - len(GAP) * (len(columns) - 1)
        needs = [need(column, display_width, 1, fixed=False) for column in columns]
        found = fit(needs, room, room)
        if found is None:
            return None
        most = [each.natural for each in needs]
        return [int(each) for each in widen([int(each) for each in found], most, room)]

    def stacked(self, rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
        """Each row as lines of "heading: value" under its first cell."""
        head, *others = rows
        for number, row in enumerate(others):
            if number:
                yield ""
            yield from self.hanging(row[0], "", "  ")
            for heading, cell in zip(head[1:], row[1:], strict=True):
                if cell:
                    yield from self.hanging(f"{heading}: {cell}", "  ", "    ")

    def listing(self, listing: Listing) -> Iterator[str]:
        lines = iter(listing.lines if self.width == _PRINTED_AT else _joined(listing.lines))
        for line in lines:
            if listing.language == "console" and line.startswith("$ "):
                yield from map(self.bold, self.command(line, lines))
            else:
                yield from self.shown(line)

    def command(self, line: str, more: Iterator[str]) -> Iterator[str]:
        """A command, broken as a shell allows it, so that it can be copied."""
        while line.endswith("\\"):
            line = line[:-1] + next(more).removeprefix("> ")
        kept = _QUOTED.sub(lambda found: found[0].replace(" ", NBSP), line)
        parts: list[str] = []
        for word in kept.split(" "):
            if parts and display_width(f"> {parts[-1]} {word} \\") <= self.width:
                parts[-1] += f" {word}"
            else:
                parts.append(word)  # whole, even where it is wider than the screen
        shown = " \\\n> ".join(parts).replace(NBSP, " ")
        yield from shown.split("\n")

    def shown(self, line: str) -> Iterator[str]:
        """A line of an output; a rule is cut to the screen, words are wrapped below themselves."""
        if len(line) <= self.width:
            yield line
            return
        cut = _RULE.sub("", line).rstrip()
        if len(cut) <= self.width and cut != line:
            yield cut + line[len(cut) : self.width]
            return
        indent = " " * min(len(cut) - len(cut.lstrip()), self.width // 2)
        words = re.sub(r" {2,}", GAP, cut.strip())
        for number, part in enumerate(wrap(words, self.width - len(indent) - 2, display_width)):
            yield f"{indent}{'  ' if number else ''}{part.strip()}"


def _quoted(code: re.Match[str]) -> str:
    return "'" + code[1].replace(" ", NBSP) + "'"


def _joined(lines: Sequence[str]) -> Iterator[str]:
    """The lines of an output with those together that only the 80 columns had broken."""
    whole = above = ""
    for line in lines:
        if whole and _goes_on(whole, above, line):
            whole = f"{whole} {line.strip()}"
        else:
            if above:
                yield whole
            whole = line
            if not line.strip():
                yield line
        above = line.strip() and line
    if above:
        yield whole


def _goes_on(whole: str, above: str, line: str) -> bool:
    """Whether a line hangs below one whose next word had no room; columns and commands never."""
    gaps = _GAPS.findall(whole.strip())
    if not line.strip() or whole.startswith(("$ ", "> ")) or GAP in line.strip():
        return False
    if len(gaps) > 1 or max(gaps, default="") > GAP:
        return False
    first = line.split(maxsplit=1)[0]
    hangs = len(line) - len(line.lstrip()) > len(whole) - len(whole.lstrip())
    return hangs and len(above) + 1 + len(first) > _PRINTED_AT and not first.endswith(":")
