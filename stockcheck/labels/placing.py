"""A printer's correction: where things have to be drawn for them to come out where they belong."""

from __future__ import annotations

from dataclasses import dataclass

from stockcheck.core.errors import BadInput

MOST_OFFSET_MM = 20.0
LEAST_SCALE, MOST_SCALE = 0.97, 1.03  # beyond it the print was fitted to the page


@dataclass(frozen=True, slots=True)
class Placing:
    """All is drawn ``right`` and ``down`` by so many mm, after its distances from the page's top
    left corner were taken ``scale_x`` and ``scale_y`` times.

    Codes are moved but never scaled: their modules stay whole printer dots. BadInput for what no
    printer needs.
    """

    right: float = 0.0
    down: float = 0.0
    scale_x: float = 1.0
    scale_y: float = 1.0

    def __post_init__(self) -> None:
        for name, offset in (("right", self.right), ("down", self.down)):
            if not -MOST_OFFSET_MM <= offset <= MOST_OFFSET_MM:
                raise BadInput(
                    f"offset of {offset:g} mm {name}: no printer is off by more than"
                    f" {MOST_OFFSET_MM:g} mm. Measure it on the alignment page again"
                )
        for name, scale in (("across", self.scale_x), ("down", self.scale_y)):
            if not LEAST_SCALE <= scale <= MOST_SCALE:
                raise BadInput(
                    f"scale of {scale:g} {name}: it must lie between {LEAST_SCALE:g} and"
                    f" {MOST_SCALE:g}. Print at 100 %, never fitted to the page, and measure again"
                )

    @property
    def is_plain(self) -> bool:
        """Whether nothing is moved or scaled."""
        return self == PLAIN

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the page has to be drawn, in mm from the top left corner."""
        return self.right + self.scale_x * x, self.down + self.scale_y * y


PLAIN = Placing()
