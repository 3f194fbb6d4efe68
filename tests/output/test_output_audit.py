"""What an audit says of a line in print. The list and the stock are invented."""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.audit import audit
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.model import (
    Box,
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Item,
    Kind,
    Lot,
    PastDate,
)
from stockcheck.output.audit_report import audit_report

ON = date(2027, 3, 1)
KIND = Kind(
    "plaster", "plaster", "invented", DateContext.GENERAL, DateMeaning.NONE, PastDate.NO_LIMIT,
    "d", "s", Certainty.OWN,
)  # fmt: skip
LISTED = Line("Plaster", 3, ("plaster",))


def why(quantity: int) -> str:
    item = Item(1, "3000000016", "plaster, wide", KIND)
    held = Holding(1, Lot(1, "1000000013", item), Box(1, "2000000018", "Truck"), quantity)
    kit_list = KitList("mine", "My list", "invented", "", "own", "", (LISTED,))
    result = audit(kit_list, [held] if quantity else [], ON)
    report = audit_report(result, box="Truck", store="Truck", facts=(), cautions={})
    return report.rows[0].shown["why"]


@pytest.mark.parametrize(
    ("quantity", "words"),
    [(2, "2 of 3 usable"), (0, "none held"), (3, ""), (5, "2 over")],
)
def test_a_line_that_is_not_met_always_tells_why(quantity: int, words: str) -> None:
    """Given so many held where three are asked, when printed, then the reason stands beside it."""
    assert why(quantity) == words
