"""What a look through the store found, as a table: each finding with its place and its remedy."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stockcheck.core.store_findings import Finding, Weight, gathered
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

MENDED = "mended"
_COLUMNS = (
    Column("finding", "Finding", fixed=True),
    Column("place", "Where", weight=2),
    Column("what", "What", weight=4),
)
_KEYS = ("part", "finding", "place", "what", "remedy", "mends")
_TONES = {Weight.WRONG: Tone.BAD, Weight.LOOK: Tone.WARN}
_SOUND = (
    "Sound: the file, references, schema, on-hand, limits, search, settings, codes, records and"
    " dates agree."
)


def check_report(
    findings: Sequence[Finding],
    mended: Sequence[Finding],
    *,
    on: date,
    store: str,
    deep: bool,
    facts: Sequence[str],
) -> Report:
    """A row for each finding, by the step that found it; what was mended comes last.

    ``deep``: every step was taken; else the file itself is damaged.
    """
    total = _total(findings, mended)
    findings, mended = gathered(findings), gathered(mended)
    parts = list(dict.fromkeys(each.part for each in findings))
    sections = [
        Section(part.value, tuple(_row(each) for each in findings if each.part is part))
        for part in parts
    ]
    if mended:
        sections.append(Section(MENDED, tuple(_mended(each) for each in mended)))
    shallow = (
        () if deep else ("The file itself is damaged, so that nothing further was looked at.",)
    )
    return Report(
        title="Check of the store",
        on=on,
        store=store,
        columns=_COLUMNS,
        keys=_KEYS,
        sections=tuple(sections),
        facts=(*facts, *shallow),
        totals=(total,) if sections else (),
        empty=_SOUND,
    )


def _total(findings: Sequence[Finding], mended: Sequence[Finding]) -> str:
    counts = {
        "wrong": sum(each.weight is Weight.WRONG for each in findings),
        "worth a look": sum(each.weight is Weight.LOOK for each in findings),
        MENDED: len(mended),
    }
    return ", ".join(f"{count} {word}" for word, count in counts.items() if count)


def _row(finding: Finding) -> Row:
    return Row(
        _values(finding, finding.weight.value),
        tone=_TONES[finding.weight],
        details=(finding.remedy,),
    )


def _mended(finding: Finding) -> Row:
    return Row(_values(finding, MENDED), tone=Tone.GOOD)


def _values(finding: Finding, word: str) -> dict[str, Json]:
    return {
        "part": finding.part.value,
        "finding": word,
        "place": finding.place,
        "what": finding.what,
        "remedy": finding.remedy,
        "mends": finding.mends,
    }
