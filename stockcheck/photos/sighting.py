"""What was read in a picture and what was not, as values."""

from __future__ import annotations

from dataclasses import dataclass

from stockcheck.photos.geometry import Corners


@dataclass(frozen=True, slots=True)
class Sighting:
    """One code seen at one place of one picture.

    ``text`` is as a scanner sends it, with its symbology identifier (``]C01000000420``);
    ``symbology`` is its name for people. ``corners`` are those of the symbol, in pixels.
    """

    text: str
    symbology: str
    corners: Corners

    @property
    def data(self) -> str:
        """The text without the symbology identifier."""
        return self.text[3:]


@dataclass(frozen=True, slots=True)
class Unread:
    """A part of a picture that looks like a code and was not read, with the reason."""

    why: str
    corners: Corners


@dataclass(frozen=True, slots=True)
class PhotoReading:
    """All that one picture holds: its name, size in pixels, codes read and unread, and notes."""

    name: str
    size: tuple[int, int]
    sightings: tuple[Sighting, ...]
    unread: tuple[Unread, ...] = ()
    notes: tuple[str, ...] = ()
