"""README's section that leads from nothing to a printed pack, run as a newcomer runs it."""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

from documents import steps

README = Path(__file__).parents[2] / "README.md"
HEADING = "From nothing to a printed pack"


def commands() -> list[str]:
    """The section's commands in order, found by its heading."""
    text = README.read_text("utf-8")
    found = re.search(rf"^## {HEADING}\n(.*?)(?=^## )", text, re.DOTALL | re.MULTILINE)
    assert found is not None, f"README has no section '{HEADING}'"
    blocks = re.findall(r"^```console\n(.*?)^```$", found[1], re.DOTALL | re.MULTILINE)
    return [command for block in blocks for command, _ in steps(block)]


def run_all(scripts: Path, folder: Path) -> list[str]:
    """Run them in a folder with the tool that lies in ``scripts``; what each of them says.

    Nothing of the environment names a store or a day but README's own day; none may fail.
    """
    mine = {key: value for key, value in os.environ.items() if not key.startswith("STOCKCHECK")}
    mine |= {
        "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}",
        "HOME": str(folder),
        "XDG_CONFIG_HOME": str(folder / "config"),
        "STOCKCHECK_TODAY": "2026-11-25",
        "COLUMNS": "80",
    }
    mine.pop("PYTHONPATH", None)
    said = []
    for command in commands():
        done = subprocess.run(
            ["bash", "-c", command], cwd=folder, env=mine, stdin=subprocess.DEVNULL,
            capture_output=True, check=False, encoding="utf-8", timeout=120,
        )  # fmt: skip
        assert done.returncode == 0, (command, done.stderr)
        said.append(done.stdout + done.stderr)
    return said
