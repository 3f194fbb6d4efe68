"""The words and symbols beside a printed date, and the pieces of the date itself.

Wording: USP <7> and pharmacy guidance for EXP, USE BY, USE BEFORE and DISCARD AFTER; Regulation
(EU) 1169/2011 Annex X for BEST BEFORE (END); Regulation (EC) 1223/2009 Annex VII and ISO 15223-1
for the hourglass, the open jar and the factory; the letter L before a batch from Directive
2011/91/EU (from memory).
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from stockcheck.core.date_names import is_month


class Says(StrEnum):
    """What the words beside a date say that it is; NOTHING when no words stand there."""

    EXPIRY = "expiry"
    MADE = "made"
    OPENED_LIFE = "opened life"
    BATCH = "batch"
    NOTHING = ""


class Wording(StrEnum):
    """The sort of wording, which decides how far a month or a year reaches."""

    EXPIRES = "expires"
    END = "end of"
    AFTER = "not after"
    BEFORE = "use before"
    USE_BY = "use by"
    BEST = "best before"
    SELL_BY = "sell by"
    MADE = "made"
    BATCH = "batch"
    OPENED = "opened"


_SAYS = {
    Wording.SELL_BY: Says.NOTHING,
    Wording.MADE: Says.MADE,
    Wording.BATCH: Says.BATCH,
    Wording.OPENED: Says.OPENED_LIFE,
}

_PHRASES = {
    Wording.EXPIRES: "EXP|EXP DATE|EXP ON|EXPIRY|EXPIRY DATE|EXPIRE|EXPIRES|EXPIRES ON|EXPIRATION"
    "|EXPIRATION DATE|DATE OF EXPIRY|HOURGLASS|HOURGLASS SYMBOL",
    Wording.END: "BBE|BB END|BEST BEFORE END|BEST BEFORE END OF|BEST BEFORE THE END OF"
    "|BEST USED BEFORE END|BEST USED BEFORE END OF|BEST USED BEFORE THE END OF"
    "|USE BEFORE END|USE BEFORE END OF|USE BEFORE THE END OF|USE BY END|USE BY END OF"
    "|USE BY THE END OF|EXP END|EXP END OF|EXPIRES END|EXPIRES END OF|EXPIRES AT THE END OF"
    "|MINDESTENS HALTBAR BIS ENDE|A CONSOMMER DE PREFERENCE AVANT FIN",
    Wording.AFTER: "DISCARD AFTER|DO NOT USE AFTER|NOT TO BE USED AFTER",
    Wording.BEFORE: "USE BEFORE",
    Wording.USE_BY: "USE BY|USE BY DATE",
    Wording.BEST: "BB|BBD|BEST BEFORE|BEST BEFORE DATE|BEST BY|BEST USED BEFORE|BEST IF USED BY"
    "|BEST IF USED BEFORE|MINDESTENS HALTBAR BIS|A CONSOMMER DE PREFERENCE AVANT"
    "|A CONSOMMER DE PREFERENCE AVANT LE",
    Wording.SELL_BY: "SELL BY|SELL BY DATE|DISPLAY UNTIL",
    Wording.MADE: "MFG|MFG DATE|MFD|MFD DATE|MAN|MAN DATE|MANUF|MANUFACTURED|MANUFACTURED ON"
    "|MANUFACTURE DATE|MANUFACTURING DATE|DATE OF MANUFACTURE|DOM|D O M|MADE|MADE ON|PROD"
    "|PROD DATE|PRODUCED|PRODUCED ON|PRODUCTION|PRODUCTION DATE|PACKED|PACKED ON|PACK DATE"
    "|PACKING DATE|PKD|FACTORY|FACTORY SYMBOL",
    Wording.BATCH: "LOT|LOT NO|LOT NUMBER|BATCH|BATCH NO|BATCH NUMBER|B N|BN|B NO|BNO|L",
    Wording.OPENED: "PAO|OPEN JAR|OPEN JAR SYMBOL|PERIOD AFTER OPENING",
}

_LONGEST_PHRASE = 6
_GLUED = ("EXPIRES", "EXPIRY", "EXP", "BBE", "BB", "MFG", "MFD", "PROD")
_JOINERS = frozenset(" .-/:")
_AROUND = frozenset(" .,:;-/+=()'\"")
_BETWEEN = frozenset(("", " ", "-", "/", ".", ","))
_ORDINAL_ENDINGS = frozenset(("ST", "ND", "RD", "TH"))


@dataclass(frozen=True, slots=True)
class Printed:
    """A text taken apart: which words stand there, and the parts of the date with what joins them.

    ``mixed`` is True when words of different sorts stand in one text, as ``LOT A1 EXP 11/2027``.
    ``parts`` is empty when what is left has no form of a date.
    """

    wording: Wording | None
    parts: tuple[str, ...]
    joints: tuple[str, ...]
    mixed: bool = False

    @property
    def says(self) -> Says:
        """What the words say the text is."""
        return Says.NOTHING if self.wording is None else _SAYS.get(self.wording, Says.EXPIRY)


def tidy(text: str) -> str:
    """The text in capitals on one line, symbols as words, without accents that print loses."""
    composed = unicodedata.normalize("NFC", text).upper()
    return " ".join(filter(None, composed.translate(_replacements()).split(" ")))


@cache
def _replacements() -> dict[int, str]:
    table = dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-")
    table |= dict.fromkeys("\t\n\r\u00a0\u202f", " ")
    table |= {"À": "A", "É": "E", "Ä": "AE", "\ufe0f": ""}
    table |= {"\u231b": " HOURGLASS ", "\u23f3": " HOURGLASS ", "\U0001f3ed": " FACTORY "}
    return {ord(character): text for character, text in table.items()}


@cache
def _phrases() -> dict[tuple[str, ...], Wording]:
    return {
        tuple(phrase.split()): wording
        for wording, phrases in _PHRASES.items()
        for phrase in phrases.split("|")
    }


def take_apart(tidied: str) -> Printed:
    """Find the words in a tidied text, and split the rest into the parts of a date."""
    pieces = _pieces(tidied)
    found = _find_phrases(pieces)
    sorts = {wording for _, _, wording in found}
    if len(sorts) > 1:
        return Printed(_strongest(sorts), (), (), mixed=True)
    wording = next(iter(sorts), None)
    if wording is None:
        return Printed(None, *_parts(pieces))
    before, after = pieces[: found[0][0]], pieces[found[-1][1] :]
    if len(found) > 1 and any(_is_part(piece) for piece in pieces[found[0][1] : found[-1][0]]):
        return Printed(wording, (), (), mixed=True)
    if any(map(_is_part, before)) and any(map(_is_part, after)):
        return Printed(wording, (), ())
    return Printed(wording, *_parts(after if any(map(_is_part, after)) else before))


def _strongest(sorts: set[Wording]) -> Wording:
    """A text with a batch or made word is never an expiry, whatever else stands there."""
    for wording in (Wording.BATCH, Wording.MADE):
        if wording in sorts:
            return wording
    return min(sorts)


def _pieces(tidied: str) -> list[str]:
    """Runs of ASCII figures, runs of letters, and every other character by itself."""
    pieces: list[str] = []
    for piece in re.findall(r"[0-9]+|[^\W\d_]+|.", tidied, re.DOTALL):
        glued = next((g for g in _GLUED if piece.startswith(g) and is_month(piece[len(g) :])), "")
        pieces += [glued, piece[len(glued) :]] if glued else [piece]
    return pieces


def _is_part(piece: str) -> bool:
    return piece not in _AROUND


def _find_phrases(pieces: list[str]) -> list[tuple[int, int, Wording]]:
    """Start, end and wording of each phrase, the longest at each place."""
    found: list[tuple[int, int, Wording]] = []
    start = 0
    while start < len(pieces):
        match = _phrase_at(pieces, start)
        if match:
            found.append((start, *match))
        start = match[0] if match else start + 1
    return found


def _phrase_at(pieces: list[str], start: int) -> tuple[int, Wording] | None:
    best: tuple[int, Wording] | None = None
    words: tuple[str, ...] = ()
    for place in range(start, len(pieces)):
        piece = pieces[place]
        if piece in _JOINERS and words:
            continue
        words += (piece,)
        if len(words) > _LONGEST_PHRASE or not piece.isalpha():
            break
        wording = _phrases().get(words)
        if wording:
            best = (place + 1, wording)
    return best


def _parts(pieces: list[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The parts of a date and the joints between them; nothing when a foreign sign is in it."""
    parts: list[str] = []
    joints = [""]
    for piece in _trimmed(pieces):
        if not piece.isalnum():
            joints[-1] += piece
        elif not (parts and not joints[-1] and piece in _ORDINAL_ENDINGS):
            parts.append(piece)
            joints.append("")
    inner = tuple(joint.strip() or joint[:1] for joint in joints[1:-1])
    at_the_edges = joints[0] or joints[-1]
    fits = not at_the_edges and _BETWEEN.issuperset(inner) and all(map(_is_plain, parts))
    return (tuple(parts), inner) if fits else ((), ())


def _trimmed(pieces: list[str]) -> list[str]:
    places = [place for place, piece in enumerate(pieces) if _is_part(piece)]
    return pieces[places[0] : places[-1] + 1] if places else []


def _is_plain(part: str) -> bool:
    """ASCII figures or letters; figures of other scripts are not read as ours."""
    return part.isascii() and part.isalnum()
