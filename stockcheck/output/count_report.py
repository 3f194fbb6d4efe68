"""The variance list of a stocktake, the list of stocktakes, and when boxes are to be counted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.model import Box, Kind, Lot
from stockcheck.core.words import counted, money
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("finding", "Finding", fixed=True),
    Column("item", "Item", weight=4),
    Column("lot", "Lot", fixed=True),
    Column("book", "Book", right=True, fixed=True),
    Column("counted", "Count", right=True, fixed=True),
    Column("variance", "Variance", right=True, fixed=True),
)
KEYS = (
    "box", "item", "lot", "code", "batch", "part", "unit", "book", "counted", "variance",
    "finding", "value", "note",
)  # fmt: skip
NOT_IN_BOOKS = "not in the books"
_BLIND = {"book", "variance", "value"}
_TONES = {
    "agrees": Tone.GOOD, "over": Tone.WARN, "short": Tone.BAD, "not found": Tone.BAD,
    "found elsewhere": Tone.WARN, "wrong box": Tone.WARN, "found again": Tone.WARN,
    "count again": Tone.BAD, "to count": Tone.QUIET, "counted": Tone.PLAIN,
    NOT_IN_BOOKS: Tone.WARN,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Counted:
    """A line of a variance list, whether it stands now or stood when the count closed."""

    lot: Lot
    box: Box
    part: str
    book: int
    counted: int | None
    variance: int
    finding: str
    cents: int | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """What stands round a variance list: its title and facts, what was noted, and the money."""

    title: str
    facts: tuple[str, ...] = ()
    noted: tuple[tuple[str, str], ...] = ()  # box, text
    currency: str = ""
    blind: bool = False
    cautions: Mapping[str, str] | None = None


def variance_report(
    lines: Sequence[Counted], told: Told, *, on: date, store: str, everything: bool
) -> Report:
    """The variance list; without ``everything`` only what does not agree or wants a word.

    A blind count's hides what the books say.
    """
    shown = [each for each in lines if everything or each.notes or each.finding != "agrees"]
    boxes = list(dict.fromkeys(each.box.name for each in lines))
    sections = [
        Section(box, tuple(_row(each, told) for each in shown if each.box.name == box))
        for box in boxes
    ]
    noted = tuple(_noted_row(box, text) for box, text in told.noted)
    sections.append(Section("Not in the books: to be received, or looked into", noted))
    columns = tuple(each for each in COLUMNS if not (told.blind and each.key in _BLIND))
    matter = [each.lot.item.kind for each in lines if each.finding not in {"agrees", "to count"}]
    return Report(
        title=told.title,
        on=on,
        store=store,
        columns=columns,
        keys=KEYS,
        sections=tuple(each for each in sections if each.rows),
        facts=told.facts,
        totals=_totals(lines, told),
        cautions=_cautions(matter, told.cautions or {}),
        empty="Everything agrees with the books." if lines else "Nothing to count.",
        grouped="Box",
    )


def _cautions(kinds: Sequence[Kind], texts: Mapping[str, str]) -> tuple[str, ...]:
    keys = {key for kind in kinds for key in kind.cautions}
    return tuple(text for key, text in texts.items() if key in keys)


def _row(line: Counted, told: Told) -> Row:
    lot, unit = line.lot, line.lot.item.unit
    finding = line.finding
    if told.blind:
        finding = "to count" if line.counted is None else "counted"
    values: dict[str, Json] = {
        "box": line.box.name, "item": lot.item.name, "lot": lot.short, "code": lot.code,
        "batch": lot.batch, "part": line.part, "unit": unit, "book": line.book,
        "counted": line.counted, "variance": line.variance, "finding": finding,
        "value": line.cents / 100 if line.cents is not None else None,
        "note": "; ".join(line.notes),
    }  # fmt: skip
    if told.blind:
        values |= dict.fromkeys(_BLIND) | {"note": ""}
    details = [] if told.blind else [*line.notes]
    if line.cents and not told.blind:
        details.append(f"value {_signed_money(line.cents, told.currency)}")
    return Row(values, _shown(line), _TONES[finding], tuple(details))


def _shown(line: Counted) -> dict[str, str]:
    unit = line.lot.item.unit
    part = f" ({line.part})" if line.part else ""
    return {
        "item": line.lot.item.name + part,
        "book": counted(line.book, unit),
        "counted": "-" if line.counted is None else counted(line.counted, unit),
        "variance": signed(line.variance),
    }


def _noted_row(box: str, text: str) -> Row:
    values: dict[str, Json] = dict.fromkeys(KEYS) | {
        "box": box, "item": text, "finding": NOT_IN_BOOKS, "note": "",
    }  # fmt: skip
    empty = dict.fromkeys(("lot", "book", "counted", "variance"), "")
    return Row(values, {"item": text, "finding": f"in {box}"} | empty, Tone.WARN)


def signed(number: int) -> str:
    """A difference with its sign, as the trade writes it: ``+2``, ``−3``, ``0``."""
    return f"+{number}" if number > 0 else str(number).replace("-", "−")


def _signed_money(cents: int, currency: str) -> str:
    sign = "+" if cents > 0 else "−"
    return sign + money(abs(cents), currency)


def _totals(lines: Sequence[Counted], told: Told) -> tuple[str, ...]:
    if not lines:
        return ()
    if told.blind:
        done = sum(each.counted is not None for each in lines)
        return (f"{done} counted, {len(lines) - done} to count",)
    tally: dict[str, int] = {}
    for each in lines:
        tally[each.finding] = tally.get(each.finding, 0) + 1
    words = {"agrees": "agree"}
    found = ", ".join(f"{n} {words.get(it, it) if n > 1 else it}" for it, n in tally.items())
    said = f"{len(lines)} line{'s' * (len(lines) != 1)}: {found}"
    return (said, *_worth([each for each in lines if each.finding != "agrees"], told.currency))


def _worth(differ: Sequence[Counted], currency: str) -> tuple[str, ...]:
    """What the variances are worth, as far as costs are known; nothing where none is."""
    known = [each.cents for each in differ if each.cents]
    if not known:
        return ()
    unknown = sum(each.cents is None for each in differ)
    rest = f"; of {unknown} more the cost is not known" if unknown else ""
    value = _signed_money(sum(known), currency) if sum(known) else "nothing in all"
    return (f"value of the variances by what the lots cost: {value}{rest}",)


PAST_COLUMNS = (
    Column("stocktake", "Count", fixed=True),
    Column("box", "Box", weight=3),
    Column("stands", "Stands", fixed=True),
    Column("begun_on", "Begun", fixed=True),
    Column("ended_on", "Ended", fixed=True),
    Column("lines", "Lines", right=True, fixed=True),
    Column("variances", "Variances", right=True, fixed=True),
)
DUE_COLUMNS = (
    Column("box", "Box", weight=3),
    Column("last_counted_on", "Last counted", fixed=True),
    Column("every_days", "Every", right=True, fixed=True),
    Column("due_on", "Due by", fixed=True),
    Column("finding", "Stands", fixed=True),
)


def past_report(rows: Sequence[Mapping[str, object]], *, on: date, store: str) -> Report:
    """The stocktakes, those that are open first."""
    made = tuple(
        Row(
            row,  # type: ignore[arg-type]
            _days(row, "begun_on", "ended_on"),
            Tone.WARN if row["stands"] == "open" else Tone.PLAIN,
        )
        for row in sorted(rows, key=lambda it: it["stands"] != "open")
    )
    return Report(
        "Counts", on, store, PAST_COLUMNS, (Section("", made),) if made else (),
        empty="No counts yet; 'stockcheck count BOX' begins one.",
        keys=(
            "stocktake", "box", "begun_on", "by", "stands", "ended_on", "lines", "variances",
        ),
    )  # fmt: skip


def due_report(rows: Sequence[Mapping[str, object]], *, on: date, store: str) -> Report:
    """When each box was counted last, and by when it is to be counted again."""
    made = tuple(
        Row(
            row,  # type: ignore[arg-type]
            _days(row, "last_counted_on", "due_on")
            | {"every_days": f"{row['every_days']} days" if row["every_days"] else "never"},
            Tone.WARN if row["finding"] == "overdue" else Tone.PLAIN,
        )
        for row in rows
    )
    return Report(
        "Boxes to count", on, store, DUE_COLUMNS, (Section("", made),) if made else (),
        empty="No box is overdue for a count.",
        keys=("box", "last_counted_on", "every_days", "due_on", "finding"),
    )  # fmt: skip


def _days(row: Mapping[str, object], *names: str) -> dict[str, str]:
    return {name: spoken(day) for name in names if isinstance(day := row[name], date | None)}
