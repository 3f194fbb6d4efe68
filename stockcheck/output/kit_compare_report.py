"""Two kit lists side by side as a table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from stockcheck.core.kit_compare import Pair, Relation
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.words import counted
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("finding", "", fixed=True),
    Column("first", "First list", weight=4),
    Column("first_asks", "Asks", right=True, fixed=True),
    Column("second", "Second list", weight=4),
    Column("second_asks", "Asks", right=True, fixed=True),
    Column("note", "Sizes", weight=3),
)
KEYS = ("finding", "first", "first_asks", "second", "second_asks", "difference", "note")
_TONES = {
    Relation.EQUAL: Tone.QUIET,
    Relation.MORE: Tone.WARN,
    Relation.ONLY_SECOND: Tone.WARN,
}
_HOW = (
    "Lines are paired by the kinds and sizes that serve them, as this project reads the lists; read"
    " both texts before you go by it."
)


def compare_report(
    first: KitList, second: KitList, pairs: Sequence[Pair], *, on: date, differing: bool = False
) -> Report:
    """The pairs of lines; with ``differing`` those that are equal are only counted."""
    shown = [it for it in pairs if not differing or it.relation is not Relation.EQUAL]
    counts = Counter(it.relation for it in pairs)
    said = ", ".join(f"{counts[each]} {each.value}" for each in Relation if counts[each])
    return Report(
        title="Kit lists compared",
        on=on,
        store="",
        columns=COLUMNS,
        keys=KEYS,
        sections=(Section("", tuple(_row(it) for it in shown)),) if shown else (),
        facts=(f"first: {_called(first)}", f"second: {_called(second)}"),
        totals=(said, "more and fewer: what the second asks beside the first, in pieces"),
        cautions=(_HOW, "The law of the place decides which list applies."),
        empty="The two lists ask for the same.",
    )


def _called(kit_list: KitList) -> str:
    return f"{kit_list.id}, {kit_list.title_with_certainty}"


def _row(pair: Pair) -> Row:
    values: dict[str, Json] = {
        "finding": pair.relation.value,
        "first": pair.first.name if pair.first else None,
        "first_asks": _asks(pair.first),
        "second": pair.second.name if pair.second else None,
        "second_asks": _asks(pair.second),
        "difference": pair.difference,
        "note": pair.note,
    }
    words = pair.relation.value
    if pair.relation in {Relation.MORE, Relation.FEWER} and pair.difference is not None:
        words = f"{abs(pair.difference)} {words}"
    shown = {
        "finding": words,
        "first": pair.first.name if pair.first else "",
        "second": pair.second.name if pair.second else "",
        "first_asks": str(values["first_asks"] or ""),
        "second_asks": str(values["second_asks"] or ""),
    }
    return Row(values, shown, _TONES.get(pair.relation, Tone.PLAIN))


def _asks(line: Line | None) -> str | None:
    if line is None:
        return None
    return "named" if line.quantity is None else counted(line.quantity, line.unit)
