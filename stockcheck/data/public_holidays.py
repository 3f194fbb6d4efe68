"""Public holidays and weekends by country and region, from the ``holidays`` library.

Loaded only when a country is asked for: it is pure Python and works offline, but it is large. Dates
by the moon are estimates there, and a law may change after the library was released.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from stockcheck.core.errors import BadInput
from stockcheck.core.names import nearest
from stockcheck.core.order_days import WorkingDays


def working_days(country: str, first: date, last: date) -> WorkingDays:
    """The working days of a country from one day to another, by its ISO 3166 code.

    ``DE`` for a country, ``DE-BY`` for one of its regions. The years around are known too, so that
    counting back or on from either day stays within. BadInput for a code that is not known.
    """
    import holidays

    land, _, region = country.strip().upper().partition("-")
    known = holidays.list_supported_countries()
    if land not in known:
        raise BadInput(_unknown("country", land, known))
    if region and region not in known[land]:
        raise BadInput(_unknown(f"region of {land}", region, known[land]))
    years = range(max(1, first.year - 1), min(9999, last.year + 1) + 1)
    found = holidays.country_holidays(land, subdiv=region or None, years=years)
    return WorkingDays(frozenset(found.weekend), frozenset(found.keys()))


def named(country: str, first: date, last: date) -> dict[date, str]:
    """The holidays' own names between two days, to tell why a day was passed over."""
    import holidays

    land, _, region = country.strip().upper().partition("-")
    years = range(first.year, last.year + 1)
    found = holidays.country_holidays(land, subdiv=region or None, years=years)
    return {day: name for day, name in sorted(found.items()) if first <= day <= last}


def _unknown(what: str, given: str, known: Iterable[str]) -> str:
    names = list(known)
    if not names:
        return f"{what} {given!r}: no regions are known there; leave it out"
    return f"{what} {given!r} is not known" + nearest(
        given, names, "give its ISO 3166 code, such as DE or DE-BY"
    )
