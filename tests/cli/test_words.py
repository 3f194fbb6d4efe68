"""Every command, option, status, exit code and column stands in README or in some help; every
command's help has two examples, and they run on the demo."""

from __future__ import annotations

import re
import shlex
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest

from stockcheck.cli.app import COMMANDS, root
from stockcheck.core.audit_result import Finding
from stockcheck.core.intake import COLUMNS
from stockcheck.core.model import Status
from stockcheck.data import shipped

Run = Callable[..., "subprocess.CompletedProcess[str]"]

LOGGED = "time,temperature (C)\n2026-11-01T06:00:00Z,21.5\n2026-11-01T07:00:00Z,23.0\n"
README = Path(__file__).parents[2] / "README.md"


def walk(command: click.Command, context: click.Context) -> Iterator[click.Context]:
    """A command and all those under it, each with its context."""
    yield context
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            yield from walk(below, click.Context(below, context, name))


EVERY = list(walk(root, click.Context(root, info_name="stockcheck", **root.context_settings)))
HELP = {each.command_path: each.command.get_help(each) for each in EVERY}
WORDS = README.read_text("utf-8") + "\n".join(HELP.values())


def examples(path: str) -> list[list[str]]:
    """The command lines under Examples in a help, without the word stockcheck."""
    _, _, tail = HELP[path].partition("Examples:\n")
    joined = tail.partition("\n\n")[0].replace("\\\n", " ")
    return [shlex.split(line)[1:] for line in joined.splitlines() if line.strip()]


def test_the_root_help_names_every_command_and_no_other() -> None:
    shown = set(re.findall(r"^  ([a-z-]+)  ", HELP["stockcheck"], re.MULTILINE))
    assert shown >= set(COMMANDS)
    assert len(EVERY) > 60


@pytest.mark.parametrize("context", EVERY, ids=lambda each: each.command_path)
def test_every_option_has_words_and_stands_in_its_help(context: click.Context) -> None:
    for param in context.command.params:
        if isinstance(param, click.Option):
            assert not param.hidden, param.name
            assert param.help, param.name
            assert all(name in HELP[context.command_path] for name in param.opts)
    assert context.command.help
    lines = HELP[context.command_path].splitlines()
    assert not [line for line in lines if line.startswith("    stockcheck") and len(line) > 80]
    assert not [line for line in lines if line.endswith("...") and "[" not in line]


def test_every_status_finding_exit_code_and_column_is_explained() -> None:
    for word in (*Status, *Finding):
        assert re.search(rf"\b{word.value}\b", WORDS), word
    for column in COLUMNS:
        assert re.search(rf"`{column}`|--{column}\b", WORDS), column
    codes = " ".join(HELP["stockcheck"].partition("Exit codes:")[2].split())
    for code in ("0", "1", "2", "3", "4", "5", "130"):
        assert re.search(rf"\b{code} [a-z]", codes), code
    for name in ("STOCKCHECK_STORE", "STOCKCHECK_TODAY", "STOCKCHECK_DEBUG", "NO_COLOR"):
        assert name in WORDS


@pytest.mark.parametrize("path", ["stockcheck", *(f"stockcheck {name}" for name in COMMANDS)])
def test_every_command_has_two_examples_that_run_on_the_demo(
    path: str, inside: Run, tmp_path: Path
) -> None:
    """Each on the demo as it was made, in a folder with the demo's own files."""
    demo = (tmp_path / "stock.db").read_bytes()
    for file in shipped("demo_db").iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    (tmp_path / "stock.csv").write_text("box,item,quantity,expiry\nWater,I70,1,03/04/29\n", "utf-8")
    (tmp_path / "logger.csv").write_text(LOGGED, "utf-8")
    found = examples(path)
    assert len(found) >= 2
    for words in found:
        for name in ("stock.db", "truck.db"):
            (tmp_path / name).write_bytes(demo)
        if "init" in words:
            (tmp_path / "stock.db").unlink()
            (tmp_path / "truck.db").unlink()
        done = inside(*words)
        asks = "can be asked" in done.stderr  # a command that is a talk with a person
        assert done.returncode == 0 or asks, (words, done.stderr)
