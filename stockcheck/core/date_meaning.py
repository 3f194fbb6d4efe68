"""How far a printed date reaches, by the wording beside it and the sort of goods.

A printed day is included whatever the words, except after ``USE BEFORE`` (no source for a day:
the safer way). For a month the sources agree on EXP, USE BEFORE and every ``end``, and disagree on
USE BY and BEST BEFORE for medicines; a year alone has a rule for EU food only. Where they disagree
both days come out, and nothing outside food is taken to follow the food rules.
"""

from __future__ import annotations

from datetime import date, timedelta

from stockcheck.core.calendar import PartialDate, Precision
from stockcheck.core.date_words import Wording
from stockcheck.core.model import DateContext

_FOOD_LAW = "Regulation (EU) 1169/2011, Annex X"
_GROUP = "an English prescribing group's table"
_PHARMACISTS = "Royal Pharmaceutical Society, MEP ed. 35"
_NO_RULE = "no rule found for a year alone"
_THROUGH_SOURCES = {
    Wording.EXPIRES: "USP <7>",
    Wording.AFTER: _GROUP,
    Wording.USE_BY: "one English care-home guideline",
    Wording.BEST: "no source found: as on food",
}
_BEFORE_SOURCES = {
    Wording.BEFORE: _PHARMACISTS,
    Wording.USE_BY: _PHARMACISTS,
    Wording.BEST: _GROUP,
}

Bound = tuple[date, str]


def reaches(printed: PartialDate, wording: Wording, context: DateContext) -> tuple[Bound, ...]:
    """Every last usable day that the wording may mean, with the reason; for made its last day."""
    last, before = printed.last_day(), printed.first_day() - timedelta(days=1)
    if wording is Wording.MADE:
        return ((last, "the last day that it may have been made"),)
    precision = printed.precision
    if precision in {Precision.DAY, Precision.WEEK}:
        if wording is Wording.BEFORE:
            return ((before, f"'before' that {precision}, so good through the day before it"),)
        return ((last, "good through that day" if precision is Precision.DAY else "its last day"),)
    source = _source(precision, wording, context)
    through = (last, f"good through the last day of the {precision} ({source})")
    earlier = _BEFORE_SOURCES.get(wording) if precision is Precision.MONTH else _NO_RULE
    strict = (before, f"good through the last day of the {precision} before ({earlier})")
    if wording is Wording.BEFORE:
        return (strict,)
    return (strict, through) if _sources_differ(precision, wording, context) else (through,)


def _sources_differ(precision: Precision, wording: Wording, context: DateContext) -> bool:
    if context is DateContext.FOOD:
        return False
    if wording is Wording.EXPIRES:
        return precision is Precision.YEAR
    return wording in {Wording.USE_BY, Wording.BEST}


def _source(precision: Precision, wording: Wording, context: DateContext) -> str:
    if context is DateContext.FOOD:
        return _FOOD_LAW
    if wording is Wording.END:
        if context is DateContext.COSMETIC:
            return "Regulation (EC) 1223/2009, Art. 19"
        return _GROUP if context is DateContext.MEDICINE else f"'end' as in {_FOOD_LAW}"
    return _NO_RULE if precision is Precision.YEAR else _THROUGH_SOURCES.get(wording, "")


def wants_confirming(printed: PartialDate, wording: Wording, context: DateContext) -> str:
    """Why a date should be shown before it is taken: food's USE BY has a day by law; else ""."""
    whole = printed.precision in {Precision.MONTH, Precision.YEAR}
    if context is DateContext.FOOD and wording is Wording.USE_BY and whole:
        return f"a use-by date on food shows a day ({_FOOD_LAW}): confirm"
    return ""
