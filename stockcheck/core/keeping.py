"""How long backups are kept, and what their names say."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

NEWEST_KEPT, MONTHS_KEPT = 10, 12
REASONS = ("asked", "import", "mend", "migration")
_MOMENT = "%Y%m%dT%H%M%SZ"


@dataclass(frozen=True, slots=True)
class Dated:
    """A backup that was named by its moment (UTC): ``truck-20261125T080102Z-mend.db``."""

    name: str
    moment: str
    reason: str


def dated_name(stem: str, moment: datetime, reason: str, number: int = 1) -> str:
    """The name of a backup of a store; ``number`` tells those of one second apart."""
    more = f"-{number}" if number > 1 else ""
    return f"{stem}-{moment.strftime(_MOMENT)}{more}-{reason}.db"


def read_name(stem: str, name: str) -> Dated | None:
    """What a name says; None for one that was given by a person."""
    found = re.fullmatch(
        rf"{re.escape(stem)}-(\d{{8}}T\d{{6}}Z(?:-\d+)?)-({'|'.join(REASONS)})\.db", name
    )
    return Dated(name, found[1], found[2]) if found else None


def to_let_go(backups: Iterable[Dated]) -> list[Dated]:
    """Those that are kept no longer, oldest first.

    Kept are the ten newest, and of each of the twelve latest months that have any the last one.
    """
    ordered = sorted(backups, key=_age)
    last_of = {each.moment[:6]: each for each in ordered}
    months = {last_of[month] for month in sorted(last_of)[-MONTHS_KEPT:]}
    return [each for each in ordered[:-NEWEST_KEPT] if each not in months]


def _age(backup: Dated) -> tuple[str, int, str]:
    moment, _, number = backup.moment.partition("-")
    return moment, int(number or 1), backup.name
