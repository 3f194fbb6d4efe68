"""The end of a count: the variance list, counting again what differs, and posting."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from stockcheck.cli.counting_lines import Counter
from stockcheck.cli.shell import at_terminal, complain, confirm, emit, say, stamp
from stockcheck.core.errors import BadInput, Declined

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockcheck.cli.counting import Asked
    from stockcheck.core.stocktake import Variance
    from stockcheck.output.count_report import Counted
    from stockcheck.store.files import Store
    from stockcheck.store.stocktakes import Stocktake


def finish(store: Store, take: Stocktake, asked: Asked) -> None:
    """Show the variance list, have what differs counted again, and post on confirmation."""
    from stockcheck.core.stocktake import differing, left_to_find
    from stockcheck.store import stocktakes

    found = _found(store, take, asked)
    if not stocktakes.entries(store.conn, take.id) and left_to_find(found):
        raise BadInput(
            f"nothing was counted in {take.box.name} yet, so nothing is posted;"
            f' go on with: stockcheck count "{take.box.name}"'
        )
    asks = at_terminal() and not asked.yes
    if asks and take.blind and differing(found):  # once more before anybody sees the books
        _count_again(store, take, differing(found), asked)
        found = _found(store, take, asked)
    show(store, take, asked, ending=True)
    while asks and differing(found) and _count_again(store, take, differing(found), asked):
        found = _found(store, take, asked)
        show(store, take, asked, ending=True)
    _refuse_again(found)
    changes = _changes(found)
    if changes and asks:
        if not _agreed(f"Post {changes} and close count {take.short}?", done=True):
            raise Declined(
                "nothing is posted and the count stays open; go on with:"
                f' stockcheck count "{take.box.name}"'
            )
    elif changes:
        confirm(f"Post {changes} and close count {take.short}?", yes=asked.yes)
    _close(store, take, found, asked)


def _agreed(question: str, *, done: bool, default: bool = False) -> bool:
    """Yes or no, typed or by the action code of done, which is taken as ``done`` tells.

    So that a scanner alone ends a count; any other code is no. The code of the answer before,
    read twice, is no answer.
    """
    from stockcheck.cli.keyboard import typed_line
    from stockcheck.core.actions import Action, read_action
    from stockcheck.core.scanning_lines import READ_TWICE, read_twice

    typed = typed_line(f"{question} [{'Y/n' if default else 'y/N'}]: ")
    while typed is not None and read_twice(typed.text, Action.DONE.code, typed.waited):
        say(READ_TWICE.capitalize(), 2)
        typed = typed_line(f"{question} [{'Y/n' if default else 'y/N'}]: ")
    if typed is None:
        raise click.Abort
    answer = typed.text.strip().casefold()
    if read_action(answer) is Action.DONE:
        return done
    return default if not answer else answer in {"y", "yes"}


def _found(store: Store, take: Stocktake, asked: Asked) -> tuple[Variance, ...]:
    from stockcheck.store.stocktake_reads import variances

    return variances(store.conn, take, moves=asked.moves, partial=asked.partial)


def _refuse_again(found: Sequence[Variance]) -> None:
    from stockcheck.core.stocktake import Finding

    again = [each for each in found if each.finding is Finding.COUNT_AGAIN]
    if again:
        said = "; ".join(f"{each.lot.short} in {each.box.name}: {each.again}" for each in again)
        raise BadInput(f"nothing is posted. {said}. Count again, as in '{again[0].lot.short} =3'")


def _changes(found: Sequence[Variance]) -> str:
    """What would be posted, in words; empty when nothing would."""
    from stockcheck.core.movements import What
    from stockcheck.core.stocktake import Finding
    from stockcheck.core.stocktake_posting import corrections
    from stockcheck.core.words import listed

    plans = corrections(found, "count")
    moves = sum(plan.what is What.MOVED for plan in plans)
    counts = len(plans) - moves
    said = [f"{moves} move{'s' * (moves > 1)}"] if moves else []
    said += [f"{counts} correction{'s' * (counts > 1)}"] if counts else []
    gone = sum(each.finding is Finding.NOT_FOUND for each in found)
    return listed(said) + (f" ({gone} not found, which set to 0)" if gone else "")


def _close(store: Store, take: Stocktake, shown: Sequence[Variance], asked: Asked) -> None:
    """Post what was shown and nothing else; BadInput where the books moved meanwhile."""
    from stockcheck.cli.telling import span
    from stockcheck.store import stocktakes

    with store.writing() as conn:
        found = _found(store, take, asked)
        if found != tuple(shown):
            raise BadInput(
                "stock moved, or somebody counted, since the list was made; nothing is posted."
                " Look at it again"
            )
        numbers = stocktakes.close(conn, take, found, asked.by, stamp(asked.on))
    aside = asked.fmt != "text"
    if numbers:
        say(
            f"Count {take.short} of {take.box.name} is closed, corrected by {span(numbers)};"
            " 'stockcheck undo' takes that back",
            err=aside,
        )
    else:
        say(f"Count {take.short} of {take.box.name} is closed; nothing to correct", err=aside)
    for each in stocktakes.noted(store.conn, take.id):
        box = next(it.name for it in take.boxes if it.id == each.box_id)
        say(f"Still to be received into {box}: {each.text}", 2, err=aside)
        say(f'stockcheck receive --box "{box}"', 4, err=aside)


def _count_again(store: Store, take: Stocktake, differ: Sequence[Variance], asked: Asked) -> bool:
    """First count again, then adjust: asks once more for what differs; False when not wanted."""
    from stockcheck.store import stocktakes

    lines = "the line that differs" if len(differ) == 1 else f"the {len(differ)} lines that differ"
    must = any(each.again for each in differ)
    if not _agreed(f"Count {lines} again?", done=False, default=must):
        return False
    for each in differ:
        counter = Counter(store, take, asked, each.box.id, each.lot)
        part = f" ({each.part.value})" if each.part else ""
        before = "not counted" if each.counted is None else f"counted {each.counted}"
        where = f" in {each.box.name}" if len(take.boxes) > 1 else ""
        question = f"{each.lot.short} {each.lot.item.name}{part}{where}, {before}. Now"
        while True:
            answer = click.prompt(question, default="", show_default=False).strip()
            if not answer:
                break
            try:
                said = counter.understand(answer)
                if said.lot != each.lot or said.amount.number is None:
                    raise BadInput(f"{answer}: give how many there are, or Enter to leave it")
                amount = replace(said.amount, sets=True, replaces=False, part=each.part)
                with store.writing():
                    counter.count(replace(said, amount=amount))
                break
            except BadInput as error:
                complain(str(error))
    return bool(stocktakes.entries(store.conn, take.id))


def show(store: Store, take: Stocktake, asked: Asked, *, ending: bool = False) -> None:
    """Print the variance list as it stands, or as it stood when the count closed."""
    from stockcheck.core.calendar import spoken
    from stockcheck.data.kinds import cautions
    from stockcheck.output.count_report import Told, variance_report
    from stockcheck.store import stocktakes

    closed = bool(take.how)
    lines = _as_closed(store, take) if closed else _as_now(store, take, asked)
    counters = {each.by for each in stocktakes.entries(store.conn, take.id)} | {take.by}
    names = ", ".join(sorted(counters - {""}))
    ended = f", closed {spoken(take.ended_on)}" if closed else ""
    facts = [f"begun {spoken(take.begun_on)}{ended}" + (f", counted by {names}" if names else "")]
    if len(take.boxes) > 1:
        facts.append("with " + ", ".join(box.name for box in take.boxes if box != take.box))
    boxes = {box.id: box.name for box in take.boxes}
    told = Told(
        title=f"Count {take.short} of {take.box.name}",
        facts=tuple(facts),
        noted=tuple(
            (boxes[each.box_id], each.text) for each in stocktakes.noted(store.conn, take.id)
        ),
        currency=store.currency,
        blind=take.blind and not closed and not ending,
        cautions=cautions(),
    )
    report = variance_report(
        lines, told, on=asked.on, store=store.name,
        everything=asked.fmt in {"csv", "json"} or told.blind,
    )  # fmt: skip
    emit(report, asked.fmt, asked.output, asked.page)


def _as_now(store: Store, take: Stocktake, asked: Asked) -> list[Counted]:
    from stockcheck.core.stocktake_posting import notes
    from stockcheck.output.count_report import Counted

    return [
        Counted(
            each.lot, each.box, each.part.value, each.book, each.counted, each.difference,
            each.finding.value, each.cents, notes(each),
        )
        for each in _found(store, take, asked)
    ]  # fmt: skip


def _as_closed(store: Store, take: Stocktake) -> list[Counted]:
    from stockcheck.output.count_report import Counted
    from stockcheck.store import reads, stocktake_reads

    rows = stocktake_reads.results(store.conn, take.id)
    lots = {lot.id: lot for lot in reads.lots(store.conn, sorted({row.lot_id for row in rows}))}
    boxes = {box.id: box for box in take.boxes}
    return [
        Counted(
            lots[row.lot_id], boxes[row.box_id], row.part, row.book, row.counted, row.variance,
            row.finding, row.cents, (row.note,) if row.note else (),
        )
        for row in rows
    ]  # fmt: skip
