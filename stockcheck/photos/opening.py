"""Opening pictures safely: what is no picture, broken, disguised or too large is refused by name.

The file's sort and size, and the number of pixels that its head promises, are looked at before
anything is decoded, so that a picture cannot take more memory than the limits here allow.
"""

from __future__ import annotations

import os
import stat
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput
from stockcheck.photos.disguise import what_it_is

if TYPE_CHECKING:
    from collections.abc import Callable

    from PIL.Image import Image

MOST_BYTES = 64 * 1024 * 1024
MOST_PIXELS = 50_000_000
MOST_JPEG_PIXELS = 170_000_000  # a JPEG can be decoded at a half or a quarter of its size, unless
# it is progressive: then all of it is held while it is decoded
MOST_COLOUR_PIXELS = 12_000_000  # of a marked copy
LONGEST_SIDE = 32_000
_FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")
_HEIC_REMEDY = "Install it (python -m pip install 'stockcheck[heic]'), or save it as JPEG"
_AS_JPEG = "Save it anew as JPEG or PNG"


class UnreadablePhoto(BadInput):
    """A file that is no picture which can be opened; it says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture that opened well: its file, what is in it, grey and upright, and notes on it.

    ``grey`` is the smaller one of an outsize JPEG; all places are told in its pixels.
    """

    path: Path
    data: bytes
    grey: Image
    notes: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The file's own name."""
        return self.path.name

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels, upright."""
        return self.grey.size


def open_photo(path: Path) -> Photo:
    """The picture in a file. UnreadablePhoto names file, reason and remedy for what is none."""
    data = _bytes_of(path)
    image = _head(path, data)
    try:
        _check_size(path, image)
        notes = _notes(image)
        upright = _decoded(image, _upright)
        return Photo(path, data, _decoded(upright, _grey), notes)
    except UnreadablePhoto:
        raise
    except MemoryError as error:
        raise _unreadable(path, "there is not enough memory for it", "Make it smaller") from error
    except Exception as error:  # a decoder meets anything in a hostile file
        raise _unreadable(
            path, f"it is damaged ({_said(error)})", "Take or copy it anew"
        ) from error


def in_colour(photo: Photo) -> Image:
    """The picture in colour, upright, of at most 12 million pixels: what marks are drawn on."""
    image = _head(photo.path, photo.data)
    scale = (MOST_COLOUR_PIXELS / (photo.size[0] * photo.size[1])) ** 0.5
    if scale < 1 and image.format in {"JPEG", "MPO"}:
        image.draft("RGB", (round(image.width * scale), round(image.height * scale)))
    coloured = _decoded(image, _upright)
    if scale < 1:
        wanted = (max(1, round(photo.size[0] * scale)), max(1, round(photo.size[1] * scale)))
        coloured = coloured.resize(wanted)
    elif coloured.size != photo.size:
        coloured = coloured.resize(photo.size)
    if coloured.mode in {"RGB", "L", "RGBA", "LA", "P", "PA", "CMYK", "YCbCr"}:
        return _on_white(coloured).convert("RGB")
    return _grey(coloured).convert("RGB")


def _bytes_of(path: Path) -> bytes:
    """The file's content; only of an ordinary file of reasonable size, and never waited for."""
    try:
        handle = os.open(
            path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        )
    except FileNotFoundError as error:
        raise _unreadable(path, "there is no such file", "Look at its name and folder") from error
    except IsADirectoryError as error:
        raise _unreadable(path, "it is a folder", "Name the pictures in it") from error
    except PermissionError as error:
        if path.is_dir():
            raise _unreadable(path, "it is a folder", "Name the pictures in it") from error
        raise _unreadable(
            path, "it may not be read", "Allow it for yourself, or copy it"
        ) from error
    except (OSError, ValueError) as error:
        raise _unreadable(path, f"it cannot be opened ({_said(error)})", "Name another") from error
    facts = os.fstat(handle)
    if stat.S_ISDIR(facts.st_mode):
        os.close(handle)
        raise _unreadable(path, "it is a folder", "Name the pictures in it")
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(facts.st_mode):
            raise _unreadable(path, "it is a pipe or device, not a file", "Save the picture first")
        if facts.st_size > MOST_BYTES:
            size, most = (each // 1_000_000 for each in (facts.st_size, MOST_BYTES))
            raise _unreadable(path, f"it has {size} MB, the limit is {most}", "Save it smaller")
        try:
            return file.read(MOST_BYTES + 1)
        except OSError as error:
            raise _unreadable(
                path, f"it cannot be read ({_said(error)})", "Copy it anew"
            ) from error


def _head(path: Path, data: bytes) -> Image:
    """The picture with nothing but its head read."""
    from PIL import Image

    if not data:
        raise _unreadable(path, "it is empty", "Copy it anew")
    if sort := what_it_is(data):
        if sort == "HEIC":
            return _heic(path, data)
        raise _unreadable(path, f"it is no picture but {sort}", "Give a JPEG or PNG")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # our own limits are told apart, and stricter
            return Image.open(BytesIO(data), formats=_FORMATS)
    except Image.DecompressionBombError as error:
        raise _unreadable(path, "it has too many pixels", "Save it smaller") from error
    except Exception as error:  # a decoder meets anything in a hostile file
        said = "it is no picture of a sort that can be read (JPEG, PNG, WebP, TIFF), or damaged"
        raise _unreadable(path, said, _AS_JPEG) from error


def _heic(path: Path, data: bytes) -> Image:
    """With the optional library, or told how to get it."""
    try:
        import pillow_heif
    except ImportError as error:
        raise _unreadable(path, "it is HEIC, which needs one more library", _HEIC_REMEDY) from error
    try:
        opener: Callable[[BytesIO], Image] = pillow_heif.HeifImageFile
        image = opener(BytesIO(data))
    except Exception as error:  # a decoder meets anything in a hostile file
        raise _unreadable(
            path, f"it is damaged ({_said(error)})", "Take or copy it anew"
        ) from error
    return image


def _check_size(path: Path, image: Image) -> None:
    """Refuse what would take too much memory; ask a large JPEG for a smaller version of itself."""
    pixels = image.width * image.height
    jpeg = image.format in {"JPEG", "MPO"}
    at_once = not jpeg or bool(image.info.get("progressive"))
    most = MOST_PIXELS if at_once else MOST_JPEG_PIXELS
    if pixels > most or max(image.size) > LONGEST_SIDE:
        said = f"it has {image.width} x {image.height} pixels"
        limit = f"{most // 1_000_000} million, and {LONGEST_SIDE} a side, are the limit"
        raise _unreadable(path, f"{said}; {limit}", "Save it smaller")
    if jpeg:
        scale = min(1.0, (MOST_PIXELS / pixels) ** 0.5)
        image.draft("L", (int(image.width * scale), int(image.height * scale)))


def _notes(image: Image) -> tuple[str, ...]:
    """What a person should know about how it was taken."""
    if image.format != "MPO" and getattr(image, "is_animated", False):
        return ("it has several pictures, of which only the first was read",)
    return ()


def _decoded(image: Image, how: Callable[[Image], Image]) -> Image:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of odd metadata, which matters to nobody here
        return how(image)


def _upright(image: Image) -> Image:
    """Decoded, and turned as its EXIF says; metadata that cannot be read turns nothing."""
    from PIL import ImageOps

    image.load()
    try:
        turned = ImageOps.exif_transpose(image)
    except Exception:  # noqa: BLE001 - metadata may hold anything, and the picture is well without
        return image
    return turned


def _grey(image: Image) -> Image:
    """Eight bits of grey, whatever it had; where it is transparent, on white."""
    if image.mode.startswith("I;16"):
        return image.convert("I").point(lambda value: value / 256).convert("L")
    if image.mode in {"I", "F"}:
        return _stretched(image)
    if image.mode in {"LAB", "HSV"}:
        return image.getchannel(0 if image.mode == "LAB" else 2)
    return _on_white(image).convert("L")


def _stretched(image: Image) -> Image:
    """Grey of 32 bits: its own darkest and brightest are taken for black and white."""
    low, high = (float(value) for value in image.getextrema())  # type: ignore[arg-type]
    if not high - low < float("inf"):
        raise ValueError("values that are no numbers")
    factor = 255 / (high - low) if high > low else 0.0
    return image.convert("F").point(lambda value: value * factor - low * factor).convert("L")


def _on_white(image: Image) -> Image:
    from PIL import Image as Images

    if image.mode not in {"RGBA", "LA", "PA", "La", "RGBa"} and "transparency" not in image.info:
        return image
    clear = image.convert("RGBA")
    ground = Images.new("RGBA", image.size, "white")
    ground.alpha_composite(clear)
    return ground


def _unreadable(path: Path, reason: str, remedy: str) -> UnreadablePhoto:
    return UnreadablePhoto(f"{path}: {reason}", remedy)


def _said(error: BaseException) -> str:
    """What the lower library said, in one short line."""
    text = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return " ".join(str(text).split())[:100]
