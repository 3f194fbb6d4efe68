"""The modules of a matrix symbol in a picture, sampled at their middles."""

from __future__ import annotations

from PIL import ImageOps
from PIL.Image import Image


def sampled(image: Image, side: int) -> tuple[str, ...]:
    """The rows of the one square symbol of so many modules a side: "1" dark, "0" light.

    Nothing else may be dark in the picture.
    """
    box = ImageOps.invert(image).point([0] * 128 + [255] * 128).getbbox()
    assert box is not None
    left, top, right, bottom = box
    across, down = (right - left) / side, (bottom - top) / side
    return tuple(
        "".join(
            "1" if _grey(image, left + (x + 0.5) * across, top + (y + 0.5) * down) < 128 else "0"
            for x in range(side)
        )
        for y in range(side)
    )


def _grey(image: Image, x: float, y: float) -> int:
    return image.crop((int(x), int(y), int(x) + 1, int(y) + 1)).tobytes()[0]
