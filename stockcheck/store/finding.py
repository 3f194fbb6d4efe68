"""Full-text search over everything with a name: any words, in any order, by their starts."""

from __future__ import annotations

import sqlite3
import unicodedata
from dataclasses import dataclass

_TYPES = {1: "lot", 2: "box", 3: "item", 4: "kind", 5: "supplier", 6: "trip"}


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found: its type, its number in the store, and its name."""

    type: str
    id: int
    title: str


def search(conn: sqlite3.Connection, text: str, limit: int = 200) -> list[Hit]:
    """Everything whose words begin with all the words of the text, best first."""
    words = _words(text)
    if not words:
        return []
    query = " ".join(f'"{word}"*' for word in words)
    rows = conn.execute(
        "SELECT rowid, title FROM search WHERE search MATCH ?"
        " ORDER BY bm25(search, 4.0, 1.0), rowid LIMIT ?",
        (query, limit),
    ).fetchall()
    return [Hit(_TYPES[rowid // 10**9], rowid % 10**9, title) for rowid, title in rows]


def _words(text: str) -> list[str]:
    """The words of a text as the index splits them: letters, digits and the marks on them."""
    composed = unicodedata.normalize("NFC", text)
    kept = (char if unicodedata.category(char)[0] in "LNM" else " " for char in composed)
    return [word for word in "".join(kept).split() if any(map(str.isalnum, word))][:20]
