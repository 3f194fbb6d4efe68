"""Label stock: sheets and rolls by their geometry, read from TOML and checked.

All figures are millimetres, from the page's top left corner. A user's own file is read and checked
in the same way as the shipped ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import ceil
from pathlib import Path

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.names import nearest
from stockcheck.data import shipped
from stockcheck.data.given_files import read_toml

UNPRINTABLE = 4.0  # mm along a sheet's edge that office printers leave blank; from memory
LENGTH_STEP = 4.0  # mm: how finely a continuous roll follows its words
PADDING = 1.5  # mm kept free inside every label, because no feed is exact; common practice
_SLACK = 0.05  # mm: figures are given to a tenth
_SHEET = {
    "page": ("width", "height"),
    "label": ("width", "height", "corner"),
    "grid": ("columns", "rows", "pitch_x", "pitch_y", "left", "top"),
}
_ROLL = {"label": ("width", "height", "corner")}
# Cut to length by the printer: one side is the roll's, the other as long as the words ask.
_ENDLESS = {
    "height": {"label": ("width", "height_least", "height_most")},
    "width": {"label": ("height", "width_least", "width_most")},
}
_MEDIA: dict[str, Mapping[str, tuple[str, ...]]] = {"sheet": _SHEET, "roll": _ROLL}
_COUNTS = {"columns", "rows"}
_MAY_BE_ZERO = {"corner", "left", "top"}
_LARGEST = {"columns": 100, "rows": 200}
_LARGEST_MM = 1500


@dataclass(frozen=True, slots=True)
class Stock:
    """One sort of label stock; a roll is a page for each label.

    ``grows`` names the side that follows the words on a continuous roll or tape, ``width`` or
    ``height``, from ``least`` mm to what the label measures here, its longest.
    """

    name: str
    about: str
    roll: bool
    page_width: float
    page_height: float
    label_width: float
    label_height: float
    corner: float = 0.0
    columns: int = 1
    rows: int = 1
    pitch_x: float = 0.0
    pitch_y: float = 0.0
    left: float = 0.0
    top: float = 0.0
    source: str = ""
    grows: str = ""
    least: float = 0.0

    @property
    def per_page(self) -> int:
        """How many labels a page has."""
        return self.columns * self.rows

    @property
    def right(self) -> float:
        """What remains right of the last column."""
        return self.page_width - self.left - (self.columns - 1) * self.pitch_x - self.label_width

    @property
    def bottom(self) -> float:
        """What remains below the last row."""
        return self.page_height - self.top - (self.rows - 1) * self.pitch_y - self.label_height

    @property
    def inset_x(self) -> float:
        """What stays blank inside a label at its left and right; the same on every label."""
        return self._inset(min(self.left, self.right))

    @property
    def inset_y(self) -> float:
        """What stays blank inside a label at its top and bottom; the same on every label."""
        return self._inset(min(self.top, self.bottom))

    def _inset(self, margin: float) -> float:
        return PADDING if self.roll else max(PADDING, UNPRINTABLE - max(margin, 0.0))

    @property
    def size(self) -> str:
        """The label's size in words."""
        wide, high = f"{self.label_width:g}", f"{self.label_height:g}"
        if self.grows == "width":
            wide = f"{self.least:g} to {wide}"
        elif self.grows == "height":
            high = f"{self.least:g} to {high}"
        return f"{wide} × {high} mm"

    @property
    def media(self) -> str:
        """What it is, by the word that its file has for it."""
        return "continuous" if self.grows else "roll" if self.roll else "sheet"

    def cut_to(self, length: float) -> Stock:
        """One label of a continuous roll or tape, so long; any other stock as it is."""
        if self.grows == "width":
            return replace(self, label_width=length, page_width=length, pitch_x=length, grows="")
        if self.grows == "height":
            return replace(self, label_height=length, page_height=length, pitch_y=length, grows="")
        return self

    @property
    def lengths(self) -> tuple[float, ...]:
        """The lengths that a continuous roll or tape may be cut to, shortest first; none else."""
        if not self.grows:
            return ()
        most = self.label_width if self.grows == "width" else self.label_height
        steps = max(0, ceil((most - self.least) / LENGTH_STEP - 1e-9))
        return (*(self.least + LENGTH_STEP * step for step in range(steps)), most)


def shipped_stocks() -> tuple[Stock, ...]:
    """The stocks that come with the program, by name."""
    return tuple(read_stock(path) for path in sorted(shipped("labels").glob("*.toml")))


def load_stock(name_or_path: str) -> Stock:
    """A shipped stock by its name, or one's own by the path of its TOML file."""
    given = Path(name_or_path)
    if given.suffix.lower() == ".toml" or len(given.parts) > 1:
        return read_stock(given)
    path = shipped("labels") / f"{name_or_path.strip().lower()}.toml"
    if path.is_file():
        return read_stock(path)
    names = sorted(it.stem for it in shipped("labels").glob("*.toml"))
    more = nearest(name_or_path, names, f"there are {', '.join(names)}")
    raise UnknownName(
        f"there is no label stock {name_or_path!r}{more}",
        "For your own, give the path of a TOML file",
    )


def read_stock(path: Path) -> Stock:
    """One stock file, read and checked; BadInput telling all that is wrong with it."""
    return parse_stock(path.stem, read_toml(path), str(path))


def parse_stock(name: str, raw: Mapping[str, object], file: str) -> Stock:
    """A stock from the tables of its file; BadInput with a line for each thing that is wrong."""
    wanted = _tables(raw, file)
    problems = _unknown(raw, wanted)
    numbers = {
        (table, key): _number(raw, table, key, problems)
        for table, keys in wanted.items()
        for key in keys
    }
    texts = {key: _text(raw, key, problems) for key in ("about", "source")}
    if not problems:
        stock = _stock(name, raw.get("media") != "sheet", numbers, texts)
        problems = _geometry(stock)
        if not problems:
            return stock
    raise BadInput("\n".join(f"{file}, {problem}" for problem in problems))


def _tables(raw: Mapping[str, object], file: str) -> Mapping[str, tuple[str, ...]]:
    """The tables and keys that a file of its media has; BadInput for a media that is none."""
    media = raw.get("media")
    if media == "continuous":
        label = raw.get("label")
        across = isinstance(label, dict) and "width" not in label
        return _ENDLESS["width" if across else "height"]
    if media in ("sheet", "roll"):
        return _MEDIA[str(media)]
    raise BadInput(
        f'{file}, media {media!r}: write media = "sheet", media = "roll" or media = "continuous"'
    )


def _unknown(raw: Mapping[str, object], wanted: Mapping[str, tuple[str, ...]]) -> list[str]:
    problems = [
        f"{key}: not known here. Take it out; known are {', '.join(wanted)}"
        for key in raw.keys() - wanted.keys() - {"media", "about", "source"}
    ]
    for table, keys in wanted.items():
        found = raw.get(table)
        if not isinstance(found, dict):
            problems.append(f"[{table}]: this table is missing. Add it with {', '.join(keys)}")
            continue
        problems.extend(
            f"{table}.{key}: not known here. Take it out; known are {', '.join(keys)}"
            for key in found.keys() - set(keys)
        )
    return sorted(problems)


def _number(raw: Mapping[str, object], table: str, key: str, problems: list[str]) -> float:
    found = raw.get(table)
    if not isinstance(found, dict):
        return 0.0
    value = found.get(key, 0 if key == "corner" else None)
    where = f"{table}.{key} {value!r}"
    kinds = (int,) if key in _COUNTS else (int, float)
    if isinstance(value, bool) or not isinstance(value, kinds):
        what = "a whole number" if key in _COUNTS else "a number of millimetres"
        problems.append(f"{where}: write {what}")
        return 0.0
    least = 0.0 if key in _MAY_BE_ZERO else 1.0
    most = _LARGEST.get(key, _LARGEST_MM)
    if not least <= value <= most:
        problems.append(f"{where}: it must lie between {least:g} and {most}. Measure it again")
    return float(value)


def _text(raw: Mapping[str, object], key: str, problems: list[str]) -> str:
    value = raw.get(key, "")
    if isinstance(value, str):
        return value
    problems.append(f"{key} {value!r}: write a text in quotes")
    return ""


def _stock(
    name: str, roll: bool, numbers: Mapping[tuple[str, str], float], texts: Mapping[str, str]
) -> Stock:
    grows = next((side for side in _ENDLESS if ("label", f"{side}_most") in numbers), "")
    width, height = (
        numbers["label", f"{side}_most" if side == grows else side] for side in ("width", "height")
    )
    return Stock(
        name=name,
        about=texts["about"],
        source=texts["source"],
        roll=roll,
        page_width=numbers.get(("page", "width"), width),
        page_height=numbers.get(("page", "height"), height),
        label_width=width,
        label_height=height,
        corner=numbers.get(("label", "corner"), 0.0),
        columns=int(numbers.get(("grid", "columns"), 1)),
        rows=int(numbers.get(("grid", "rows"), 1)),
        pitch_x=numbers.get(("grid", "pitch_x"), width),
        pitch_y=numbers.get(("grid", "pitch_y"), height),
        left=numbers.get(("grid", "left"), 0.0),
        top=numbers.get(("grid", "top"), 0.0),
        grows=grows,
        least=numbers.get(("label", f"{grows}_least"), 0.0),
    )


def _geometry(stock: Stock) -> list[str]:
    problems = []
    longest = stock.label_width if stock.grows == "width" else stock.label_height
    if stock.grows and stock.least > longest:
        problems.append(
            f"label.{stock.grows}_least {stock.least:g}: it is more than {stock.grows}_most"
            f" {longest:g}. Give the shortest label first"
        )
    if stock.corner * 2 > min(stock.label_width, stock.label_height):
        problems.append(f"label.corner {stock.corner:g}: it is more than half the label")
    for key, count, pitch, size in (
        ("pitch_x", stock.columns, stock.pitch_x, stock.label_width),
        ("pitch_y", stock.rows, stock.pitch_y, stock.label_height),
    ):
        if count > 1 and pitch < size - _SLACK:
            problems.append(
                f"grid.{key} {pitch:g}: labels of {size:g} mm would overlap. Measure from the edge"
                " of one label to the same edge of the next"
            )
    for key, excess, page in (
        ("left", -stock.right, stock.page_width),
        ("top", -stock.bottom, stock.page_height),
    ):
        if excess > _SLACK:
            problems.append(
                f"grid.{key} {getattr(stock, key):g}: the last label would reach {excess:.2f} mm"
                f" past the page of {page:g} mm. Check {key}, the pitch and the number of labels"
            )
    return problems
