"""Recalled batches: what a maker called back, and which stock that concerns.

A recall names an item or a GTIN, and a batch or every batch. It counts until it is lifted.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import spoken

_WORD_BEFORE = re.compile(r"^(?:lot|batch|b/?n)\b[\s.:#]*(?:no\b[\s.:]*)?(?=\S)")


@dataclass(frozen=True, slots=True)
class Recall:
    """A batch that was called back; ``batch`` is empty where every batch is meant.

    ``item_id`` is None where only a GTIN is known, ``lifted_on`` while the recall stands.
    """

    id: int
    item_id: int | None
    item: str
    gtin: str
    batch: str
    reason: str
    on: date
    lifted_on: date | None = None
    lifted_why: str = ""

    @property
    def short(self) -> str:
        """Its number as people say it."""
        return f"R{self.id}"

    @property
    def words(self) -> str:
        """What is recalled, since when and why: ``batch 7C21-B of eye drops, since ...``."""
        batch = f"batch {self.batch}" if self.batch else "every batch"
        why = f": {self.reason}" if self.reason else ""
        return f"{batch} of {self.item or f'GTIN {self.gtin}'}, since {spoken(self.on)}{why}"

    def concerns(self, item_id: int | None, gtins: Iterable[str], gtin: str, batch: str) -> bool:
        """Whether stock of an item known under ``gtins``, with its own one and a batch, is meant.

        A batch is taken as the same on a single and on a pack of ten, so any GTIN of the item will
        do for it; every batch of one GTIN leaves the item's other GTINs alone. Stock without a
        known batch is concerned by a recall of every batch alone.
        """
        if self.batch and batch_key(self.batch) != batch_key(batch):
            return False
        if self.item_id is not None and self.item_id == item_id:
            return True
        if not self.gtin:
            return False
        if gtin == self.gtin:
            return True
        return (bool(self.batch) or not gtin) and self.gtin in set(gtins)


def batch_key(text: str) -> str:
    """The form under which batches are compared: no case, no blanks, no word ``LOT`` before it."""
    folded = unicodedata.normalize("NFKC", text).casefold().strip()
    return "".join(_WORD_BEFORE.sub("", folded).split())
