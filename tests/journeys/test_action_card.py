"""The action card: printed, read back, and understood by a session."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pypdfium2

from stockcheck.core.actions import Action, read_action
from stockcheck.labels.readback import read_pages

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def test_the_card_has_every_action_with_words_and_each_is_read_as_that_action(
    demo: Run, tmp_path: Path
) -> None:
    done = demo("action-card")
    assert done.returncode == 0, done.stderr
    assert "8 codes on 1 page, all read back at 300 dpi" in done.stderr
    pdf = (tmp_path / "action-card.pdf").read_bytes()
    for dpi in (203, 300):
        (codes,) = read_pages(pdf, dpi)
        assert {read_action(code) for code in codes} == set(Action)
    text = pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_bounded()
    assert all(action.value in text for action in Action)


def test_the_card_needs_no_store_and_with_boxes_it_shows_them_all(
    demo: Run, tmp_path: Path
) -> None:
    assert demo("--store", "none.db", "action-card").returncode == 0
    assert demo("action-card", "--boxes", "--page", "Letter").returncode == 0
    shown = (tmp_path / "action-card.pdf").read_bytes()
    assert sum(len(codes) for codes in read_pages(shown, 300)) == len(Action) + 14


def test_a_store_without_boxes_gives_the_actions_alone(empty: Run) -> None:
    assert "8 codes on 1 page" in empty("action-card", "--boxes").stderr
