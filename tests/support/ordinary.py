"""Running a command as somebody to whom a file's permissions apply: root may do anything."""

from __future__ import annotations

import os
import subprocess
import sys

WITHOUT_POWERS = ["setpriv", "--bounding-set=-all", "--inh-caps=-all"]  # util-linux


def ordinary(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Python with these arguments; root's power over permissions is laid down first."""
    before = WITHOUT_POWERS if os.geteuid() == 0 else []
    return subprocess.run(
        [*before, sys.executable, *arguments], capture_output=True, text=True, check=False
    )
