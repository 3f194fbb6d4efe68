"""The answer of ``read``: an aligned line for each text, or the contract's rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from stockcheck.core.calendar import PartialDate, Precision, in_words, spoken
from stockcheck.core.codes import read_code
from stockcheck.core.meaning import UNKNOWN, Meaning
from stockcheck.output.cells import clean
from stockcheck.output.layout import wrap
from stockcheck.output.report import Column, Json, Report, Row, Section
from stockcheck.output.text import display_width

KEYS = (
    "text",
    "type",
    "last_usable_day",
    "precision",
    "readings",
    "gtin",
    "batch",
    "serial",
    "made_on",
    "count",
    "problem",
)
_GAP = 2
_LONGEST_SHARE = 0.45


def reading_report(found: Sequence[Meaning], fmt: str, on: date, width: int = 80) -> str:
    """What each text means, in the order given: ``text``, or ``csv`` or ``json`` of the contract.

    Text has no heading, one text a line, wrapped within ``width``; a text too long to stand beside
    its meaning has it below.
    """
    if fmt == "text":
        return "".join(f"{line}\n" for line in _lines(found, width))
    from stockcheck.output.write import render

    rows = tuple(Row({key: _value(meaning, key) for key in KEYS}) for meaning in found)
    columns = tuple(Column(key, key) for key in KEYS)
    report = Report("What was read", on, "", columns, (Section("", rows),), keys=KEYS)
    done = render(report, fmt)
    return done if isinstance(done, str) else done.decode("utf-8")


def unsettled(found: Sequence[Meaning]) -> int:
    """How many of them stay unsure or unknown."""
    return sum(not meaning.settled for meaning in found)


def _value(meaning: Meaning, key: str) -> Json:
    if key == "made_on":
        return meaning.made_on.iso if meaning.made_on else None
    if key == "readings":
        return [one.iso if isinstance(one, PartialDate) else one for one in meaning.readings]
    value: Json = getattr(meaning, key)
    return value


def _lines(found: Sequence[Meaning], width: int) -> Iterator[str]:
    texts = [clean(meaning.text) for meaning in found]
    most = int(width * _LONGEST_SHARE)
    beside = max((size for text in texts if (size := display_width(text)) <= most), default=0)
    indent = beside + _GAP if beside else 4
    for text, meaning in zip(texts, found, strict=True):
        parts = [clean(part) for part in _parts(meaning) if part]
        words = [line for part in parts for line in wrap(part, width - indent, display_width)]
        size = display_width(text)
        if size > beside:
            yield from wrap(text, width, display_width)
        else:
            yield f"{text}{' ' * (indent - size)}{words.pop(0)}"
        yield from (" " * indent + line for line in words)


def _parts(meaning: Meaning) -> Sequence[str]:
    """What is said of a text; each part begins a line."""
    if meaning.short:
        return [_own(meaning)]
    if meaning.type == UNKNOWN:
        return [f"UNKNOWN: {meaning.problem}"]
    if meaning.readings:
        return [f"UNSURE: {meaning.problem}", *meaning.why.split("\n")]
    facts = "; ".join(filter(None, [*_facts(meaning), meaning.why]))
    return [facts, f"NOTE: {meaning.problem}" if meaning.problem else ""]


def _own(meaning: Meaning) -> str:
    from stockcheck.cli.reading import own_words

    code = read_code(meaning.text) or read_code(meaning.text.strip()[-10:])
    return own_words(*code) if code else meaning.short


def _facts(meaning: Meaning) -> Iterator[str]:
    """The days, and the GTIN of a retail symbol; ``why`` names all that stands in a GS1 code."""
    if meaning.last_usable_day is not None:
        yield f"last usable {spoken(meaning.last_usable_day)}{_printed_as(meaning)}"
    if meaning.made_on is not None and meaning.type == "date":
        yield f"made {in_words(meaning.made_on)}"
    if meaning.type == "gtin":
        yield f"GTIN {meaning.gtin}"


def _printed_as(meaning: Meaning) -> str:
    known = meaning.precision in {Precision.MONTH.value, Precision.YEAR.value}
    return f" ({meaning.precision} printed)" if known else ""
