"""Codes in photographs: what each is in this store."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from stockcheck.cli.scan_looking import Looking
    from stockcheck.cli.shell import Shell
    from stockcheck.core.expiry import Standing
    from stockcheck.core.model import Box
    from stockcheck.core.scanning import Given, Setting
    from stockcheck.output.photo_report import NotRead, Pictured
    from stockcheck.photos.marking import Mark
    from stockcheck.photos.opening import Photo
    from stockcheck.photos.sighting import PhotoReading


def scan_photos(
    shell: Shell,
    files: tuple[Path, ...],
    on: date,
    *,
    box: str | None,
    trip: str | None,
    marked: Path | None,
    fmt: str,
    output: Path | None,
) -> set[str]:
    """Read every code in the pictures and tell what each is; nothing is written to the store.

    Returns what --fail-on may name.
    """
    from stockcheck.cli.scan_looking import Looking
    from stockcheck.cli.shell import emit, trip_named
    from stockcheck.core.planning import trip_words
    from stockcheck.core.scanning import Setting
    from stockcheck.data.kinds import cautions
    from stockcheck.output.photo_report import photo_report

    targets = _targets(files, marked)
    readings = [_read(each) for each in files]
    with shell.store() as store:
        going = trip_named(store, trip)
        looking, setting = Looking(store, on, going), Setting(on, going.horizon if going else None)
        texts = dict.fromkeys(each.text for reading in readings for each in reading.sightings)
        known = {text: looking.thing(text) for text in texts}
        where, facts = _box(looking, box, known.values())
        facts += [trip_words(going)] if going else []
        things = _things(readings, known, where, setting)
        missing = _missing(looking, setting, where, known.values())
        report = photo_report(
            list(things.values()), _not_read(readings), missing,
            box=where, facts=[*facts, *_notes(readings)],
            on=on, store=store.name, cautions=cautions(),
        )  # fmt: skip
    words = {text: things[given.key] for text, given in known.items()}
    for path, reading, target in zip(files, readings, targets, strict=False):
        _mark(path, reading, words, target)
    emit(report, fmt, output)
    return _found(list(things.values()), missing, unread=any(each.unread for each in readings))


def _found(things: Sequence[Pictured], missing: Sequence[Standing], *, unread: bool) -> set[str]:
    """What --fail-on may name of pictures: each thing, what of the box was not seen, not read."""
    from stockcheck.cli.scan_summary import of_code

    seen = [each.standing for each in things if each.standing]
    found = {each.status.value for each in (*seen, *missing)}
    found |= {word for each in things for word in of_code(each.given)}
    found |= {"not seen"} if missing else set()
    return found | ({"not read"} if unread else set())


def _read(path: Path) -> PhotoReading:
    from stockcheck.photos.opening import open_photo
    from stockcheck.photos.reading import read_photo

    return read_photo(open_photo(path))


def _box(
    looking: Looking, named: str | None, given: Iterable[Given]
) -> tuple[Box | None, list[str]]:
    """The box that the pictures are of: the one named, else the only one whose label is seen."""
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    seen = {each.box.id: each.box for each in given if each.box is not None}
    if named is None:
        if len(seen) == 1:
            box = next(iter(seen.values()))
            return box, [f"box: {box.name} ({box.short}), by its label"]
        if len(seen) > 1:
            names = ", ".join(sorted(each.name for each in seen.values()))
            return None, [f"labels of several boxes are seen ({names}); --box tells which is meant"]
        return None, []
    number = find_id(looking.store.conn, "box", named)
    box = next(each for each in reads.boxes(looking.store.conn, retired=True) if each.id == number)
    facts = [f"box: {box.name} ({box.short})"]
    if seen and number not in seen:
        others = ", ".join(sorted(each.name for each in seen.values()))
        facts.append(f"look again: the label that is seen is of {others}")
    return box, facts


def _things(
    readings: Sequence[PhotoReading], known: dict[str, Given], box: Box | None, setting: Setting
) -> dict[str, Pictured]:
    """What is seen, by what it stands for."""
    from stockcheck.output.photo_report import Pictured
    from stockcheck.photos.merging import merged

    return {
        known[seen.text].key: Pictured(
            known[seen.text],
            _standing(known[seen.text], box, setting),
            seen.count,
            seen.symbology,
            seen.where,
            tuple(f"{name} {place}" for name, place in seen.places),
        )
        for seen in merged(readings, {text: given.key for text, given in known.items()})
    }


def _standing(given: Given, box: Box | None, setting: Setting) -> Standing | None:
    """How the stock stands that a code is about: in the box if any is there, the worst first."""
    from stockcheck.core.scanning_words import standing_of

    held = [each for each in given.held if each.quantity > 0]
    if given.box is not None or not held:
        return None
    here = [each for each in held if box is not None and each.box.id == box.id]
    return standing_of(here or held, setting)[0]


def _missing(
    looking: Looking, setting: Setting, box: Box | None, given: Iterable[Given]
) -> list[Standing]:
    """What the box holds by the books, of which no code was seen."""
    from stockcheck.core.scanning_words import standing_of

    if box is None:
        return []
    seen = {held.lot.id for each in given if each.box is None for held in each.held}
    held = [each for each in looking.boxes([box.id]) if each.lot.id not in seen]
    return standing_of(held, setting)


def _not_read(readings: Sequence[PhotoReading]) -> list[NotRead]:
    from stockcheck.output.photo_report import NotRead
    from stockcheck.photos.geometry import area_words, place_words

    return [
        NotRead(
            reading.name,
            place_words(each.corners, reading.size),
            area_words(each.corners),
            each.why,
        )
        for reading in readings
        for each in reading.unread
    ]


def _notes(readings: Sequence[PhotoReading]) -> list[str]:
    return [f"{reading.name}: {note}" for reading in readings for note in reading.notes]


def _targets(files: Sequence[Path], marked: Path | None) -> list[Path]:
    """Where the marked copies go: into a folder, or one picture's into a file; no original."""
    from stockcheck.core.names import name_key

    if marked is None:
        return []
    if len(files) == 1 and marked.suffix.lower() in {".jpg", ".jpeg"} and not marked.is_dir():
        targets = [marked]
    elif marked.exists() and not marked.is_dir():
        raise BadInput(
            f"--marked {marked}: it is a file, and there are several pictures or no JPEG is meant",
            "Name a folder, or a file that ends in .jpg",
        )
    else:
        targets, taken = [], set[str]()
        for path in files:
            name, number = f"{path.stem}-marked.jpg", 1
            while name_key(name) in taken:
                number += 1
                name = f"{path.stem}-marked-{number}.jpg"
            taken.add(name_key(name))
            targets.append(marked / name)
    originals = {path.resolve() for path in files}
    for target in targets:
        if target.resolve() in originals:
            raise BadInput(
                f"--marked {target}: it would replace the picture itself", "Name another"
            )
    return targets


def _mark(path: Path, reading: PhotoReading, words: dict[str, Pictured], target: Path) -> None:
    from stockcheck.cli.shell import put
    from stockcheck.photos.marking import marked_copy
    from stockcheck.photos.opening import in_colour, open_photo

    photo: Photo = open_photo(path)
    coloured = in_colour(photo)
    scale = coloured.width / photo.size[0]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        said = f"cannot make the folder {target.parent}: {error.strerror}"
        raise BadInput(said, "Name another for --marked") from error
    put(marked_copy(coloured, list(_marks(reading, words)), scale), target)


def _marks(reading: PhotoReading, words: dict[str, Pictured]) -> Iterable[Mark]:
    from stockcheck.photos.marking import UNREAD, Mark

    for sighting in reading.sightings:
        text, sort = _outcome(words[sighting.text])
        yield Mark(sighting.corners, text, sort)
    for unread in reading.unread:
        yield Mark(unread.corners, "NOT READ", UNREAD)


def _outcome(thing: Pictured) -> tuple[str, str]:
    """``EXPIRED L42``, and how its mark looks."""
    from stockcheck.core.scanning import GOOD as WELL
    from stockcheck.core.scanning import SPOKEN
    from stockcheck.output.photo_report import word_of
    from stockcheck.photos.marking import BAD, GOOD, QUIET

    recognised = thing.given.recognised
    if thing.standing is None:
        word = word_of(thing)
        name = f"{word} {recognised.short if recognised else ''}".strip()
        return name, BAD if word in {"RECALLED", "EXPIRED"} else QUIET
    name = f"{SPOKEN[thing.standing.status]} {thing.standing.holding.lot.short}"
    return name, GOOD if thing.standing.status in WELL else BAD
