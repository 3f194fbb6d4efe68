"""What is no picture, broken, disguised or too large gets one clear error, not more memory."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import zlib
from collections.abc import Callable
from pathlib import Path
from struct import pack
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from ordinary import ordinary
from stockcheck.photos.opening import (
    LONGEST_SIDE,
    MOST_BYTES,
    UnreadablePhoto,
    in_colour,
    open_photo,
)
from stockcheck.photos.reading import read_photo


def saved(folder: Path, image: Image.Image, name: str, **given: Any) -> Path:
    path = folder / name
    image.save(path, **given)
    return path


def packed(form: str, size: tuple[int, int] = (40, 30)) -> bytes:
    file = io.BytesIO()
    Image.linear_gradient("L").resize(size).save(file, form)
    return file.getvalue()


DISGUISED = {
    "a PDF": b"%PDF-1.7\n%...",
    "text": b"expired since last week, says the list\n" * 20,
    "a store or another database": b"SQLite format 3\0" + b"\0" * 100,
    "a GIF": b"GIF89a\1\0\1\0",
    "a ZIP or office file": b"PK\x03\x04" + b"\0" * 40,
    "a web page": b"<!DOCTYPE html><html><body>sign in first</body></html>",
    "a drawing in SVG": b"<svg xmlns='x'></svg>",
    "a film or a picture of a newer sort": b"\0\0\0\x18ftypmp42" + b"\0" * 40,
}


@pytest.mark.parametrize("sort", DISGUISED)
def test_a_disguised_file_is_told_for_what_it_is(tmp_path: Path, sort: str) -> None:
    path = tmp_path / "box.jpg"
    path.write_bytes(DISGUISED[sort])
    with pytest.raises(UnreadablePhoto, match=f"box.jpg: it is no picture but {sort}") as told:
        open_photo(path)
    assert told.value.remedy


def no_file(folder: Path) -> Path:
    return folder / "none.jpg"


def a_folder(folder: Path) -> Path:
    (folder / "pictures.jpg").mkdir()
    return folder / "pictures.jpg"


def a_pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe.jpg")
    return folder / "pipe.jpg"


def a_device(_folder: Path) -> Path:
    return Path("/dev/zero")


def empty(folder: Path) -> Path:
    (folder / "empty.jpg").write_bytes(b"")
    return folder / "empty.jpg"


def too_heavy(folder: Path) -> Path:
    with (folder / "heavy.jpg").open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    return folder / "heavy.jpg"


def cut_off(folder: Path) -> Path:
    path = folder / "cut.jpg"
    whole = packed("JPEG", (900, 700))
    path.write_bytes(whole[: len(whole) // 2])
    return path


def head_alone(folder: Path) -> Path:
    path = folder / "head.png"
    path.write_bytes(packed("PNG")[:20])
    return path


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (no_file, "there is no such file"),
        (a_folder, "it is a folder"),
        (a_pipe, "it is a pipe or device"),
        (a_device, "it is a pipe or device"),
        (empty, "it is empty"),
        (too_heavy, "it has 67 MB, the limit is 67"),
        (cut_off, "it is damaged"),
        (head_alone, "no picture of a sort that can be read"),
    ],
)
def test_what_cannot_be_opened_says_why_and_what_to_do(
    tmp_path: Path, make: Callable[[Path], Path], said: str
) -> None:
    path = make(tmp_path)
    with pytest.raises(UnreadablePhoto) as told:
        open_photo(path)
    assert str(told.value).startswith(f"{path}: ")
    assert said in str(told.value)
    assert told.value.remedy


OPEN = """
import sys
from pathlib import Path
from stockcheck.photos.opening import UnreadablePhoto, open_photo
try:
    open_photo(Path(sys.argv[1]))
except UnreadablePhoto as error:
    print(error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="permissions as POSIX has them")
def test_a_file_that_may_not_be_read_says_so(tmp_path: Path) -> None:
    path = saved(tmp_path, Image.new("L", (9, 9)), "own.png")
    path.chmod(0)
    told = ordinary("-c", OPEN, str(path))
    assert f"{path}: it may not be read. Allow it" in told.stdout, told.stderr


def bomb(width: int, height: int) -> bytes:
    """A PNG whose head promises so many pixels; its data are none."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return pack(">I", len(data)) + name + data + pack(">I", zlib.crc32(name + data))

    head = pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    data = zlib.compress(b"\0" * 100_000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    "size", [(60_000, 60_000), (2**31 - 1, 1), (9000, 9000), (LONGEST_SIDE + 1, 1)]
)
def test_too_many_pixels_are_refused_by_the_head_alone(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    (tmp_path / "bomb.png").write_bytes(bomb(*size))
    with pytest.raises(UnreadablePhoto, match="pixels"):
        open_photo(tmp_path / "bomb.png")


LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (2_000_000_000, 2_000_000_000))
from pathlib import Path
from stockcheck.photos.opening import UnreadablePhoto, open_photo
for name in sys.argv[1:]:
    try:
        open_photo(Path(name))
    except UnreadablePhoto as error:
        assert "memory" not in str(error), error
        print("refused")
    else:
        print("opened")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such limits there")
def test_bombs_and_the_largest_pictures_allowed_need_less_than_two_gigabytes(
    tmp_path: Path,
) -> None:
    for number, size in enumerate([(65_000, 65_000), (40_000, 3000)]):
        (tmp_path / f"bomb{number}.png").write_bytes(bomb(*size))
    large = saved(tmp_path, Image.new("RGBA", (7000, 7000), (9, 9, 9, 90)), "large.png")
    names = [str(tmp_path / "bomb0.png"), str(tmp_path / "bomb1.png"), str(large)]
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, *names], capture_output=True, text=True, check=False
    )
    assert done.stdout.split() == ["refused", "refused", "opened"], done.stderr


MODES = ("1", "L", "LA", "P", "RGB", "RGBA", "I;16", "CMYK", "YCbCr", "I", "F", "LAB")


@pytest.mark.parametrize("mode", MODES)
def test_every_mode_becomes_grey_with_dark_left_dark(tmp_path: Path, mode: str) -> None:
    """CMYK as JPEG, 16 bits as PNG, floats and LAB as TIFF: each in a file that can hold it."""
    form = {"CMYK": "jpg", "YCbCr": "jpg", "F": "tif", "LAB": "tif", "I": "tif"}.get(mode, "png")
    half = Image.new("L", (64, 32), 250)
    half.paste(10, (0, 0, 32, 32))
    image = half.convert("RGB").convert(mode) if mode in {"CMYK", "YCbCr"} else half.copy()
    if mode == "LAB":
        image = Image.merge("LAB", (half, Image.new("L", half.size, 128), half))
    elif mode == "I;16":
        image = Image.frombytes(
            "I;16", half.size, b"".join(pack("<H", v * 257) for v in half.tobytes())
        )
    elif mode not in {"CMYK", "YCbCr"}:
        image = half.convert(mode)
    photo = open_photo(saved(tmp_path, image, f"mode.{form}"))
    assert photo.grey.mode == "L"
    left, right = (photo.grey.crop((x, 8, x + 8, 24)).tobytes() for x in (4, 52))
    assert sum(left) / len(left) < 40
    assert sum(right) / len(right) > 200
    assert in_colour(photo).mode == "RGB"


def test_what_is_transparent_is_taken_for_white(tmp_path: Path) -> None:
    photo = open_photo(saved(tmp_path, Image.new("RGBA", (20, 20), (0, 0, 0, 0)), "clear.png"))
    assert photo.grey.getextrema() == (255, 255)


def test_a_picture_is_turned_upright_as_its_exif_says(tmp_path: Path) -> None:
    image = Image.new("L", (60, 40), 255)
    image.paste(0, (0, 0, 30, 40))  # the dark half is left, and by the EXIF it is above
    exif = Image.Exif()
    exif[0x0112] = 6
    photo = open_photo(saved(tmp_path, image, "turned.jpg", exif=exif))
    assert photo.size == (40, 60)
    assert photo.grey.getpixel((20, 5)) < 40  # type: ignore[operator] # a grey one is a number
    assert in_colour(photo).size == (40, 60)


def test_broken_exif_turns_nothing_and_hurts_nothing(tmp_path: Path) -> None:
    image = Image.new("L", (60, 40), 255)
    path = saved(tmp_path, image, "odd.jpg", exif=b"Exif\0\0II*\0\xff\xff\xff\xffjunk")
    assert open_photo(path).size == (60, 40)


def test_of_several_pictures_in_a_file_the_first_is_read_and_that_is_said(tmp_path: Path) -> None:
    frames = [Image.new("L", (30, 30), shade) for shade in (0, 90, 200)]
    path = saved(tmp_path, frames[0], "moving.png", save_all=True, append_images=frames[1:])
    photo = open_photo(path)
    assert "only the first" in photo.notes[0]


def test_heic_without_its_library_says_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    path = tmp_path / "phone.heic"
    path.write_bytes(b"\0\0\0\x18ftypheic" + b"\0" * 40)
    with pytest.raises(UnreadablePhoto, match=r"stockcheck\[heic\]"):
        open_photo(path)


def test_heic_is_read_where_its_library_is_there(tmp_path: Path) -> None:
    import pillow_heif as heif

    image = Image.linear_gradient("L").convert("RGB").resize((64, 48))
    heif.from_pillow(image).save(tmp_path / "phone.heic")
    assert open_photo(tmp_path / "phone.heic").size == (64, 48)
    (tmp_path / "cut.heic").write_bytes((tmp_path / "phone.heic").read_bytes()[:300])
    with pytest.raises(UnreadablePhoto, match="damaged"):
        open_photo(tmp_path / "cut.heic")


STARTS = {form: packed(form) for form in ("JPEG", "PNG", "WEBP", "TIFF")}


def opened_or_refused(path: Path) -> None:
    try:
        photo = open_photo(path)
    except UnreadablePhoto as error:
        told = str(error)
    else:
        read_photo(photo)
        in_colour(photo)
        told = str(path)
    assert told.startswith(str(path))


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.binary(max_size=600))
def test_any_bytes_give_our_error_or_a_reading(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "any.jpg"
    path.write_bytes(data)
    opened_or_refused(path)


@settings(
    max_examples=250, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    form=st.sampled_from(sorted(STARTS)),
    changes=st.lists(st.tuples(st.integers(0, 250), st.integers(0, 255)), max_size=8),
    end=st.integers(0, 3000),
)
def test_changed_and_cut_pictures_give_our_error_or_a_reading(
    tmp_path: Path, form: str, changes: list[tuple[int, int]], end: int
) -> None:
    data = bytearray(STARTS[form])
    for place, value in changes:
        data[place % len(data)] = value
    path = tmp_path / "changed.jpg"
    path.write_bytes(bytes(data[: max(12, end)]))
    opened_or_refused(path)
