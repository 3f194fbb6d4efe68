"""What heat does to a box: climates, a logger's file, and what they make of the dates."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
BOX, BED, HOT = "Sealants and adhesives", "Truck bed", "truck bed, hot dry"


def rows(run: Run, *words: str) -> list[dict[str, Any]]:
    done = run(*words, "--format", "json")
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def row(run: Run, lot: str, *words: str) -> dict[str, Any]:
    return next(each for each in rows(run, "expiry", *words) if each["lot"] == lot)


def plain(text: str) -> str:
    return " ".join(text.split())


def readings(path: Path, first: str, celsius: list[float], heading: str = "Time,Temp C") -> str:
    """A logger's export with a reading each hour."""
    start = datetime.fromisoformat(first)
    lines = [
        f"{start + n * timedelta(hours=1):%Y-%m-%d %H:%M},{c:.1f}" for n, c in enumerate(celsius)
    ]
    path.write_text("\n".join([heading, *lines]) + "\n", "utf-8")
    return path.name


def test_a_hot_climate_of_the_outer_box_brings_dates_forward_and_why_tells_the_sum(
    demo: Run,
) -> None:
    before = row(demo, "L14")
    assert (before["last_usable_day"], before["governed_by"]) == ("2028-02-29", "printed")
    assert demo("box", "change", BED, "--climate", HOT).returncode == 0
    after = row(demo, "L14")
    assert after["governed_by"] == "heat"
    assert after["last_usable_day"] < before["last_usable_day"]
    why = plain(demo("why", "L14").stdout)
    assert "heat limit (governs, an estimate): used up about JUL 2027" in why
    assert "instead of 29 FEB 2028, its printed limit" in why
    assert "assumes Q10 2 (1.5 to 3) above 25 °C" in why
    assert "climate 'truck bed, hot dry' (invented for illustration)" in why
    assert "source: rule of thumb of accelerated ageing (ASTM F1980, Q10)" in why
    assert "kept at 25 °C or cooler from today on it is good through about FEB 2028" in why
    assert demo("box", "change", BED, "--climate", "").returncode == 0
    assert row(demo, "L14") == before


def test_no_date_of_any_box_is_later_for_heat_and_no_medicine_has_one_by_it(demo: Run) -> None:
    before = {(r["lot"], r["box"], r["quantity"]): r for r in rows(demo, "expiry")}
    for box in (BED, "Cab", "Home shelf"):
        assert demo("box", "change", box, "--climate", HOT).returncode == 0
    for after in rows(demo, "expiry"):
        was = before[after["lot"], after["box"], after["quantity"]]["last_usable_day"]
        if was is not None:
            assert after["last_usable_day"] <= was
        if after["box"] in {"Medicines", "Аптечка Нины"} and after["date_meaning"] == "safety":
            assert after["governed_by"] != "heat"
    assert "No heat estimate: sterility is not a rate." in demo("why", "L59").stdout


def test_a_loggers_file_is_taken_in_once_and_shown(demo: Run, tmp_path: Path) -> None:
    name = readings(tmp_path / "bed.csv", "2026-11-25 06:00", [20, 30, 40, 41, 30, 20])
    done = demo("heat", "log", BOX, name)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(
        "6 new readings for Sealants and adhesives, 25 NOV 2026 06:00 to 25 NOV 2026"
    )
    again = demo("heat", "log", BOX, name)
    assert "0 new readings" in again.stdout
    assert "6 were there already" in again.stdout
    shown = plain(demo("heat", "show", BOX).stdout)
    assert "6 readings, 25 NOV 2026 06:00 to 25 NOV 2026 11:00: 20.0 to 41.0 °C" in shown
    assert "above 28 °C, the storage ceiling of anaerobic threadlocker: once, 3 h 24 min" in shown
    assert "longest 3 h 24 min from 25 NOV 2026 06:48, at most 41.0 °C" in shown
    why = plain(demo("why", "L14").stdout)
    assert "heat so far: about 3 h above its storage ceiling of 28 °C, first on 25 NOV 2026" in why


def test_readings_shorten_a_life_and_forgotten_they_do_not(demo: Run, tmp_path: Path) -> None:
    before = row(demo, "L18")
    name = readings(tmp_path / "bed.csv", "2026-06-10 00:00", [45.0] * 24 * 30)
    done = demo("heat", "log", BOX, name)
    assert "the dates of" in done.stdout
    after = row(demo, "L18")
    assert (after["governed_by"], before["governed_by"]) == ("heat", "shelf")
    assert "its logger" in plain(demo("why", "L18").stdout)
    asked = demo("heat", "forget", BOX)
    assert (asked.returncode, asked.stdout) == (1, "")
    gone = demo("heat", "forget", BOX, "--from", "2026-06-10", "--until", "2026-07-20", "--yes")
    assert gone.stdout.startswith("720 readings of Sealants and adhesives are forgotten")
    assert row(demo, "L18") == before


def test_what_its_logger_found_too_hot_is_no_longer_counted_nor_handed_out(
    demo: Run, tmp_path: Path
) -> None:
    today = ["--on", "2026-12-10"]
    later = ["restock", "--by", "2027-01-01", *today]
    before = rows(demo, *later)
    assert row(demo, "L51", *today)["status"] == "in date"
    name = readings(tmp_path / "bed.csv", "2026-12-03 12:00", [41.0, 62.0])
    assert "changed: L50 pain tablets" in plain(
        demo("heat", "log", "Medicines", name, *today).stdout
    )
    done = plain(demo("heat", "log", BOX, name, *today).stdout)
    assert "L18 superglue, 3 g tube and 4 more; 'stockcheck why LOT' tells how" in done
    for lot in ("L14", "L51"):
        spoilt = row(demo, lot, *today)
        assert (spoilt["last_usable_day"], spoilt["governed_by"]) == ("2026-12-02", "heat")
        assert spoilt["status"] == "expired"
    why = plain(demo("why", "L14", *today).stdout)
    assert "heat limit (governs): above 60 °C on 03 DEC 2026 by its logger: treat as spoilt" in why
    assert "was good through 02 DEC 2026, 8 days before 10 DEC 2026" in why
    assert "taken out by 'stockcheck heat forget'" in why
    assert rows(demo, *later) != before
    used = demo("use", "pain tablets 500 mg", "--quantity", "1", *today)
    assert "(L52, good through 31 OCT 2027)" in plain(used.stdout)  # L50 and L51 are spoilt


def test_why_tells_of_a_trips_climate_what_expiry_shows_for_it(demo: Run) -> None:
    trip = ["--trip", "Spring count"]
    asked = demo("why", "L14", *trip)
    assert asked.stdout.startswith("the trip Spring count names no climate")
    usual = demo("why", "L14").stdout
    assert asked.stdout.endswith(usual)
    assert demo("trip", "change", "Spring count", "--climate", HOT).returncode == 0
    shown = row(demo, "L14", *trip)
    assert shown["governed_by"] == "heat"
    why = plain(demo("why", "L14", *trip).stdout)
    assert "heat limit (governs, an estimate)" in why
    assert "on the trip since" in why
    assert demo("why", "L14").stdout == usual
    assert demo("why", "L14", "--trip", "no such").returncode == 3


def test_a_zone_fahrenheit_gaps_and_doubles(demo: Run, tmp_path: Path) -> None:
    (tmp_path / "z.csv").write_text(
        '"Logged at";"Sensor 1 (°F)"\n2026-11-01T06:00:00Z;71,6\n2026-11-01T07:00:00Z;80,6\n'
        "2026-11-01T07:00:00Z;82,4\n2026-11-01T08:00:00Z;\n2026-11-02T09:00:00Z;100\n",
        "utf-8",
    )
    columns = ["--map", "time=Logged at", "--map", "temperature=Sensor 1 (°F)"]
    done = demo("heat", "log", "Cab", "z.csv", *columns, "--zone", "+02:00")
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == [
        "3 new readings for Cab, 01 NOV 2026 08:00 to 02 NOV 2026 11:00",
        "  times at +02:00; --zone sets another",
        "  1 stood twice in the file, 1 disagreed: the warmer kept",
        "  1 rows without a temperature left out",
        "  gap of 1 day 2 h: 01 NOV 2026 09:00 to 02 NOV 2026 11:00",
        "  the dates of 1 holding changed: L62 insect repellent, 100 ml spray;",
        "    'stockcheck why LOT' tells how",
    ]
    assert "22.0 to 37.8 °C" in demo("heat", "show", "Cab").stdout


@pytest.mark.parametrize(
    ("text", "words", "code", "said"),
    [
        ("Time,Temp C\n2026-11-01 06:00,21\n2026-11-01 07:00,warm\n", [], 3,
         "log.csv, line 3, Temp C 'warm': it is no temperature"),
        ("Time,Temp\n2026-11-01 06:00,21\n", [], 3, "with --scale"),
        ("Time,Temp C\n01/02/2026 06:00,21\n", [], 3, "with --date-order"),
        ("When,Temp C\n2026-11-01 06:00,21\n", [], 3, "Here that is --map OURS=HEADING"),
        ("Time,Temp C\n2026-11-01 06:00,\n", [], 3, "has no temperature in its column 'Temp C'"),
        ("Time,Temp C\n", [], 3, "has no rows"),
        ("Time,Temp C\n2026-11-01 06:00,21\n", ["--map", "Temp"], 2, "is not OURS=THEIRS"),
        ("Time,Temp C\n2026-11-01 06:00,21\n", ["--zone", "+2"], 2, "is not an offset"),
        ("Time,Temp C\n2026-11-01 06:00,21\n", ["--zone", "+99:00"], 2, "is not an offset"),
        ("Time,Temp C\n2026-11-01 06:00,21\n", ["--map", "humidity=Time"], 3, "Use time, date"),
        ("Time,Temp C\n01/11/2026 06:00,21\n01/12/2026 06:00,21\n", ["--date-order", "dmy"], 3,
         "a reading is of 01 DEC 2026 06:00, and it is only 25 NOV 2026"),
    ],
    ids=range(11),
)  # fmt: skip
def test_a_file_that_cannot_be_read_whole_leaves_no_reading(
    demo: Run, tmp_path: Path, text: str, words: list[str], code: int, said: str
) -> None:
    (tmp_path / "log.csv").write_text(text, "utf-8")
    done = demo("heat", "log", "Cab", "log.csv", *words)
    assert done.returncode == code
    assert said in plain(done.stderr)
    assert "neither a climate nor readings are known" in demo("heat", "show", "Cab").stdout


def test_a_long_file_shows_how_far_it_is_at_a_terminal(
    demo: Run, terminal: Terminal, tmp_path: Path
) -> None:
    assert demo("box", "list").returncode == 0
    name = readings(tmp_path / "long.csv", "2024-01-01 00:00", [20.0] * 20_500)
    code, screen = terminal("heat", "log", "Cab", name)
    assert code == 0
    assert "Reading" in screen
    assert "100%" in screen
    assert "20500 new readings for Cab" in screen
    assert demo("heat", "log", "Cab", name).stderr == ""


def test_a_climate_of_ones_own_is_added_named_and_renewed(demo: Run, tmp_path: Path) -> None:
    file = tmp_path / "roof.toml"
    file.write_text('name = "roof box"\nsource = "my logger"\nfixed_c = 30\n', "utf-8")
    assert demo("climate", "add", "--from", "roof.toml").stdout.startswith(
        "Climate 'roof box' is known"
    )
    assert "roof box" in {each["climate"] for each in rows(demo, "climate", "list")}
    assert demo("box", "change", BED, "--climate", "roof box").returncode == 0
    warm = row(demo, "L14")["last_usable_day"]
    file.write_text('name = "Roof Box"\nfixed_c = 45\n', "utf-8")
    renewed = demo("climate", "add", "--from", "roof.toml")
    assert "the dates of" in renewed.stdout
    assert row(demo, "L14")["last_usable_day"] < warm
    assert "45 °C all year round" in demo("climate", "show", "roof box").stdout
    file.write_text("name = [", "utf-8")
    assert demo("climate", "add", "--from", "roof.toml").returncode == 3
    missing = demo("climate", "show", "roofbox")
    assert missing.returncode == 3
    assert "did you mean 'Roof Box'" in plain(missing.stderr)


def test_whatif_shows_the_shift_and_changes_nothing(demo: Run) -> None:
    demo("box", "change", BED, "--climate", HOT)
    before = rows(demo, "expiry")
    found = {each["lot"]: each for each in rows(demo, "whatif", BOX, "--climate", "house shelf")}
    assert found["L14"]["days"] == 232
    assert found["L14"]["now"] == row(demo, "L14")["last_usable_day"]
    assert found["L24"]["why"] == "past its date"
    text = plain(demo("whatif", "Medicines", "--climate", HOT).stdout)
    assert "treat as spoilt" in text
    assert " could not be relied on" in text
    assert "ask a pharmacist" in text
    assert rows(demo, "expiry") == before
    assert demo("whatif", BOX, "--climate", "the moon").returncode == 3


@pytest.mark.parametrize(
    "words",
    [
        ["expiry", "--trip", "Spring count"],
        ["restock", "--trip", "Spring count"],
        ["audit", "First aid", "--list", "uk-hse-low-hazard-box", "--trip", "Spring count"],
    ],
    ids=lambda words: words[0],
)
def test_a_trip_takes_its_climate_into_every_report(demo: Run, words: list[str]) -> None:
    usual = rows(demo, *words)
    climate = "design day, hot dry, outside"
    assert demo("trip", "change", "Spring count", "--climate", climate).returncode == 0
    assert rows(demo, *words) != usual or words[0] == "audit"
    assert demo("trip", "change", "Spring count", "--climate", "").returncode == 0
    assert rows(demo, *words) == usual


def test_what_comes_home_from_a_hot_box_brings_its_age_along(demo: Run) -> None:
    demo("box", "change", BED, "--climate", HOT)
    demo("box", "change", "Home shelf", "--climate", "house shelf")
    assert demo("move", "L14", "--to", "Home shelf", "--on", "2027-04-20").returncode == 0
    home = row(demo, "L14")
    assert home["governed_by"] == "heat"
    assert home["last_usable_day"] < "2028-02-29"
    why = plain(demo("why", "L14", "--on", "2027-04-21").stdout)
    assert "Home shelf since 20 APR 2027: climate 'house shelf'" in why
    assert demo("move", "L14", "--to", BOX, "--on", "2027-05-20").returncode == 0
    back = row(demo, "L14")
    assert "2027-05-20" < back["last_usable_day"] < home["last_usable_day"]
