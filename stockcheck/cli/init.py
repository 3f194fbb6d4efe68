"""``init``: a new, empty store."""

from __future__ import annotations

import click

from stockcheck.cli.shell import Shell, pass_shell, say
from stockcheck.core.errors import BadInput


@click.command()
@click.option("--name", default="Kit", show_default=True, help="What reports call this store.")
@click.option(
    "--currency", default="EUR", show_default=True, help="ISO 4217 code of the prices in it."
)
@pass_shell
def init(shell: Shell, name: str, currency: str) -> None:
    """Make a new, empty store with the shipped kinds.

    \b
    Examples:
      stockcheck init
      stockcheck --store truck.db init --name "Survey truck" --currency AUD
    """
    from pathlib import Path

    from stockcheck.core.names import tidy_name
    from stockcheck.store.migrate import create

    if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
        raise BadInput(f"currency {currency!r} is not a code of three letters, such as EUR")
    shell.no_folder()
    create(Path(shell.path), tidy_name(name, "store"), currency.upper())
    say(f"Made {shell.path}, an empty store. Next: 'stockcheck box add NAME', 'item add'")


COMMANDS = {"init": init}
