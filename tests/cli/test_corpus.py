"""Files that once could have been trouble, and what chance makes of them: answered or refused.

``tests/corpus`` is kept: what breaks a reader is added there under a name that says what it tries.
The first word of a name tells the reader. Chance is the same in every run; STOCKCHECK_FUZZ=20 gives
it twenty times as many tries.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hostile import tries
from stockcheck.core.dates import read_date, read_made
from stockcheck.core.errors import BadInput
from stockcheck.core.gs1 import read_gs1
from stockcheck.core.harmless import from_csv_cell, harmless, to_csv_cell
from stockcheck.core.model import DateContext
from stockcheck.core.names import MOST_NAME, name_key, tidy_name, tidy_text, unprintable
from stockcheck.core.reading import read_any

Run = Callable[..., "subprocess.CompletedProcess[str]"]

CORPUS = Path(__file__).parents[1] / "corpus"
READERS = {
    "intake": [
        ["receive", "--from", "{}"],
        ["receive", "--from", "{}", "--when-unsure", "earliest"],
    ],
    "boxes": [["box", "add", "--from", "{}"]],
    "count": [["count", "Water", "--from", "{}", "--by", "Ana"]],
    "log": [["heat", "log", "Cab", "{}", "--zone", "+02:00"]],
    "list": [["kit-lists", "check", "{}"], ["audit", "First aid", "--list", "{}"]],
    "stock": [["label-stock", "check", "{}"]],
    "climate": [["climate", "add", "--from", "{}"]],
    "items": [["item", "add", "--from", "{}"]],
    "offers": [["offer", "add", "--from", "{}"]],
    "memory": [["remember", "--from", "{}"]],
    "returned": [
        ["trip", "close", "Shakedown weekend", "--from", "{}", "--yes", "--on", "2027-01-18"]
    ],
    "picture": [["scan", "--photo", "{}"]],
}
FILES = sorted(CORPUS.iterdir())
SEEDS = {file.name: file.read_bytes()[:600] for file in FILES}
SMALL = settings(
    max_examples=tries(40),
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
TEXTS = st.text(max_size=40) | st.text("0123456789/.- EXPNOV20()[]d\x1d", max_size=60)


def _answered(run: Run, store: Path, words: list[str], file: Path) -> None:
    before = store.read_bytes()
    done = run(*[str(file) if word == "{}" else word for word in words])
    assert done.returncode in {0, 3}, (words, file.read_bytes()[:200], done.stderr)
    assert "please report it" not in done.stderr, (words, file.read_bytes()[:200], done.stderr)
    assert harmless(done.stdout + done.stderr) == done.stdout + done.stderr
    if done.returncode == 3:
        assert store.read_bytes() == before
    store.write_bytes(before)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_each_kept_file_is_answered_or_leaves_the_store_as_it_was(
    inside: Run, tmp_path: Path, file: Path
) -> None:
    for words in READERS[file.name.partition("-")[0]]:
        _answered(inside, tmp_path / "stock.db", words, file)


@SMALL
@given(
    seed=st.sampled_from(sorted(SEEDS)),
    at=st.integers(0, 600),
    length=st.integers(0, 12),
    put=st.binary(max_size=8) | TEXTS.map(lambda text: text.encode("utf-8", "surrogatepass")),
)
def test_what_chance_makes_of_them_too(
    inside: Run, tmp_path: Path, seed: str, at: int, length: int, put: bytes
) -> None:
    file = tmp_path / f"mangled{Path(seed).suffix}"
    data = SEEDS[seed]
    file.write_bytes(data[:at] + put + data[at + length :])
    for words in READERS[seed.partition("-")[0]]:
        _answered(inside, tmp_path / "stock.db", words, file)


@settings(deadline=None)
@given(TEXTS, st.sampled_from(DateContext))
def test_any_text_is_read_as_a_date_or_not(text: str, context: DateContext) -> None:
    day = date(2026, 11, 25)
    for found in (read_date(text, day, context=context), read_made(text, day)):
        assert found.text == text
    read_any(text, day, context.value, None)
    read_gs1(text, day)


@given(st.text(max_size=200))
def test_a_name_is_kept_without_anything_unseen_or_refused(text: str) -> None:
    try:
        name = tidy_name(text, "box")
    except BadInput:
        return
    assert 0 < len(name) <= MOST_NAME
    assert not unprintable(name)
    assert tidy_name(name, "box") == name
    assert name_key(name)
    assert harmless(name) == name


@given(st.text(max_size=60))
def test_words_are_kept_the_same_however_often_they_are_tidied(text: str) -> None:
    try:
        kept = tidy_text(text)
    except BadInput:
        return
    assert tidy_text(kept) == kept
    assert harmless(kept) == kept


@given(st.text(max_size=20) | st.text("'=+-@1,\t\n", max_size=6))
def test_a_cell_comes_back_from_csv_as_it_was(text: str) -> None:
    assert from_csv_cell(to_csv_cell(text)) == harmless(text)
