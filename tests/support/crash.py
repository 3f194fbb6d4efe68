"""A process that works on a store and is killed at a random moment; what must stand afterwards.

The child says after each command that it is done. Whoever waits for it kills it, and lets a second
store follow with the commands that were said to be done: both must hold the same facts, with or
without the one command that was under way. SIGKILL ends the process, not the machine: what a power
cut does to a disk is promised by SQLite's synchronous FULL and not tried here.
"""

from __future__ import annotations

import contextlib
import os
import select
import signal
import sqlite3
import time
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any, NoReturn

from doings import doing, done
from stockcheck.store.backups import dated, folder_of
from stockcheck.store.tables import rows_of, tables

MOMENT = "recorded_at"  # when it was written down, which differs between the two stores


@dataclass(frozen=True, slots=True)
class Killed:
    """How many commands were said to be done, and whether the kill left a journal behind."""

    acknowledged: int
    journal: bool


def facts(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, without the moments of writing."""
    conn = sqlite3.connect(path)
    try:
        found = {}
        for table in tables(conn):
            kept = [at for at, name in enumerate(table.names) if name != MOMENT]
            found[table.name] = [tuple(row[at] for at in kept) for row in rows_of(conn, table)]
        return found
    finally:
        conn.close()


def wrong_with(path: Path) -> list[object]:
    """What SQLite's own checks and the ledger's sums say against a store; [] for a sound one."""
    conn = sqlite3.connect(path)
    try:
        said = [row for row in conn.execute("PRAGMA integrity_check") if row != ("ok",)]
        said += conn.execute("PRAGMA foreign_key_check").fetchall()
        said += conn.execute(
            "SELECT lot_id, box_id, state, ifnull(opened_on, ''), sum(quantity) FROM movement_line"
            " GROUP BY 1, 2, 3, 4 EXCEPT"
            " SELECT lot_id, box_id, state, ifnull(opened_on, ''), quantity FROM holding"
        ).fetchall()
        return list(said)
    finally:
        conn.close()


def new_backups(store: Path, seen: set[str]) -> list[Path]:
    """The dated backups not looked at before: what has the name of one is one, killed or not."""
    new = [folder_of(store) / each.name for each in dated(store) if each.name not in seen]
    seen.update(each.name for each in new)
    return new


def kill_at_random(store: Path, seed: int, most_commands: int, most_seconds: float) -> Killed:
    """Let a child work on a store by the commands of a seed, and kill it.

    That is a random moment after a random number of commands.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _work(store, seed, writing)
    os.close(writing)
    random, count = Random(~seed), 0
    try:
        for _ in range(random.randint(0, most_commands) + 1):  # the first says that it has begun
            count += len(os.read(reading, 1))
        time.sleep(random.uniform(0, most_seconds))
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    while select.select([reading], [], [], 0)[0] and (part := os.read(reading, 4096)):
        count += len(part)
    os.close(reading)
    return Killed(count - 1, store.with_name(store.name + "-journal").exists())


def _work(store: Path, seed: int, acknowledge: int) -> NoReturn:
    with contextlib.suppress(BaseException):
        random, number = Random(seed), 0
        os.write(acknowledge, b".")
        while True:
            done(store, doing(random, number_of(seed, number)))
            os.write(acknowledge, b".")
            number += 1
    os._exit(1)


def number_of(seed: int, number: int) -> int:
    """A number for the names of a command that no other one has."""
    return seed * 1000 + number


def follow(shadow: Path, seed: int, count: int, store: Path) -> bool:
    """Let the second store do what was acknowledged; whether the first one has just that.

    It may have the command that was under way as well: that one was whole and only not yet said.
    """
    random = Random(seed)
    for number in range(count):
        done(shadow, doing(random, number_of(seed, number)))
    there = facts(store)
    if facts(shadow) == there:
        return True
    done(shadow, doing(random, number_of(seed, count)))
    return facts(shadow) == there
