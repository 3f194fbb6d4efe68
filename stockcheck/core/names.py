"""Names as people write them: compared without case, kept tidy, and found when mistyped."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from stockcheck.core.codes import looks_like_code, read_code
from stockcheck.core.errors import BadInput


def name_key(name: str) -> str:
    """The form under which names are compared: one form of each letter, no case, single spaces."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def tidy_name(name: str, what: str) -> str:
    """A name fit to keep: BadInput when empty, too long, reading as a code, or unprintable."""
    tidy = " ".join(unicodedata.normalize("NFC", name).split())
    if not tidy:
        raise BadInput(f"a {what} needs a name")
    if len(tidy) > 120:
        raise BadInput(f"{what} name of {len(tidy)} characters: at most 120; use a note for more")
    bad = [char for char in tidy if unicodedata.category(char) in {"Cc", "Cf", "Cs", "Co", "Cn"}]
    if bad:
        shown = ", ".join(f"U+{ord(char):04X}" for char in bad[:5])
        raise BadInput(f"{what} name {tidy!r} has characters that do not print: {shown}")
    if read_code(tidy) or looks_like_code(tidy):
        raise BadInput(f"{what} name {tidy!r} would be read as a code; choose another")
    return tidy


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
