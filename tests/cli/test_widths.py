"""Every report and every help on screens of 40 to 200 columns: no line wider, nothing cut away."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterator

import click
import pytest

from command_tree import command_of
from stockcheck.cli.app import root
from stockcheck.output.text import display_width

Run = Callable[..., "subprocess.CompletedProcess[str]"]
WIDTHS = (40, 60, 80, 120, 200)
LONG = "Verbindungsstückgewindedichtmittelnachfüllpackung-extra-lang/für-Innengewinde"
WIDE = "滅菌ガーゼ大判十枚入り" * 3
ITEM = f"{LONG} {WIDE[:20]} и прокладки"
TRIP = ("--trip", "Spring count")
REPORTS: list[tuple[str, ...]] = [
    ("status",), ("status", "--all"), ("expiry",), ("expiry", *TRIP), ("expiry", "--sort", "item"),
    ("restock", *TRIP), ("forecast", "Spring count"), ("audit", "First aid"), ("audit", "--all"),
    ("find", "tablet"), ("find", "Verbindung"), ("history", "--last", "20"), ("why", "L1"),
    ("carry", "superglue, 3 g tube", *TRIP), ("clear-out", "--undated"), ("whatif", "Medicines",
    "--climate", "house shelf"), ("box", "list"), ("item", "list"), ("kind", "list"),
    ("lot", "list"), ("par", "list"), ("supplier", "list"), ("offer", "list"), ("trip", "list"),
    ("purchase", "list"), ("purchase", "show", "1"), ("recall", "list"), ("climate", "list"),
    ("climate", "show", "house shelf"), ("kit-lists", "list"), ("kit-lists", "usual"),
    ("kit-lists", "show", "de-din-13164-2022"), ("label-stock", "list"),
    ("kit-lists", "compare", "de-din-13164-2014", "de-din-13164-2022"),
    ("kit-lists", "matches"), ("label-stock", "printer"), ("label-stock", "show", "a4-3x7"),
    ("labels", "--printed"), ("count", "--list"), ("count", "--overdue", "--all"),
    ("round", "due"), ("round", "history"), ("round", "show", "1"), ("box", "show", "Cab"),
    ("item", "show", "I1"), ("kind", "show", "eye-drops"), ("lot", "show", "L1"),
    ("par", "show", "P1"), ("supplier", "show", "Corner pharmacy"), ("offer", "show", "O1"),
    ("trip", "show", "Spring count"), ("heat", "show", "Cab"), ("order", "Spring count",
    "--dry-run"), ("scan", "L1", "B3", "nothing so"), ("read", "EXP 11/2027", "03/04/27"),
    ("check",), ("labels", "--new", "--dry-run"), ("labels", "L1", "--preview", "text"),
    ("guide",), ("par", "assurance"), ("trip", "stop", "list", "Spring count"),
]  # fmt: skip
# Lines that stay whole, so that they can be copied: examples, codes, addresses, paths.
WHOLE = re.compile(r"^\s*(\$ )?stockcheck |https?://|/\S{20,}|\S{30,}\.(db|pdf|toml|1)\b")
PICTURES = {("labels", "L1", "--preview", "text")}  # a label as it is printed is as wide as it is


def commands(command: click.Command, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    yield path
    if isinstance(command, click.Group):
        for name in command.list_commands(click.Context(command)):
            below = command.get_command(click.Context(command), name)
            assert below is not None
            yield from commands(below, (*path, name))


def raw_help(path: tuple[str, ...]) -> set[str]:
    """The lines of a help that are kept as they are, from its own text."""
    command = command_of(" ".join(path))
    kept = [it for it in (command.help or "").split("\n\n") if "\b" in it]
    return {line.strip() for it in kept for line in it.splitlines()}


def too_wide(text: str, width: int) -> list[str]:
    return [
        line for line in text.splitlines() if display_width(line) > width and not WHOLE.search(line)
    ]


@pytest.fixture
def full(inside: Run) -> Run:
    """The demo with things of long and of wide names, a usual list, and a round."""
    for words in (
        ("box", "add", LONG, "--inside", "Cab"),
        ("item", "add", ITEM, "--kind", "rtv-silicone"),
        ("receive", "--box", LONG, "--item", ITEM, "--quantity", "2", "--received", "2020-01-01"),
        ("par", "add", "--box", LONG, "--item", ITEM, "--quantity", "9999999"),
        ("supplier", "add", WIDE, "--lead-days", "3"),
        ("offer", "add", "--supplier", WIDE, "--item", ITEM, "--pack", "3", "--price", "99999.99"),
        ("kit-lists", "usual", "First aid", "de-din-13164-2022"),
        ("kit-lists", "usual", LONG, "uk-hse-low-hazard-box"),
        ("round", "do", "Water", "--list", "uk-hse-low-hazard-box", "--by", "Nina", "--as-booked"),
    ):
        done = inside(*words)
        assert done.returncode == 0, done.stderr
    return inside


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_of_a_report_is_wider_than_the_screen(
    full: Run, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    found = {}
    for words in REPORTS:
        done = full(*words)
        assert done.returncode in {0, 3}, (words, done.stderr)
        wide = too_wide(done.stdout, width) if words not in PICTURES else []
        if wide:
            found[" ".join(words)] = wide[:2]
    assert found == {}


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_of_any_help_is_wider_than_the_screen(
    inside: Run, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    found = {}
    for path in commands(root):
        done = inside(*path, "--help")
        assert done.returncode == 0
        kept = raw_help(path)  # examples are copied, so they stay as they are
        if wide := [it for it in too_wide(done.stdout, width) if it.strip() not in kept]:
            found[" ".join(path)] = wide[:2]
    assert found == {}


@pytest.mark.parametrize("width", WIDTHS)
def test_long_names_stand_whole_at_every_width(
    full: Run, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    """Broken over lines where they must be; never cut."""
    monkeypatch.setenv("COLUMNS", str(width))
    for words in (("expiry", "--box", LONG), ("item", "list"), ("find", "Verbindung"),
                  ("restock", "--by", "2027-05-01", "--box", LONG)):  # fmt: skip
        shown = "".join(full(*words).stdout.split())
        if width == 40:  # on wider ones other columns stand between its parts
            assert "".join(ITEM.split()) in shown, words
        assert "…" not in shown, words


def test_one_screen_of_80_by_24_holds_the_status(full: Run) -> None:
    lines = full("status").stdout.splitlines()
    assert len(lines) <= 23
    assert max(map(display_width, lines)) <= 80
