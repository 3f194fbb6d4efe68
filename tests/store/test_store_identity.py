"""What tells one store from every other: kept once made, and stable where it cannot be kept."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from stockcheck.store.files import opened
from stockcheck.store.identity import identity
from stockcheck.store.migrate import create


@pytest.fixture
def path(tmp_path: Path) -> Path:
    create(tmp_path / "kit.db", "Truck")
    return tmp_path / "kit.db"


def test_an_identity_is_made_once_and_goes_along_into_a_copy(path: Path) -> None:
    with opened(path) as store:
        made = identity(store)
    shutil.copyfile(path, path.with_name("copy.db"))
    for each in (path, path.with_name("copy.db")):
        with opened(each) as store:
            assert identity(store) == made


def test_two_stores_of_one_name_differ(path: Path) -> None:
    create(path.with_name("other.db"), "Truck")
    with opened(path) as one, opened(path.with_name("other.db")) as other:
        assert identity(one) != identity(other)


def test_where_nothing_can_be_written_it_is_derived_and_stable(path: Path) -> None:
    with opened(path) as store:
        store.conn.execute("PRAGMA query_only = 1")
        derived = identity(store)
        assert identity(store) == derived
        store.conn.execute("PRAGMA query_only = 0")
        assert store.conn.execute("SELECT 1 FROM setting WHERE key = 'identity'").fetchone() is None
