"""Names as people write them: compared without case, kept tidy, and found when mistyped."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from stockcheck.core.codes import looks_like_code, read_code
from stockcheck.core.errors import BadInput

MOST_NAME = 120
MOST_TEXT = 2000
_ANEW = "Type it anew"
_JOINERS = "\u200c\u200d"  # how Persian and the Indic scripts are spelt, and emoji put together
_UNSEEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}  # controls, direction marks, no characters
_BLANK = "\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0"  # letters by category, seen as nothing


def name_key(name: str) -> str:
    """The form under which names are compared: one form of each letter, no case, single spaces.

    What is not seen (joiners, variation selectors) tells no two names apart.
    """
    key = unicodedata.normalize("NFKC", name).casefold()
    if not key.isascii():
        key = "".join(char for char in key if char not in _JOINERS and not _selector(char))
    return " ".join(key.split())


def tidy_name(name: str, what: str) -> str:
    """A name fit to keep: BadInput when empty, too long, reading as a code, or unprintable."""
    tidy = " ".join(unicodedata.normalize("NFC", name).split())
    if not tidy:
        raise BadInput(f"a {what} needs a name")
    if len(tidy) > MOST_NAME:
        raise BadInput(
            f"{what} name of {len(tidy)} characters: at most {MOST_NAME}; use a note for more"
        )
    if bad := unprintable(tidy):
        raise BadInput(f"{what} name {tidy!r} has characters that do not print: {bad}")
    if read_code(tidy) or looks_like_code(tidy):
        raise BadInput(f"{what} name {tidy!r} would be read as a code; choose another")
    return tidy


def tidy_text(text: str, most: int = MOST_TEXT) -> str:
    """A note, a reason or other words, fit to keep: on one line, composed, single spaces.

    BadInput when longer than ``most`` characters, or with any that do not print; whoever calls
    names the field before it.
    """
    if text.isascii() and text.isprintable() and "  " not in text and len(text) <= most:
        return text.strip()
    tidy = " ".join(unicodedata.normalize("NFC", text).split())
    if len(tidy) > most:
        raise BadInput(f"is {len(tidy)} characters long", f"Keep to {most} characters")
    if bad := unprintable(tidy):
        raise BadInput(f"is no plain text, it has characters that do not print: {bad}", _ANEW)
    return tidy


def why_no_line(value: object) -> str:
    """Why what a file has cannot be kept as one line of words; "" where it can."""
    if not isinstance(value, str) or "\n" in value:
        return "is not one line of text"
    if bad := unprintable(value):
        return f"is not one line of text, it has characters that do not print: {bad}"
    if len(value) > MOST_TEXT:
        return f"is {len(value)} characters long, at most {MOST_TEXT} are kept"
    return ""


def unprintable(text: str) -> str:
    """The first characters of a text that nobody would see, as code points; "" where all print.

    Controls, marks of direction and width, lone surrogates, unassigned and private characters: they
    hide what a name is, or steer a terminal. A joiner inside a word of another script is spelling.
    """
    if text.isascii() and text.isprintable():
        return ""
    bad = [char for at, char in enumerate(text) if _unseen(char) and not _spelling(text, at)]
    return ", ".join(f"U+{ord(char):04X}" for char in dict.fromkeys(bad[:5]))


def _unseen(char: str) -> bool:
    return unicodedata.category(char) in _UNSEEN or char in _BLANK


def _selector(char: str) -> bool:
    return "\ufe00" <= char <= "\ufe0f"


def _spelling(text: str, at: int) -> bool:
    """A joiner between two characters of a script that is written with it, or of an emoji."""
    if text[at] not in _JOINERS or not 0 < at < len(text) - 1:
        return False
    return all(char > "\u05ff" and not _unseen(char) for char in (text[at - 1], text[at + 1]))


def nearest_of(text: str, names: Iterable[str]) -> list[str]:
    """The names nearest to a text, at most three: alike, or having it in them."""
    from difflib import get_close_matches

    if not name_key(text):
        return []
    by_key = {name_key(name): name for name in names}
    close = get_close_matches(name_key(text), list(by_key), n=3, cutoff=0.55)
    close += [key for key in by_key if name_key(text) in key and key not in close][: 3 - len(close)]
    return [by_key[key] for key in close]


def nearest(text: str, names: Iterable[str], otherwise: str) -> str:
    """The end of a message: the nearest names, or where to look."""
    close = nearest_of(text, names)
    if not close:
        return f"; {otherwise}"
    return "; did you mean " + " or ".join(repr(name) for name in close) + "?"
