"""Every list of every command is filtered and sorted the same way, in every format."""

from __future__ import annotations

import csv
import io
import json
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest

from command_tree import command_of
from stockcheck.cli.app import root
from stockcheck.cli.columns import COLUMNS, columns_of

Run = Callable[..., "subprocess.CompletedProcess[str]"]

# Why a report has no --only and --sort.
LEFT_OUT = {
    "order": "what is written down as ordered is seen as a whole",
    "purchase show": "it is sent, or checked against a delivery, as a whole",
    "scan": "each code that was scanned is answered, in turn",
    "read": "each text is answered, in turn",
    "check": "a part of a look through the store would pass for all of it",
    "status": "its order is what it says",
    "pack": "it goes into the truck as a whole",
    "guide": "a page to read",
    "export": "it is everything",
    **{f"{name} show": "one thing, no list" for name in
       ("box", "item", "lot", "par", "supplier", "offer", "trip")},
}  # fmt: skip
TRIP = ["--trip", "Spring count"]
# How each list of the table is asked for on the demo.
ASKED = {
    "audit": ["audit", "First aid", "--list", "de-din-13164-2022"],
    "carry": ["carry", "superglue, 3 g tube", *TRIP],
    "count --show": ["count", "Water", "--show"],
    "find": ["find", "tablet"],
    "forecast": ["forecast", "Spring count"],
    "kit-lists compare": ["kit-lists", "compare", "de-din-13164-2014", "de-din-13164-2022"],
    "kit-lists show": ["kit-lists", "show", "de-din-13164-2022"],
    "restock": ["restock", *TRIP],
    "round show": ["round", "show", "1"],
    "whatif": ["whatif", "Medicines", "--climate", "house shelf"],
}
LISTS = [f"{name} {how}".strip() for name, modes in COLUMNS.items() for how in modes]


def reports(command: click.Command, path: str) -> Iterator[tuple[str, set[str]]]:
    """Every command that has a format, with the names of its options."""
    options = {name for param in command.params for name in param.opts}
    if "--format" in options:
        yield path, options
    if isinstance(command, click.Group):
        for name in command.list_commands(click.Context(command)):
            below = command.get_command(click.Context(command), name)
            assert below is not None
            yield from reports(below, f"{path} {name}".strip())


REPORTS = dict(reports(root, ""))


@pytest.mark.parametrize("path", REPORTS)
def test_every_list_can_be_chosen_from_and_sorted(path: str) -> None:
    assert ({"--only", "--sort"} <= REPORTS[path]) == (path not in LEFT_OUT)
    assert (path in COLUMNS) == (path not in LEFT_OUT)


def test_what_can_be_printed_on_paper_can_be_a_page_of_html_too() -> None:
    formats = {
        path: next(param for param in command_of(path).params if "--format" in param.opts).type
        for path in REPORTS
    }
    for path, choices in formats.items():
        assert isinstance(choices, click.Choice)
        assert ("pdf" in choices.choices) <= ("html" in choices.choices), path


@pytest.fixture
def stocked(inside: Run) -> Run:
    """The demo with a list for a box, a round, and a count begun."""
    inside("kit-lists", "usual", "First aid", "de-din-13164-2022")
    inside("round", "do", "Water", "--list", "uk-hse-low-hazard-box", "--by", "Nina", "--as-booked")
    inside("count", "Water", "--sheet", "water.pdf")
    return inside


def header(text: str) -> str:
    return " ".join(next(csv.reader(io.StringIO(text))))


@pytest.mark.parametrize("name", LISTS)
def test_the_table_of_columns_is_what_the_commands_give(stocked: Run, name: str) -> None:
    path, _, mode = name.partition(" --")
    words = ASKED.get(name, name.split())
    done = stocked(*words, "--format", "csv")
    assert done.returncode == 0, done.stderr
    assert header(done.stdout) == COLUMNS[path][f"--{mode}" if mode else ""]


@pytest.mark.parametrize("name", LISTS)
def test_every_list_is_chosen_from_in_text_json_and_csv_alike(stocked: Run, name: str) -> None:
    path = name.partition(" --")[0]
    words = ASKED.get(name, name.split())
    column = columns_of(path)[0] if " --" not in name else COLUMNS[path][
        f"--{name.partition(' --')[2]}"
    ].split()[0]  # fmt: skip
    every = json.loads(stocked(*words, "--format", "json").stdout)["rows"]
    more = [f"--only={column}!=", f"--sort=-{column}"]
    there = json.loads(stocked(*words, *more, "--format", "json").stdout)["rows"]
    assert sorted(map(repr, there)) == sorted(
        repr(it) for it in every if it[column] not in {None, ""}
    )
    gone = stocked(*words, "--only", f"{column}==no such text", "--format", "csv")
    assert len(list(csv.reader(io.StringIO(gone.stdout)))) == 1, gone.stderr
    text = stocked(*words, *more)
    assert text.returncode == 0, text.stderr
    assert f"sorted by {column} (last first)" in " ".join(text.stdout.split())
    wrong = stocked(*words, "--sort", "no_such_column")
    assert (wrong.returncode, "there is no column" in wrong.stderr) == (3, bool(1))


def test_an_empty_store_has_the_same_columns(empty: Run) -> None:
    for name in ("expiry", "history", "lot list", "recall list", "count --list", "labels --printed",
                 "purchase list", "round history"):  # fmt: skip
        path, _, mode = name.partition(" --")
        done = empty(*name.split(), "--format", "csv")
        assert header(done.stdout) == COLUMNS[path][f"--{mode}" if mode else ""], name
        assert empty(*name.split(), "--only", f"{columns_of(path)[0]}=x").returncode == 0


def test_a_script_that_chooses_fails_on_what_it_chose(inside: Run) -> None:
    for fmt in ("text", "json"):
        words = ("expiry", "--format", fmt, "--fail-on", "expired", "--only")
        assert inside(*words, "box=Tyre kit").returncode == 5
        assert inside(*words, "status=in date").returncode == 0
    lacking = ("restock", *TRIP, "--fail-on", "no supplier", "--only")
    assert inside(*lacking, "supplier!=").returncode == 0
    assert inside(*lacking, "supplier=").returncode == 5


def test_the_stream_and_the_whole_report_agree(inside: Run) -> None:
    more = ("--only", "quantity>=2", "--sort", "-quantity,lot")
    streamed = json.loads(inside("expiry", *more, "--format", "json").stdout)["rows"]
    assert [it["quantity"] for it in streamed] == sorted(
        (it["quantity"] for it in streamed), reverse=True
    )
    told = inside("expiry", *more).stdout
    assert f": {len(streamed)} of 115 rows" in told
    assert told.index(streamed[0]["lot"]) < told.index(streamed[-1]["lot"])


def test_a_picture_shows_the_rows_that_are_there(inside: Run, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    done = inside("expiry", "--only", "lot==L2", "--format", "html", "--output", str(page))
    assert done.returncode == 0, done.stderr
    text = page.read_text("utf-8")
    assert ("L2<" in text, "L58" in text) == (True, False)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["clear-out", "--yes"], "--box, --route and --lot choose what goes"),
        (["clear-out", "--sheet", "x.pdf"], "--box, --route and --lot choose what goes"),
        (["count", "Water"], "give them with --show, --list or --overdue"),
        (["labels", "L2"], "give them with --printed"),
        (["kit-lists", "usual", "Water", "de-din-13164-2022"], "give them with nothing else"),
        (["label-stock", "printer", "office", "--mark-x", "11"], "give them with nothing else"),
    ],
    ids=" ".join,
)
def test_what_acts_is_never_done_in_part_unseen(inside: Run, words: list[str], said: str) -> None:
    done = inside(*words, "--only", "box=Water")
    assert (done.returncode, said in done.stderr) == (2, True), done.stderr
