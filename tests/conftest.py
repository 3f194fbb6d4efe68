"""The installed command as a person runs it, on an empty store and on the demo's.

Both stores are made once for a session and copied for each test, which works in its own folder.
"""

from __future__ import annotations

import contextlib
import os
import pty
import re
import select
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TypeAlias

import pytest
from hypothesis import settings

Done: TypeAlias = "subprocess.CompletedProcess[str]"
Run: TypeAlias = Callable[..., Done]
TODAY = "2026-11-25"  # the demo's day
HAND = 0.7  # seconds that a person takes at least to see an answer and scan again
COMMAND = Path(sys.executable).with_name("stockcheck")

settings.register_profile("stockcheck", deadline=None)  # no test depends on time
settings.load_profile("stockcheck")


def environment(store: Path, **more: str) -> dict[str, str]:
    """What a command finds in its environment: our store, day and width, nothing left over."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith("STOCKCHECK_") and name not in {"NO_COLOR", "COLUMNS", "LINES"}
    }
    ours = {"STOCKCHECK_STORE": str(store), "STOCKCHECK_TODAY": TODAY, "COLUMNS": "80"}
    return kept | ours | {"PYTHONUTF8": "1"} | more


@pytest.fixture(scope="session", autouse=True)
def own_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Where every command of every test finds the person's own folder: never the real one."""
    folder = tmp_path_factory.mktemp("person")
    with pytest.MonkeyPatch.context() as patch:
        for name in ("HOME", "USERPROFILE", "XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA"):
            patch.setenv(name, str(folder))
        yield folder


def unwrapped(err: str) -> str:
    """What was said on stderr, one message a line: what hangs below a line belongs to it."""
    return re.sub(r"\n  +", " ", err)


@pytest.fixture(scope="session")
def made_stores(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with an empty store, and the demo with all that it leaves."""
    folder = tmp_path_factory.mktemp("stores")
    for words in (["demo", "demo"], ["--store", "empty.db", "init", "--name", "Empty truck"]):
        done = subprocess.run(
            [COMMAND, *words],
            cwd=folder,
            env=environment(folder / "none.db"),
            capture_output=True,
            check=True,
            encoding="utf-8",
        )
        (folder / f"{words[0].strip('-')}.out").write_text(done.stdout, "utf-8")
    return folder


def _runner(store: Path) -> Run:
    def run(*words: str, stdin: str | bytes = "", **more: str) -> Done:
        data = stdin if isinstance(stdin, bytes) else stdin.encode()
        done = subprocess.run(
            [COMMAND, *words],
            cwd=store.parent,
            env=environment(store, **more),
            input=data,
            capture_output=True,
            timeout=120,
            check=False,
        )
        out = done.stdout.decode("utf-8", "surrogateescape")
        err = done.stderr.decode("utf-8")
        assert "Traceback" not in err, err
        return subprocess.CompletedProcess(words, done.returncode, out, unwrapped(err))

    return run


@pytest.fixture
def demo(made_stores: Path, tmp_path: Path) -> Run:
    """The command on a copy of the demo's store, ``stock.db`` in the test's folder."""
    shutil.copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db")
    return _runner(tmp_path / "stock.db")


@pytest.fixture
def empty(made_stores: Path, tmp_path: Path) -> Run:
    """The command on a copy of the empty store, ``stock.db`` in the test's folder."""
    shutil.copyfile(made_stores / "empty.db", tmp_path / "stock.db")
    return _runner(tmp_path / "stock.db")


@pytest.fixture
def inside(
    made_stores: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> Run:
    """The command in this process, for many small cases, on a copy of the demo's store."""
    from stockcheck.cli.app import run

    shutil.copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db")
    monkeypatch.chdir(tmp_path)
    for name in ("NO_COLOR", "STOCKCHECK_DEBUG"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment(tmp_path / "stock.db").items():
        monkeypatch.setenv(name, value)

    def inner(*words: str) -> Done:
        code = run(list(words))
        out, err = capfd.readouterr()
        return subprocess.CompletedProcess(words, code, out, unwrapped(err))

    return inner


@pytest.fixture
def terminal(tmp_path: Path) -> Callable[..., tuple[int, str]]:
    """The command at a terminal 80 columns wide; gives its exit code and what stood on the screen.

    ``answers`` are pairs of the words of a question and what is typed then; ``interrupt_at`` are
    the words of a question at which Ctrl-C is pressed.
    """

    def run(
        *words: str,
        answers: Sequence[tuple[str, str]] = (),
        interrupt_at: str = "",
        **more: str,
    ) -> tuple[int, str]:
        ours, theirs = pty.openpty()
        child = subprocess.Popen(
            [COMMAND, *words],
            cwd=tmp_path,
            env=environment(tmp_path / "stock.db", TERM="dumb", **more),
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            start_new_session=True,
        )
        os.close(theirs)
        waiting, seen, screen, interrupted = list(answers), b"", b"", False
        before = ""
        for part in _parts(ours):
            seen, screen = seen + part, screen + part
            if waiting and waiting[0][0].encode() in seen:
                answer = waiting.pop(0)[1]
                if answer == before:
                    time.sleep(HAND)  # sooner, and it would be a symbol that was read twice
                os.write(ours, f"{answer}\n".encode("utf-8", "surrogateescape"))
                seen, before = b"", answer
            elif interrupt_at and not waiting and interrupt_at.encode() in seen:
                child.send_signal(signal.SIGINT)
                seen, interrupted = b"", True
            elif interrupted and not part:
                child.send_signal(signal.SIGINT)  # came just before the question listened
        os.close(ours)
        assert not waiting, f"never asked: {waiting}"
        return child.wait(timeout=60), screen.decode(errors="replace").replace("\r\n", "\n")

    return run


def _parts(screen: int) -> Iterator[bytes]:
    """What comes on the screen, bit by bit, and nothing for each second without anything."""
    silent = 0
    with contextlib.suppress(OSError):  # how Linux tells that the other end is closed
        while silent < 60:
            ready = select.select([screen], [], [], 1)[0]
            part = os.read(screen, 4096) if ready else b""
            if ready and not part:
                return
            silent = 0 if ready else silent + 1
            yield part
