"""Kinds in a store: the shipped ones, the user's changes laid over them, and the user's own."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.data.kinds import shipped_kinds
from stockcheck.store import catalogue, kinds
from stockcheck.store.files import Store, opened
from stockcheck.store.migrate import create
from stockcheck.store.names import find_kind

OWN = {"key": "lantern-mantle", "name": "Lantern mantle", "meaning": "none", "past": "no limit"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def new_edition(store: Store) -> None:
    """What opening does after an update of stockcheck."""
    with store.writing() as conn:
        conn.execute("UPDATE setting SET value = 'an older one' WHERE key = 'catalogue'")
        assert kinds.refresh_kinds(conn)


def test_a_new_store_has_every_shipped_kind_whole(store: Store) -> None:
    assert kinds.kinds_by_key(store.conn) == dict(
        sorted(shipped_kinds().items(), key=lambda it: it[1].name.lower())
    )


def test_a_changed_kind_shows_the_shipped_figure_beside_its_own(store: Store) -> None:
    with store.writing() as conn:
        kinds.change_kind(conn, "threadlocker", {"sealed": {"life": "36 months", "source": "me"}})
    changed = kinds.kinds_by_key(store.conn)["threadlocker"]
    assert changed.origin == "changed"
    assert changed.sealed is not None
    assert (str(changed.sealed.life), changed.sealed.source) == ("36 months", "me")
    assert kinds.kind_changes(store.conn, "threadlocker") == {
        "sealed": {"life": "36 months", "source": "me"}
    }


def test_changes_add_up_and_survive_a_new_edition_of_the_catalogue(store: Store) -> None:
    with store.writing() as conn:
        kinds.change_kind(conn, "threadlocker", {"sealed": "36 months"})
        kinds.change_kind(conn, "threadlocker", {"storage": "in the fridge"})
    before = kinds.kinds_by_key(store.conn)["threadlocker"]
    new_edition(store)
    assert kinds.kinds_by_key(store.conn)["threadlocker"] == before
    assert before.storage == "in the fridge"


def test_going_back_to_the_shipped_figures_forgets_the_changes(store: Store) -> None:
    with store.writing() as conn:
        kinds.change_kind(conn, "threadlocker", {"sealed": "36 months"})
        kinds.unchange_kind(conn, "threadlocker")
    assert kinds.kinds_by_key(store.conn)["threadlocker"] == shipped_kinds()["threadlocker"]
    assert kinds.kind_changes(store.conn, "threadlocker") == {}


def test_a_change_that_a_new_edition_no_longer_allows_falls_away_alone(store: Store) -> None:
    """A store must open, and a date that has become a safety date must be one."""
    outgrown = {"meaning": "quality", "storage": "in the fridge"}
    with store.writing() as conn:
        conn.execute("UPDATE kind SET changes = ? WHERE key = 'eye-drops'", (json.dumps(outgrown),))
    new_edition(store)
    drops = kinds.kinds_by_key(store.conn)["eye-drops"]
    assert (drops.meaning.value, drops.storage) == ("safety", "in the fridge")
    assert kinds.kind_changes(store.conn, "eye-drops") == {"storage": "in the fridge"}


def test_a_kind_of_one_s_own_keeps_its_key_when_the_catalogue_takes_it_up(store: Store) -> None:
    with store.writing() as conn:
        conn.execute("UPDATE kind SET origin = 'own', name = 'mine' WHERE key = 'threadlocker'")
    new_edition(store)
    row = store.conn.execute("SELECT origin, name FROM kind WHERE key = 'threadlocker'").fetchone()
    assert row == ("own", "mine")


def test_a_kind_that_the_catalogue_dropped_stays_with_its_rule(store: Store) -> None:
    with store.writing() as conn:
        conn.execute("UPDATE kind SET key = 'older-glue' WHERE key = 'threadlocker'")
    new_edition(store)
    there = kinds.kinds_by_key(store.conn)
    assert {"older-glue", "threadlocker"} <= there.keys()


def test_a_kind_of_one_s_own_is_added_changed_and_has_nothing_shipped(store: Store) -> None:
    with store.writing() as conn:
        assert kinds.add_kind(conn, OWN).origin == "own"
        kinds.change_kind(conn, "lantern-mantle", {"storage": "away from children"})
    mantle = kinds.kinds_by_key(store.conn)["lantern-mantle"]
    assert (mantle.origin, mantle.storage) == ("own", "away from children")
    with pytest.raises(BadInput, match="is your own; there is no shipped one"):
        kinds.unchange_kind(store.conn, "lantern-mantle")


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (OWN | {"key": "eye-drops"}, "there is a kind 'eye-drops' already"),
        (OWN | {"name": "EYE-DROPS"}, "is the name of kind 'eye-drops' already"),
        (OWN | {"past": "eat it"}, "is not one of its words"),
    ],
)
def test_an_own_kind_that_does_not_fit_is_refused(
    store: Store, table: dict[str, str], words: str
) -> None:
    with pytest.raises(BadInput, match=words), store.writing() as conn:
        kinds.add_kind(conn, table)


def test_a_kind_is_found_by_key_or_name_in_any_case_and_letters(store: Store) -> None:
    with store.writing() as conn:
        kinds.add_kind(conn, OWN | {"key": "yod", "name": "Йодная настойка"})
    assert find_kind(store.conn, "ЙОДНАЯ  настойка")[1] == "yod"
    assert find_kind(store.conn, " Eye-Drops ")[1] == "eye-drops"
    with pytest.raises(UnknownName, match="there is no kind 'eye-drps'; did you mean 'eye-drops'"):
        find_kind(store.conn, "eye-drps")


def test_a_retired_kind_leaves_the_list_and_keeps_its_rule(store: Store) -> None:
    number, key = find_kind(store.conn, "threadlocker")
    with store.writing() as conn:
        catalogue.retire(conn, "kind", number, date(2026, 11, 25))
    assert key not in kinds.kinds_by_key(store.conn, retired=False)
    assert kinds.kinds_by_id(store.conn, [number])[number].key == key
