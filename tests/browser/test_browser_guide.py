"""The guide as one file in a real browser: on a phone and a desk, off the network.

Run by name (``pytest tests/browser``); needs Chromium. Only the listings may be wider than a
phone's screen, and scroll by themselves.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

from chromium import browser_path, running

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def test_the_guide_fits_a_phone_and_a_desk_and_asks_for_nothing(demo: Run, tmp_path: Path) -> None:
    assert demo("guide", "--format", "html", "--output", "guide.html").returncode == 0
    path = browser_path()
    assert path is not None, "no Chromium here; on Debian: apt-get install -y chromium"
    with running(path) as browser:
        for width, dark in ((360, False), (1280, True)):
            browser.look(tmp_path / "guide.html", width, dark=dark)
            assert browser.value("document.documentElement.scrollWidth") <= width
            wide = "[...document.body.querySelectorAll('*')].filter(e => !e.closest('thead, pre')"
            wide += f" && e.getBoundingClientRect().right > {width} + 0.5).length"
            assert browser.value(wide) == 0
            assert browser.complaints == []
            assert len(browser.requests) == 1
