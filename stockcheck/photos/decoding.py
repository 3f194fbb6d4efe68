"""One pass of the decoder over one picture or part of it, and what it found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from stockcheck.core.codes import read_gtin
from stockcheck.photos.geometry import Corners, Point

if TYPE_CHECKING:
    from PIL.Image import Image

LINEAR = ("Code128", "EANUPC", "ITF14", "Code39", "DataBarOmni", "DataBarExp")
MATRIX = ("DataMatrix", "QRCode")
_COST_OF_CLEAN = 400_000  # pixels looked at in the same time, roughly
_SHORTEST_CODE39 = 4  # characters: it has no check digit, and short ones are met by chance


@dataclass(frozen=True, slots=True)
class Look:
    """A picture for the decoder, and how a point of it is found again in the photograph.

    ``binarizer`` is the decoder's way to black and white by its name; ``formats`` those looked for.
    ``clean`` says that the picture is nothing but a symbol drawn anew, and where that lies.
    """

    image: Image
    to_photo: Callable[[float, float], Point]
    formats: tuple[str, ...] = LINEAR + MATRIX
    binarizer: str = "LocalAverage"
    whole: bool = False
    clean: Corners | None = None

    @property
    def cost(self) -> int:
        """Pixels that the decoder has to look at; a clean symbol took a long search to make."""
        return self.image.width * self.image.height if self.clean is None else _COST_OF_CLEAN


@dataclass(frozen=True, slots=True)
class Found:
    """What the decoder gives: a text with its identifier, or none and the reason."""

    text: str
    symbology: str
    corners: Corners
    error: str = ""
    linear: bool = True


def decode(look: Look) -> list[Found]:
    """Every code in a picture; those that break off with an error only in a look at the whole."""
    import zxingcpp

    raw = zxingcpp.read_barcodes(
        look.image,
        formats=_formats(look.formats),
        try_rotate=look.whole or look.formats != LINEAR,
        try_downscale=look.whole,
        try_invert=True,
        text_mode=zxingcpp.TextMode.Plain,
        binarizer=getattr(zxingcpp.Binarizer, look.binarizer),
        is_pure=look.clean is not None,
        return_errors=look.whole,
    )
    found = [_found(each, look) for each in raw if each.valid or look.whole]
    return [each for each in found if each.error or _trusted(each)]


@lru_cache(maxsize=8)
def _formats(names: tuple[str, ...]) -> Any:
    import zxingcpp

    return zxingcpp.BarcodeFormats([getattr(zxingcpp.BarcodeFormat, name) for name in names])


def _found(each: Any, look: Look) -> Found:
    place = each.position
    corners = look.clean or tuple(
        look.to_photo(point.x, point.y)
        for point in (place.top_left, place.top_right, place.bottom_right, place.bottom_left)
    )
    identifier = str(each.symbology_identifier).replace("]A1", "]A0")
    # whether the last character is a check on the others is not in a Code 39, and one in 43 is one
    name = str(each.format)
    return Found(
        identifier + str(each.text) if each.valid else "",
        name,
        (corners[0], corners[1], corners[2], corners[3]),
        "" if each.valid else str(each.error),
        linear=not any(word in name for word in ("Matrix", "QR")),
    )


def _trusted(found: Found) -> bool:
    """Whether a text holds what its symbology promises beyond what the decoder checks."""
    identifier, data = found.text[:2], found.text[3:]
    if identifier in {"]E", "]I"}:
        return read_gtin(data) is not None
    return identifier != "]A" or len(data) >= _SHORTEST_CODE39
