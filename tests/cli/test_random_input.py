"""Whatever is scanned, typed or fed in: an answer or a refusal, never a crash, never half a file.

The texts are random but the same in every run.
"""

from __future__ import annotations

import random
import subprocess
from collections.abc import Callable
from pathlib import Path

Run = Callable[..., "subprocess.CompletedProcess[str]"]

LINES = b"""box,item,quantity,expiry,batch,received,note
Water,I70,20,EXP 11/2027,N1,2026-10-01,"one, two"
Cab,"AA cells, alkaline",4,NOV 2027,,today,
First aid,I45,2,2028-02,DC 9,,
"""


def _letters(chance: random.Random) -> str:
    """A text of letters of all scripts, marks, digits, controls and emoji."""
    ranges = [(32, 126), (48, 57), (0, 31), (128, 0x2FF), (0x400, 0x4FF), (0x600, 0x6FF),
              (0x2000, 0x206F), (0x4E00, 0x4FFF), (0xFF10, 0xFF19), (0x1F300, 0x1F5FF)]  # fmt: skip
    picked = (chance.choice(ranges) for _ in range(chance.randrange(1, 40)))
    return "".join(chr(chance.randint(*each)) for each in picked)


def test_300_random_byte_strings_are_answered_or_refused(demo: Run) -> None:
    chance = random.Random(2027)
    for _ in range(10):  # read takes one text a line, so thirty come at a time
        lines = [chance.randbytes(chance.randrange(1, 60)).replace(b"\n", b"") for _ in range(30)]
        done = demo("read", stdin=b"\n".join(lines))
        assert done.returncode in {0, 3}, done.stderr
        assert "please report it" not in done.stderr


def test_300_random_unicode_strings_are_answered_or_refused(inside: Run) -> None:
    chance = random.Random(2028)
    for number in range(300):
        text = _letters(chance)
        shape = ["--format", ("text", "json", "csv")[number % 3]]
        done = inside("read", *shape, "--", text)
        assert done.returncode in {0, 3}, (text, done.stderr)
        assert "please report it" not in done.stderr, text


def test_random_texts_are_found_or_not(inside: Run) -> None:
    chance = random.Random(2029)
    for _ in range(60):
        text = _letters(chance)
        for words in (["find", "--", text], ["use", "--", text], ["history", "--", text],
                      ["box", "show", "--", text]):  # fmt: skip
            done = inside(*words)
            assert done.returncode in {0, 3}, (words, done.stderr)
            assert "please report it" not in done.stderr, words


def _mangled(chance: random.Random) -> bytes:
    """The lines with some bytes changed, dropped, doubled or put elsewhere."""
    data = bytearray(LINES)
    for _ in range(chance.randrange(1, 4)):
        at = chance.randrange(len(data))
        match chance.randrange(5):
            case 0:
                data[at] = chance.randrange(256)
            case 1:
                del data[at : at + chance.randrange(1, 9)]
            case 2:
                data[at:at] = data[at : at + chance.randrange(1, 30)]
            case 3:
                data[at:at] = chance.choice([b'"', b",", b"\n", b"\r", b";", b"\t", b"\0", b"=1+"])
            case _:
                data[at:at] = chance.choice(["\u202e", "１", "Ж", "\ufeff"]).encode()
    return bytes(data)


def test_100_mangled_files_are_taken_in_whole_or_leave_the_store_as_it_was(
    inside: Run, tmp_path: Path
) -> None:
    chance = random.Random(2030)
    inside("find", "x")
    store, file = tmp_path / "stock.db", tmp_path / "in.csv"
    taken = 0
    for _ in range(100):
        before = store.read_bytes()
        file.write_bytes(_mangled(chance))
        done = inside("receive", "--from", "in.csv", "--when-unsure", "earliest")
        assert done.returncode in {0, 3}, (file.read_bytes(), done.stderr)
        assert "please report it" not in done.stderr, file.read_bytes()
        assert (store.read_bytes() == before) == (done.returncode == 3)
        taken += done.returncode == 0
        store.write_bytes(before)
    assert 3 < taken < 97  # both ways to end were tried
