"""``manual``: a page for each command, from the same words as its help."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest

from stockcheck.cli.app import root

Run = Callable[..., "subprocess.CompletedProcess[str]"]
MACROS = {".TH", ".SH", ".PP", ".TP", ".EX", ".EE"}
USUAL = ["NAME", "SYNOPSIS", "DESCRIPTION"]


def every(command: click.Command, context: click.Context) -> Iterator[click.Context]:
    yield context
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            yield from every(below, click.Context(below, parent=context, info_name=name))


def path_of(context: click.Context) -> str:
    """``box add``: without the arguments of the groups above."""
    names = []
    here: click.Context | None = context
    while here is not None:
        names.append(here.info_name or "")
        here = here.parent
    return " ".join(reversed(names))


TOP = click.Context(root, info_name="stockcheck", **root.context_settings)
COMMANDS = {path_of(each).replace(" ", "-"): each for each in every(root, TOP)}


@pytest.fixture
def pages(inside: Run, tmp_path: Path) -> dict[str, str]:
    done = inside("manual", "man")
    assert done.returncode == 0, done.stderr
    assert f"wrote {len(COMMANDS)} pages to man" in done.stderr
    return {path.stem: path.read_text("ascii") for path in (tmp_path / "man").iterdir()}


def parts(page: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for line in page.splitlines()[1:]:
        if line.startswith(".SH "):
            found[line[4:].strip('"')] = current = []
        else:
            current.append(line)
    return found


def plain(lines: list[str]) -> str:
    """What a reader sees of some lines, in one line."""
    text = " ".join(line for line in lines if line not in MACROS)
    text = re.sub(r"\\f[BIR]|\\&", "", text)
    for escape, char in (
        ("\\-", "-"),
        ("\\(aq", "'"),
        ("\\(dq", '"'),
        ("\\(rs", "\\"),
        ("\\(ti", "~"),
    ):
        text = text.replace(escape, char)
    text = re.sub(r"\\\[u([0-9A-F]{4,6})\]", lambda it: chr(int(it[1], 16)), text)
    return " ".join(text.split())


def test_every_command_has_a_page_and_every_page_a_command(pages: dict[str, str]) -> None:
    assert set(pages) == set(COMMANDS)


def test_every_page_is_built_as_man_wants_it(pages: dict[str, str]) -> None:
    for name, page in pages.items():
        first, *lines = page.splitlines()
        title = name.upper().replace("-", "\\-")
        assert first.startswith(f'.TH "{title}" 1 2026-11-25 "stockcheck '), name
        assert list(parts(page))[:3] == USUAL, name
        assert list(parts(page))[-3:] == ["ENVIRONMENT", "FILES", "SEE ALSO"], name
        assert {line.split()[0] for line in lines if line.startswith((".", "'"))} <= MACROS, name
        assert all(lines), name  # no empty line
        assert re.fullmatch(rf"{name} - \S.*", plain(parts(page)["NAME"])), name


def test_every_page_says_what_help_says(pages: dict[str, str]) -> None:
    for name, context in COMMANDS.items():
        told = parts(pages[name])
        help_text = " ".join(context.command.get_help(context).split())
        options = plain(told["OPTIONS"])
        for param in context.command.get_params(context):
            record = param.get_help_record(context) if isinstance(param, click.Option) else None
            if record is not None:
                assert all(" ".join(each.split()) in options for each in record), (name, record)
        if "EXAMPLES" in told:
            shown = [plain([line]) for line in told["EXAMPLES"] if line not in MACROS]
            assert " ".join(shown) in help_text, name
        for line in filter(None, told["DESCRIPTION"]):
            assert line in MACROS or plain([line]) in help_text, (name, line)
        if isinstance(context.command, click.Group):
            for below in context.command.list_commands(context):
                assert f"{name}-{below}(1)" in plain(told["SEE ALSO"])


def test_a_list_tells_its_columns_and_how_to_choose(pages: dict[str, str]) -> None:
    told = plain(parts(pages["stockcheck-expiry"])["COLUMNS"])
    assert told.startswith("box, item, kind, lot, code")
    assert "COLUMN=TEXT" in told
    counted = plain(parts(pages["stockcheck-count"])["COLUMNS"])
    assert "With --overdue: box, last_counted_on" in counted
    assert "COLUMNS" not in parts(pages["stockcheck-use"])


def test_exit_codes_are_told_that_the_command_has(pages: dict[str, str]) -> None:
    told = plain(parts(pages["stockcheck"])["EXIT STATUS"])
    assert re.findall(r"\b(\d+) [A-Z]", told) == ["0", "1", "2", "3", "4", "5", "130"]
    assert " 5 " in f" {plain(parts(pages['stockcheck-expiry'])['EXIT STATUS'])} "
    assert " 5 " not in f" {plain(parts(pages['stockcheck-use'])['EXIT STATUS'])} "


def test_the_same_day_gives_the_same_bytes(inside: Run, tmp_path: Path) -> None:
    inside("manual", "one")
    inside("manual", "two/deep")
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / "deep" / path.name).read_bytes()


def test_what_cannot_be_written_is_told(inside: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", "utf-8")
    done = inside("manual", "file/man")
    assert (done.returncode, "name another folder" in done.stderr) == (3, True)


@pytest.mark.skipif(
    shutil.which("groff") is None,
    reason="groff is no part of Python; the pages' structure is tested without it",
)
def test_groff_has_no_word_to_say(pages: dict[str, str], tmp_path: Path) -> None:
    for name in ("stockcheck", "stockcheck-expiry", "stockcheck-receive", "stockcheck-labels"):
        done = subprocess.run(
            ["groff", "-man", "-ww", "-Tutf8", tmp_path / "man" / f"{name}.1"],
            capture_output=True, check=True,
        )  # fmt: skip
        assert done.stderr == b"", name
    assert len(pages) > 100
