"""The figures in a page's words, and which of them something stands for.

A figure stands when its words also stand in an output of the same page, which is run, or when it
is part of a phrase that a test works out or has a source for.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

_FENCED = re.compile(r"^```\w*\n(.*?)^```$", re.DOTALL | re.MULTILINE)
_WORDS = (
    "two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|twenty|hundred|thousand|half|twice"
)
# A day; else a number with its unit or the word after it. Names such as L13 or Q10 are no figures.
_FIGURE = re.compile(
    rf"(?<![\w.])(?:\d\d [A-Z]{{3}} \d{{4}}|−?\d[\w.,:/-]*\w(?: [\w°%]+)?|−?\d(?: [\w°%]+)?"
    rf"|(?:{_WORDS})(?= ))",
    re.IGNORECASE,
)


def words_of(page: str) -> str:
    """The page without its listings and marks, on one line."""
    plain = re.sub(r"^\|?[-|]+\|$", "", _FENCED.sub("", page), flags=re.MULTILINE)
    return " ".join(plain.replace("`", "").replace("|", " ").split())


def outputs_of(page: str) -> str:
    """The listings of the page, on one line."""
    return " ".join(" ".join(_FENCED.findall(page)).split())


def bare_figures(page: str, phrases: Iterable[str]) -> list[str]:
    """The figures in the page's words for which nothing stands, each with what is around it."""
    words, outputs = words_of(page), outputs_of(page)
    stood: set[int] = set()
    for phrase in phrases:
        for at in re.finditer(re.escape(phrase), words):
            stood |= set(range(at.start(), at.end()))
    return [
        words[max(0, found.start() - 40) : found.end() + 20]
        for found in _FIGURE.finditer(words)
        if found.start() not in stood and not _shown(found[0], outputs)
    ]


def _shown(figure: str, outputs: str) -> bool:
    return bool(re.search(rf"(?<![\w.]){re.escape(figure)}(?![\w])", outputs))
