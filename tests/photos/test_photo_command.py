"""``scan --photo``: what pictures of a box show, what was not read, and what was not seen."""

from __future__ import annotations

import json
import random
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from photographs import Conditions, photograph
from stockcheck.core.codes import make_code
from symbols_drawn import Symbol, code128_of, matrix_of

Run = Callable[..., "subprocess.CompletedProcess[str]"]
WATER, EXPIRED, GOOD, ELSEWHERE = (
    make_code("box", 8),
    make_code("lot", 107),
    make_code("lot", 106),
    make_code("lot", 1),
)  # of the demo: what the box Water holds, and a tube that is in another box


def picture(folder: Path, name: str, *symbols: str | Symbol) -> Path:
    drawn = [code128_of(each) if isinstance(each, str) else each for each in symbols]
    shot = photograph(random.Random(name), drawn, Conditions(angle=None, quality=80))
    shot.image.convert("RGB").save(folder / name)
    return folder / name


def rows(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def test_the_box_in_the_picture_is_the_box_and_what_it_lacks_is_told(
    inside: Run, tmp_path: Path
) -> None:
    picture(tmp_path, "front.jpg", WATER, EXPIRED, GOOD)
    found = rows(inside("scan", "--photo", "front.jpg", "--format", "json"))
    seen = {row["lot"]: row["spoken"] for row in found if row["outcome"] == "seen"}
    assert seen == {None: "BOX", "L107": "EXPIRED", "L106": "GOOD"}
    missing = {row["lot"] for row in found if row["outcome"] == "not seen"}
    assert missing == {"L105", "L108", "L109"}


def test_a_thing_in_two_pictures_is_counted_once(inside: Run, tmp_path: Path) -> None:
    picture(tmp_path, "front.jpg", WATER, EXPIRED)
    picture(tmp_path, "lid.png", EXPIRED, GOOD)
    found = rows(inside("scan", "--photo", "front.jpg", "--photo", "lid.png", "--format", "json"))
    (row,) = [row for row in found if row["lot"] == "L107"]
    assert row["seen"] == 1
    assert [place.split()[0] for place in row["pictures"]] == ["front.jpg", "lid.png"]


def test_what_the_books_have_elsewhere_is_told_of_a_named_box(inside: Run, tmp_path: Path) -> None:
    picture(tmp_path, "front.jpg", ELSEWHERE)
    found = rows(inside("scan", "--photo", "front.jpg", "--box", "Water", "--format", "json"))
    assert found[0]["problem"] == "by the books it is in Tyre kit, not in Water"


def test_a_makers_code_is_recognised_and_an_unknown_one_is_told(
    inside: Run, tmp_path: Path
) -> None:
    picture(tmp_path, "pack.jpg", matrix_of("(01)19520123000230(17)290228(10)7C21-B"))
    (row,) = rows(inside("scan", "--photo", "pack.jpg", "--format", "json"))
    assert (row["gtin"], row["batch"], row["spoken"]) == ("19520123000230", "7C21-B", "UNKNOWN")


def test_on_the_screen_it_fits_and_tells_word_place_and_advice(inside: Run, tmp_path: Path) -> None:
    picture(tmp_path, "front.jpg", WATER, EXPIRED)
    done = inside("scan", "--photo", "front.jpg")
    assert done.returncode == 0
    assert max(map(len, done.stdout.splitlines())) <= 80
    for words in ("EXPIRED", "front.jpg", "Not seen of Water", "do not use"):
        assert words in done.stdout


def test_a_marked_copy_is_written_beside_and_the_original_left(inside: Run, tmp_path: Path) -> None:
    path = picture(tmp_path, "front.jpg", WATER, EXPIRED)
    before = path.read_bytes()
    assert inside("scan", "--photo", "front.jpg", "--marked", "marked").returncode == 0
    assert path.read_bytes() == before
    with Image.open(tmp_path / "marked" / "front-marked.jpg") as copy, Image.open(path) as plain:
        assert copy.size == plain.size
        assert copy.tobytes() != plain.tobytes()


def test_two_pictures_of_one_name_get_a_copy_each(inside: Run, tmp_path: Path) -> None:
    (tmp_path / "more").mkdir()
    picture(tmp_path, "front.jpg", WATER)
    picture(tmp_path / "more", "front.jpg", EXPIRED)
    photos = ("--photo", "front.jpg", "--photo", "more/front.jpg")
    assert inside("scan", *photos, "--marked", "marked").returncode == 0
    names = sorted(path.name for path in (tmp_path / "marked").iterdir())
    assert names == ["front-marked-2.jpg", "front-marked.jpg"]


@pytest.mark.parametrize("target", ["front.jpg", "./front.jpg"])
def test_a_marked_copy_never_replaces_the_picture(inside: Run, tmp_path: Path, target: str) -> None:
    picture(tmp_path, "front.jpg", WATER)
    done = inside("scan", "--photo", "front.jpg", "--marked", target)
    assert done.returncode == 3
    assert "would replace the picture itself" in done.stderr


def test_a_file_that_is_no_picture_ends_it_with_exit_code_three(
    inside: Run, tmp_path: Path
) -> None:
    (tmp_path / "box.jpg").write_bytes(b"%PDF-1.7")
    done = inside("scan", "--photo", "box.jpg")
    assert done.returncode == 3
    assert "box.jpg: it is no picture but a PDF. Give a JPEG or PNG" in done.stderr


def test_a_picture_without_codes_says_what_to_do(inside: Run, tmp_path: Path) -> None:
    Image.new("L", (300, 200), 128).save(tmp_path / "sky.jpg")
    done = inside("scan", "--photo", "sky.jpg")
    assert done.returncode == 0
    assert "No code was found" in done.stdout


def test_an_unknown_pack_that_is_past_its_date_is_called_expired(
    inside: Run, tmp_path: Path
) -> None:
    picture(tmp_path, "pack.jpg", matrix_of("(01)19520123000230(17)250228(10)7C21-B"))
    (row,) = rows(inside("scan", "--photo", "pack.jpg", "--format", "json"))
    assert row["spoken"] == "EXPIRED"


def test_a_trip_and_fail_on_count_for_pictures_as_for_scans(inside: Run, tmp_path: Path) -> None:
    picture(tmp_path, "front.jpg", GOOD)
    on_trip = ("scan", "--photo", "front.jpg", "--trip", "Spring count")
    (row,) = rows(inside(*on_trip, "--format", "json"))
    assert row["spoken"] == "ENDS ON TRIP"
    done = inside(*on_trip, "--fail-on", "ends on trip")
    assert (done.returncode, "Spring count" in done.stdout) == (5, True)
    assert inside("scan", "--photo", "front.jpg", "--fail-on", "expired").returncode == 0
    boxed = ("scan", "--photo", "front.jpg", "--box", "Water")
    assert inside(*boxed, "--fail-on", "not seen").returncode == 5
