"""Kit lists as tables: all that ship, or one with its lines, source and certainty."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.calendar import spoken
from stockcheck.core.kit_list import MEMORY, OWN, Instead, KitList, Line
from stockcheck.core.kit_list_fit import Match
from stockcheck.core.model import Kind
from stockcheck.core.words import counted, listed
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.core.kit_list import BoxKit

_LISTS = (
    Column("list", "List", weight=3),
    Column("title", "What it is", weight=5),
    Column("lines", "Lines", right=True, fixed=True),
    Column("certainty", "Known", fixed=True),
)
_USUAL = (
    Column("box", "Box", weight=3),
    Column("lists", "Lists", weight=5),
    Column("given", "Its place has", weight=3),
    Column("check_every_days", "Look every", weight=2),
)
_MATCHES = (
    Column("number", "No.", right=True, fixed=True),
    Column("item", "Item", weight=4),
    Column("serves", "", fixed=True),
    Column("line", "Line (list)", weight=5),
    Column("on", "Said on", fixed=True),
    Column("note", "Why", weight=3),
)
_LAW = "The law of the place decides which list applies; none here is a certificate."
_NONE = "A list is no certificate, and neither is a kit that meets it."
_LINES = (
    Column("line", "Line", weight=4),
    Column("quantity", "Asked", right=True, fixed=True),
    Column("spec", "Size and kind", weight=4),
    Column("condition", "Remarks", weight=3),
)


def lists_report(found: Sequence[KitList], *, on: date) -> Report:
    """Every list with its title and how sure it is."""
    return Report(
        title="Kit lists",
        on=on,
        store="",
        columns=_LISTS,
        sections=(Section("", tuple(_list_row(each) for each in found)),),
        totals=(
            f"{len(found)} lists; seen: read in a copy of the source; memory: not read"
            + ("; own: your own" if any(each.certainty == OWN for each in found) else ""),
        ),
        cautions=(_LAW,),
    )


def _list_row(each: KitList) -> Row:
    values: dict[str, Json] = {
        "list": each.id,
        "title": each.title,
        "source": each.source,
        "edition": each.edition,
        "jurisdiction": each.jurisdiction,
        "certainty": each.certainty,
        "lines": len(each.lines),
    }
    return Row(values, {}, Tone.WARN if each.certainty == MEMORY else Tone.PLAIN)


def lines_report(
    kit_list: KitList, *, on: date, kit_cautions: Mapping[str, str], kinds: Iterable[Kind]
) -> Report:
    """One list with all its lines; the caution of medicines where one of ``kinds`` serves it."""
    given = ["medicine-in-kit"] if kit_list.asks_for("medicine", kinds) else []
    memory = " (FROM MEMORY, not read in the source)" if kit_list.certainty == MEMORY else ""
    facts = [
        f"{kit_list.id}: {kit_list.source}{memory}",
        f"edition {kit_list.edition}; {kit_list.jurisdiction}",
    ]
    facts += [f"for {kit_list.people_words}"] if kit_list.people_words else []
    if kit_list.check_every_days:
        source = f" ({kit_list.check_source})" if kit_list.check_source else ""
        facts.append(f"look at it every {kit_list.check_every_days} days{source}")
    facts += [f"a newer edition is {kit_list.replaced_by}"] if kit_list.replaced_by else []
    facts += [kit_list.notes] if kit_list.notes else []
    facts += [f"seen at {place}" for place in kit_list.seen_at]
    return Report(
        title=kit_list.title,
        on=on,
        store="",
        columns=_LINES,
        sections=(Section("", tuple(_line_row(kit_list, line) for line in kit_list.lines)),),
        facts=tuple(facts),
        totals=(f"{len(kit_list.lines)} lines; 'named' stands where no number is given",),
        cautions=(_NONE, *(kit_cautions[key] for key in ("law", *given))),
    )


def usual_report(rows: Sequence[tuple[str, BoxKit]], *, on: date, store: str) -> Report:
    """Which box is usually held against which lists."""
    return Report(
        title="What boxes are held against",
        on=on,
        store=store,
        columns=_USUAL,
        keys=("box", "lists", "given", "check_every_days"),
        sections=(Section("", tuple(_usual_row(box, kit) for box, kit in rows)),) if rows else (),
        empty="No box has a usual kit list; 'stockcheck kit-lists usual BOX ID' remembers one.",
    )


def _usual_row(box: str, kit: BoxKit) -> Row:
    values: dict[str, Json] = {
        "box": box,
        "lists": list(kit.lists),
        "given": list(kit.given),
        "check_every_days": kit.every_days,
    }
    every = f"{kit.every_days} days" if kit.every_days else "as the list says"
    shown = {
        "lists": ", ".join(kit.lists),
        "given": ", ".join(kit.given),
        "check_every_days": every,
    }
    return Row(values, shown)


def matches_report(
    found: Sequence[Match], items: Mapping[int, str], *, on: date, store: str
) -> Report:
    """What was matched by hand, with the number that takes each back."""
    return Report(
        title="Matched by hand",
        on=on,
        store=store,
        columns=_MATCHES,
        keys=("number", "list", "line", "item", "serves", "units", "on", "note"),
        sections=(Section("", tuple(_match_row(it, items[it.item_id]) for it in found)),)
        if found
        else (),
        empty="Nothing was matched by hand.",
    )


def _match_row(match: Match, item: str) -> Row:
    values: dict[str, Json] = {
        "number": match.id,
        "list": match.list_id,
        "line": match.line,
        "item": item,
        "serves": match.serves,
        "units": match.measure or None,
        "on": match.on,
        "note": match.note,
    }
    shown = {
        "serves": "serves" if match.serves else "does NOT serve",
        "line": f"{match.line} ({match.list_id})",
        "on": spoken(match.on) if match.on else "",
        "note": "; ".join(
            part
            for part in (f"{match.measure} to one" if match.measure else "", match.note)
            if part
        ),
    }
    return Row(values, shown)


def _line_row(kit_list: KitList, line: Line) -> Row:
    values: dict[str, Json] = {
        "list": kit_list.id,
        "line": line.name,
        "quantity": line.quantity,
        "unit": line.unit,
        "spec": line.spec,
        "kinds": sorted(line.serving_kinds),
        "dated": line.dated,
        "sterile": line.sterile,
        "alternative": line.alternative,
        "condition": line.condition,
        "certainty": line.certainty,
        "scale": line.scale.words,
        "set_of": [f"{part.quantity} {part.name}" for part in line.parts],
    }
    asked = "named" if line.quantity is None else counted(line.quantity, line.unit)
    remarks = [
        line.condition,
        f"or: {line.alternative}" if line.alternative else "",
        line.scale.words,
        _set_of(line),
        f"anything of {listed(list(line.groups))}" if line.groups else "",
        "only that size" if line.only_that_size else "",
        f"a piece of {line.content} at least" if line.content else "",
        "from memory" if line.certainty == MEMORY != kit_list.certainty else "",
        *(_otherwise(it) for it in line.instead),
    ]
    shown = {"quantity": asked, "condition": "; ".join(part for part in remarks if part)}
    return Row(values, shown)


def _set_of(line: Line) -> str:
    parts = [f"{counted(it.quantity or 1, it.unit)} {it.name}" for it in line.parts]
    return f"a set of {listed(parts)}" if parts else ""


def _otherwise(other: Instead) -> str:
    marked = f" marked {listed(list(other.size_words), 'or')}" if other.size_words else ""
    return f"{other.quantity}{marked} where {other.when}"
