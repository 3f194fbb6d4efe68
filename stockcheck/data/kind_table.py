"""A kind written as a table, as the catalogue's files, the user and a store write it: read field
by field, each fault told with its place, its value and the remedy; and written back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from enum import StrEnum
from typing import Any, NamedTuple, TypeVar

from stockcheck.core.calendar import Life
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Certainty, CountsFrom, InspectionRule, Kind, LifeRule
from stockcheck.core.names import why_no_line

OWN_FIGURE = Certainty.OWN.value
KIND_FIELDS = frozenset(field.name for field in fields(Kind)) - {"origin"}
MOST_TIMES = 10

_LIFE_FIELDS = frozenset({"life", "from", "spread", "source", "certainty"})
_INSPECTION_FIELDS = frozenset(field.name for field in fields(InspectionRule))
_LONGEST_MONTHS, _LONGEST_DAYS = 1200, 36525
_Word = TypeVar("_Word", bound=StrEnum)


class KindTable(NamedTuple):
    """A table being read: answers a field's value or says what is wrong with it."""

    values: Mapping[str, object]
    where: str
    own: bool

    def wrong(self, field: str, what: str, remedy: str) -> BadInput:
        """The error that names the place, the field, its value, what is wrong and the remedy."""
        value = self.values.get(field)
        shown = "" if value is None else f" {str(value)[:60]!r}"
        return BadInput(f"{self.where}, {field}{shown}: {what}. {remedy}")

    def refuse_unknown(self, known: frozenset[str]) -> None:
        """BadInput for a field that is none of those known."""
        for field in self.values:
            if field not in known:
                raise self.wrong(
                    field, "there is no such field", f"Use: {', '.join(sorted(known))}."
                )

    def key(self) -> str:
        """The kind's key: small letters, digits and single hyphens."""
        key = self.text("key")
        if len(key) > 60 or key != key.lower() or not all(p.isalnum() for p in key.split("-")):
            raise self.wrong(
                "key", "is not a key", "Use small letters, digits and single hyphens, at most 60."
            )
        return key

    def text(self, field: str, if_own: str = "") -> str:
        """A text that must be there, save that an own kind falls back on ``if_own``."""
        text = self.note(field) or (if_own if self.own else "")
        if not text:
            raise self.wrong(field, "is missing", f"Give {field} as a text.")
        return text

    def note(self, field: str) -> str:
        """A text that may be left out."""
        value = self.values.get(field, "")
        if why := why_no_line(value):
            raise self.wrong(field, why, "Write it in quotes, on one line.")
        return str(value).strip()

    def words(self, field: str) -> tuple[str, ...]:
        """A list of texts that may be left out."""
        value = self.values.get(field, ())
        if isinstance(value, list | tuple):
            words = tuple(w for w in value if str(w).strip() and not why_no_line(w))
            if len(words) == len(value):
                return words
        raise self.wrong(field, "is not a list of texts", 'Write it as ["one", "two"].')

    def choice(self, field: str, words: type[_Word], if_own: _Word | None = None) -> _Word:
        """One of the words of an enumeration; an own kind falls back on ``if_own``."""
        if if_own is not None and self.own and field not in self.values:
            return if_own
        value = self.values.get(field)
        for word in words:
            if word.value == value:
                return word
        what = "is missing" if value is None else "is not one of its words"
        raise self.wrong(field, what, f"Use one of: {', '.join(word.value for word in words)}.")

    def life(self, field: str) -> LifeRule | None:
        """The sealed or the opened life, None when it is left out."""
        value = self.values.get(field)
        if value is None or isinstance(value, LifeRule):
            return value
        if not isinstance(value, str | Mapping):
            raise self.wrong(field, "is not a life", "Write it as '24 months' or '28 days'.")
        inner = KindTable(life_table(value), f"{self.where}, {field}", self.own)
        inner.refuse_unknown(_LIFE_FIELDS - ({"from"} if field == "opened" else set()))
        counts_from = CountsFrom.MADE
        if field == "sealed":
            counts_from = inner.choice("from", CountsFrom, CountsFrom.MADE)
        return LifeRule(
            life=inner.span(),
            source=inner.text("source", OWN_FIGURE),
            certainty=inner.choice("certainty", Certainty, Certainty.OWN),
            counts_from=counts_from,
            spread=inner.note("spread"),
        )

    def inspection(self) -> InspectionRule | None:
        """What to look at past the date and how far a pass extends it, None when it is left out."""
        value = self.values.get("inspection")
        if value is None or isinstance(value, InspectionRule):
            return value
        if not isinstance(value, Mapping):
            raise self.wrong("inspection", "is not a table", 'Write it as { ask = ["..."] }.')
        inner = KindTable(value, f"{self.where}, inspection", self.own)
        inner.refuse_unknown(_INSPECTION_FIELDS)
        ask = inner.words("ask")
        if not ask:
            raise inner.wrong("ask", "holds no question", 'Write it as ["Is it still soft?"].')
        extends = inner.span("extends") if inner.values.get("extends") is not None else None
        return InspectionRule(
            ask=ask,
            extends=extends,
            times=inner.times(extends),
            source=inner.text("source", OWN_FIGURE),
            certainty=inner.choice("certainty", Certainty, Certainty.OWN),
        )

    def times(self, extends: Life | None) -> int:
        """How many passes may extend: 0 without an extension, 1 where an own kind is silent."""
        value = self.values.get("times", 1 if self.own and extends else 0)
        if extends is None and value == 0:
            return 0
        if extends is None:
            raise self.wrong("times", "goes with an extension", "Leave it out, or give extends.")
        if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_TIMES:
            return value
        raise self.wrong(
            "times", "is not a whole number from 1 to 10", "Say how often a pass may extend it."
        )

    def span(self, field: str = "life") -> Life:
        """The length of a life or of an extension, at most a hundred years."""
        try:
            life = Life.parse(self.text(field))
        except ValueError:
            life = Life(months=_LONGEST_MONTHS + 1)
        if life.months > _LONGEST_MONTHS or life.days > _LONGEST_DAYS:
            raise self.wrong(
                field,
                "is not a life of at most 100 years",
                "Write it as '24 months', '2 years', '6 weeks' or '28 days'; "
                "'0 days' means use at once.",
            )
        return life


def life_table(value: object) -> dict[str, object]:
    """A life as a table, whether it was written as one or as a text."""
    return dict(value) if isinstance(value, Mapping) else {"life": value}


def kind_table(kind: Kind) -> dict[str, Any]:
    """The kind as the table that ``kind_from_table`` reads, of texts, numbers, lists and tables."""
    return {name: _plain(name, getattr(kind, name)) for name in _given(kind)}


def _given(kind: Kind) -> list[str]:
    return [name for name in sorted(KIND_FIELDS) if getattr(kind, name) is not None]


def _plain(name: str, value: object) -> object:
    match value:
        case LifeRule():
            found = {each.name: str(getattr(value, each.name)) for each in fields(value)}
            counts_from = found.pop("counts_from")
            return found | {"from": counts_from} if name == "sealed" else found
        case InspectionRule(ask, None, _, source, certainty):
            return {"ask": list(ask), "source": source, "certainty": certainty.value}
        case InspectionRule(ask, extends, times, source, certainty):
            extension = {"extends": str(extends), "times": times}
            return {"ask": list(ask), "source": source, "certainty": certainty.value} | extension
        case StrEnum():
            return value.value
        case tuple():
            return list(value)
        case _:
            return value
