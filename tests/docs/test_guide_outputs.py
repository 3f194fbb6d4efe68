"""Every command in the guide's pages is run on the demo, and its output is the one shown.

Each page begins with a demo of its own. With STOCKCHECK_REFRESH=1 the outputs are written anew
instead (``documents``).
"""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest

from documents import differing
from stockcheck.data.guide import TOPICS

GUIDE = Path(__file__).parents[2] / "stockcheck" / "data" / "guide"


@pytest.mark.parametrize("topic", TOPICS)
def test_every_command_of_a_page_prints_what_the_page_shows(
    made_stores: Path, tmp_path: Path, topic: str
) -> None:
    copytree(made_stores / "demo", tmp_path / "stockcheck-demo")
    file = GUIDE / f"{topic}.md"
    ought = differing(file, tmp_path)
    assert not ought or ought.splitlines() == file.read_text("utf-8").splitlines()
