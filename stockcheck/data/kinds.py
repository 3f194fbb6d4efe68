"""The shipped catalogue of kinds, the user's own kinds and figures, and the texts beside them.

One TOML file a group lies under ``kinds/``; each ``[[kind]]`` block begins with its key and reads
alone, so that a command which needs three kinds parses three blocks, not the whole catalogue.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from stockcheck.core.calendar import Life
from stockcheck.core.errors import BadInput
from stockcheck.core.model import (
    Certainty,
    CountsFrom,
    DateContext,
    DateMeaning,
    Kind,
    LifeRule,
    PastDate,
)

# Raise it whenever a shipped life, meaning or past-date rule changes: stores of an older edition
# then work out their limits anew.
CATALOGUE_EDITION = "2026-11-25"

SHIPPED, CHANGED, OWN = "shipped", "changed", "own"
GROUP_FILES = (
    "sealants",
    "tapes",
    "rubber",
    "fluids",
    "power",
    "medicines",
    "first-aid",
    "water",
    "food",
    "other",
)

_OWN_FIGURE = Certainty.OWN.value
_HERE = Path(__file__).parent
_FIELDS = frozenset(field.name for field in fields(Kind)) - {"origin"}
_LIFE_FIELDS = frozenset({"life", "from", "spread", "source", "certainty"})
_LONGEST_MONTHS, _LONGEST_DAYS = 1200, 36525
_Word = TypeVar("_Word", bound=StrEnum)


class Route(NamedTuple):
    """A way of getting rid of things: its name, and what to do and not to do, in a sentence."""

    name: str
    text: str


class KeepApart(NamedTuple):
    """Kinds (by key) that must not ride beside other kinds, why, and who says so."""

    these: tuple[str, ...]
    those: tuple[str, ...]
    why: str
    source: str
    certainty: Certainty


def shipped_kind(key: str) -> Kind | None:
    """The shipped kind of that key, None when the catalogue has none; reads that kind alone."""
    return _parsed(key) if key in _blocks() else None


def shipped_kinds() -> dict[str, Kind]:
    """Every shipped kind by key, in catalogue order; a new dict of shared, frozen kinds."""
    return {key: _parsed(key) for key in _blocks()}


def cautions() -> dict[str, str]:
    """The caution texts by the keys that kinds name."""
    return dict(_texts()["cautions"])


def disposal_routes() -> dict[str, Route]:
    """The disposal routes by the keys that kinds name."""
    return {key: Route(**route) for key, route in _texts()["disposal"].items()}


def keep_apart() -> tuple[KeepApart, ...]:
    """Which kinds must not ride together."""
    return tuple(
        KeepApart(
            these=tuple(rule["these"]),
            those=tuple(rule["those"]),
            why=rule["why"],
            source=rule["source"],
            certainty=Certainty(rule["certainty"]),
        )
        for rule in _texts()["keep_apart"]
    )


def kind_from_table(table: Mapping[str, object], where: str, origin: str = SHIPPED) -> Kind:
    """The kind that a table of the catalogue's form describes; ``where`` names its place.

    A kind that is not shipped may leave out group, dates, disposal, source and certainty. BadInput
    names the place, the field, the value and the remedy.
    """
    read = _Table(table, where, own=origin != SHIPPED)
    read.refuse_unknown(_FIELDS)
    kind = Kind(
        key=read.key(),
        name=read.text("name"),
        group=read.text("group", "own kinds"),
        dates=read.choice("dates", DateContext, DateContext.GENERAL),
        meaning=read.choice("meaning", DateMeaning),
        past=read.choice("past", PastDate),
        disposal=read.text("disposal", "hazardous-point"),
        source=read.text("source", _OWN_FIGURE),
        certainty=read.choice("certainty", Certainty, Certainty.OWN),
        sealed=read.life("sealed"),
        opened=read.life("opened"),
        also=read.words("also"),
        storage=read.note("storage"),
        heat=read.note("heat"),
        failure=read.note("failure"),
        past_note=read.note("past_note"),
        cautions=read.words("cautions"),
        origin=origin,
    )
    _refuse_contradictions(kind, read)
    if read.own:  # a test holds the shipped ones against the texts, at no cost to a look-up
        _refuse_unknown_texts(kind, read)
    return kind


def with_changes(kind: Kind, changes: Mapping[str, object]) -> Kind:
    """The kind with the user's own figures laid over it, in the field names of the catalogue.

    A life is a text such as ``18 months``, a table with some of its fields, or None for none; it
    counts as the user's own figure unless it says otherwise. Cautions can be added, not dropped,
    and a safety date stays one. BadInput as for ``kind_from_table``.
    """
    where = f"your own figures for {kind.key}"
    table = {**_table_of(kind), **changes}
    _refuse_loosening(kind, _Table(table, where, own=True))
    if changes.get("sealed") is not None and kind.sealed is not None:
        counted = {"from": kind.sealed.counts_from.value}
        table["sealed"] = counted | _life_table(changes["sealed"])
    return kind_from_table(table, where, CHANGED if kind.origin == SHIPPED else kind.origin)


class _Table(NamedTuple):
    """A table being read: answers a field's value or says what is wrong with it."""

    values: Mapping[str, object]
    where: str
    own: bool

    def wrong(self, field: str, what: str, remedy: str) -> BadInput:
        value = self.values.get(field)
        shown = "" if value is None else f" {str(value)[:60]!r}"
        return BadInput(f"{self.where}, {field}{shown}: {what}. {remedy}")

    def refuse_unknown(self, known: frozenset[str]) -> None:
        for field in self.values:
            if field not in known:
                raise self.wrong(
                    field, "there is no such field", f"Use: {', '.join(sorted(known))}."
                )

    def key(self) -> str:
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
        if not isinstance(value, str) or not value.isprintable():
            raise self.wrong(field, "is not one line of text", "Write it in quotes, on one line.")
        return value.strip()

    def words(self, field: str) -> tuple[str, ...]:
        """A list of texts that may be left out."""
        value = self.values.get(field, ())
        if isinstance(value, list | tuple):
            words = tuple(w for w in value if isinstance(w, str) and w.strip() and w.isprintable())
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
        inner = _Table(_life_table(value), f"{self.where}, {field}", self.own)
        inner.refuse_unknown(_LIFE_FIELDS - ({"from"} if field == "opened" else set()))
        counts_from = CountsFrom.MADE
        if field == "sealed":
            counts_from = inner.choice("from", CountsFrom, CountsFrom.MADE)
        return LifeRule(
            life=inner.span(),
            source=inner.text("source", _OWN_FIGURE),
            certainty=inner.choice("certainty", Certainty, Certainty.OWN),
            counts_from=counts_from,
            spread=inner.note("spread"),
        )

    def span(self) -> Life:
        """The length of a life, at most a hundred years."""
        try:
            life = Life.parse(self.text("life"))
        except ValueError:
            life = Life(months=_LONGEST_MONTHS + 1)
        if life.months > _LONGEST_MONTHS or life.days > _LONGEST_DAYS:
            raise self.wrong(
                "life",
                "is not a life of at most 100 years",
                "Write it as '24 months', '2 years', '6 weeks' or '28 days'; "
                "'0 days' means use at once.",
            )
        return life


def _refuse_contradictions(kind: Kind, read: _Table) -> None:
    if not kind.has_life and kind.sealed is not None:
        raise read.wrong(
            "sealed", "a kind whose date means none has no sealed life", "Leave out one of the two."
        )
    if kind.has_life and kind.past is PastDate.NO_LIMIT:
        raise read.wrong(
            "past",
            f"does not go with a date that means {kind.meaning}",
            "Use meaning 'none', or say what is done past the date.",
        )


def _refuse_unknown_texts(kind: Kind, read: _Table) -> None:
    routes, known = _texts()["disposal"], _texts()["cautions"]
    if kind.disposal not in routes:
        raise read.wrong("disposal", "is no disposal route", f"Use one of: {', '.join(routes)}.")
    for caution in kind.cautions:
        if caution not in known:
            what = f"{caution!r} is no caution"
            raise read.wrong("cautions", what, f"Use some of: {', '.join(known)}.")


def _refuse_loosening(kind: Kind, read: _Table) -> None:
    if read.values["key"] != kind.key:
        raise read.wrong("key", "a key cannot be changed", "Add a kind of your own under that key.")
    if kind.meaning is DateMeaning.SAFETY and read.values["meaning"] != kind.meaning.value:
        raise read.wrong(
            "meaning", f"{kind.name} has a safety date, which stays one", "Leave it as 'safety'."
        )
    if dropped := set(kind.cautions) - set(read.words("cautions")):
        raise read.wrong(
            "cautions",
            f"{', '.join(sorted(dropped))} cannot be dropped",
            "Name the shipped cautions too.",
        )


def _life_table(value: object) -> dict[str, object]:
    return dict(value) if isinstance(value, Mapping) else {"life": value}


def _table_of(kind: Kind) -> dict[str, object]:
    """The kind as a table; its lives stay the rules that they are."""
    found = {name: getattr(kind, name) for name in _FIELDS}
    return {
        name: value.value if isinstance(value, StrEnum) else value
        for name, value in found.items()
        if value is not None
    }


@cache
def _blocks() -> dict[str, tuple[str, str]]:
    """Where each shipped kind stands and its block of TOML, by key, in catalogue order."""
    found: dict[str, tuple[str, str]] = {}
    for name in GROUP_FILES:
        text = (_HERE / "kinds" / f"{name}.toml").read_text(encoding="utf-8")
        for block in text.split("\n[[kind]]\n")[1:]:
            key = block.split('"', 2)[1]
            found[key] = (f"kinds/{name}.toml, kind {key}", block)
    return found


@cache
def _parsed(key: str) -> Kind:
    where, block = _blocks()[key]
    return kind_from_table(_toml(block), where)


@cache
def _texts() -> dict[str, Any]:
    return _toml((_HERE / "texts.toml").read_text(encoding="utf-8"))


def _toml(text: str) -> dict[str, Any]:
    import tomllib  # late: the edition and the user's own kinds need no parser

    return tomllib.loads(text)
