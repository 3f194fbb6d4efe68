"""The type sizes of a label, from large to small, and the measures that go with them."""

from __future__ import annotations

from dataclasses import dataclass

from stockcheck.labels.fonts import CAPITAL, MM_PER_POINT

MIN_TITLE, MIN_DATE, MIN_SMALL, MIN_DIGITS = 6.5, 10.0, 5.0, 6.0  # points; see STYLES
MIN_BANNER = 8.0  # points
GAP = 0.5  # mm between lines that belong together
MIDDLE_GAP = 0.8  # mm between date, details and line to write on
NEAR = 0.9  # mm between a symbol and its words
GROUP_GAP = 0.9  # mm, the least above the date and above the symbol; less in the smallest style
SHORT_SIZES = 1.2, 1.05, 0.95, 0.85  # of the name: the short form beside bars, the first that fits
_MAX_DIGITS = 9.0
_DATE_LEAD = 1.2  # the date is at least this much larger than the name


@dataclass(frozen=True, slots=True)
class Style:
    """Type sizes in points of the name, the date and the small lines."""

    title: float
    date: float
    small: float
    last: bool = False

    def name_sizes(self, *, dated: bool) -> tuple[float, float]:
        """The largest and the smallest size of a name; without a date it stands in its stead."""
        size = self.title if dated else self.date * 0.65
        return size, MIN_TITLE if self.last else max(MIN_TITLE, size * 0.8)

    @property
    def least_date(self) -> float:
        """The smallest size of the date: never near that of the name."""
        least = max(self.date * 0.75, self.title * _DATE_LEAD)
        return MIN_DATE if self.last else max(MIN_DATE, least)

    @property
    def digits(self) -> float:
        """The size of the code's digits."""
        return min(max(self.small, MIN_DIGITS), _MAX_DIGITS)

    @property
    def least_small(self) -> float:
        """The smallest size of the small lines."""
        return max(MIN_SMALL, self.small * 0.9)

    @property
    def banner(self) -> tuple[float, float]:
        """The largest and the smallest size of a state in white on black."""
        size = max(MIN_BANNER, self.title * 1.35)
        return size, MIN_BANNER if self.last else max(MIN_BANNER, size * 0.75)

    @property
    def group_gap(self) -> float:
        """What stays blank in mm above the date, and above the symbol."""
        return GROUP_GAP * 0.7 if self.last else max(GROUP_GAP, 0.09 * self.title)

    @property
    def gap(self) -> float:
        """What stays blank in mm between lines that belong together."""
        return max(GAP, 0.065 * self.small)

    @property
    def middle_gap(self) -> float:
        """What stays blank in mm between date, details and line to write on."""
        return max(MIDDLE_GAP, 0.105 * self.small)

    @property
    def near(self) -> float:
        """What stays blank in mm between a symbol and its words."""
        return max(NEAR, 0.12 * self.small)

    @property
    def capital(self) -> float:
        """The height in mm of a small line's capitals."""
        return CAPITAL * self.small * MM_PER_POINT


# The smallest: x-height 1.25 mm for the name, 0.96 mm for small lines. Reg. (EU) 1169/2011
# Art. 13(3) asks 0.9 mm of food packs with less than 80 cm2 of surface, 1.2 mm of larger ones.
STYLES = (
    Style(24, 54, 14),
    Style(20, 46, 12),
    Style(17, 40, 10.5),
    Style(15, 34, 9.5),
    Style(13, 29, 8.5),
    Style(11.5, 25, 8),
    Style(10, 22, 7.5),
    Style(9, 19, 7),
    Style(8, 16.5, 6.5),
    Style(7.5, 14.5, 6),
    Style(7, 13, 5.5),
    Style(MIN_TITLE, 11, MIN_SMALL, last=True),
)
