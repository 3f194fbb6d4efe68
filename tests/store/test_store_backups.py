"""Backups: equal to the store, its owner's alone, let go by a rule; and going back to one."""

from __future__ import annotations

import sqlite3
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path
from shutil import copyfile

import pytest

from doings import done, many
from full_store import full_store, views
from stockcheck.core.errors import StoreTrouble
from stockcheck.core.keeping import Dated, dated_name, read_name, to_let_go
from stockcheck.store import backups
from stockcheck.store.backups import automatic, back_up, dated, folder_of, go_back
from stockcheck.store.files import Store, opened
from stockcheck.store.going_back import compare
from sums import digests


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return full_store(tmp_path_factory.mktemp("full") / "full.db")


@pytest.fixture
def path(made: Path, tmp_path: Path) -> Path:
    copyfile(made, tmp_path / "kit.db")
    (tmp_path / "kit.db").chmod(0o600)
    return tmp_path / "kit.db"


def facts(path: Path) -> dict[str, tuple[int, str]]:
    with opened(path) as store:
        return digests(store.conn)


def kept(path: Path) -> Path:
    """A backup by hand beside the store."""
    target = path.with_name("kept.db")
    with opened(path) as store:
        back_up(store, target)
    return target


def change(path: Path) -> None:
    with opened(path) as store, store.writing() as conn:
        conn.execute("UPDATE box SET note = 'changed' WHERE box_id = 1")


def test_a_backup_has_every_fact_and_is_its_owner_s_alone(path: Path) -> None:
    backup = kept(path)
    assert facts(backup) == facts(path)
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    assert sorted(each.name for each in path.parent.iterdir()) == ["kept.db", "kit.db"]


def test_a_backup_is_made_while_another_reads_and_another_waits_to_write(path: Path) -> None:
    with opened(path) as reader, opened(path) as store:
        reader.conn.execute("BEGIN")
        reader.conn.execute("SELECT * FROM box").fetchall()
        back_up(store, path.with_name("kept.db"))
        reader.conn.execute("ROLLBACK")


def test_no_backup_is_written_over(path: Path) -> None:
    backup = kept(path)
    with opened(path) as store, pytest.raises(StoreTrouble, match="is there already"):
        back_up(store, backup)


class Unfaithful(sqlite3.Connection):
    """A connection whose copies have one thing changed, as a bad disk would leave them."""

    change = ""

    def backup(self, target: sqlite3.Connection, **_: object) -> None:
        super().backup(target)
        target.execute(self.change)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE box SET note = note || '.' WHERE box_id = 2",
        "UPDATE setting SET value = lower(value) WHERE key = 'currency'",
        "DELETE FROM par WHERE par_id = (SELECT max(par_id) FROM par)",
        "DROP INDEX lot_by_batch",
        "DROP TRIGGER movement_keep",
    ],
)
def test_a_copy_that_does_not_read_back_is_no_backup(path: Path, change: str) -> None:
    conn = sqlite3.connect(path, factory=Unfaithful, uri=True, isolation_level=None)
    conn.change = change
    with pytest.raises(StoreTrouble, match="does not read back"):
        back_up(Store(conn, path), path.with_name("kept.db"))
    conn.close()
    assert [each.name for each in path.parent.iterdir()] == ["kit.db"]


def test_a_damaged_store_is_not_backed_up_as_if_it_were_whole(path: Path) -> None:
    whole = path.read_bytes()
    root = 4096 * (sqlite3.connect(path).execute(
        "SELECT rootpage FROM sqlite_master WHERE name = 'movement_line_by_box'"
    ).fetchone()[0] - 1)  # fmt: skip
    path.write_bytes(whole[:root] + bytes(4096) + whole[root + 4096 :])
    with pytest.raises(StoreTrouble, match="damaged"):
        kept(path)


def test_dated_backups_lie_beside_the_store(path: Path) -> None:
    with opened(path) as store:
        one, two = automatic(store, "mend"), automatic(store, "mend")
    assert one.path.parent == two.path.parent == folder_of(path) == path.with_name("kit-backups")
    assert stat.S_IMODE(folder_of(path).stat().st_mode) == 0o700
    assert [each.reason for each in dated(path)] == ["mend", "mend"]
    assert one.path != two.path


START = datetime(2026, 11, 25, 8, 1, 2, tzinfo=UTC)


def named(days_ago: int) -> Dated:
    name = dated_name("kit", START - timedelta(days=days_ago), "mend")
    found = read_name("kit", name)
    assert found is not None
    return found


def test_the_ten_newest_are_kept_and_the_last_of_each_of_twelve_months() -> None:
    every = [named(days) for days in range(0, 800, 5)]
    gone = to_let_go(every)
    left = [each for each in every if each not in gone]
    assert left[:10] == every[:10]
    months = [each.moment[:6] for each in left[10:]]
    assert len(set(months)) == len(months) == 10, "two months stand among the ten newest"
    assert to_let_go(every[:10]) == []
    assert to_let_go(left) == []


MINE = (
    "kit.db", "kit-mine.db", "kit-20261125T080102Z-put-aside.db", "kat-20261125T080102Z-mend.db",
    "kit-20261125T080102Z-mend.db.gz", "my kit-20261125T080102Z-mend.db",
)  # fmt: skip


@pytest.mark.parametrize("name", MINE)
def test_a_name_that_a_person_gave_is_never_one_of_ours(name: str) -> None:
    assert read_name("kit", name) is None


def test_rotation_lets_go_only_of_dated_ones(path: Path) -> None:
    folder = folder_of(path)
    folder.mkdir()
    for days in range(200):
        (folder / dated_name("kit", START - timedelta(days=days), "import")).write_text("old")
    mine = folder / "kit-before the trip.db"
    mine.write_text("mine")
    with opened(path) as store:
        newest = automatic(store, "mend").path
    assert mine.exists()
    assert newest.exists()
    assert len(dated(path)) < 20


def test_what_going_back_would_lose_is_told_and_nothing_changed(
    made_stores: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STOCKCHECK_TODAY", "2026-11-25")
    path = Path(copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db"))
    backup = kept(path)
    assert (found := compare(path, backup, 10)) is not None
    assert (found.differences, found.movements) == ([], [])
    many(path, 3, 25)
    before = path.read_bytes()
    found = compare(path, backup, 10)
    assert found is not None
    assert len(found.movements) == found_lost(found.differences, "movement") > 0
    assert path.read_bytes() == before


def found_lost(differences: list[backups.Difference], table: str) -> int:
    return next(each.lost for each in differences if each.table == table)


def test_going_back_and_back_again(path: Path) -> None:
    backup, before = kept(path), facts(path)
    change(path)
    changed = facts(path)
    aside = go_back(path, backup)
    assert (facts(path), facts(aside)) == (before, changed)
    assert go_back(path, aside) != aside
    assert facts(path) == changed
    assert stat.S_IMODE(aside.stat().st_mode) == stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("content", [b"", b"\0" * 9000, b"SQLite format 3\0" + b"x" * 9000])
def test_a_store_that_is_past_reading_is_put_aside_as_it_is(path: Path, content: bytes) -> None:
    backup = kept(path)
    path.write_bytes(content)
    path.with_name("kit.db-journal").write_bytes(b"left over")
    aside = go_back(path, backup)
    assert aside.read_bytes() == content
    assert facts(path) == facts(backup)
    assert not path.with_name("kit.db-journal").exists()


def test_a_write_that_waits_while_somebody_goes_back_is_kept(path: Path) -> None:
    """The other process waits, and then writes into the store as it is after going back."""
    backup = kept(path)
    change(path)
    with opened(path) as other:
        go_back(path, backup)
        with other.writing() as conn:
            conn.execute("UPDATE box SET note = 'after' WHERE box_id = 2")
    assert ("B2", "after") in [(row[0], row[5]) for row in views(path)["boxes"]]


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"no store", "not a stockcheck store"), (None, "made by a newer"), (b"", "not a stockcheck")],
)
def test_what_is_no_backup_is_refused(path: Path, content: bytes | None, words: str) -> None:
    backup = kept(path)
    if content is None:
        conn = sqlite3.connect(backup)
        conn.execute("PRAGMA user_version = 99")
        conn.close()
    else:
        backup.write_bytes(content)
    with pytest.raises(StoreTrouble, match=words):
        backups.refuse_no_backup(backup)


def test_a_backup_is_made_before_the_schema_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from stockcheck.store.migrate import create

    path = tmp_path / "kit.db"
    with monkeypatch.context() as older:
        for where in ("files", "migrate"):
            older.setattr(f"stockcheck.store.{where}.SCHEMA_VERSION", 2)
        create(path, "Kit")
    before = path.read_bytes()
    with opened(path):
        pass
    (backup,) = dated(path)
    assert backup.reason == "migration"
    conn = sqlite3.connect(folder_of(path) / backup.name)
    assert conn.execute("PRAGMA user_version").fetchone()[0] == 2
    conn.close()
    assert len(before) > 0


def test_a_long_file_of_arrivals_is_preceded_by_a_backup(
    made_stores: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STOCKCHECK_TODAY", "2026-11-25")
    path = Path(copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db"))
    before = facts(path)
    for lines, backed_up in ((49, 0), (50, 1)):
        rows = [f"Water,I70,1,N{lines}-{number}\n" for number in range(lines)]
        (tmp_path / "in.csv").write_text("box,item,quantity,batch\n" + "".join(rows), "utf-8")
        assert done(path, ["receive", "--from", str(tmp_path / "in.csv"), "--dry-run"]) == 0
        assert len(dated(path)) == 0
        if lines == 50:
            before = facts(path)
        assert done(path, ["receive", "--from", str(tmp_path / "in.csv")]) == 0
        assert len(dated(path)) == backed_up
    assert facts(folder_of(path) / dated(path)[0].name) == before
