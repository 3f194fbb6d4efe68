"""Finding things, why a lot is good until a day, and what happened to it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import Shell, emit, on_option, pass_shell, report_options, say

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.ageing import Ageing
    from stockcheck.core.model import Holding
    from stockcheck.output.report import Json
    from stockcheck.store.files import Store
    from stockcheck.store.finding import Hit
    from stockcheck.store.ledger import Entry

_LAST = 40
_NAMED = 10


@click.command()
@click.argument("text", nargs=-1, required=True)
@report_options("text", "csv", "json")
@on_option
@pass_shell
def find(shell: Shell, text: tuple[str, ...], on: date, fmt: str, output: Path | None) -> None:
    """Find anything by words of its name, note, batch or kind in any order, or by its code.

    \b
    Examples:
      stockcheck find tablet water
      stockcheck find 1000000595
    """
    from stockcheck.cli.cards import on_hand
    from stockcheck.store import reads
    from stockcheck.store.finding import search

    words = " ".join(text)
    with shell.store() as store:
        hits = _by_code(store, words) or search(store.conn, words)
        lots = {hit.id for hit in hits if hit.type == "lot"}
        items = {hit.id for hit in hits if hit.type == "item"}
        lots |= {each.lot.id for each in reads.holdings(store.conn, item_ids=sorted(items))}
        boxes = [hit.id for hit in hits if hit.type == "box"]
        if len(boxes) == sum(hit.type not in {"supplier", "trip"} for hit in hits) == 1:
            held = reads.holdings(store.conn, box_ids=boxes)
        else:
            held = reads.holdings(store.conn, lot_ids=sorted(lots))
        report = on_hand(store, f"Found for {words!r}", tuple(_also(hits, held)), held, on)
    emit(report, fmt, output)
    if not hits:
        say("Nothing found. Words are looked for by their beginnings.", err=True)


def _also(hits: list[Hit], held: list[Holding]) -> list[str]:
    """What was found beside the holdings: all that is no stock, and stock of which none is left."""
    shown = {("item", each.item.id) for each in held} | {("lot", each.lot.id) for each in held}
    others = [hit for hit in hits if (hit.type, hit.id) not in shown]
    facts = [
        f"{hit.type} {_short(hit.type, hit.id)}{hit.title}"
        + (", none on hand" if hit.type in {"item", "lot"} else "")
        for hit in others[:_NAMED]
    ]
    return facts + ([f"and {len(others) - _NAMED} more"] if len(others) > _NAMED else [])


def _short(what: str, number: int) -> str:
    return f"{what[0].upper()}{number} " if what in {"lot", "box", "item"} else ""


def _by_code(store: Store, words: str) -> list[Hit]:
    from stockcheck.core.codes import read_code, read_gtin
    from stockcheck.core.errors import UnknownName
    from stockcheck.store import reads
    from stockcheck.store.finding import Hit
    from stockcheck.store.names import find_id, name_of

    code = read_code(words)
    what = code[0] if code else "item" if read_gtin(words) else ""
    if what not in {"lot", "box", "item"}:
        return []
    try:
        number = find_id(store.conn, what, words)
        title = (
            reads.lots(store.conn, [number])[0].item.name
            if what == "lot"
            else (name_of(store.conn, what, number))
        )
        return [Hit(what, number, title)]
    except UnknownName:
        return []


@click.command()
@click.argument("thing", metavar="LOT")
@click.option("--trip", "trip_name", metavar="NAME", help="With this trip's climate in place.")
@on_option
@pass_shell
def why(shell: Shell, thing: str, trip_name: str | None, on: date) -> None:
    """Tell every limit of a lot with its arithmetic and source, and which one governs.

    \b
    Examples:
      stockcheck why L58
      stockcheck why "eye drops, 10 ml bottle"
    """
    from stockcheck.store import reads
    from stockcheck.store.names import find_stock

    with shell.store() as store:
        lot_ids, item_ids = find_stock(store.conn, thing)
        held = reads.holdings(store.conn, lot_ids=lot_ids, item_ids=item_ids)
        held, aged = _with_heat(store, held, trip_name)
        if not held and lot_ids:
            one = reads.lots(store.conn, lot_ids)[0]
            say(f"{one.short}  {one.item.name}: none on hand")
        elif not held:
            say(f"{thing}: none on hand")
    for number, holding in enumerate(held):
        if number:
            click.echo()
        tell(holding, on, aged.get(holding.id, ()))
    if held:
        _caution({key: None for each in held for key in each.kind.cautions})


def _with_heat(
    store: Store, held: list[Holding], trip_name: str | None
) -> tuple[list[Holding], dict[int, list[Ageing]]]:
    """The holdings, and what heat makes of them, as a trip's climate leaves them if one is named.

    A holding that it changes says where its heat comes from: "on the trip".
    """
    from stockcheck.store.limits import ageing_by_heat

    if trip_name is None:
        return held, ageing_by_heat(store.conn, held)
    from stockcheck.store import plans
    from stockcheck.store.names import find_id
    from stockcheck.store.shifts import ageing_on_trip, heated

    going = plans.trip(store.conn, find_id(store.conn, "trip", trip_name))
    if not going.climate:
        say(f"the trip {going.name} names no climate: all is as without it")
        click.echo()
    aged = ageing_on_trip(store.conn, held, going)
    return heated(held, aged), aged


def tell(holding: Holding, on: date, aged: Sequence[Ageing] = ()) -> None:
    """Print why a holding is good until its day; ``aged`` is what heat makes of it."""
    from stockcheck.core.reasons import reasons

    for indent, words in reasons(holding, on, aged):
        say(words, indent)


def _caution(keys: dict[str, None]) -> None:
    from stockcheck.data.kinds import cautions

    texts = cautions()
    for key in keys:
        click.echo()
        say(f"Caution: {texts[key]}")


@click.command()
@click.argument("thing", metavar="[LOT|ITEM|BOX]", required=False)
@click.option(
    "--last",
    type=click.IntRange(min=1),
    help=f"Only the last so many lines; {_LAST} when nothing is named.",
)
@report_options("text", "csv", "json")
@on_option
@pass_shell
def history(
    shell: Shell, thing: str | None, last: int | None, on: date, fmt: str, output: Path | None
) -> None:
    """Tell the movements of a lot, an item or a box, or the last of all, oldest first.

    \b
    Examples:
      stockcheck history L102
      stockcheck history --last 20
    """
    from stockcheck.output.ledger_report import ledger_report
    from stockcheck.store import ledger

    with shell.store() as store:
        if thing is None:
            entries = ledger.history(store.conn, last=last or _LAST)
            title = "Last movements"
        else:
            title, entries = _of(store, thing, last)
        report = ledger_report(entries_rows(entries), title=title, on=on, store=store.name)
    emit(report, fmt, output)


def _of(store: Store, thing: str, last: int | None) -> tuple[str, list[Entry]]:
    from stockcheck.core.errors import UnknownName
    from stockcheck.store import ledger, reads
    from stockcheck.store.limits import lots_of_item
    from stockcheck.store.names import find_id, find_stock

    conn = store.conn
    try:
        lot_ids, item_ids = find_stock(conn, thing)
    except UnknownName as unknown:
        try:
            box = find_id(conn, "box", thing)
        except UnknownName:
            raise UnknownName(f"{unknown}; nor is there a box of that name") from None
        inside = reads.box_and_inside(reads.boxes(conn, retired=True), box)
        return f"Movements in {thing}", ledger.history(conn, box_ids=inside, last=last)
    if lot_ids is None:
        lot_ids = [lot for item in item_ids or [] for lot in lots_of_item(conn, item)]
    return f"Movements of {thing}", ledger.history(conn, lot_ids=lot_ids, last=last)


def entries_rows(entries: list[Entry]) -> list[dict[str, Json]]:
    """The ledger's lines as plain rows for the report."""
    return [
        {
            "movement": f"M{entry.movement_id}",
            "on_day": entry.on_day,
            "what": entry.what.value,
            "lot": f"L{entry.lot_id}",
            "item": entry.item,
            "box": entry.box,
            "quantity": entry.quantity,
            "unit": entry.unit,
            "opened_on": entry.opened_on,
            "state": entry.state.value,
            "reason": entry.reason,
            "reverses": f"M{entry.reverses}" if entry.reverses else None,
            "reversed_by": f"M{entry.reversed_by}" if entry.reversed_by else None,
        }
        for entry in entries
    ]


COMMANDS = {"find": find, "why": why, "history": history}
