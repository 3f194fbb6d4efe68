"""A small part of Markdown as blocks: all that our own pages need, and no more.

Headings, paragraphs, lists, tables and fenced listings, set apart by empty lines; within a text
only code between backticks. A library for all of Markdown would cost more start-up than the pages.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

CODE = re.compile(r"`([^`]+)`")
_FENCE = "```"
_ITEM = re.compile(r"(?:- |\d+\. )")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; ``level`` 1 is the page's own."""

    level: int
    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph, on one line."""

    text: str


@dataclass(frozen=True, slots=True)
class Items:
    """A list, numbered or not."""

    texts: tuple[str, ...]
    numbered: bool


@dataclass(frozen=True, slots=True)
class Grid:
    """A table with a row of headings."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """Lines shown as they are: ``console`` with commands after ``$``, ``sql`` or ``text``."""

    language: str
    lines: tuple[str, ...]


Block: TypeAlias = Heading | Paragraph | Items | Grid | Listing


def blocks(text: str) -> Iterator[Block]:
    """The blocks of a page, in order."""
    lines = iter(text.splitlines())
    group: list[str] = []
    for line in lines:
        if line.startswith(_FENCE):
            yield from _block(group)
            group = []
            yield Listing(line.removeprefix(_FENCE), tuple(_fenced(lines)))
        elif line.strip():
            group.append(line)
        else:
            yield from _block(group)
            group = []
    yield from _block(group)


def _fenced(lines: Iterator[str]) -> Iterator[str]:
    for line in lines:
        if line.startswith(_FENCE):
            return
        yield line


def _block(group: list[str]) -> Iterator[Block]:
    """The one block that lines without an empty one among them make; none of no lines."""
    if not group:
        return
    first = group[0]
    if first.startswith("#"):
        marks, _, text = first.partition(" ")
        yield Heading(len(marks), text)
    elif first.startswith("|"):
        head, _, *rows = (_cells(line) for line in group)
        yield Grid(head, tuple(rows))
    elif _ITEM.match(first):
        yield Items(tuple(_items(group)), first[0].isdigit())
    else:
        yield Paragraph(" ".join(line.strip() for line in group))


def _cells(line: str) -> tuple[str, ...]:
    return tuple(cell.strip() for cell in line.strip().strip("|").split("|"))


def _items(group: list[str]) -> Iterator[str]:
    """Each item on one line: what is indented belongs to the one above."""
    item = ""
    for line in group:
        mark = _ITEM.match(line)
        if mark and item:
            yield item
            item = ""
        item = f"{item} {line[mark.end() :] if mark else line}".strip()
        item = " ".join(item.split())
    yield item
