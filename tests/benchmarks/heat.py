"""How fast heat is worked out, as ratios: python tests/benchmarks/heat.py

Seconds tell of the machine, ratios to a bare numpy computation tell of the code. Run by name, never
in the default run. It ends with exit code 1 when a promise is broken or the two disagree.
"""

from __future__ import annotations

import csv
import io
import random
import sys
from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import TypeVar

import numpy as np

from stockcheck.core.climate import Climate, DailyRange
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import HeatLimit, Stay, heat_limit
from stockcheck.core.heat_models import HeatUse, heat_model
from stockcheck.core.log_reading import LogColumns, Scale, find_columns, read_log
from stockcheck.core.model import Kind
from stockcheck.core.temperature_log import TemperatureLog
from stockcheck.data.kinds import shipped_kinds
from stockcheck.store import catalogue
from stockcheck.store.files import opened
from stockcheck.store.heat import add_climate
from stockcheck.store.limits import refresh_limits
from stockcheck.store.migrate import create
from stockcheck.store.rows import insert

HOLDINGS, BOXES, READINGS = 100_000, 60, 500_000
MOST_SECONDS = 10.0
FIRST = date(2024, 1, 1)
DAYS = 366 * 16
_Result = TypeVar("_Result")
Job = tuple[Kind, date, date, int]


def timed(work: Callable[[], _Result]) -> tuple[float, _Result]:
    start = perf_counter()
    result = work()
    return perf_counter() - start, result


def say(text: str) -> None:
    sys.stdout.write(text + "\n")


def made_boxes(dice: random.Random) -> list[Exposure]:
    boxes = []
    for number in range(BOXES):
        low = [dice.uniform(0, 25) for _ in range(12)]
        days = tuple(DailyRange(it, it + dice.uniform(2, 22)) for it in low)
        boxes.append(Exposure(Climate(f"box {number}", days)))
    return boxes


def made_jobs(dice: random.Random) -> list[Job]:
    kinds = [
        it
        for it in shipped_kinds().values()
        if heat_model(it).use is HeatUse.LIMIT and not heat_model(it).storage.never_frozen
    ]
    jobs = []
    for _ in range(HOLDINGS):
        start = FIRST + timedelta(days=dice.randrange(2 * 365))
        life = timedelta(days=dice.randrange(180, 5 * 365))
        jobs.append((dice.choice(kinds), start, start + life, dice.randrange(BOXES)))
    return jobs


def ours(jobs: list[Job], boxes: list[Exposure]) -> list[date]:
    found = []
    for kind, start, unheated, box in jobs:
        limit = heat_limit(kind, start, unheated, [Stay("box", start, None, boxes[box])])
        if not isinstance(limit, HeatLimit):
            raise TypeError(limit.reason)
        found.append(limit.last_usable_day)
    return found


def bare_numpy(jobs: list[Job], boxes: list[Exposure]) -> list[int]:
    """The last usable days, as days since FIRST: each box's daily factors summed by the hour."""
    months = np.array([(FIRST + timedelta(days=n)).month - 1 for n in range(DAYS)])
    turn = np.cos((np.arange(480) + 0.5) * (2 * np.pi / 480))
    start = np.array([(it[1] - FIRST).days + 1 for it in jobs])
    life = np.array([(it[2] - it[1]).days for it in jobs])
    models = [heat_model(it[0]) for it in jobs]
    box = np.array([it[3] for it in jobs])
    last = start - 1 + life
    for rule in sorted(
        {(m.q10, m.reference_c, b) for m in models for b in (m.q10, m.harshest, m.mildest)}
    ):
        q10, reference_c, used = rule
        mine = np.array([m.q10 == q10 and m.reference_c == reference_c for m in models])
        for number, exposure in enumerate(boxes):
            climate = exposure.climate
            chosen = mine & (box == number)
            if climate is None or not chosen.any():
                continue
            usual = np.array([[it.centre_c, it.half_swing] for it in climate.months])
            moments = usual[:, :1] + usual[:, 1:] * turn
            factor = np.maximum(1, used ** ((moments - reference_c) / 10)).mean(axis=1)
            running = np.concatenate([[0.0], np.cumsum(factor[months])])
            goal = running[start[chosen]] + life[chosen] + 1e-6
            found = np.searchsorted(running, goal, side="right") - 2
            if used == q10:
                last[chosen] = np.minimum(last[chosen], found)
    return [int(it) for it in last]


def made_store(path: Path, jobs: list[Job], boxes: list[Exposure]) -> None:
    """The same holdings as they would be in a store: a lot each, received on the day it starts."""
    create(path, "benchmark")
    with opened(path) as store, store.writing() as conn:
        for number, exposure in enumerate(boxes):
            months = exposure.climate.months if exposure.climate else ()
            figures = {"low_c": [it.low_c for it in months], "high_c": [it.high_c for it in months]}
            add_climate(conn, {"name": f"box {number}", **figures}, "benchmark")
            catalogue.add(conn, "box", {"name": f"box {number}", "climate": f"box {number}"})
        ids = dict(conn.execute("SELECT key, kind_id FROM kind"))
        items = {
            kind.key: catalogue.add(conn, "item", {"name": kind.key, "kind_id": ids[kind.key]})
            for kind in {job[0].key: job[0] for job in jobs}.values()
        }
        lots, moves, lines = [], [], []
        for n, (kind, start, last, box) in enumerate(jobs, 1):
            dated = {"expiry": str(last), "printed_last_day": str(last), "received_on": str(start)}
            lots.append({"lot_id": n, "code": f"{n:010d}", "item_id": items[kind.key], **dated})
            move = {"movement_id": n, "together": 1, "what": "received", "on_day": str(start)}
            moves.append({**move, "recorded_at": ""})
            lines.append({"movement_id": n, "lot_id": n, "box_id": box + 1, "quantity": 1})
        insert(conn, "lot", lots)
        insert(conn, "movement", moves)
        insert(conn, "movement_line", lines)


def from_a_store(jobs: list[Job], boxes: list[Exposure]) -> tuple[float, list[date]]:
    """The seconds that a store takes to work all limits out anew, and the days."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "kit.db"
        made_store(path, jobs, boxes)
        with opened(path) as store, store.writing() as conn:
            seconds, _ = timed(lambda: refresh_limits(conn))
            rows = conn.execute("SELECT last_usable_day FROM holding ORDER BY lot_id").fetchall()
    return seconds, [date.fromisoformat(row[0]) for row in rows]


def holdings() -> bool:
    dice = random.Random(20270601)
    boxes, jobs = made_boxes(dice), made_jobs(dice)
    seconds, days = timed(lambda: ours(jobs, boxes))
    bare, reference = timed(lambda: bare_numpy(jobs, boxes))
    mine = np.array([(it - FIRST).days for it in days])
    apart = np.abs(mine - np.array(reference))
    say(
        f"{HOLDINGS} holdings, {BOXES} monthly climates, a band of three days each: {seconds:.2f} s"
    )
    say(f"bare numpy, vectorised: {bare:.2f} s; ratio {seconds / bare:.1f}")
    say(f"last usable days that differ: {(apart > 0).sum()}, by at most {apart.max()} day")
    stored, kept = from_a_store(jobs, boxes)
    wrong = sum(one != other for one, other in zip(kept, days, strict=True))
    say(f"from a store and back into it: {stored:.2f} s; ratio to the above {stored / seconds:.1f}")
    say(f"last usable days that the store has otherwise: {wrong}")
    return max(seconds, stored) < MOST_SECONDS and bool(apart.max() <= 1) and not wrong


def log_text() -> str:
    start, step = datetime(2020, 1, 1), timedelta(minutes=10)
    rows = (
        f"{start + step * n:%Y-%m-%d %H:%M},{28 + 12 * np.sin(n / 22.9):.1f}"
        for n in range(READINGS)
    )
    return "\n".join(["Time,Temperature (°C)", *rows])


def bare_rows(text: str) -> int:
    return sum(1 for _ in csv.DictReader(io.StringIO(text)))


def numbered(text: str) -> list[tuple[int, Mapping[str, str]]]:
    return list(enumerate(csv.DictReader(io.StringIO(text)), 2))


def readings() -> bool:
    text = log_text()
    columns = find_columns(["Time", "Temperature (°C)"])
    bare, _ = timed(lambda: bare_rows(text))
    seconds, found = timed(lambda: read_log(numbered(text), columns, file="log.csv"))
    say(
        f"{len(found.readings)} readings read: {seconds:.2f} s; csv alone {bare:.2f} s; "
        f"ratio {seconds / bare:.1f}"
    )
    other = [
        (n, {"t": f"{n % 28 + 1:02d}/05/2027 14:{n % 60:02d}", "c": "31,5"})
        for n in range(READINGS)
    ]
    slow, _ = timed(
        lambda: read_log(other, LogColumns("t", "c", scale=Scale.CELSIUS), file="x", order=None)
    )
    say(f"a log of {READINGS} rows whose order nobody told, given up after: {slow:.4f} s")
    box = Exposure(log=TemperatureLog(found.readings))
    sealant = shipped_kinds()["rtv-silicone"]
    stay = [Stay("bed", date(2020, 1, 1), None, box)]
    dose, _ = timed(lambda: heat_limit(sealant, date(2020, 1, 1), date(2029, 1, 1), stay))
    say(
        f"the band of one holding over all of them: {dose:.2f} s, and of each further one "
        f"{timed(lambda: heat_limit(sealant, date(2020, 1, 2), date(2029, 1, 1), stay))[0]:.5f} s"
    )
    return seconds < MOST_SECONDS


if __name__ == "__main__":
    sys.exit(0 if all([holdings(), readings()]) else 1)
