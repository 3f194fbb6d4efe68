"""``labels``: labels for lots, boxes and items, read back before they are handed over."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from stockcheck.cli.choosing import lists_alone
from stockcheck.cli.label_ask import Ask, Grouped, ask_options, check
from stockcheck.cli.shell import Shell, emit, pass_shell, say

if TYPE_CHECKING:
    from stockcheck.store.files import Store


@click.command(cls=Grouped)
@click.argument("named", nargs=-1, metavar="[LOT|BOX|ITEM]...")
@ask_options
@pass_shell
def labels(shell: Shell, /, **given: Any) -> None:
    """Draw labels as a PDF, each code read back before it is handed over.

    Print at 100 %, never fitted to the page. What was printed is remembered: --new goes on with
    what has no label yet, and the next print with the next free label of the sheet.

    \b
    Examples:
      stockcheck labels --new --stock a4-3x7 --start 4
      stockcheck labels L12 B3 --stock roll-62x29 --copies 2 --output new.pdf
    """
    ask = Ask(**given)
    check(ask)
    if not ask.printed:
        lists_alone("--printed")
    with shell.store() as store:
        if ask.printed:
            from stockcheck.cli.label_past import printed

            report = printed(store, ask)
        else:
            for line in print_labels(store, ask):
                say(line, err=True)
            return
    emit(report, ask.fmt, ask.output)


def print_labels(store: Store, ask: Ask) -> list[str]:
    """Do what was asked, and tell it in lines; nothing is printed where nothing is due."""
    if ask.lid:
        from stockcheck.cli.label_lid import print_lids

        return print_lids(store, ask)
    from stockcheck.cli import label_paper

    job = None
    if ask.again:
        from stockcheck.cli.label_past import last_job, last_print

        job = last_job(store, ask)
        if job.options.get("paper"):
            from stockcheck.cli.label_lid import print_again

            return print_again(store, ask, job)
        wishes = last_print(store, ask, job)
        ask = label_paper.as_it_was(ask, job)
    else:
        from stockcheck.cli.label_choice import wishes as chosen

        wishes = chosen(store, ask)
    if not wishes:
        return ["Nothing to label: " + _why(ask)]
    if ask.changed and not ask.dry_run:
        for wish in wishes:
            say(label_paper.told(wish, ask.copies))
    if ask.dry_run:
        label_paper.tell(store, wishes, ask)
        return []
    if ask.preview:
        label_paper.preview(store, wishes, ask)
        return []
    return label_paper.print_all(store, wishes, ask, job)


def _why(ask: Ask) -> str:
    if ask.new:
        return "all that is on hand has its label"
    if ask.changed:
        return "every label printed so far still says what is so"
    if (ask.all_boxes or ask.all_items) and not ask.named:
        return f"there is no {'box' if ask.all_boxes else 'item'} yet"
    return "nothing of it is on hand"


COMMANDS = {"labels": labels}
