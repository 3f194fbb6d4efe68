"""What photographs of a box show: each thing seen, what was not read, and what was not seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.recognising import Sort
from stockcheck.core.scanning import SPOKEN
from stockcheck.core.words import counted
from stockcheck.output.expiry_report import TONES, cautions_of
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone
from stockcheck.output.scan_report import KEYS as SCAN_KEYS
from stockcheck.output.scan_report import scan_rows

if TYPE_CHECKING:
    from stockcheck.core.expiry import Standing
    from stockcheck.core.model import Box
    from stockcheck.core.scanning import Given

KEYS = ("outcome", "seen", *SCAN_KEYS, "symbology", "pictures")
_COLUMNS = (
    Column("spoken", "Word", fixed=True),
    Column("item", "What", weight=4),
    Column("lot", "Lot", fixed=True),
    Column("seen", "Seen", right=True, fixed=True),
    Column("box", "Box", weight=2),
    Column("where", "Picture and place", weight=4),
)


@dataclass(frozen=True, slots=True)
class Pictured:
    """One thing in the pictures: what it is, how many one picture shows, and where.

    ``standing`` is its stock in the box in question, else its worst anywhere; ``where`` is in
    words, ``pictures`` the same by picture.
    """

    given: Given
    standing: Standing | None
    count: int
    symbology: str
    where: str
    pictures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NotRead:
    """A part of a picture that was not read: the picture, the place in words, area and reason."""

    picture: str
    place: str
    area: str
    why: str


def photo_report(
    things: Sequence[Pictured],
    not_read: Sequence[NotRead],
    missing: Sequence[Standing],
    *,
    box: Box | None,
    facts: Sequence[str],
    on: date,
    store: str,
    cautions: Mapping[str, str],
) -> Report:
    """All three as one table; ``missing`` is what the box holds by the books and nobody saw."""
    sections = []
    if things:
        sections.append(Section("Seen", tuple(_thing(each, box) for each in things)))
    if not_read:
        sections.append(Section("Not read", tuple(_unread(each) for each in not_read)))
    if missing and box:
        rows = tuple(_missing(each) for each in missing)
        sections.append(Section(f"Not seen of {box.name}", rows, "by the books it is there"))
    held = [each.standing for each in things if each.standing] + list(missing)
    bad = [each.holding for each in held if TONES[each.status] is Tone.BAD]
    return Report(
        title="Codes in pictures",
        on=on,
        store=store,
        columns=_COLUMNS,
        keys=KEYS,
        sections=tuple(sections),
        facts=tuple(facts),
        cautions=cautions_of(bad, cautions),
        empty="No code was found in any picture. Go closer, hold still, give it more light.",
    )


def _thing(each: Pictured, box: Box | None) -> Row:
    row = scan_rows(each.given, [each.standing] if each.standing else [])[0]
    recognised = each.given.recognised
    values: dict[str, Json] = dict.fromkeys(KEYS)
    values |= row.values
    values |= {
        "outcome": "seen",
        "seen": each.count,
        "symbology": each.symbology,
        "pictures": list(each.pictures),
    }
    what = row.values["item"]
    if recognised is not None and (what is None or recognised.maker is not None):
        what = recognised.name if recognised.sort is Sort.BOX else recognised.title
    if recognised is not None and recognised.sort is Sort.UNKNOWN:
        what = recognised.text[3:] if recognised.text.startswith("]") else recognised.text
    word = SPOKEN[each.standing.status] if each.standing else word_of(each)
    remark = _remark(each, box)
    problem = "; ".join(str(it) for it in (row.values["problem"], remark) if it) or None
    values |= {"spoken": word, "problem": problem}
    details = [str(it) for it in (row.values["advice"], problem) if it]
    shown = {"item": str(what), "spoken": str(word), "where": each.where, "lot": _lot(row)}
    return replace(row, values=values, shown=shown | _nowhere(row), details=tuple(details))


def _lot(row: Row) -> str:
    return str(row.values["lot"] or "")


def _nowhere(row: Row) -> dict[str, str]:
    return {} if row.values["box"] else {"box": ""}


def word_of(each: Pictured) -> str:
    """What is said of that which has no status: a box, an action, a pack that is new here."""
    recognised = each.given.recognised
    if recognised is None:
        return "UNKNOWN"
    if maker := recognised.maker:
        if maker.recall is not None or maker.expired:
            return "RECALLED" if maker.recall is not None else "EXPIRED"
        return "NEW" if maker.item is not None else "UNKNOWN"
    if recognised.sort is Sort.LOT:
        return "NONE LEFT"
    return recognised.sort.value.upper()


def _remark(each: Pictured, box: Box | None) -> str:
    """Where pictures and books do not agree."""
    if each.standing is None:
        return ""
    held = each.standing.holding
    if box is not None and held.box.id != box.id:
        return f"by the books it is in {held.box.name}, not in {box.name}"
    if each.count > held.quantity and held.item.unit == "each":
        return f"{each.count} seen, but {held.quantity} by the books"
    return ""


def _unread(each: NotRead) -> Row:
    values: dict[str, Json] = dict.fromkeys(KEYS)
    where = f"{each.picture} {each.place}"
    values |= {
        "outcome": "not read",
        "spoken": "NOT READ",
        "problem": each.why,
        "pictures": [f"{where}, {each.area}"],
    }
    blank = dict.fromkeys(("lot", "seen", "box"), "")
    shown = blank | {"item": each.why, "where": f"{where}, {each.area}"}
    return Row(values, shown, Tone.WARN)


def _missing(standing: Standing) -> Row:
    held = standing.holding
    values: dict[str, Json] = dict.fromkeys(KEYS)
    values |= {
        "outcome": "not seen",
        "seen": 0,
        "box": held.box.name,
        "item": held.item.name,
        "lot": held.lot.short,
        "code": held.lot.code,
        "batch": held.lot.batch or None,
        "quantity": held.quantity,
        "unit": held.item.unit,
        "last_usable_day": held.last_usable_day,
        "status": standing.status.value,
        "spoken": "NOT SEEN",
        "advice": standing.advice,
        "pictures": [],
    }
    amount = counted(held.quantity, held.item.unit)
    shown = {"item": f"{held.item.name}, {amount}", "seen": "", "where": standing.status.value}
    return Row(values, shown, TONES[standing.status])
