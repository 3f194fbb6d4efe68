"""An audit as a table: every line of the list with how it stands, then what is not on the list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stockcheck.core.audit_explain import explained
from stockcheck.core.audit_result import BY_HAND, AuditResult, Finding, LineResult, Serving
from stockcheck.core.audit_stock import Role
from stockcheck.core.calendar import spoken
from stockcheck.core.expiry import until_words
from stockcheck.core.kit_list import MEMORY, PARTS, KitList
from stockcheck.core.model import Holding, Kind, Status
from stockcheck.core.shelf_life import status
from stockcheck.core.words import counted
from stockcheck.output.expiry_report import cautions_of
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("finding", "Finding", fixed=True),
    Column("line", "Line of the list", weight=3),
    Column("required", "Asked", right=True, fixed=True),
    Column("usable", "Usable", right=True, fixed=True),
    Column("short", "Short", right=True, fixed=True),
    Column("why", "Why", weight=4),
)
KEYS = (
    "list", "line", "required", "unit", "usable", "expired", "undated", "ends_on_trip", "short",
    "finding", "holdings",
)  # fmt: skip
TONES = {
    Finding.OK: Tone.GOOD,
    Finding.SURPLUS: Tone.GOOD,
    Finding.ENDS_ON_TRIP: Tone.WARN,
    Finding.NOT_ON_LIST: Tone.QUIET,
}
NOT_A_CERTIFICATE = (
    "An audit tells how the box stands against the list on a day. It is no certificate, and the law"
    " of the place decides which list applies."
)


def audit_report(
    result: AuditResult,
    *,
    box: str,
    store: str,
    facts: tuple[str, ...],
    cautions: Mapping[str, str],
    kit_cautions: Mapping[str, str] | None = None,
    kinds: Iterable[Kind] = (),
    explain: bool = False,
) -> Report:
    """Lay an audit out: the verdict on top, unmet lines first.

    With ``explain`` each line tells which other lines its stock could serve, and why it does not.
    ``kinds`` are those of the store: a list that asks for a medicine shows its caution, though none
    is held.
    """
    why = explained(result) if explain else {}
    kit_list = result.kit_list
    ordered = sorted(result.lines, key=lambda line: (line.met, line.finding is Finding.OK))
    rows = tuple(_row(result, line, why.get(line.line.name, ())) for line in ordered)
    sections = [Section(kit_list.title, rows)]
    if result.not_on_list:
        rows = tuple(_extra(result, holding) for holding in result.not_on_list)
        sections.append(Section("In the box, not on the list", rows))
    held = [serving.holding for line in result.lines for serving in line.holdings]
    shown = [*held, *result.not_on_list]
    return Report(
        title=f"Audit of {box}",
        on=result.on,
        store=store,
        columns=COLUMNS,
        keys=KEYS,
        sections=tuple(sections),
        facts=(*_standing(result), *facts, *_left_out(result), *_by_hand(shown, result)),
        totals=_totals(result),
        cautions=(
            NOT_A_CERTIFICATE,
            *_of_kits(result, kit_cautions or {}, kinds),
            *cautions_of(shown, cautions),
        ),
        empty="The list has no lines.",
        grouped="Of",
    )


def _standing(result: AuditResult) -> list[str]:
    """The verdict, how many lines are met, and where the list comes from."""
    kit_list = result.kit_list
    memory = " (from memory, not read in the source)" if kit_list.certainty == MEMORY else ""
    newer = [f"a newer edition is {kit_list.replaced_by}"] if kit_list.replaced_by else []
    return [
        result.verdict,
        f"{result.met} of {len(result.lines)} lines met",
        *(f"list {part}{memory}" for part in _origins(kit_list)),
        *newer,
    ]


def _left_out(result: AuditResult) -> list[str]:
    """The lines that do not apply at this place, and why."""
    return [
        f"left out: {line.name}: {line.condition or 'does not apply here'}"
        for line in result.not_applied
    ]


def _by_hand(held: Iterable[Holding], result: AuditResult) -> list[str]:
    """What a person said of things that are in the box, and since when."""
    names = {it.item.id: it.item.name for it in held}
    return [
        f"matched by hand{f' on {spoken(it.on)}' if it.on else ''}: {names[it.item_id]!r}"
        f" {'serves' if it.serves else 'does not serve'} {it.line!r}"
        + (f" ({it.note})" if it.note else "")
        for it in result.said
        if it.item_id in names
    ]


def _of_kits(result: AuditResult, texts: Mapping[str, str], known: Iterable[Kind]) -> list[str]:
    """The cautions of kits that this audit gives reason for, each once."""
    at_lines = [serving for line in result.lines for serving in line.holdings]
    kinds = {it.holding.kind for it in at_lines} | {it.kind for it in result.not_on_list}
    sterile = any(line.line.sterile for line in result.lines)
    old = any(it.role is Role.EXPIRED and "sterile" in it.holding.kind.cautions for it in at_lines)
    given = {
        "medicine-in-kit": any("medicine" in kind.cautions for kind in kinds)
        or result.kit_list.asks_for("medicine", known),
        "single-use": sterile,
        "expired-dressings": old,
    }
    return [texts[key] for key, shown in given.items() if shown and key in texts]


def _origins(kit_list: KitList) -> list[str]:
    """Where a list, or each of the lists put together, comes from."""
    ids, sources = kit_list.id.split("+"), kit_list.source.split(PARTS)
    editions = kit_list.edition.split(PARTS)
    if not len(ids) == len(sources) == len(editions):
        return [f"{kit_list.id}: {kit_list.source}, {kit_list.edition}"]
    return [
        f"{each}: {source}, {edition}"
        for each, source, edition in zip(ids, sources, editions, strict=True)
    ]


def _row(result: AuditResult, line: LineResult, details: tuple[str, ...] = ()) -> Row:
    values: dict[str, Json] = {
        "list": result.kit_list.id,
        "line": line.line.name,
        "required": line.required,
        "unit": line.unit,
        "usable": line.usable,
        "expired": line.expired,
        "undated": line.undated,
        "ends_on_trip": line.ends_on_trip,
        "short": line.short,
        "finding": line.finding.value,
        "holdings": [_serving(serving) for serving in line.holdings],
    }
    mark = " *" if line.line.certainty == MEMORY else ""
    shown = {
        "finding": line.finding.value if line.met else line.finding.value.upper(),
        "line": line.line.name + mark,
        "required": counted(line.required, line.unit) if line.required is not None else "named",
        "usable": str(line.usable),
        "short": str(line.short) if line.required is not None and line.short else "",
        "why": _why(line),
    }
    tone = TONES.get(line.finding, Tone.WARN if line.met else Tone.BAD)
    return Row(values, shown, tone, details)


def _why(line: LineResult) -> str:
    """What the columns beside it do not say yet."""
    if line.finding is Finding.MISSING:
        return "none held"
    said = ("asks ", "usable ")
    parts = [part for part in line.why.split("; ") if not part.startswith(said)]
    more = "; ".join(part for part in parts if part != f"short {line.short}")
    if line.finding is Finding.SHORT and line.required is not None and not more:
        return f"{line.usable} of {line.required} usable"
    return more


def _serving(serving: Serving) -> dict[str, Json]:
    holding = serving.holding
    return {
        "lot": holding.lot.short,
        "item": holding.item.name,
        "box": holding.box.name,
        "quantity": serving.quantity,
        "role": str(serving.role),
        "last_usable_day": holding.last_usable_day,
        "by_hand": serving.note == BY_HAND,
    }


def _extra(result: AuditResult, holding: Holding) -> Row:
    values: dict[str, Json] = {
        "list": result.kit_list.id,
        "line": None,
        "required": None,
        "unit": holding.item.unit,
        "usable": None,
        "expired": None,
        "undated": None,
        "ends_on_trip": None,
        "short": None,
        "finding": Finding.NOT_ON_LIST.value,
        "holdings": [
            {
                "lot": holding.lot.short,
                "item": holding.item.name,
                "box": holding.box.name,
                "quantity": holding.quantity,
                "role": Finding.NOT_ON_LIST.value,
                "last_usable_day": holding.last_usable_day,
            }
        ],
    }
    standing = status(holding, result.on)
    shown = {
        "line": holding.item.name,
        "required": "",
        "usable": "",
        "short": "",
        "why": _extra_words(holding, standing),
    }
    bad = standing in {Status.EXPIRED, Status.UNDATED, Status.HELD}
    return Row(values, shown, Tone.WARN if bad else Tone.QUIET)


def _extra_words(holding: Holding, standing: Status) -> str:
    """Where it is and how it stands: what is no good is said to be so, on the list or not."""
    amount = counted(holding.quantity, holding.item.unit)
    where = f"{amount} of {holding.lot.short} in {holding.box.name}"
    last = holding.last_usable_day
    if standing is Status.EXPIRED:
        return f"{where}: EXPIRED, was good through {until_words(holding)}"
    if standing in {Status.UNDATED, Status.HELD, Status.LAST_RESORT}:
        return f"{where}: {standing.value.upper()}"
    return f"{where}, good through {until_words(holding)}" if last else where


def _totals(result: AuditResult) -> tuple[str, ...]:
    counts = dict.fromkeys(Finding, 0)
    for line in result.lines:
        counts[line.finding] += 1
    counts[Finding.NOT_ON_LIST] = len(result.not_on_list)
    said = ", ".join(f"{count} {finding.value}" for finding, count in counts.items() if count)
    starred = any(line.line.certainty == MEMORY for line in result.lines)
    note = ("* this line of the list is from memory, not read in the source",) if starred else ()
    return (said, *note)
