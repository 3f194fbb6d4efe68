"""Commands by their words, out of the tree that the tool itself uses."""

from __future__ import annotations

import click

from stockcheck.cli.app import root


def command_of(path: str) -> click.Command:
    """The command of such words as ``box add``; an assertion fails where there is none."""
    command: click.Command = root
    for name in path.split():
        assert isinstance(command, click.Group)
        below = command.get_command(click.Context(command), name)
        assert below is not None
        command = below
    return command
