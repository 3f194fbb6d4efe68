"""Ways to look at a part of a picture again: turned straight, enlarged, evened out, sharpened.

Each look is a little picture for the decoder. The bars of a linear code are averaged along their
length, which takes noise away and leaves their widths; uneven light and shadows are divided out by
the brightest and darkest around; a soft focus is sharpened across the bars.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import accumulate, pairwise
from math import radians
from operator import mul
from typing import TYPE_CHECKING, Any

from stockcheck.photos import grids
from stockcheck.photos.areas import LOGARITHM
from stockcheck.photos.decoding import LINEAR, MATRIX, Look
from stockcheck.photos.geometry import Point, Window, bounds

if TYPE_CHECKING:
    from PIL.Image import Image

_BARS_WIDTH = 1200  # pixels that a linear code is drawn wide, where that is no more than fourfold
_BARS_HEIGHT = 160
_MATRIX_SIDE, _LARGE_MATRIX_SIDE = 240, 480
_THRESHOLDS = (0.5, 0.35, 0.22, 0.65)  # a shadow leaves paper no brighter than ink in the sun
_WHOLE_LEVELS = (0.22, 0.35)
_AROUND = 1.6  # times its size: the surroundings of a matrix that are searched for its edges
_STRAIGHT = 600  # pixels across the bars that are enough to see which way they run
_TURNS = (0, -1, 1, -2, 2, -3, 3, -4, 4)  # degrees that the first estimate may be wrong by
_LEAST_MATRIX = 30  # pixels: 12 modules of 2.5
_SHIFT = 5
_BAR, _EDGE = 0.25, 0.025  # shares of contrast and width: a bar beside, and what the last may blur
_PROFILE, _ALIKE, _FEWEST_TURNS = 400, 0.45, 24  # a UPC-E has 17 bars, so 34 turns
_STRIPS = 6  # that the bars are averaged in, so that a scratch or a shadow's edge spoils but one


def of_bars(grey: Image, window: Window) -> Iterator[Look]:
    """Looks at a linear code whose bars run across the window, the cheapest first."""
    window = straightened(grey, window)
    scale = max(1.0, min(4.0, _BARS_WIDTH / window.width))
    down = min(scale, _BARS_HEIGHT / window.height)
    wide = window.grown(window.width * 0.2 + 12, 0)
    cut = _cut(grey, wide, scale, down)
    yield Look(cut, partial(_back, wide, scale, down), LINEAR)
    strips = _strips(cut)
    lines = cut.height / strips.height

    def look(image: Image, binarizer: str) -> Look:
        tall = image.resize((image.width, image.height * 4), resample=0)
        return Look(tall, partial(_back, wide, scale, down * 4 / lines), LINEAR, binarizer)

    yield look(strips, "LocalAverage")
    yield look(strips, "GlobalHistogram")
    for share in (14, 30, 60):
        even = _evened(strips, max(4, cut.width // share), 1)
        yield look(even, "FixedThreshold")
        yield look(_sharpened(even, cut.width / 160, 0), "FixedThreshold")
    for level in _WHOLE_LEVELS:
        yield look(_split(strips, level), "FixedThreshold")
    for radius in (cut.width / 300, cut.width / 160, cut.width / 90):
        sharp = _sharpened(strips, radius, 0)
        yield look(sharp, "GlobalHistogram")
        yield look(_evened(sharp, cut.width // 20, 1), "FixedThreshold")


def straightened(grey: Image, window: Window) -> Window:
    """The window turned by a few degrees to where its bars, averaged, change most."""
    from PIL import Image as Images

    scale = min(1.0, _STRAIGHT / window.width)

    def change(turn: float) -> int:
        turned = Window(window.at, window.angle + turn, window.width, window.height)
        cut = _cut(grey, turned, scale, scale)
        line = cut.resize((cut.width, 1), Images.Resampling.BOX).tobytes()
        return sum((one - other) ** 2 for one, other in pairwise(line))

    turn = max((radians(step) for step in _TURNS), key=change)
    return Window(window.at, window.angle + turn, window.width, window.height)


def are_bars(grey: Image, window: Window) -> bool:
    """Whether the same bars run through the height of a window, as they do not through writing.

    Each of four strips is held against the one below, moved a little either way (correlation).
    """
    from PIL import Image as Images

    width = max(48, min(_PROFILE, round(window.width)))
    cut = _cut(grey, window, width / window.width, min(1.0, 64 / window.height))
    rows = list(cut.resize((width, 4), Images.Resampling.BOX).tobytes())
    strips = [rows[start : start + width] for start in range(0, 4 * width, width)]
    turning = max(_turns(strip) for strip in strips) >= _FEWEST_TURNS
    return turning and max(_likeness(*both) for both in pairwise(strips)) > _ALIKE


def _likeness(one: list[int], other: list[int]) -> float:
    """How well two strips agree at best when one is moved along the other, 1 for wholly."""
    high, low = _levelled(one), _levelled(other)
    last = len(high) - _SHIFT
    middle_part = high[_SHIFT:last]
    moved = (low[start : start + len(middle_part)] for start in range(2 * _SHIFT + 1))
    return max(_correlation(middle_part, each) for each in moved)


def _levelled(strip: list[int]) -> list[float]:
    """The strip without its slow changes of light."""
    total = list(accumulate(strip, initial=0))
    reach, last = 20, len(strip)
    found = []
    for place, value in enumerate(strip):
        start, end = max(0, place - reach), min(last, place + reach + 1)
        found.append(value - (total[end] - total[start]) / (end - start))
    return found


def _correlation(one: list[float], other: list[float]) -> float:
    both = sum(map(mul, one, other))
    size = sum(map(mul, one, one)) * sum(map(mul, other, other))
    return both / size**0.5 if size else 0.0


def _turns(strip: list[int]) -> int:
    """How often the grey turns from rising to falling or back, by more than noise."""
    least = max(3, (max(strip) - min(strip)) // 8)
    turns, rising, last = 0, True, strip[0]
    for value in strip:
        if (value > last) == rising:
            last = value
        elif abs(value - last) >= least:
            turns, rising, last = turns + 1, not rising, value
    return turns


def goes_on(grey: Image, window: Window, share: float) -> bool:
    """Whether there are bars beside those of a window, within a share of its width on either side.

    Part of a longer code can look like a short one; but there is no clear zone beside it then.
    """
    from PIL import Image as Images

    wide = window.grown(window.width * share, 2)
    scale = _PROFILE / wide.width
    cut = _cut(grey, wide, scale, 1.0)
    line = list(cut.resize((cut.width, 1), Images.Resampling.BOX).tobytes())
    beside = round(window.width * share * scale)
    least = (max(line[beside:-beside]) - min(line[beside:-beside])) * _BAR
    edge = round(window.width * _EDGE * scale)
    return any(_dip(part) > least for part in (line[: beside - edge], line[edge - beside :]))


def _dip(line: list[int]) -> int:
    """The depth of the deepest dark place that has lighter ones on both sides."""
    before = accumulate(line, max)
    after = list(accumulate(reversed(line), max))[::-1]
    return max(
        (min(both) - here for *both, here in zip(before, after, line, strict=True)), default=0
    )


def of_matrix(grey: Image, window: Window) -> Iterator[Look]:
    """Looks at a matrix code that fills much of the window, the cheapest first."""
    side = max(window.width, window.height)
    scale = max(min(1.0, _LARGE_MATRIX_SIDE / side), min(6.0, _MATRIX_SIDE / side))
    wide = window.grown(side * 0.3 + 8, side * 0.3 + 8)
    cut = _cut(grey, wide, scale, scale)
    to_photo = partial(_back, wide, scale, scale)

    def look(image: Image, binarizer: str) -> Look:
        return Look(image, to_photo, MATRIX, binarizer)

    full = side * scale
    soft = _softened(cut, full * 0.01)
    sharp = _sharpened(soft, full * 0.02, full * 0.02)
    yield look(cut, "LocalAverage")
    yield look(sharp, "LocalAverage")
    yield look(_evened(soft, int(full / 5), None), "FixedThreshold")
    for share in _THRESHOLDS:
        yield look(_split(soft, share), "FixedThreshold")
    yield from of_structure(grey, window)
    for share in _THRESHOLDS:
        yield look(_split(sharp, share), "FixedThreshold")


def of_structure(grey: Image, window: Window) -> Iterator[Look]:
    """Looks at symbols that were drawn anew from a grid laid over the picture."""
    if max(window.width, window.height) < _LEAST_MATRIX:
        return
    side = max(window.width, window.height) * _AROUND + 16
    scale = grids.SIDE / side

    def cut(angle: float) -> Image:
        turned = Window(window.at, window.angle + angle, side, side)
        return _cut(grey, turned, scale, scale).point(LOGARITHM)

    straight = Window(window.at, window.angle, side, side)
    for clean in grids.clean_symbols(cut):
        points = [straight.point(x / scale, y / scale) for x, y in clean.corners]
        corners = (points[0], points[1], points[2], points[3])
        yield Look(clean.image, _same, (clean.matrix,), clean=corners)


def _split(image: Image, share: float) -> Image:
    """Black and white at a share of the way from the darkest to the brightest."""
    low, high = (int(value) for value in image.getextrema())  # type: ignore[arg-type]
    level = low + (high - low) * share
    return image.point([255 * (value > level) for value in range(256)])


def whole(grey: Image) -> Look:
    """The picture as it is."""
    return Look(grey, _same, whole=True)


def parted(grey: Image) -> Iterator[Look]:
    """The whole picture in black and white at one level: ink in the sun is darker than paper in
    a hard shadow, so a code that lies half in it stands whole at a low enough level.
    """
    for share in _WHOLE_LEVELS:
        yield Look(_split(grey, share), _same, binarizer="FixedThreshold")


def _same(x: float, y: float) -> Point:
    return x, y


def _back(window: Window, across: float, down: float, x: float, y: float) -> Point:
    return window.point(x / across, y / down)


def _cut(grey: Image, window: Window, across: float, down: float) -> Image:
    """The window turned straight, drawn at a scale."""
    from PIL import Image as Images

    size = (max(8, round(window.width * across)), max(8, round(window.height * down)))
    if (smaller := int(min(1 / across, 1 / down))) > 1:
        return _cut_smaller(grey, window, across, down, smaller)
    return grey.transform(
        size,
        Images.Transform.AFFINE,
        window.figures(across, down),
        Images.Resampling.BICUBIC,
        fillcolor=200,
    )


def _cut_smaller(grey: Image, window: Window, across: float, down: float, times: int) -> Image:
    """The same from a smaller version of what lies around it: fine detail makes no false bars."""
    left, top, right, bottom = bounds(window.corners)
    left, top = max(0, left), max(0, top)
    right, bottom = max(left + 1, min(grey.width, right)), max(top + 1, min(grey.height, bottom))
    small = grey.crop((left, top, right, bottom)).reduce(times)
    at = ((window.at[0] - left) / times, (window.at[1] - top) / times)
    inner = Window(at, window.angle, window.width / times, window.height / times)
    return _cut(small, inner, across * times, down * times)


def _strips(cut: Image) -> Image:
    """The bars averaged along their length in a few strips, the outermost quarter left off."""
    from PIL import Image as Images

    count = max(1, min(_STRIPS, cut.height // 4))
    return cut.resize((cut.width, count), Images.Resampling.BOX)


def _softened(image: Image, radius: float) -> Image:
    from PIL import ImageFilter

    return image.filter(ImageFilter.GaussianBlur(radius))


def _sharpened(image: Image, across: float, down: float) -> Image:
    """What differs from the surroundings, threefold."""
    from PIL import Image as Images
    from PIL import ImageFilter

    soft = image.filter(ImageFilter.GaussianBlur((across, down)))
    return Images.blend(soft, image, 3.0)


def _evened(image: Image, reach: int, rows: int | None) -> Image:
    """Grey between the darkest and the brightest within a reach; contrast is at least a quarter.

    ``rows`` of 1 looks along each row alone.
    """
    from PIL import ImageMath

    dark, bright = _extremes(image, reach, rows)

    def even(args: dict[str, Any]) -> Any:
        span = args["max"](args["bright"] - args["dark"], least)
        return (args["image"] - args["dark"]) * 255 / span

    low, high = image.getextrema()
    least = max(1, (int(high) - int(low)) // 4)  # type: ignore[arg-type]
    done: Image = ImageMath.lambda_eval(even, image=image, dark=dark, bright=bright).convert("L")
    return done


def _extremes(image: Image, reach: int, rows: int | None) -> tuple[Image, Image]:
    """The darkest and the brightest around each pixel, from a smaller picture."""
    from PIL import Image as Images
    from PIL import ImageFilter

    step = max(1, reach // 6)
    small = image.reduce(step if rows is None else (step, 1))
    made = []
    for rank in (ImageFilter.MinFilter, ImageFilter.MaxFilter):
        if rows is None:
            spread = small.filter(rank(3)).filter(rank(3)).filter(rank(3))
        else:
            spread = _along(small, rank)
        made.append(spread.resize(image.size, Images.Resampling.BILINEAR))
    return made[0], made[1]


def _along(small: Image, rank: Any) -> Image:
    """The filter along rows alone: each row is drawn apart from the others."""
    from PIL import Image as Images

    done = Images.new("L", small.size)
    for row in range(small.height):
        line = small.crop((0, row, small.width, row + 1)).resize((small.width, 3), resample=0)
        spread = line.filter(rank(3)).filter(rank(3)).filter(rank(3))
        done.paste(spread.crop((0, 1, small.width, 2)), (0, row))
    return done
