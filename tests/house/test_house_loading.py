"""Start-up is the speed that people feel: which modules each command may load, told by name.

Names never flake as milliseconds do. Each command runs in a fresh interpreter; what comes from
outside of the standard library, and what is heavy inside it, is compared with what may be loaded.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from PIL import Image

from stockcheck.cli.app import COMMANDS, root, run

TODAY = "2026-11-25"
# What costs more than it gives a small command, in the standard library and inside packages.
HEAVY = frozenset({
    "sqlite3", "json", "csv", "tomllib", "difflib", "ctypes", "email", "http", "ssl", "socket",
    "asyncio", "urllib.request", "xml", "importlib.metadata", "unittest", "multiprocessing",
    "logging", "decimal", "fractions", "random", "hashlib", "zipfile", "subprocess", "tempfile",
    "reportlab.platypus",
})  # fmt: skip
STORE = {"sqlite3", "json"}
LOOK = STORE | {"tomllib"}
RULES = LOOK | {"dateutil", "six"}  # six comes with dateutil
FIGURES = {"decimal", "fractions"}  # exact chances and rates
MAKERS = {  # the library for makers' codes, which asks the package data for its own version
    "biip", "csv", "decimal", "email", "importlib.metadata", "random", "socket", "tempfile",
    "zipfile",
}  # fmt: skip
CALENDAR = {"icalendar"}
PRINTED = LOOK | {"reportlab", "PIL", "random", "hashlib", "tempfile"}
LABELS = PRINTED | {
    "zxingcpp", "pypdfium2", "pypdfium2_raw", "pypdfium2_cfg", "barcode", "difflib", "ctypes",
    "xml", "logging", "subprocess",
}  # fmt: skip
PICTURED = LOOK | {
    "PIL",
    "zxingcpp",
    "logging",
    "xml",
    "subprocess",
    "decimal",
    "fractions",
}  # what the picture library brings

BOX, ITEM, LOT, TRIP = "Water", "water tablet", "L1", "Spring count"
MAY_LOAD: list[tuple[list[str], set[str]]] = [
    (["--help"], set()),
    (["--version"], set()),
    (["read", "1000000013"], set()),
    (["read", "EXP 11/2027"], set()),
    (["status", "--trip", TRIP], RULES | FIGURES),
    (["completion", "bash"], set()),
    (["manual", "man"], LOOK | FIGURES),
    (["guide"], set()),
    (["guide", "heat"], set()),
    (["guide", "--format", "html", "--output", "x.html"], {"hashlib"}),
    (["find", "tablet"], LOOK),
    (["history", LOT], STORE),
    (["box", "list"], STORE),
    (["item", "show", ITEM], LOOK),
    (["par", "list"], STORE),
    (["par", "assurance"], STORE | FIGURES),
    (["supplier", "list"], STORE),
    (["offer", "list"], STORE),
    (["trip", "show", TRIP], STORE),
    (["kind", "list"], STORE),
    (["kind", "show", "eye-drops"], LOOK),
    (["lot", "show", LOT], LOOK),
    (["kit-lists", "list"], LOOK),
    (["kit-lists", "matches"], STORE),
    (["round", "due"], STORE),
    (["round", "history"], STORE),
    (["round", "do", BOX, "--list", "uk-hse-low-hazard-box", "--by", "Nina", "--as-booked"], RULES),
    (["kit-lists", "compare", "de-din-13164-2014", "de-din-13164-2022"], LOOK),
    (["audit", "--all"], LOOK),
    (["restock", "--box", BOX, "--list", "uk-bs-8599-1-2019-small"], RULES | FIGURES),
    (["label-stock", "list"], {"tomllib", "difflib"}),
    (["label-stock", "check", "a4-3x7"], {"tomllib", "difflib"}),
    (["label-stock", "align", "a4-3x7", "--output", "x.pdf"], PRINTED | {"difflib"}),
    (["label-stock", "printer"], STORE),
    (["label-stock", "printer", "office", "--mark-x", "11"], STORE | {"difflib"}),
    (["why", LOT], RULES),
    (["inspect", "L2", "--fail"], RULES),
    (["decide", BOX], RULES),
    (["heat", "show", BOX], LOOK),
    (["heat", "log", BOX, "logger.csv"], RULES | {"csv"}),
    (["climate", "list"], LOOK),
    (["climate", "show", "house shelf"], LOOK),
    (["whatif", BOX, "--climate", "house shelf"], RULES),
    (["expiry"], LOOK),
    (["expiry", "--format", "json"], LOOK),
    (["expiry", "--format", "csv"], LOOK | {"csv"}),
    (["restock", "--trip", TRIP], RULES | FIGURES),
    (["order", TRIP, "--dry-run"], RULES | FIGURES),
    (["purchase", "list"], LOOK | FIGURES),
    (["forecast", TRIP], RULES | FIGURES),
    (["wanted", ITEM], LOOK | FIGURES),
    (["wanted", "--list"], LOOK | FIGURES),
    (["remember", ITEM, "--used", "2", "--days", "60", "--year", "2024"], LOOK | FIGURES),
    (["carry", ITEM, "--trip", TRIP, "--lasts", "60"], RULES | FIGURES),
    (["trip", "close", TRIP, "--nothing-more", "--on", "2027-04-26"], RULES | FIGURES),
    (["audit", BOX, "--list", "uk-bs-8599-1-2019-small"], LOOK),
    (["receive", "--box", BOX, "--item", ITEM, "--quantity", "5", "--received", "today"], RULES),
    (["use", ITEM], RULES),
    (["open", LOT], RULES),
    (["move", LOT, "--to", "Truck", "--quantity", "1", "--from", BOX], RULES),
    (["hold", LOT, "--reason", "wet", "--quantity", "1", "--from", BOX], RULES),
    (["release", LOT, "--reason", "dry", "--from", BOX], RULES),
    (["correct", LOT, "--count", "3", "--box", BOX], RULES),
    (["write-off", LOT, "--reason", "wet", "--quantity", "1", "--from", BOX, "--yes"], RULES),
    (["undo"], RULES),
    (["scan", "1000000013"], LOOK),
    (["scan", "L1", "--format", "json"], LOOK),
    (["scan", "(01)09520123000233(17)290200(10)7C21-B"], RULES | MAKERS),
    (["scan", "--photo", "front.png"], PICTURED),
    (["recall", ITEM, "--batch", "W9"], RULES),
    (["recall", "list"], LOOK),
    (["box", "add", "Fridge"], STORE),
    (["init"], LOOK),
    (["expiry", "--format", "pdf", "--output", "x.pdf"], PRINTED),
    (
        ["restock", "--trip", TRIP, "--format", "pdf", "--output", "x.pdf"],
        PRINTED | RULES | FIGURES,
    ),
    (["pack", TRIP, "--output", "x.pdf"], LABELS | RULES | {"decimal", "fractions"}),
    (
        ["pack", TRIP, "--format", "html", "--output", "x.html"],
        RULES | {"hashlib", "decimal", "fractions"},
    ),
    (["calendar", TRIP, "--output", "x.ics"], RULES | FIGURES | CALENDAR),
    (["calendar", "--output", "x.ics"], RULES | FIGURES | CALENDAR),
    (["clear-out"], LOOK),
    (["clear-out", "--yes"], RULES),
    (["clear-out", "--sheet", "x.pdf"], LABELS | RULES),
    (["action-card", "--output", "x.pdf"], LABELS),
    (["check"], RULES | {"hashlib", "decimal"}),
    (["backup"], STORE | {"hashlib"}),
    (["backup", "--list"], STORE),
    (["restore", "kit.db", "--yes"], STORE | {"hashlib"}),
    (["export", "everything"], LOOK | {"csv", "hashlib"}),
    (["import", "everything", "--to", "copy.db"], RULES | {"csv", "hashlib"}),
    (["salvage", "kit.db", "--to", "saved.db"], RULES | {"hashlib"}),
    (["count", "--list"], STORE),
    (["count", "--overdue"], STORE),
    (["count", BOX, "--sheet", "x.pdf"], LABELS | RULES),
    (["count", BOX, "--show"], RULES),
    (["count", BOX, "--abandon", "--yes"], RULES),
    (["labels", LOT, "--output", "x.pdf"], LABELS),
    (["labels", "--new", "--dry-run"], LABELS),
    (["labels", "--printed"], STORE),
    (["labels", "--lid", BOX, "--output", "x.pdf"], LABELS),
]
UNTRIED = {"demo"}  # it does everything that the others do, and may load everything

RUN = """
import contextlib, io, sys
before = set(sys.modules)
from stockcheck.cli.app import run
with contextlib.redirect_stdout(io.TextIOWrapper(io.BytesIO(), "utf-8")):
    code = run(sys.argv[1:])
print(code, *sorted(set(sys.modules) - before))
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a small store, ``kit.db``."""
    folder = tmp_path_factory.mktemp("kit")
    store = ["--store", str(folder / "kit.db")]
    stock = ["receive", "--box", BOX, "--item", ITEM, "--quantity", "20", "--on", TODAY]
    dates = ["--expiry", "EXP 11/2028", "--batch", "W1", "--received", "2026-10-01"]
    tube = ["receive", "--box", "Truck", "--item", "sealant", "--quantity", "1", "--on", TODAY]
    trip = ["trip", "add", TRIP, "--departs", "2027-02-08", "--returns", "2027-04-25"]
    Image.new("L", (40, 30), 128).save(folder / "front.png")
    (folder / "logger.csv").write_text("time,temp C\n2026-11-01 06:00,21\n", "utf-8")
    for arguments in (
        ["init"],
        ["box", "add", BOX],
        ["box", "add", "Truck"],
        ["item", "add", ITEM, "--kind", "chlorine-dioxide-tablets", "--unit", "tablet"],
        [*stock, *dates],
        ["item", "add", "sealant", "--kind", "rtv-silicone"],
        [*tube, "--received", "2026-10-01"],
        trip,
        ["par", "add", "--box", BOX, "--item", ITEM, "--quantity", "40"],
    ):
        assert run([*store, *arguments]) == 0
    return folder


def loaded(folder: Path, arguments: list[str]) -> set[str]:
    """The modules that a command loads: packages from outside, and the heavy ones of Python."""
    store = "new.db" if arguments == ["init"] else "kit.db"
    done = subprocess.run(
        [sys.executable, "-c", RUN, *arguments],
        cwd=folder, capture_output=True, text=True, check=True,
        env={**os.environ, "STOCKCHECK_STORE": store, "STOCKCHECK_TODAY": TODAY},
    )  # fmt: skip
    code, *modules = done.stdout.split()
    assert code == "0", done.stderr
    tops = {name.partition(".")[0] for name in modules}
    outside = {name for name in tops - sys.stdlib_module_names if not name.startswith("_")}
    inside = {name for name in HEAVY if name in modules}
    return (outside | inside) - {"stockcheck", "click"}


@pytest.mark.parametrize(
    ("arguments", "allowed"), MAY_LOAD, ids=[" ".join(arguments) for arguments, _ in MAY_LOAD]
)
def test_a_command_loads_only_what_it_needs(
    folder: Path, arguments: list[str], allowed: set[str]
) -> None:
    assert loaded(folder, arguments) - allowed == set()


def test_every_command_stands_in_the_table() -> None:
    tried = {arguments[0] for arguments, _ in MAY_LOAD if not arguments[0].startswith("-")}
    assert tried | UNTRIED == set(COMMANDS)


def help_pages() -> list[list[str]]:
    """Every command and subcommand, as the words that name it."""
    pages: list[list[str]] = [[]]
    context = click.Context(root)
    for name in COMMANDS:
        pages.append([name])
        command = root.get_command(context, name)
        if isinstance(command, click.Group):
            pages += [[name, inner] for inner in command.list_commands(context)]
    return pages


@pytest.mark.parametrize("words", help_pages(), ids=" ".join)
def test_every_help_page_runs_and_fits_eighty_columns(
    words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert run([*words, "--help"]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Usage: stockcheck")
    assert [line for line in text.splitlines() if len(line) > 80] == []
