"""The contract's exit codes, and errors as one message on stderr without a traceback."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput, Declined, Findings, StoreTrouble

Run = Callable[..., "subprocess.CompletedProcess[str]"]
NOBODY = 65534


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["expiry"], 0),
        (["--help"], 0),
        (["expiry", "-h"], 0),
        (["--version"], 0),
        ([], 2),
        (["box"], 2),
        (["expirry"], 2),
        (["box", "ad"], 2),
        (["expiry", "--frob"], 2),
        (["expiry", "--status", "rotten"], 2),
        (["expiry", "--on", "2026-13-01"], 2),
        (["expiry", "--on", "2027-02-29"], 2),
        (["expiry", "--within", "soon"], 2),
        (["expiry", "--format", "pdf"], 2),
        (["use"], 2),
        (["use", "L3", "-n", "0"], 2),
        (["restock"], 2),
        (["restock", "--trip", "Spring count", "--by", "2027-01-01"], 2),
        (["audit"], 2),
        (["labels"], 2),
        (["labels", "L3", "--copies", "0"], 2),
        (["receive"], 2),
        (["receive", "--box", "Water", "--from", "a.csv"], 2),
        (["receive", "--map", "box=Place"], 2),
        (["receive", "--from", "a.csv", "--map", "shelf=Place"], 2),
        (["lot", "change", "L3"], 2),
        (["box", "change", "Water"], 2),
        (["kind", "change", "bleach"], 2),
        (["kind", "change", "bleach", "--shipped", "--sealed", "3 months"], 2),
        (["box", "add"], 2),
        (["use", "no such thing"], BadInput.exit_code),
        (["use", "L3", "-n", "999"], BadInput.exit_code),
        (["use", "L9999"], BadInput.exit_code),
        (["use", "L102"], BadInput.exit_code),
        (["why", "1000000129"], BadInput.exit_code),
        (["undo", "M9999"], BadInput.exit_code),
        (["undo", "yesterday"], BadInput.exit_code),
        (["box", "show", "L3"], BadInput.exit_code),
        (["history", "no such thing"], BadInput.exit_code),
        (["audit", "First aid"], BadInput.exit_code),
        (["audit", "First aid", "--list", "no-such-list"], BadInput.exit_code),
        (["audit", "First aid", "--list", "no-such.toml"], BadInput.exit_code),
        (["label-stock", "show", "no-such-stock"], BadInput.exit_code),
        (["receive", "--from", "no-such.csv"], BadInput.exit_code),
        (["lot", "change", "L59", "--received", "2030-01-01"], BadInput.exit_code),
        (["item", "change", "tweezers, fine", "--kind", ""], BadInput.exit_code),
        (["item", "add", "boot", "--kind", "tyre-patch", "--pack", "0"], BadInput.exit_code),
        (["read", "no date at all"], BadInput.exit_code),
        (["find", "\udcff"], BadInput.exit_code),
        (["--store", "nothing.db", "find", "x"], StoreTrouble.exit_code),
        (["init"], StoreTrouble.exit_code),
        (["expiry", "--fail-on", "expired"], Findings.exit_code),
        (["expiry", "--box", "Spares", "--fail-on", "expired"], 0),
        (["restock", "--trip", "Spring count", "--fail-on", "no supplier"], Findings.exit_code),
        (["restock", "--trip", "Spring count", "--fail-on", "late"], 0),
        (
            ["audit", "B12", "--list", "uk-hse-low-hazard-box", "--fail-on", "missing"],
            Findings.exit_code,
        ),
        (["write-off", "L4", "--reason", "expired"], Declined.exit_code),
    ],
)
def test_each_way_to_end_has_its_code_and_says_why(
    inside: Run, words: list[str], code: int
) -> None:
    done = inside(*words)
    assert done.returncode == code, done.stderr
    if code == 0:
        assert done.stderr == ""
    else:
        assert done.stderr.strip()
        assert "Traceback" not in done.stdout + done.stderr
        assert "please report it" not in done.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["expirry"], "did you mean 'expiry'"),
        (["writeoff"], "did you mean 'write-off'?"),
        (["box", "ad"], "did you mean 'add'?"),
        (["kit-lists", "sho"], "did you mean 'show'?"),
        (["qqqq"], "'stockcheck --help' shows them all"),
        (["expiry", "--trp", "x"], "--trip"),
        (["use", "pain tablet"], "did you mean 'pain tablets 500 mg'"),
        (["audit", "First aid", "--list", "de-din-13164"], "de-din-13164-2022"),
    ],
)
def test_a_mistyped_name_is_answered_with_the_nearest(
    inside: Run, words: list[str], said: str
) -> None:
    assert said in inside(*words).stderr


def test_what_goes_wrong_is_told_by_the_installed_command_on_stderr_alone(demo: Run) -> None:
    done = demo("use", "L9999")
    assert (done.returncode, done.stdout) == (3, "")
    assert done.stderr.startswith("stockcheck: there is no lot 'L9999'")
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("store", "said"),
    [
        ("", "is empty; give it the file of a store"),
        ("folder", "is a folder"),
        ("text.db", "is not a stockcheck store"),
        ("nothing.db", "make one with: stockcheck --store nothing.db init;"),
        ("no folder/new 'kit'.db", """--store 'no folder/new '"'"'kit'"'"'.db' init;"""),
        ("text.db/stock.db", "text.db/stock.db"),
        ("other.db", "is not a stockcheck store"),
        ("newer.db", "update stockcheck"),
    ],
)
def test_what_is_no_store_is_trouble_with_the_store(
    inside: Run, tmp_path: Path, store: str, said: str
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "text.db").write_text("box,item,quantity\n", "utf-8")
    shutil.copyfile(tmp_path / "stock.db", tmp_path / "newer.db")
    for name, pragma in (("other.db", "user_version = 1"), ("newer.db", "user_version = 999")):
        conn = sqlite3.connect(tmp_path / name)
        conn.execute(f"PRAGMA {pragma}")
        conn.close()
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    for words in (["find", "x"], ["box", "add", "Drawer"]):
        done = inside("--store", store, *words)
        assert done.returncode == StoreTrouble.exit_code
        assert said in done.stderr
        assert done.stderr.count("\n") == 1
    after = {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    assert after == before


def test_a_locked_store_is_told_and_left_alone(
    inside: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stockcheck.store.files.BUSY_MILLISECONDS", 20)
    other = sqlite3.connect(tmp_path / "stock.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    writing, reading = inside("use", "L3"), inside("expiry")
    other.execute("ROLLBACK")
    other.execute("BEGIN EXCLUSIVE")
    shut_out = inside("expiry")
    other.close()
    assert (writing.returncode, reading.returncode, shut_out.returncode) == (4, 0, 4)
    assert "is in use by another program" in writing.stderr


@contextmanager
def without_rights(folder: Path) -> Iterator[None]:
    """As somebody who may look at a folder but not write there; root may everything."""
    for path in (*folder.iterdir(), folder):
        path.chmod(0o555)
    root = os.geteuid() == 0
    try:
        if root:
            os.seteuid(NOBODY)
        yield
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)


def test_a_read_only_store_answers_and_refuses_changes(inside: Run, tmp_path: Path) -> None:
    assert inside("box", "add", "Lamp drawer").returncode == 0
    assert inside("expiry", "--box", "Water").returncode == 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        store = folder / "stock.db"
        shutil.copyfile(tmp_path / "stock.db", store)
        before = store.read_bytes()
        with without_rights(folder):
            reading = inside("--store", str(store), "expiry", "--box", "Water")
            writing = inside("--store", str(store), "box", "add", "Drawer")
            printing = inside("--store", str(store), "expiry", "--output", f"{name}/e.txt")
            making = inside("--store", f"{name}/new.db", "init")
        assert reading.returncode == 0
        assert (writing.returncode, making.returncode) == (4, 4)
        assert "read-only" in writing.stderr
        assert printing.returncode == 3
        assert [path.name for path in folder.iterdir()] == ["stock.db"]
        assert store.read_bytes() == before


def test_only_debug_shows_where_an_unforeseen_error_happened(
    inside: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**_: object) -> None:
        raise RuntimeError("the shelf fell down")

    monkeypatch.setattr("stockcheck.cli.look.find.callback", fail)
    quiet = inside("find", "x")
    monkeypatch.setenv("STOCKCHECK_DEBUG", "1")
    loud = inside("find", "x")
    assert (quiet.returncode, loud.returncode) == (1, 1)
    assert quiet.stderr.count("\n") == 1
    assert "the shelf fell down" in quiet.stderr
    assert "Traceback" in loud.stderr


def test_a_closed_pipe_is_no_error(demo: Run, tmp_path: Path) -> None:
    lines = "".join(f"Water,I70,{number + 1}\n" for number in range(3000))
    (tmp_path / "many.csv").write_text("box,item,quantity\n" + lines, "utf-8")
    assert demo("receive", "--from", "many.csv").returncode == 0
    tool = Path(sys.executable).with_name("stockcheck")
    for words in ("history --last 9000", "expiry", "--help", "expiry --help", "find x"):
        done = subprocess.run(
            ["bash", "-c", f"{tool} {words} | head -c 1; echo :${{PIPESTATUS[0]}}"],
            cwd=tmp_path,
            env=os.environ | {"STOCKCHECK_STORE": "stock.db", "STOCKCHECK_TODAY": "2026-11-25"},
            capture_output=True,
            check=True,
            encoding="utf-8",
        )
        assert done.stdout[1:] == ":0\n", words
        assert "Broken" not in done.stderr, words


def test_ctrl_c_at_a_question_changes_nothing(
    demo: Run, terminal: Callable[..., tuple[int, str]], tmp_path: Path
) -> None:
    assert demo("find", "x").returncode == 0
    before = (tmp_path / "stock.db").read_bytes()
    code, screen = terminal("write-off", "L4", "--reason", "expired", interrupt_at="[y/N]")
    assert code == 130, screen
    assert screen.rstrip().endswith("interrupted; nothing was changed")
    answers = [("box it goes into", "Water")]
    code, screen = terminal("receive", answers=answers, interrupt_at="item, by name")
    assert code == 130, screen
    code, screen = terminal("write-off", "L4", "--reason", "expired", answers=[("[y/N]", "n")])
    assert code == 1
    assert screen.rstrip().endswith("left as it was")
    assert (tmp_path / "stock.db").read_bytes() == before


def test_the_store_is_the_option_else_the_environment_else_ones_own(
    inside: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert inside("--store", "mine.db", "init", "--name", "Mine").returncode == 0
    assert "store Mine" in inside("--store", "mine.db", "box", "list").stdout
    assert "store Demo truck" in inside("box", "list").stdout
    monkeypatch.delenv("STOCKCHECK_STORE")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert inside("box", "list").returncode == 4
    assert inside("init", "--name", "Own").returncode == 0
    assert "store Own" in inside("box", "list").stdout


@pytest.mark.parametrize("words", [["--store", "", "box", "list"], ["box", "list"], ["init"]])
def test_an_empty_name_of_a_store_never_means_ones_own(
    inside: Run, monkeypatch: pytest.MonkeyPatch, own_folder: Path, words: list[str]
) -> None:
    """Given a person's own store, when a script leaves the name empty, then nothing is touched."""
    monkeypatch.delenv("STOCKCHECK_STORE")
    assert inside("init").returncode in {0, StoreTrouble.exit_code}  # it may be there already
    before = {path: path.read_bytes() for path in own_folder.rglob("*") if path.is_file()}
    assert before
    monkeypatch.setenv("STOCKCHECK_STORE", "")
    done = inside(*words)
    assert done.returncode == StoreTrouble.exit_code
    assert "--store or $STOCKCHECK_STORE is empty" in done.stderr
    after = {path: path.read_bytes() for path in own_folder.rglob("*") if path.is_file()}
    assert after == before


@pytest.mark.parametrize("name", ["no/such/folder/stock.db", "text.db/stock.db", "."])
def test_a_store_of_the_environment_that_is_not_there_is_trouble_with_the_store(
    inside: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str
) -> None:
    (tmp_path / "text.db").write_text("a list", "utf-8")
    monkeypatch.setenv("STOCKCHECK_STORE", name)
    for words in (["box", "list"], ["box", "add", "--from", "no-such.csv"], ["undo"]):
        done = inside(*words)
        assert done.returncode in {BadInput.exit_code, StoreTrouble.exit_code}, words
        assert (done.returncode == BadInput.exit_code) == ("no-such.csv" in words)


def test_messages_hang_wrapped_to_the_screen_and_keep_names_and_paths_whole(
    demo: Run, tmp_path: Path
) -> None:
    """Given a store of the demo, when an item is mistyped, then each line fits 50 columns."""
    assert demo("find", "x").returncode == 0
    path = f"{'long-' * 16}name.db"
    said = {}
    for words in (["use", "pain tablet 500"], ["--store", path, "undo"], ["box", "ad", "Shelf"]):
        done = subprocess.run(
            [Path(sys.executable).with_name("stockcheck"), *words],
            env=os.environ | {"STOCKCHECK_STORE": str(tmp_path / "stock.db"), "COLUMNS": "50"},
            capture_output=True,
            check=False,
            encoding="utf-8",
        )
        said[words[0]] = done.stderr.splitlines()
    for lines in said.values():
        assert all(len(line) <= 50 or path in line for line in lines), lines
    assert any("'pain tablets 500 mg'" in line for line in said["use"])
    assert [line[:2] == "  " for line in said["use"]] == [False, *[True] * (len(said["use"]) - 1)]
    assert sum(path in line for line in said["--store"]) == 2
    assert said["box"][-1].startswith(("stockcheck: ", "  "))


def test_the_day_is_the_option_else_the_environment(
    inside: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "as of 25 NOV 2026" in inside("expiry").stdout
    assert "as of 29 FEB 2028" in inside("expiry", "--on", "2028-02-29").stdout
    monkeypatch.setenv("STOCKCHECK_TODAY", "soon")
    done = inside("expiry")
    assert done.returncode == 2
    assert "'soon' is not a day (from $STOCKCHECK_TODAY)" in done.stderr
