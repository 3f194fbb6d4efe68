"""What a session, or a number of codes, came to: for people, for scripts, and for --fail-on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockcheck.core.model import Status
from stockcheck.core.scanning import GOOD, Mood, Said
from stockcheck.core.scanning_words import standing_of
from stockcheck.core.words import counted, listed

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from stockcheck.cli.scan_looking import Looking
    from stockcheck.core.expiry import Standing
    from stockcheck.core.model import Holding
    from stockcheck.core.scanning import Deed, Given, Session, Setting
    from stockcheck.output.report import Row

_NAMED = 12


def findings(given: Given, setting: Setting) -> set[str]:
    """What --fail-on may name of one text."""
    return {each.status.value for each in standing_of(_live(given), setting)} | of_code(given)


def of_code(given: Given) -> set[str]:
    """What --fail-on may name of a text beside the stock that it is about."""
    found = set[str]()
    if given.recognised is not None and not given.recognised.known:
        found.add("unknown")
    maker = given.recognised.maker if given.recognised else None
    if maker is not None and (maker.expired or maker.recall or maker.held_lots):
        found.add("expired" if maker.expired else "held")
    return found


def _live(given: Given) -> list[Holding]:
    return [each for each in given.held if each.quantity > 0]


def report_codes(
    looking: Looking, setting: Setting, codes: Iterable[str], fmt: str, output: Path | None
) -> set[str]:
    """Codes as a report for scripts; returns what was found."""
    from stockcheck.cli.shell import emit
    from stockcheck.data.kinds import cautions
    from stockcheck.output.scan_report import scan_report, scan_rows

    rows: list[Row] = []
    held: list[Standing] = []
    found: set[str] = set()
    for code in codes:
        given = looking.thing(code)
        standings = standing_of(_live(given), setting)
        rows += scan_rows(given, standings)
        held += standings
        found |= findings(given, setting)
    report = scan_report(rows, held, on=setting.on, store=looking.store.name, cautions=cautions())
    emit(report, fmt, output)
    return found


def sum_up(
    looking: Looking,
    setting: Setting,
    session: Session,
    deeds: Sequence[Deed],
    fmt: str = "text",
    output: Path | None = None,
) -> set[str]:
    """What a session came to; returns what --fail-on may name of it."""
    standings = standing_of(looking.boxes(session.boxes), setting) if session.boxes else []
    pairs = [(it, (it.holding.lot.id, it.holding.box.id) in session.seen) for it in standings]
    if fmt == "text" and output is None:
        _tell(looking, setting, session, pairs, deeds)
    else:
        from stockcheck.cli.shell import emit
        from stockcheck.data.kinds import cautions
        from stockcheck.output.scan_report import summary_report

        report = summary_report(
            pairs, deeds, on=setting.on, store=looking.store.name, cautions=cautions()
        )
        emit(report, fmt, output)
    found = {standing.status.value for standing in standings}
    found |= {"not seen"} if any(not seen for _, seen in pairs) else set()
    return found | ({"unknown"} if session.unknown else set())


def _tell(
    looking: Looking,
    setting: Setting,
    session: Session,
    pairs: Sequence[tuple[Standing, bool]],
    deeds: Sequence[Deed],
) -> None:
    from stockcheck.cli.scan_telling import tell

    lines = [Said("", word="SUMMARY"), *_seen(pairs)]
    bad = [each for each, _ in pairs if each.status not in GOOD]
    for status in dict.fromkeys(each.status for each in bad):
        those = [each for each in bad if each.status is status]
        mood = Mood.WARN if status in {Status.ENDS_ON_TRIP, Status.LAST_RESORT} else Mood.BAD
        lines.append(Said(f"{status.value}: {_names(those)}", mood, indent=2))
    lines += _deeds(deeds)
    if session.unknown:
        lines.append(Said(f"not known: {listed(list(session.unknown[:_NAMED]))}", indent=2))
    if session.labels:
        lots = " ".join(f"L{number}" for number in session.labels)
        lines.append(Said(f"labels: stockcheck labels {lots} --output labels.pdf", indent=2))
    lines += _overdue(looking, setting)
    if len(lines) == 1:
        lines.append(Said("no box was scanned, nothing was written", indent=2))
    tell(lines)


def _seen(pairs: Sequence[tuple[Standing, bool]]) -> list[Said]:
    if not pairs:
        return []
    missing = [standing for standing, seen in pairs if not seen]
    seen = len(pairs) - len(missing)
    noun = "holding" if len(pairs) == 1 else "holdings"
    lines = [Said(f"seen: {seen} of {len(pairs)} {noun}", indent=2)]
    if missing:
        lines.append(Said(f"not seen: {_names(missing)}", Mood.WARN, indent=2))
    return lines


def _names(found: Sequence[Standing]) -> str:
    held = [each.holding for each in found]
    named = [
        f"{each.lot.short} {each.item.name}, {counted(each.quantity, each.item.unit)}"
        for each in held[:_NAMED]
    ]
    more = [f"{len(held) - _NAMED} more"] if len(held) > _NAMED else []
    return "; ".join([*named, *more])


def _deeds(deeds: Sequence[Deed]) -> list[Said]:
    """What was done, by sort, in the order of the first of each."""
    by_sort: dict[str, list[str]] = {}
    for deed in deeds:
        amount = counted(deed.quantity, deed.unit)
        plus = "+" if deed.what == "counted" and deed.quantity > 0 else ""
        into = f" to {deed.to_box}" if deed.to_box else ""
        words = f"{plus}{amount} of {deed.item} ({deed.lot}){into}"
        by_sort.setdefault(deed.what, []).append(words)
    return [Said(f"{what}: {'; '.join(words)}", indent=2) for what, words in by_sort.items()]


def _overdue(looking: Looking, setting: Setting) -> list[Said]:
    """The boxes that should be counted, and the kits that should be audited, again."""
    from stockcheck.store import audits, stocktake_due

    conn, on = looking.store.conn, setting.on
    counts = [each.box for each in stocktake_due.overdue(conn, on)]
    rounds = [each.box for each in audits.overdue(conn, on)]
    return [
        Said(f"overdue for {what}: {_some(names)}", Mood.WARN, indent=2)
        for what, names in (("a count", counts), ("an audit", rounds))
        if names
    ]


def _some(names: list[str]) -> str:
    more = [f"{len(names) - _NAMED} more"] if len(names) > _NAMED else []
    return listed([*names[:_NAMED], *more])
