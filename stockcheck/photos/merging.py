"""Several pictures of one box as one: what was seen, how often, and where."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockcheck.photos.geometry import place_words
from stockcheck.photos.sighting import PhotoReading, Sighting


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing over all pictures: ``count`` is the most that any one picture shows.

    Two pictures of a box mostly show the same things twice; one picture shows none of them twice.
    ``places`` are pairs of a picture's name and the place in it, every sighting in order.
    """

    text: str
    symbology: str
    count: int
    places: tuple[tuple[str, str], ...]

    @property
    def where(self) -> str:
        """``front.jpg upper left, middle; lid.jpg lower right``."""
        by_photo: dict[str, list[str]] = {}
        for name, place in self.places:
            by_photo.setdefault(name, []).append(place)
        return "; ".join(f"{name} {', '.join(places)}" for name, places in by_photo.items())


def merged(readings: Sequence[PhotoReading], same: Mapping[str, str]) -> tuple[Seen, ...]:
    """Each thing once, in the order in which they were first seen.

    ``same`` gives for each text what it stands for: a label may carry one thing in two symbols.
    """
    found: dict[str, list[tuple[int, Sighting]]] = {}
    for number, reading in enumerate(readings):
        for sighting in reading.sightings:
            found.setdefault(same[sighting.text], []).append((number, sighting))
    return tuple(_seen(readings, sightings) for sightings in found.values())


def _seen(readings: Sequence[PhotoReading], sightings: list[tuple[int, Sighting]]) -> Seen:
    places = tuple(
        (readings[number].name, place_words(each.corners, readings[number].size))
        for number, each in sightings
    )
    first = sightings[0][1]
    most = max(Counter((number, each.text) for number, each in sightings).values())
    return Seen(first.text, first.symbology, most, places)
