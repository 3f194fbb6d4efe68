"""A label's words as the store keeps them, so that the same label can be printed again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any

from stockcheck.core.errors import BadInput
from stockcheck.labels.marks import Mark
from stockcheck.labels.text import LabelText


def words_of(text: LabelText) -> dict[str, Any]:
    """Every field that says something, as JSON takes it."""
    bare = LabelText(text.code, text.short, text.title)
    return {
        name: value
        for name, value in asdict(text).items()
        if name in {"code", "short", "title"} or value != getattr(bare, name)
    }


def text_of(words: Mapping[str, Any]) -> LabelText:
    """The label again; BadInput for one of which too little was kept.

    What a later version of the label no longer says is passed over.
    """
    known = {each.name for each in fields(LabelText)}
    if not {"code", "short", "title"} <= words.keys():
        raise BadInput("nothing was kept of what those labels said; name what they are of instead")
    found: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in words.items()
        if name in known
    }
    if "marks" in found:
        found["marks"] = tuple(Mark(**mark) for mark in found["marks"])
    return LabelText(**found)
