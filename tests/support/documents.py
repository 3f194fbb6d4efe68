"""Texts whose commands are run and whose outputs are compared, or written anew.

A line ``...`` in an output stands for lines left out. With STOCKCHECK_REFRESH=1 the outputs are
written anew instead, as many lines of each as stood there.
"""

from __future__ import annotations

import os
import re
import sqlite3
import subprocess
import sys
from pathlib import Path

STORE = "stockcheck-demo/stock.db"
_CONSOLE = re.compile(r"(?<=^```console\n).*?(?=^```$)", re.DOTALL | re.MULTILINE)
_QUERY = re.compile(r"^```sql\n(.*?)^```\n\n```text\n(.*?)^```$", re.DOTALL | re.MULTILINE)


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
    """What a command prints, at 80 columns, on the demo's day and store."""
    scripts = Path(sys.executable).parent
    environment = os.environ | {
        "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}",
        "COLUMNS": "80",
        "STOCKCHECK_STORE": STORE,
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


def told_again(text: str, folder: Path) -> str:
    """The text with every output as it is now; its commands run in order, in the folder."""
    text = _CONSOLE.sub(lambda block: _console(block[0], folder), text)
    return _QUERY.sub(lambda query: _queried(query[1], folder), text)


def differing(file: Path, folder: Path) -> str:
    """The text of a file as it ought to be, where it is not; with STOCKCHECK_REFRESH it is then."""
    text = file.read_text("utf-8")
    ought = told_again(text, folder)
    if os.environ.get("STOCKCHECK_REFRESH") == "1":
        file.write_text(ought, "utf-8")
        return ""
    return ought if ought.splitlines() != text.splitlines() else ""


def _console(block: str, folder: Path) -> str:
    lines: list[str] = []
    for command, shown in steps(block):
        first, *more = command.split("\n")
        lines += [f"$ {first}", *(f"> {line}" for line in more)]
        lines += as_shown(run(command, folder), shown)
    return "\n".join(lines) + "\n"


def _queried(query: str, folder: Path) -> str:
    """A query with its rows, as the shell of SQLite lists them."""
    with sqlite3.connect(f"file:{folder / STORE}?mode=ro", uri=True) as store:
        rows = store.execute(query).fetchall()
    store.close()
    listed = "".join("|".join(map(str, row)) + "\n" for row in rows)
    return f"```sql\n{query}```\n\n```text\n{listed}```"
