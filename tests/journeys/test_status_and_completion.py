"""What is to be done, on one screen; and names completed through the installed command itself."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from stockcheck.cli.app import COMMANDS, root
from stockcheck.cli.completing import sorts_of

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def test_the_demo_stands_on_one_screen_with_a_command_for_each(demo: Run) -> None:
    done = demo("status")
    lines = done.stdout.splitlines()
    assert done.returncode == 0
    assert len(lines) <= 23
    assert max(map(len, lines)) <= 80
    assert lines[1] == "Next trip: Shakedown weekend, 15 JAN 2027 to 17 JAN 2027, in 51 days"
    assert lines[3].startswith(" 1 Expired: ")
    for width in ("40", "200"):
        wide = demo("status", COLUMNS=width).stdout.splitlines()
        assert max(map(len, wide)) <= int(width)


def test_each_command_that_it_names_is_one_that_runs(demo: Run) -> None:
    told = demo("status", "--trip", "Spring count", "--format", "json").stdout
    for row in json.loads(told)["rows"]:
        words = shlex.split(row["command"])
        assert words[0] == "stockcheck"
        done = demo(*words[1:])
        asks = "can be asked" in done.stderr or "no terminal" in done.stderr
        assert done.returncode == 0 or asks, (words, done.stderr)


def test_what_is_done_is_no_longer_told(demo: Run) -> None:
    def tasks(*more: str) -> list[str]:
        done = demo("status", "--format", "json", *more)
        return [row["task"] for row in json.loads(done.stdout)["rows"]]

    assert "backup" in tasks()
    demo("backup")
    assert "backup" not in tasks()
    assert {"trips to close", "counts overdue"} <= set(tasks("--on", "2027-05-25"))
    demo("trip", "close", "Shakedown weekend", "--nothing-more", "--on", "2027-05-25")
    demo("trip", "close", "Spring count", "--nothing-more", "--on", "2027-05-25")
    assert "trips to close" not in tasks("--on", "2027-05-25")


def test_an_empty_store_has_nothing_to_do(empty: Run) -> None:
    done = empty("status")
    assert "Nothing to do. The store is empty" in done.stdout.replace("\n", " ")
    assert json.loads(empty("status", "--format", "json").stdout)["rows"] == []


def test_a_trip_that_is_over_and_one_that_is_none_are_refused(demo: Run) -> None:
    over = demo("status", "--trip", "Spring count", "--on", "2027-05-25")
    assert (over.returncode, "was back on 25 APR 2027" in over.stderr) == (3, True)
    assert "did you mean" in demo("status", "--trip", "Sprin count").stderr


def asked(run: Run, shell: str, *words: str) -> list[str]:
    """What a shell is answered that asks how the last of these words may go on."""
    joint = "\n" if shell == "bash" else " "
    place = str(len(words)) if shell != "fish" else words[-1]
    typed = words if shell != "fish" else words[:-1]
    done = run(
        COMP_WORDS=joint.join(("stockcheck", *typed)),
        COMP_CWORD=place,
        _STOCKCHECK_COMPLETE=f"{shell}_complete",
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.splitlines()


@pytest.mark.parametrize(
    ("words", "answers"),
    [
        (["decide", "f"], ["plain,First\\ aid", "plain,Fluids"]),
        (["decide", '"F'], ["plain,First aid", "plain,Fluids"]),
        (["decide", "First\\ a"], ["plain,First\\ aid"]),
        (["expiry", "--box", "апт"], ["plain,Аптечка\\ Нины"]),
        (["restock", "--trip", "sp"], ["plain,Spring\\ count"]),
        (["trip", "close", "sp"], ["plain,Spring\\ count"]),
        (["box", "show", "ca"], ["plain,Cab"]),
        (["why", "L100"], ["plain,L100"]),
        (["use", "L100"], ["plain,L100"]),
        (["use", "water\\ t"], ["plain,water\\ tablet\\ 8.5\\ mg\\ NaDCC,\\ for\\ 1\\ l"]),
        (["statu"], ["plain,status"]),
        (["status", "--tr"], ["plain,--trip"]),
        (["decide", "nothing so"], []),
        (["expiry", "--only", "st"], ["plain,status=", "plain,status\\!="]),
        (["expiry", "--only", "d"], ["plain,days_left", "plain,date_meaning"]),
        (["expiry", "--sort", "status,la"], ["plain,status,last_usable_day"]),
        (["kind", "show", "eye-d"], ["plain,eye-drops"]),
        (["audit", "Cab", "--list", "uk-hse-l"], ["plain,uk-hse-low-hazard-box"]),
        (["audit", "Cab", "--list", "own.toml"], ["file,own.toml"]),
        (["labels", "L1", "--stock", "a4-3x7"], ["plain,a4-3x7"]),
        (["whatif", "Cab", "--climate", "house s"], ["plain,house\\ shelf"]),
        (["clear-out", "--route", "ph"], ["plain,pharmacy"]),
        (["purchase", "show", ""], ["plain,1"]),
        (["par", "show", "P12"], ["plain,P12"]),
        (["pack", "Spring\\ count", "--leave", "Ho"], ["plain,Home\\ shelf"]),
    ],
    ids=" ".join,
)
def test_names_are_completed_in_bash(demo: Run, words: list[str], answers: list[str]) -> None:
    assert [line for line in asked(demo, "bash", *words) if line] == answers


def test_zsh_and_fish_are_told_what_each_name_is(demo: Run) -> None:
    zsh = asked(demo, "zsh", "pack", "Sp")
    assert zsh == ["plain", "Spring count", "2027-02-08 to 2027-04-25"]
    fish = [line for line in asked(demo, "fish", "decide", "Апт") if line]
    assert any("Аптечка Нины" in line for line in fish)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_without_a_store_and_with_a_spoilt_one_there_is_no_word(
    demo: Run, tmp_path: Path, shell: str
) -> None:
    store = tmp_path / "stock.db"
    store.write_bytes(b"no store" * 99)
    assert [line for line in asked(demo, shell, "decide", "F") if line] == []
    store.unlink()
    assert [line for line in asked(demo, shell, "decide", "F") if line] == []
    assert list(tmp_path.iterdir()) == []


def test_the_store_named_on_the_line_is_the_one_that_is_asked(demo: Run, tmp_path: Path) -> None:
    shutil.copyfile(tmp_path / "stock.db", tmp_path / "other.db")
    (tmp_path / "stock.db").unlink()
    found = asked(demo, "bash", "--store", "other.db", "decide", "Cab")
    assert found[0] == "plain,Cab"


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_tells_how_to_install_it(demo: Run, shell: str) -> None:
    done = demo("completion", shell)
    assert done.stdout.startswith(f"# To install: stockcheck completion {shell} > ~/")
    assert "_STOCKCHECK_COMPLETE" in done.stdout
    assert demo("completion", SHELL=f"/usr/bin/{shell}").stdout == done.stdout
    assert demo("completion", SHELL="/bin/other").returncode == 2


@pytest.mark.skipif(shutil.which("bash") is None, reason="there is no bash here")
def test_bash_itself_completes_a_name_with_blanks(demo: Run, tmp_path: Path) -> None:
    (tmp_path / "complete.sh").write_text(demo("completion", "bash").stdout, "utf-8")
    command = Path(sys.executable).with_name("stockcheck")
    asks = f"""
        . ./complete.sh
        complete() {{
            COMP_WORDS=(stockcheck "$@"); COMP_CWORD=$#; COMPREPLY=()
            _stockcheck_completion {shlex.quote(str(command))}
            printf '%s|' "${{COMPREPLY[@]}}"
        }}
        complete decide Fi
        complete expiry --box Апт
        complete statu
    """
    done = subprocess.run(
        ["bash", "--norc", "-c", asks],
        cwd=tmp_path,
        env={**os.environ, "STOCKCHECK_STORE": "stock.db", "PYTHONUTF8": "1", "LC_ALL": "C.UTF-8"},
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    assert done.stdout == "First\\ aid|Аптечка\\ Нины|status|"


def named_params() -> list[tuple[str, str, tuple[str, ...]]]:
    """Every argument and option that names something of the store, with what it names."""

    def walk(command: click.Command, path: str) -> list[tuple[str, str, tuple[str, ...]]]:
        found = [(path, param.opts[0], sorts_of(path, param)) for param in command.params]
        if isinstance(command, click.Group) and path != "stockcheck":
            for name, below in command.commands.items():
                found += walk(below, f"{path} {name}")
        return found

    context = click.Context(root)
    every = [(name, root.get_command(context, name)) for name in COMMANDS]
    return [it for name, below in every if below for it in walk(below, f"stockcheck {name}")]


def test_every_box_item_lot_and_trip_of_every_command_is_completed() -> None:
    found = {(path, name): sorts for path, name, sorts in named_params()}
    for (path, name), sorts in found.items():
        if name in {"--box", "--trip", "box_name", "trip", "item", "--lot"}:
            assert sorts, (path, name)
        if path.endswith(" add") and name == "name":
            assert not sorts, path
    assert found["stockcheck use", "thing"] == ("item", "lot")
    assert found["stockcheck trip show", "thing"] == ("trip",)
    assert found["stockcheck history", "thing"] == ("lot", "item", "box")
    assert found["stockcheck move", "--to"] == ("box",)
    assert found["stockcheck restore", "file"] == ()
