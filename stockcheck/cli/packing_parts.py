"""The parts of a departure pack, gathered from the store."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.cli.shell import on_the_way
from stockcheck.core import pack
from stockcheck.core.errors import BadInput
from stockcheck.core.expiry import standings
from stockcheck.core.words import counted, listed
from stockcheck.output import pack_parts, pack_report
from stockcheck.output.bundle import Bundle, Part
from stockcheck.output.pack_report import Where
from stockcheck.store import reads

if TYPE_CHECKING:
    from stockcheck.core.expiry import Standing
    from stockcheck.core.model import Box, Holding
    from stockcheck.core.planning import Trip
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store

MOST_BARS = 400  # of the picture: beyond that it shows only what does not outlast the trip


@dataclass(frozen=True, slots=True)
class Wish:
    """What a pack is asked for. ``page`` is the paper of lid sheets, "" where none are drawn."""

    on: date
    boxes: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    without: frozenset[str] = frozenset()
    page: str = "A4"


@dataclass(frozen=True, slots=True)
class Aboard:
    """What goes along: the boxes, what is in them as the trip leaves it, how each holding stands.

    ``every`` are all boxes, the retired too: where a box is hangs on those around it.
    """

    store: Store
    going: Trip
    wish: Wish
    every: tuple[Box, ...]
    boxes: tuple[Box, ...]
    held: tuple[Holding, ...]
    found: tuple[Standing, ...]
    where: Where


def bundle_of(store: Store, going: Trip, wish: Wish) -> tuple[Bundle, tuple[str, ...]]:
    """The pack, and the codes that its drawn lid sheets carry, in order."""
    from stockcheck.cli.packing_boxes import boxes_part
    from stockcheck.cli.packing_supply import supply_of

    aboard = _aboard(store, going, wish)
    said = _said(aboard)
    found = pack.risks(aboard.found, said)
    audits = list(_audits(aboard))
    lids, codes = boxes_part(aboard)
    supply, ends = supply_of(aboard), pack.endings(aboard.found, going)
    way = pack_report.way_report(aboard.found, going, aboard.where, said)
    parts = [
        Part("way", way, ends.words),
        *_timeline(aboard),
        *([] if "boxes" in wish.without else [lids]),
        *(part for part, _ in audits),
        _part("risks", pack_report.risks_report(found, aboard.where)),
        *supply.parts,
        _part("disposal", _disposal(aboard)),
        Part("cautions", _cautions(aboard)),
    ]
    lacks = supply.lacks(tuple(box for _, box in audits if box))
    verdict = pack.verdict(going, wish.on, found, lacks, ends)
    cover = pack_report.pack_cover(going, verdict)
    if wish.left or wish.boxes:
        cover = replace(cover, facts=(*cover.facts, ("Boxes", _which(wish))))
    return Bundle(wish.on, store.name, cover, tuple(parts), lots_in=lids.key), codes


def _which(wish: Wish) -> str:
    words = [f"only {listed(list(wish.boxes))}"] if wish.boxes else []
    words += [f"without {listed(list(wish.left))}"] if wish.left else []
    return ", ".join(words)


def _part(key: str, report: Report) -> Part:
    return Part(key, report, counted(len(report.rows), "holding"))


def _aboard(store: Store, going: Trip, wish: Wish) -> Aboard:
    conn = store.conn
    every = reads.boxes(conn, retired=True)
    chosen = _chosen(store, every, wish)
    held = on_the_way(store, reads.holdings(conn, box_ids=sorted(chosen)), going)
    found = standings(held, wish.on, horizon=going.horizon)
    boxes = tuple(box for box in every if box.id in chosen and box.retired_on is None)
    where = Where(wish.on, store.name, reads.places(every))
    return Aboard(store, going, wish, tuple(every), boxes, tuple(held), tuple(found), where)


def _chosen(store: Store, every: Sequence[Box], wish: Wish) -> set[int]:
    """The boxes that go along: those named or all, without those that stay."""
    from stockcheck.store.names import find_id

    def inside(names: Sequence[str]) -> set[int]:
        ids = [find_id(store.conn, "box", name) for name in names]
        return {each for number in ids for each in reads.box_and_inside(every, number)}

    chosen = inside(wish.boxes) if wish.boxes else {box.id for box in every}
    left = chosen - inside(wish.left)
    if wish.left and chosen and not left:
        raise BadInput("no box is left for the pack; take a --leave away")
    return left


def _said(aboard: Aboard) -> dict[pack.Key, pack.Said]:
    from stockcheck.store.inspections import decisions

    made = decisions(aboard.store.conn, {each.lot.id for each in aboard.held})
    return {
        key: pack.Said(each.decided, each.standing, each.reason, each.on)
        for key, each in made.items()
    }


def _timeline(aboard: Aboard) -> Iterator[Part]:
    from stockcheck.core.model import Status
    from stockcheck.output.expiry_report import expiry_timeline

    if "timeline" in aboard.wish.without:
        return
    found, about = list(aboard.found), "how long each holding is good, beside the trip"
    if len(found) > MOST_BARS:
        lasting = {Status.IN_DATE, Status.DUE}
        found = [each for each in found if each.status not in lasting]
        about = "what does not outlast the trip; there is too much else for a picture"
    picture = expiry_timeline(
        found, aboard.every, aboard.where.places, on=aboard.wish.on, trip=aboard.going
    )
    yield Part("timeline", pack_report.timeline_report(picture, aboard.where), about)


def _audits(aboard: Aboard) -> Iterator[tuple[Part, str]]:
    """The audit of each box with a usual list, and its name where the list is not met throughout.

    One part says so where no box has a list.
    """
    from stockcheck.cli.audit import told
    from stockcheck.cli.auditing import Asked, audited_box
    from stockcheck.data.kinds import cautions
    from stockcheck.output.expiry_report import cautions_of
    from stockcheck.store.own_lists import kits

    if "audits" in aboard.wish.without:
        return
    asked = Asked(aboard.wish.on, aboard.going)
    elsewhere = cautions_of(aboard.held, cautions())  # the pack's own part has them
    along = {box.id for box in aboard.boxes}
    wanted = [number for number in kits(aboard.store.conn) if number in along]
    for number in wanted:
        done = audited_box(aboard.store, number, asked)
        lines = len(done.result.lines)
        about = f"{done.result.met_through} of {counted(lines, 'line')} met through the trip"
        report = told(aboard.store, done, asked)
        own = tuple(text for text in report.cautions if text not in elsewhere)
        part = Part(f"audit-b{number}", replace(report, cautions=own), about)
        yield part, "" if done.result.met_through == lines else done.box
    if not wanted:
        yield Part("audits", pack_report.no_audit(aboard.where)), ""


def _disposal(aboard: Aboard) -> Report:
    from stockcheck.data.kinds import cautions, disposal_routes

    leads = {key: text.partition(":")[0] for key, text in cautions().items()}
    return pack_parts.disposal_report(
        aboard.found, aboard.going, aboard.where, disposal_routes(), leads
    )


def _cautions(aboard: Aboard) -> Report:
    from stockcheck.data.kinds import cautions, keep_apart
    from stockcheck.output.expiry_report import cautions_of

    names = {each.kind.key: each.kind.name for each in aboard.held}
    boxes: dict[str, set[int]] = {}
    for each in aboard.held:
        boxes.setdefault(each.kind.key, set()).add(each.box.id)
    apart = []
    for rule in keep_apart():
        these = [key for key in rule.these if key in names]
        those = [key for key in rule.those if key in names and key not in rule.these]
        if these and those:
            one, other = (set().union(*(boxes[key] for key in it)) for it in (these, those))
            together = tuple(box.id for box in aboard.boxes if box.id in one & other)
            near, away = (listed([names[key] for key in it]) for it in (these, those))
            apart.append(pack_parts.Apart(rule, near, away, together))
    return pack_parts.cautions_report(cautions_of(aboard.held, cautions()), apart, aboard.where)
