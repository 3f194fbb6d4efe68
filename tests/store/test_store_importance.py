"""How important a par level is: as its item, unless somebody says otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from stockcheck.core.model import Importance
from stockcheck.store import bulk, plans
from stockcheck.store.files import Store, opened
from stockcheck.store.migrate import create


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Two boxes and a vital item."""
    create(tmp_path / "kit.db", "Kit")
    with opened(tmp_path / "kit.db") as store:
        with store.writing() as conn:
            bulk.add_text(conn, "box", {"box": "Truck"})
            bulk.add_text(conn, "box", {"box": "Water"})
            vital = {"item": "burn gel", "kind": "tool", "importance": "vital"}
            bulk.add_text(conn, "item", vital)
            bulk.add_text(conn, "item", {"item": "tyre patch", "kind": "tyre-patch"})
        yield store


def change(store: Store, **fields: str) -> list[Importance]:
    """Change the one par level; how important it is then."""
    with store.writing() as conn:
        bulk.change_text(conn, "par", 1, fields)
    return [par.importance for par in plans.pars(store.conn)]


@pytest.mark.parametrize(
    ("fields", "importance"),
    [
        ({"item": "burn gel"}, "vital"),
        ({"item": "burn gel", "importance": ""}, "vital"),
        ({"item": "burn gel", "importance": "desirable"}, "desirable"),
        ({"kind": "tool"}, "essential"),
        ({"kind": "tool", "importance": "vital"}, "vital"),
    ],
)
def test_a_par_level_is_as_important_as_its_item_unless_it_says_otherwise(
    store: Store, fields: dict[str, str], importance: str
) -> None:
    """Given a vital item, when a box should hold it, then nobody has to say vital again."""
    line = {"box": "Water", "quantity": "2"} | fields
    with store.writing() as conn:
        bulk.add_text(conn, "par", line)
        bulk.add_lines(conn, "par", "par.csv", [(2, line | {"box": "Truck"})])
    assert [par.importance for par in plans.pars(store.conn)] == [importance] * 2


def test_the_importance_of_a_par_level_is_cleared_to_that_of_its_item(store: Store) -> None:
    with store.writing() as conn:
        bulk.add_text(conn, "par", {"box": "Water", "item": "burn gel", "quantity": "2"})
    assert change(store, importance="desirable") == ["desirable"]
    assert change(store, importance="") == ["vital"]
    assert change(store, item="tyre patch", importance="") == ["essential"]
    assert change(store, item="burn gel", importance="") == ["vital"]
    assert change(store, item="", kind="tool", importance="") == ["essential"]
