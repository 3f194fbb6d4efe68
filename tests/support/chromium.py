"""A real browser without a screen, spoken to over a pipe in its own protocol (Chrome DevTools).

Two pipes carry JSON messages that end with a NUL byte; nothing else is needed, and no port is open.
"""

from __future__ import annotations

import base64
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-default-apps", "--disable-extensions", "--mute-audio", "--hide-scrollbars",
    "--host-resolver-rules=MAP * ~NOTFOUND", "--remote-debugging-pipe",
)  # fmt: skip
PATIENCE = 60  # seconds for one answer, on a busy machine


def browser_path() -> str | None:
    """Where the browser is, None where there is none."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


class Browser:
    """A running browser with one page that looks as told."""

    def __init__(self, to_it: int, from_it: int) -> None:
        self._to, self._from, self._rest = to_it, from_it, b""
        self._number, self._session = 0, ""
        self.events: list[dict[str, Any]] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        attached = self.call("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        """Ask one thing and wait for its answer; events on the way are kept."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._to, json.dumps(message).encode() + b"\0")
        for answer in self._messages():
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                result: dict[str, Any] = answer["result"]
                return result
            self.events.append(answer)
        raise AssertionError(f"the browser went away at {method}")

    def _messages(self) -> Iterator[dict[str, Any]]:
        end = time.monotonic() + PATIENCE
        while True:
            while b"\0" in self._rest:
                one, _, self._rest = self._rest.partition(b"\0")
                yield json.loads(one)
            ready = select.select([self._from], [], [], max(0.0, end - time.monotonic()))[0]
            part = os.read(self._from, 65536) if ready else b""
            if not part:
                return
            self._rest += part

    def look(self, file: Path, width: int, *, dark: bool = False, media: str = "screen") -> None:
        """Open a file at a width in CSS pixels, on a light or a dark screen or for a printer."""
        self.events.clear()
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=800, deviceScaleFactor=1, mobile=width < 600,
        )  # fmt: skip
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.call("Emulation.setEmulatedMedia", media=media, features=[scheme])
        self.call("Page.navigate", url=file.as_uri())
        while self.value("document.readyState") != "complete":
            time.sleep(0.05)

    def value(self, expression: str) -> Any:
        """What an expression in the page comes to."""
        found = self.call("Runtime.evaluate", expression=expression, returnByValue=True)
        assert "exceptionDetails" not in found, found
        return found["result"].get("value")

    def picture(self, most_high: int = 6000) -> bytes:
        """The page from its top on as a PNG."""
        size = self.call("Page.getLayoutMetrics")["cssContentSize"]
        clip = {
            "x": 0, "y": 0, "width": size["width"],
            "height": min(size["height"], most_high), "scale": 1,
        }  # fmt: skip
        shot = self.call("Page.captureScreenshot", clip=clip, captureBeyondViewport=True)
        return base64.b64decode(shot["data"])

    def printed(self) -> bytes:
        """The page as its own print command makes a PDF of it, on A4."""
        done = self.call(
            "Page.printToPDF", paperWidth=8.27, paperHeight=11.69, preferCSSPageSize=True
        )
        return base64.b64decode(done["data"])

    @property
    def requests(self) -> list[str]:
        """Every address that the page asked for."""
        return [
            it["params"]["request"]["url"]
            for it in self.events
            if it.get("method") == "Network.requestWillBeSent"
        ]

    @property
    def complaints(self) -> list[str]:
        """What stands in the browser's console, such as a breach of the page's policy."""
        return [
            it["params"]["entry"]["text"]
            for it in self.events
            if it.get("method") == "Log.entryAdded"
        ]


@contextmanager
def running(path: str) -> Iterator[Browser]:
    """A browser with a new, empty profile, ended by its own number in the end."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        theirs_in, ours_out = os.pipe()
        ours_in, theirs_out = os.pipe()
        shell = f'exec "$@" 3<&{theirs_in} 4>&{theirs_out}'  # where the browser looks for its pipes
        process = subprocess.Popen(
            ["bash", "-c", shell, "browser", path, *FLAGS, f"--user-data-dir={profile}"],
            pass_fds=(theirs_in, theirs_out),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(theirs_in)
        os.close(theirs_out)
        try:
            yield Browser(ours_out, ours_in)
        finally:
            os.close(ours_out)
            os.close(ours_in)
            process.terminate()
            process.wait(timeout=PATIENCE)
