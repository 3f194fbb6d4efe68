"""Manual pages in roff, with the macros of man(7): a page of sections, each of blocks, as text.

What is written is plain ASCII, so that every formatter reads it alike: other letters stand as
``\\[u00D7]``, and what roff would take for its own is escaped (groff_char(7), mandoc_char(7)).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from textwrap import wrap
from typing import NamedTuple, TypeAlias

_WIDTH = 60  # of a line of the source, before it is escaped
# As they are typed, so that a command that is copied runs: roff makes typographer's marks of these.
_ESCAPES = {
    "\\": "\\(rs", "-": "\\-", "'": "\\(aq", '"': "\\(dq", "`": "\\(ga", "^": "\\(ha", "~": "\\(ti",
}  # fmt: skip


class Words(NamedTuple):
    """A paragraph."""

    text: str


class Tagged(NamedTuple):
    """A paragraph that hangs below a word, such as an option."""

    tag: str
    text: str


class Verbatim(NamedTuple):
    """Lines that are kept as they are, such as examples."""

    lines: tuple[str, ...]


Block: TypeAlias = "Words | Tagged | Verbatim"


class Part(NamedTuple):
    """One section of a page."""

    heading: str
    blocks: tuple[Block, ...]


class Page(NamedTuple):
    """A page: ``name`` is that of its file, ``program`` stands at the foot with its version."""

    name: str
    on: date
    program: str
    parts: tuple[Part, ...]


def render_page(page: Page) -> str:
    """The source of a page of section 1, final newline included."""
    title = page.name.upper()
    head = f".TH {_argument(title)} 1 {page.on.isoformat()} {_argument(page.program)}"
    lines = [head]
    for part in page.parts:
        lines.append(f".SH {_argument(part.heading)}")
        lines += _blocks(part.blocks)
    return "\n".join(lines) + "\n"


def escaped(text: str) -> str:
    """A text as roff shows it unchanged; no control character is left in it."""
    return "".join(_char(char) for char in text)


def _char(char: str) -> str:
    if char in _ESCAPES:
        return _ESCAPES[char]
    if char.isascii():
        return char if char.isprintable() else " "
    return f"\\[u{ord(char):04X}]"


def _line(text: str) -> str:
    """A line of text: one that begins as a request does is kept from being one."""
    made = escaped(text)
    return f"\\&{made}" if made.startswith((".", "\\(aq")) else made


def _argument(text: str) -> str:
    return f'"{escaped(text)}"'


def _blocks(blocks: Sequence[Block]) -> Iterator[str]:
    for number, block in enumerate(blocks):
        if isinstance(block, Tagged):
            yield ".TP"
            yield _tag(block.tag)
            yield from _filled(block.text)
            continue
        if number:
            yield ".PP"
        if isinstance(block, Verbatim):
            yield ".EX"
            yield from (_line(line) for line in block.lines)
            yield ".EE"
        else:
            yield from _filled(block.text)


def _filled(text: str) -> list[str]:
    broken = wrap(text, _WIDTH, break_long_words=False, break_on_hyphens=False)
    return [_line(line) for line in broken]


def _tag(text: str) -> str:
    """Names in bold; what stands for a value in italics."""
    return " ".join(_styled(word) for word in text.split(" "))


def _styled(word: str) -> str:
    bare = word.rstrip(",")
    if bare in {"/", ""}:
        return escaped(word)
    font = "I" if bare.isupper() or bare.startswith(("[", "<")) else "B"
    return f"\\f{font}{escaped(bare)}\\fR{word[len(bare) :]}"
