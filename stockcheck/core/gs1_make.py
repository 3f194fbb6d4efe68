"""Element strings made from a lot's printed facts: GTIN, date, batch, for a GS1 Data Matrix.

What is put in is what the maker printed, never our own limits: whoever scans the code takes it for
the maker's word. The date stands before the batch, because a field of fixed length needs no
separator (GS1 General Specifications, section 7.8). Readers give the data as ``transmitted``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from stockcheck.core.codes import read_gtin
from stockcheck.core.date_candidates import century
from stockcheck.core.date_words import take_apart, tidy
from stockcheck.core.errors import BadInput
from stockcheck.core.model import DateContext, DateMeaning, Kind, Lot, PrintedExpiry
from stockcheck.core.words import listed

MAX_BATCH = 20
# AI 10 holds characters of set 82 (GS1 Syntax Dictionary): no space among them.
SET_82 = frozenset(
    "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
)
_SEPARATOR_WORD = re.compile(r"<(?:GS|FNC1)>", re.IGNORECASE)
EXPIRY, BEST_BEFORE = "17", "15"
_BEST = re.compile(r"\b(?:BB|BEST |MINDESTENS HALTBAR|A CONSOMMER DE PREFERENCE)")


@dataclass(frozen=True, slots=True)
class ElementString:
    """Application identifiers with their values, in the order in which they are encoded."""

    elements: tuple[tuple[str, str], ...]

    @property
    def encoded(self) -> str:
        """As the symbol's maker takes it: square brackets, which no value can hold."""
        return "".join(f"[{ai}]{value}" for ai, value in self.elements)

    @property
    def printed(self) -> str:
        """As it is printed below the symbol: the identifiers in round brackets."""
        return "".join(f"({ai}){value}" for ai, value in self.elements)

    @property
    def transmitted(self) -> str:
        """As a reader gives it, after ``]d2``: only the last value has no fixed length."""
        return "".join(ai + value for ai, value in self.elements)


def transmitted(encoded: str) -> str:
    """What a reader gives for the encoded form."""
    return encoded.replace("[", "").replace("]", "")


def element_string(lot: Lot, on: date, gtin: str = "") -> ElementString:
    """The element string of a lot: AI 01, then 17 or 15 where a date is printed, then 10.

    ``gtin`` picks one where the item has several. ``on`` is today, which decides what two figures
    of a year can mean. BadInput naming what is missing or cannot stand in a code.
    """
    elements = [("01", _gtin(lot, gtin))]
    if lot.expiry is not None:
        ai = BEST_BEFORE if says_best_before(lot.expiry, lot.item.kind) else EXPIRY
        elements.append((ai, _date(lot, lot.expiry, on)))
    if lot.batch:
        elements.append(("10", _batch(lot)))
    return ElementString(tuple(elements))


def says_best_before(expiry: PrintedExpiry, kind: Kind) -> bool:
    """Whether a printed date is a best-before date, by its own words.

    Without any it is an expiry, the stricter of the two; but on food whose date is about quality it
    is a best-before date (Regulation (EU) 1169/2011, Art. 24 and Annex X).
    """
    words = tidy(expiry.text)
    if take_apart(words).wording is None:
        return kind.dates is DateContext.FOOD and kind.meaning is DateMeaning.QUALITY
    return _BEST.search(words) is not None


def _gtin(lot: Lot, wanted: str) -> str:
    name, known = lot.item.name, lot.item.gtins
    if not known:
        raise BadInput(
            f"GS1 code for {lot.short} {name!r}: the item has no GTIN",
            "Give it one, or print the label with our own code alone",
        )
    if not wanted and len(known) > 1:
        raise BadInput(
            f"GS1 code for {lot.short} {name!r}: the item has the GTINs {listed(list(known))}, each"
            " another pack",
            "Say which one this lot has",
        )
    found = read_gtin(wanted or known[0])
    if found is None or (wanted and found not in {read_gtin(each) for each in known}):
        raise BadInput(
            f"GS1 code for {lot.short} {name!r}: {wanted or known[0]} is not a GTIN of the item",
            f"It has {listed(list(known))}",
        )
    return found


def _date(lot: Lot, expiry: PrintedExpiry, on: date) -> str:
    """Six figures: the last usable day, of a month, a week or a year too.

    Day 00 for a month is read but never written: it means the last day (GS1 General Specifications'
    text for AI 17), codes of regulated healthcare items must name a day from 2025-01-01 (GSCN
    21-040), and a day leaves nothing to a reader that takes 00 for something else.
    """
    last = expiry.last_usable_day
    if century(last.year % 100, on) != last.year:
        raise BadInput(
            f"GS1 code for {lot.short} {lot.item.name!r}: the year {last.year} cannot be told by"
            f" its last two figures, which on {on} mean {century(last.year % 100, on)}",
            "Check the date",
        )
    return f"{last:%y%m%d}"


def _batch(lot: Lot) -> str:
    whose = f"GS1 code for {lot.short} {lot.item.name!r}: batch {lot.batch!r}"
    remedy = "Correct the batch, or print the label with our own code alone"
    foreign = sorted(set(lot.batch) - SET_82)
    if foreign:
        named = listed(["a space" if char == " " else repr(char) for char in foreign])
        raise BadInput(f"{whose} has {named}, which GS1 codes cannot hold", remedy)
    if len(lot.batch) > MAX_BATCH:
        longer = f"has {len(lot.batch)} characters, and a GS1 code holds {MAX_BATCH}"
        raise BadInput(f"{whose} {longer}", remedy)
    if _SEPARATOR_WORD.search(lot.batch):
        raise BadInput(f"{whose} holds a word that scanners send for the separator", remedy)
    return lot.batch
