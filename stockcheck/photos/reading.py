"""Reading every code of a picture: once over the whole, then closer where something was missed.

What is read must be right before it is complete. A symbology that checks itself poorly counts only
when two different looks agree, and where looks at one place disagree nothing is taken as read.
The work is bounded by pixels looked at, not by a clock, so that one picture gives one answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import TYPE_CHECKING

from stockcheck.photos import looks
from stockcheck.photos.areas import Area, find_areas
from stockcheck.photos.decoding import Found, Look, decode
from stockcheck.photos.geometry import Corners, Window, middle, overlap, spanning, turned
from stockcheck.photos.sighting import PhotoReading, Sighting, Unread

if TYPE_CHECKING:
    from PIL.Image import Image

    from stockcheck.photos.opening import Photo

MOST_WORK = 6  # times the picture's own pixels, and this many more: what looks may add up to
_MORE_WORK = 12_000_000
_LATER = ((2, 16), (6, 6), (99, 3))  # from the first looks at all areas to many at the likeliest
_WEAK = {"UPC-E": 6 / 51, "EAN-8": 6 / 67, "Code 39": 0.05, "ITF": 0.05}
# which other marks are most easily taken for, and how much of their width is clear beside them
_FORCED = {"EAN-13", "UPC-A"}  # count from a look that changes much only twice
_FEW = 5  # looks at what changes one way without being the same bars all through
_CONFIRMING = 4  # looks that may bear out a weak reading
_CLEAR_BARS = 5.0  # strength from which bars that were not read are worth a word
_ERRORS = {
    "ChecksumError": "damaged or blurred: its check digits do not agree",
    "FormatError": "damaged or blurred: what it holds makes no sense",
}


@dataclass(slots=True)
class _Work:
    """What was found in one picture so far, and how much may still be looked at."""

    grey: Image
    left: int
    areas: list[Area]
    codes: list[Found] = field(default_factory=list)
    doubtful: list[Found] = field(default_factory=list)
    broken: list[Found] = field(default_factory=list)

    def look(self, look: Look) -> list[Found]:
        self.left -= look.cost
        return decode(look)

    def has(self, corners: Corners) -> bool:
        """Whether a code was read there."""
        return any(overlap(corners, each.corners) for each in self.codes)


def read_photo(photo: Photo) -> PhotoReading:
    """All codes of a picture, and what looks like one but was not read."""
    sightings, unread = read_grey(photo.grey)
    return PhotoReading(photo.name, photo.size, sightings, unread, photo.notes)


def read_grey(grey: Image) -> tuple[tuple[Sighting, ...], tuple[Unread, ...]]:
    """The same for grey pixels: what was read, from the top down, and what was not."""
    everywhere = find_areas(grey)
    work = _Work(grey, grey.width * grey.height * MOST_WORK + _MORE_WORK, everywhere)
    for found in work.look(looks.whole(grey)):
        _take(work, found, plain=True)
    for look in looks.parted(grey):  # what is easily misread is left to the looks along its bars
        for found in work.look(look):
            if found.symbology not in _WEAK.keys() | _FORCED:
                _take(work, found, plain=True)
    areas = [area for area in everywhere if not work.has(area.window.corners)]
    barred = [area for area in areas if area.bars and looks.are_bars(grey, area.window)]
    _closer(work, [(area, looks.of_bars(grey, area.window)) for area in barred])
    others = [area for area in areas if area.bars and area not in barred]
    _closer(work, [(each, islice(looks.of_bars(grey, each.window), _FEW)) for each in others])
    matrices = [area for area in areas if not area.bars]
    _closer(work, [(area, looks.of_matrix(grey, area.window)) for area in matrices])
    sightings = [
        Sighting(each.text, each.symbology, _outline(each, everywhere)) for each in work.codes
    ]
    sightings.sort(key=lambda each: (middle(each.corners)[1], middle(each.corners)[0]))
    return tuple(sightings), tuple(_unread(work, barred))


def _closer(work: _Work, jobs: list[tuple[Area, Iterator[Look]]]) -> None:
    """One more look at each area in turn, until it is read or the work is used up."""
    number = 0
    while jobs and work.left > 0:
        most = next(count for upto, count in _LATER if number < upto)
        jobs = [
            (area, waiting)
            for area, waiting in jobs[:most]
            if not work.has(area.window.corners) and _looked(work, waiting)
        ]
        number += 1


def _looked(work: _Work, waiting: Iterator[Look]) -> bool:
    """Whether there was another look."""
    look = next(waiting, None)
    if look is None or work.left <= 0:
        return False
    for found in work.look(look):
        _take(work, found, plain=look.binarizer == "LocalAverage")
    return True


def _take(work: _Work, found: Found, *, plain: bool) -> None:
    """Keep what was read, unless it is known, doubtful or at odds with what is known.

    ``plain`` is a look at the picture as it is: what evening and sharpening bring out of it may be
    bars that were never there.
    """
    if found.error:
        work.broken.append(found)
        return
    for number, known in enumerate(work.codes):
        if _one_thing(found, known):
            if found.text != known.text and known.symbology in _WEAK.keys() - {found.symbology}:
                work.codes[number] = found
            return
    weak = found.symbology in _WEAK and not _borne_out(work, found)
    if weak or (found.symbology in _FORCED and not plain and not _again(work, found)):
        work.doubtful.append(found)
        return
    work.codes.append(found)


def _one_thing(one: Found, other: Found) -> bool:
    """Whether two readings are of one symbol; lines of one linear code may lie a little apart."""
    if overlap(one.corners, other.corners):
        return True
    if one.text != other.text or not one.linear:
        return False
    wider = spanning(one.corners)
    return overlap(wider.grown(4, wider.width * 0.2).corners, other.corners)


def _borne_out(work: _Work, found: Found) -> bool:
    """Whether more looks at the same place, of now or before, give the same and nothing else."""
    window = spanning(found.corners)
    if looks.goes_on(work.grey, _across(window, found, work.areas), _WEAK[found.symbology]):
        return False
    if _again(work, found):
        return True
    window = window.grown(2, max(4.0, window.width * 0.05))
    agreed = 0
    for number, look in enumerate(looks.of_bars(work.grey, window)):
        if number >= _CONFIRMING:
            break
        texts = {each.text for each in work.look(look) if not each.error}
        if texts - {found.text}:
            return False
        agreed += bool(texts)
    return agreed >= 2


def _again(work: _Work, found: Found) -> bool:
    """Whether an earlier look gave the same there, and none gave another thing."""
    there = [each.text for each in work.doubtful if _one_thing(found, each)]
    return bool(there) and set(there) == {found.text}


def _across(window: Window, found: Found, areas: list[Area]) -> Window:
    """What was read, along the bars' own direction: a line may run through them aslant."""
    around = [
        each.window for each in areas if each.bars and overlap(found.corners, each.window.corners)
    ]
    if not around:
        return window
    bars = min(around, key=lambda each: each.width * each.height)
    return turned(found.corners, bars.angle)


def _outline(code: Found, areas: list[Area]) -> Corners:
    """Of a linear code the whole bars, where they were made out: the decoder tells a few lines."""
    width = spanning(code.corners).width
    for area in areas:
        alike = area.bars and 0.8 * width < area.window.width < 1.7 * width
        if alike and code.linear and overlap(code.corners, area.window.corners):
            return area.window.corners
    return code.corners


def _unread(work: _Work, barred: list[Area]) -> Iterator[Unread]:
    """What was not read, each place once."""
    told: list[Corners] = []
    places = [(each.corners, _ERRORS.get(each.error, "damaged or blurred")) for each in work.broken]
    places += [(each.corners, "read once, but not for certain") for each in work.doubtful]
    places += [
        (each.window.corners, "bars that could not be read: too small, blurred, covered or damaged")
        for each in barred
        if each.strength > _CLEAR_BARS
    ]
    for corners, why in places:
        if not work.has(corners) and not any(overlap(corners, each) for each in told):
            told.append(corners)
            yield Unread(why, corners)
