"""Words typed into a session beside scans: actions with more behind them, figures, yes and no."""

from __future__ import annotations

import re

from stockcheck.core.actions import Action, read_action
from stockcheck.core.scanning import Command

_NUMBER = re.compile(r"[0-9]{1,6}", re.ASCII)
_FIGURED = re.compile(r"(use|open|count)\s+([0-9]{1,6})", re.IGNORECASE | re.ASCII)
_WRITTEN_OFF = re.compile(
    r"write[ -]?off(?:\s+([0-9]{1,6}))?(?:\s*[:,]?\s+(.+))?", re.IGNORECASE | re.ASCII
)
_MOVED = re.compile(r"move(?:\s+([0-9]{1,6}))?(?:\s+(?:in)?to)?\s+(\S.*)", re.IGNORECASE | re.ASCII)
_RECEIVED = re.compile(r"receive(?:\s+([0-9]{1,6}))?", re.IGNORECASE | re.ASCII)
_FIGURED_ACTIONS = {"use": Action.USE_ONE, "open": Action.OPEN, "count": Action.COUNT}
YES = frozenset({"yes", "y", "ok"})
NO = frozenset({"no", "n", "cancel"})
HELP = frozenset({"?", "help", "h"})


def typed_number(text: str) -> int | None:
    """A number by itself; no code has so few digits."""
    return int(text) if _NUMBER.fullmatch(text) else None


def typed_command(text: str) -> Command | None:
    """An action by its code, its word, or its word with more: ``use 3``, ``write off 2 wet``."""
    if action := read_action(text):
        return Command(action)
    if text.casefold() == "use":
        return Command(Action.USE_ONE)
    if found := _FIGURED.fullmatch(text):
        return Command(_FIGURED_ACTIONS[found[1].lower()], int(found[2]))
    if found := _WRITTEN_OFF.fullmatch(text):
        return Command(Action.WRITE_OFF, _figure(found[1]), found[2] or "")
    if found := _MOVED.fullmatch(text):
        return Command(Action.MOVE, _figure(found[1]), found[2])
    return None


def typed_receipt(text: str) -> int | None:
    """How many packs ``receive`` or ``receive 3`` means, 1 for the word alone; None for others."""
    found = _RECEIVED.fullmatch(text)
    if not found:
        return None
    return int(found[1]) if found[1] else 1


def _figure(text: str | None) -> int | None:
    return int(text) if text else None
