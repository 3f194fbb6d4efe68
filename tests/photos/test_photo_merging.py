"""Several pictures of one box count a thing as often as the one that shows it most."""

from __future__ import annotations

from stockcheck.photos.geometry import Corners, area_words, overlap, place_words, spanning
from stockcheck.photos.merging import merged
from stockcheck.photos.sighting import PhotoReading, Sighting

L1, L2 = "]C01000000013", "]C01000000021"


def at(x: float, y: float, width: float = 90, height: float = 30) -> Corners:
    return (x, y), (x + width, y), (x + width, y + height), (x, y + height)


def reading(name: str, *seen: tuple[str, float, float]) -> PhotoReading:
    sightings = tuple(Sighting(text, "Code 128", at(x, y)) for text, x, y in seen)
    return PhotoReading(name, (900, 600), sightings)


def test_the_same_thing_in_two_pictures_is_one_thing() -> None:
    both = [reading("front.jpg", (L1, 10, 10)), reading("lid.jpg", (L1, 700, 500))]
    (seen,) = merged(both, {L1: "lot:1"})
    assert seen.count == 1
    assert seen.where == "front.jpg upper left; lid.jpg lower right"


def test_two_of_it_in_one_picture_are_two_whatever_another_shows() -> None:
    two = reading("front.jpg", (L1, 10, 10), (L1, 10, 300))
    (seen,) = merged([reading("lid.jpg", (L1, 400, 300)), two], {L1: "lot:1"})
    assert seen.count == 2
    assert seen.where == "lid.jpg middle; front.jpg upper left, left"


def test_one_thing_in_two_symbols_of_its_label_is_still_one() -> None:
    matrix = "]d11000000013"
    (seen,) = merged(
        [reading("a.jpg", (L1, 10, 10), (matrix, 200, 10))], {L1: "lot:1", matrix: "lot:1"}
    )
    assert seen.count == 1


def test_things_stand_in_the_order_in_which_they_were_seen() -> None:
    found = merged([reading("a.jpg", (L2, 0, 0), (L1, 300, 0))], {L1: "lot:1", L2: "lot:2"})
    assert [seen.text for seen in found] == [L2, L1]


def test_no_pictures_show_nothing() -> None:
    assert merged([], {}) == ()


def test_places_are_told_in_words() -> None:
    size = (900, 600)
    told = [place_words(at(x, y), size) for x, y in ((0, 0), (400, 0), (800, 280), (400, 280))]
    assert told == ["upper left", "upper", "right", "middle"]
    assert area_words(at(40, 520, 310, 120)) == "310 x 120 pixels at 40, 520"


def test_outlines_of_one_thing_overlap_and_of_two_do_not() -> None:
    assert overlap(at(0, 0), at(20, 5))
    assert not overlap(at(0, 0), at(0, 60))


def test_a_window_spans_turned_corners() -> None:
    turned: Corners = ((0, 0), (30, 40), (22, 46), (-8, 6))  # 50 long and 10 high, by 3-4-5
    window = spanning(turned)
    assert (round(window.width), round(window.height)) == (50, 10)
    assert [(round(x), round(y)) for x, y in window.corners] == [
        (0, 0),
        (30, 40),
        (22, 46),
        (-8, 6),
    ]
