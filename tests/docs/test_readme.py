"""Every command in README is run, in order, on the demo, and its output is the one shown.

A line ``...`` in an output stands for lines left out. With STOCKCHECK_REFRESH=1 the outputs in
README are written anew instead, as many lines of each as stood there.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
BLOCK = re.compile(r"(?<=^```console\n).*?(?=^```$)", re.DOTALL | re.MULTILINE)


def steps(block: str) -> list[tuple[str, list[str]]]:
    """The commands of a block with the lines shown under each."""
    found: list[tuple[str, list[str]]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif found and found[-1][0].endswith("\\") and line.startswith("> "):
            found[-1] = (f"{found[-1][0]}\n{line[2:]}", [])
        else:
            found[-1][1].append(line)
    return found


def run(command: str, folder: Path) -> list[str]:
    """What a command of README prints, at 80 columns, on the demo's day and store."""
    scripts = Path(sys.executable).parent
    environment = os.environ | {
        "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}",
        "COLUMNS": "80",
        "STOCKCHECK_STORE": "stockcheck-demo/stock.db",
        "STOCKCHECK_TODAY": "2026-11-25",
    }
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
        timeout=120,
        check=False,
        encoding="utf-8",
    )
    return [line.rstrip() for line in done.stdout.splitlines()]


def as_shown(printed: list[str], shown: list[str]) -> list[str]:
    """The printed lines, with as many left out as were left out in what is shown."""
    if "..." not in shown:
        return printed
    at = shown.index("...")
    tail = len(shown) - at - 1
    return [*printed[:at], "...", *(printed[len(printed) - tail :] if tail else [])]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("readme")
    assert "invented" in "\n".join(run("stockcheck demo", made))
    return made


def test_every_command_of_readme_prints_what_readme_shows(folder: Path) -> None:
    text = README.read_text("utf-8")
    refreshed = BLOCK.sub(lambda block: _again(block[0], folder), text)
    if os.environ.get("STOCKCHECK_REFRESH") == "1":
        README.write_text(refreshed, "utf-8")
    assert refreshed.splitlines() == README.read_text("utf-8").splitlines()


def _again(block: str, folder: Path) -> str:
    lines: list[str] = []
    for command, shown in steps(block):
        first, *more = command.split("\n")
        lines += [f"$ {first}", *(f"> {line}" for line in more)]
        lines += as_shown(run(command, folder), shown)
    return "\n".join(lines) + "\n"


def test_the_two_commands_on_top_set_up_and_test() -> None:
    blocks = re.findall(r"^```sh\n(.*?)^```$", README.read_text("utf-8"), re.DOTALL | re.MULTILINE)
    assert [block.count("\n") for block in blocks[:2]] == [1, 1]
    assert blocks[0].strip().endswith("stockcheck demo")
    assert "pytest" in blocks[1]
