"""``manual``: a manual page for each command, built from the same text as its --help."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FOLDER, on_option, say

if TYPE_CHECKING:
    from pathlib import Path


@click.command()
@click.argument("folder", type=FOLDER)
@on_option
@click.pass_context
def manual(ctx: click.Context, folder: Path, on: date) -> None:
    """Write a manual page for each command into FOLDER: stockcheck.1 and the like.

    In ~/.local/share/man/man1 most systems find them: 'man stockcheck-expiry'. A page anywhere else
    is read by its path: 'man man/stockcheck.1'. They say what --help says, and the columns of each
    list. Pages that are there are replaced.

    \b
    Examples:
      stockcheck manual man
      stockcheck manual man/man1 --on 2026-11-25
    """
    from stockcheck.cli.manual_pages import pages
    from stockcheck.core.errors import BadInput
    from stockcheck.output.roff import render_page

    made = {page.name: render_page(page) for page in pages(ctx.find_root().command, on)}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in made.items():
            (folder / f"{name}.1").write_bytes(text.encode("ascii"))
    except OSError as error:
        raise BadInput(f"cannot write {folder}: {error.strerror}; name another folder") from error
    say(f"wrote {len(made)} pages to {folder}", err=True)
    say(f"'man {folder / 'stockcheck.1'}' shows the first", 2, err=True)


COMMANDS = {"manual": manual}
