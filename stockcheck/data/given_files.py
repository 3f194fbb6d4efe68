"""Files that a person gives by name: ordinary ones, of bounded size, read without waiting.

The one home of the limits on text files; pictures have their own in ``photos.opening``.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import BinaryIO

from stockcheck.core.errors import BadInput

MOST_TABLE_BYTES = 64_000_000  # a CSV, a logger's export: some million lines
MOST_TOML_BYTES = 256_000  # a kit list, a label stock, a climate: the longest that ships has 6 kB
MOST_DOTS = 500  # in one line of TOML: dotted keys take tomllib quadratic time


def read_text(path: Path, most: int = MOST_TABLE_BYTES) -> str:
    """A text file as UTF-8 (with or without a byte order mark). BadInput names what is wrong."""
    try:
        return read_bytes(path, most).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            f"{path} is not UTF-8 text (byte {error.start})", "Save it as UTF-8 (CSV UTF-8)"
        ) from error


def read_bytes(path: Path, most: int) -> bytes:
    """What an ordinary file holds; BadInput for a folder, a pipe, a device, or too large a file."""
    try:
        with open_ordinary(path) as file:
            data = file.read(most + 1)
    except (OSError, ValueError) as error:
        raise _unreadable(path, error) from error
    if len(data) > most:
        raise BadInput(f"{path} is larger than {_size(most)}", "Split it, or look at what it is")
    return data


def open_ordinary(path: Path) -> BinaryIO:
    """An ordinary file, opened without waiting. BadInput for a folder, a pipe or a device.

    OSError or ValueError, as ``open`` gives them, for what cannot be opened at all.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    mode = os.fstat(handle).st_mode
    if stat.S_ISREG(mode):
        return os.fdopen(handle, "rb")
    os.close(handle)
    if stat.S_ISDIR(mode):
        raise BadInput(f"cannot read {path}: it is a folder", "Name a file in it")
    raise BadInput(f"cannot read {path}: it is a pipe or device", "Save it as a file first")


def read_toml(path: Path) -> dict[str, object]:
    """The table of a TOML file. BadInput where it is none, or nested beyond reason."""
    import tomllib

    text = read_text(path, MOST_TOML_BYTES)
    for number, line in enumerate(text.splitlines(), 1):
        if line.count(".") > MOST_DOTS:
            raise BadInput(f"{path}, line {number}: more than {MOST_DOTS} dots", "Write it flat")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(f"{path} is not TOML: {error}", "Correct that place") from error
    except RecursionError as error:
        raise BadInput(f"{path}: its lists or tables are nested too deep", "Write it flat") from (
            error
        )
    except ValueError as error:  # a figure of thousands of digits, a day that is none
        raise BadInput(f"{path}: a value cannot be read: {error}", "Correct it") from error


def _unreadable(path: Path, error: Exception) -> BadInput:
    reason = getattr(error, "strerror", None) or str(error)
    return BadInput(f"cannot read {path}: {reason}; look at the path")


def _size(count: int) -> str:
    return f"{count // 1_000_000} MB" if count >= 1_000_000 else f"{count // 1000} kB"
