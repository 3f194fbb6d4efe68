"""``completion``: the script by which a shell completes commands, options and names."""

from __future__ import annotations

import os

import click

_INSTALL = {
    "bash": "stockcheck completion bash > ~/.stockcheck.bash; echo '. ~/.stockcheck.bash'"
    " >> ~/.bashrc",
    "zsh": "stockcheck completion zsh > ~/.stockcheck.zsh; echo '. ~/.stockcheck.zsh' >> ~/.zshrc",
    "fish": "stockcheck completion fish > ~/.config/fish/completions/stockcheck.fish",
}


@click.command()
@click.argument("shell", type=click.Choice(list(_INSTALL)), required=False)
@click.pass_context
def completion(ctx: click.Context, shell: str | None) -> None:
    """Print the script that lets bash (4.4 or later), zsh or fish complete what you type.

    Commands, options, the names of boxes, items, lots, trips, kinds and lists of your store, and
    the columns of --only and --sort. Without a name it takes the shell in $SHELL. Its first line
    tells how to install it; zsh needs compinit.

    \b
    Examples:
      stockcheck completion bash
      stockcheck completion fish
    """
    from stockcheck.cli.completing import script

    name = shell or os.environ.get("SHELL", "").rpartition("/")[2]
    if name not in _INSTALL:
        raise click.UsageError("name the shell: bash, zsh or fish")
    click.echo(f"# To install: {_INSTALL[name]}")
    click.echo(script(ctx.find_root().command, name))


COMMANDS = {"completion": completion}
