"""Every command in README is run, in order, on the demo, and its output is the one shown.

With STOCKCHECK_REFRESH=1 the outputs are written anew instead (``documents``).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from documents import differing, run

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("readme")
    assert "invented" in "\n".join(run("stockcheck demo", made))
    return made


def test_every_command_of_readme_prints_what_readme_shows(folder: Path) -> None:
    ought = differing(README, folder)
    assert not ought or ought.splitlines() == README.read_text("utf-8").splitlines()


def test_the_two_commands_on_top_set_up_and_test() -> None:
    blocks = re.findall(r"^```sh\n(.*?)^```$", README.read_text("utf-8"), re.DOTALL | re.MULTILINE)
    assert [block.count("\n") for block in blocks[:2]] == [1, 1]
    assert blocks[0].strip().endswith("stockcheck demo")
    assert "pytest" in blocks[1]
