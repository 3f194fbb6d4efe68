"""The kit lists that ship, and reading a person's own list of the same shape.

Keys of a list: ``id``, ``title``, ``source``, ``source_certainty`` (``seen``: read in a copy of the
source; ``memory``: not read, or partly composed; ``own``: one's own list), ``edition``,
``jurisdiction``, ``notes``, ``seen_at``, then the rows: ``[[item]]`` with a quantity,
``[[presence]]`` for what the source names without a number.

Keys of a row, from the source: ``name``, ``quantity``, ``unit``, ``spec``, ``dated``, ``sterile``,
``width_mm``, ``length_mm``, ``minimum_area_mm2`` (least sizes), ``per_pack`` (pieces that one pack
holds), ``alternative`` and ``condition`` (in words), ``per_person``, ``certainty``.

Keys of a row, its logic:

- ``kinds``: the catalogue kinds that can serve it;
- ``or``: other ways, piece for piece, as tables of ``kinds`` and sizes;
- ``covered_by``: kinds of which one usable thing serves the whole row and is not used up;
- ``fewer_with``: ``{ kind, quantity }``, a smaller number that is enough with such a thing;
- ``unless``, ``when``: a condition of the place that takes the row away, or that it needs;
- ``wrapped``: each sterile piece is wrapped by itself, so an opened box of them counts (set for
  every sterile plaster: they are sold that way, common practice);
- ``size_words``: words of which one must stand in the item's name or size;
- ``name_words``: words of which one must stand in its name, where a kind holds many things;
- ``about``: the source says "about" such a size, so sides up to 5 % smaller do (common practice:
  no source says how much; set where a list's own text has the word).

The size of a dressing with its bandage is that of the pad.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cache
from pathlib import Path

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.kit_list import LINE_UNITS, MEMORY, SEEN, KitList, Line, Way

SHIPPED = Path(__file__).parent / "kit_lists"
OWN = "own"

_LIST_TEXTS = ("id", "title", "source", "edition", "source_certainty", "jurisdiction", "notes")
_MUST = ("id", "title", "source", "source_certainty")
_SIZES = ("width_mm", "length_mm", "minimum_area_mm2")
_WAY_KEYS = ("kinds", *_SIZES, "size_words", "name_words", "about")
_ROW_KEYS = (
    *("name", "quantity", "unit", "spec", "dated", "sterile", "per_pack", "alternative"),
    *("condition", "per_person", "certainty", "or", "covered_by", "fewer_with", "unless"),
    *("when", "wrapped", *_WAY_KEYS),
)


def kit_list_ids() -> tuple[str, ...]:
    """The ids of the lists that ship, in order."""
    return tuple(sorted(path.stem for path in SHIPPED.glob("*.toml")))


@cache
def kit_list(list_id: str) -> KitList:
    """A list that ships; UnknownName with the nearest ids for any other."""
    if list_id not in kit_list_ids():
        from difflib import get_close_matches

        near = get_close_matches(list_id, kit_list_ids(), n=3, cutoff=0.4)
        hint = f"Perhaps {' or '.join(near)}?" if near else "'kit-lists list' shows them all."
        raise UnknownName(f"no kit list is called {list_id!r}. {hint}")
    return kit_list_file(SHIPPED / f"{list_id}.toml")


def kit_list_file(path: Path, known_kinds: Collection[str] | None = None) -> KitList:
    """Read a list from a TOML file; BadInput for a file that is not there, no TOML, or wrong."""
    import tomllib

    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        reason = error.strerror or "not readable"
        raise BadInput(f"{path}: {reason}. Give the path of a kit list file.") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"{path}: not UTF-8 text. Save it as UTF-8.") from error
    except tomllib.TOMLDecodeError as error:
        raise BadInput(f"{path}: not TOML: {error}. Compare with a list that ships.") from error
    return read_kit_list(table, path.name, known_kinds)


def read_kit_list(
    table: Mapping[str, object], where: str, known_kinds: Collection[str] | None = None
) -> KitList:
    """Make a kit list from the table of its TOML; ``where`` names it in messages.

    BadInput tells everything that is wrong at once: file, row, key, value and remedy. With
    ``known_kinds`` a kind that is not among them is wrong too.
    """
    problems: list[str] = []
    top = _Fields(table, where, problems)
    top.only((*_LIST_TEXTS, "seen_at", "item", "presence"))
    texts = {key: top.text(key, must=key in _MUST) for key in _LIST_TEXTS}
    certainty = top.one_of("source_certainty", (SEEN, MEMORY, OWN), SEEN)
    lines = [
        _line(row, numbered=key == "item", certainty=MEMORY if certainty == MEMORY else SEEN)
        for key in ("item", "presence")
        for row in top.rows(key)
    ]
    if not lines:
        top.wrong("item", None, "the list has no rows", "Add [[item]] or [[presence]] rows")
    _check_covers(top, lines)
    if known_kinds is not None:
        _check_kinds(top, lines, known_kinds)
    if problems:
        raise BadInput("\n".join(problems))
    del texts["source_certainty"]
    return KitList(**texts, certainty=certainty, lines=tuple(lines), seen_at=top.names("seen_at"))


def _line(row: _Fields, *, numbered: bool, certainty: str) -> Line:
    row.only(_ROW_KEYS)
    if not numbered:
        for key in ("quantity", "unit", "per_person"):
            if key in row.table:
                row.wrong(key, row.table[key], "a [[presence]] row has no number", "Use [[item]]")
    way = _way(row)
    return Line(
        name=row.text("name", must=True),
        quantity=row.number("quantity", must=True) if numbered else None,
        kinds=way.kinds,
        unit=row.one_of("unit", LINE_UNITS, "each"),
        spec=row.text("spec"),
        dated=row.flag("dated"),
        sterile=row.flag("sterile"),
        wrapped=row.flag("wrapped"),
        width_mm=way.width_mm,
        length_mm=way.length_mm,
        minimum_area_mm2=way.minimum_area_mm2,
        size_words=way.size_words,
        name_words=way.name_words,
        about=way.about,
        per_pack=row.number("per_pack"),
        per_person=row.flag("per_person"),
        alternative=row.text("alternative"),
        condition=row.text("condition"),
        unless=row.text("unless"),
        when=row.text("when"),
        ways=tuple(_other_way(other) for other in row.rows("or")),
        covered_by=row.names("covered_by"),
        fewer_with=_fewer_with(row),
        certainty=row.one_of("certainty", (SEEN, MEMORY), certainty),
    )


def _way(row: _Fields) -> Way:
    kinds = row.names("kinds")
    if not kinds:
        row.wrong("kinds", None, "no kind can serve it", 'Give some, such as kinds = ["eye-pad"]')
    width, length, area = (row.number(key) for key in _SIZES)
    if width and length and width > length:
        row.wrong("width_mm", width, "it is more than the length", "Give the shorter side as width")
    words = row.names("size_words"), row.names("name_words")
    about = row.flag("about")
    if about and not (width or length):
        row.wrong("about", None, "there is no side for it", "Give width_mm or length_mm")
    return Way(kinds, width, length, area, *words, about)


def _other_way(other: _Fields) -> Way:
    other.only(_WAY_KEYS)
    return _way(other)


def _fewer_with(row: _Fields) -> tuple[str, int] | None:
    if "fewer_with" not in row.table:
        return None
    inner = row.inner("fewer_with")
    inner.only(("kind", "quantity"))
    return inner.text("kind", must=True), inner.number("quantity", must=True) or 0


def _check_covers(top: _Fields, lines: list[Line]) -> None:
    """A thing that covers one row is not used up by it, so it must not be counted in another."""
    serving = {kind: line.name for line in lines for kind in line.serving_kinds}
    for line in lines:
        for kind in line.covered_by:
            if kind in serving:
                what = f"it covers {line.name!r} and serves {serving[kind]!r}: counted twice"
                top.wrong("covered_by", kind, what, "Name it in one of the two rows only")


def _check_kinds(top: _Fields, lines: list[Line], known: Collection[str]) -> None:
    from difflib import get_close_matches

    for line in lines:
        for kind in sorted(line.named_kinds - set(known)):
            near = get_close_matches(kind, sorted(known), n=1)
            remedy = f"Perhaps {near[0]}" if near else "Use a kind of the catalogue"
            top.wrong("kinds", kind, f"row {line.name!r} names a kind that is not known", remedy)


class _Fields:
    """The fields of a TOML table, read with their types; what is wrong is noted, not raised."""

    def __init__(self, table: Mapping[str, object], place: str, problems: list[str]) -> None:
        self.table = table
        self.place = place
        self.problems = problems

    def wrong(self, key: str, value: object, what: str, remedy: str) -> None:
        shown = "" if value is None else f" {str(value)[:60]!r}"
        self.problems.append(f"{self.place}, {key}{shown}: {what}. {remedy}.")

    def only(self, keys: Collection[str]) -> None:
        for key in self.table:
            if key not in keys:
                from difflib import get_close_matches

                near = get_close_matches(key, list(keys), n=1)
                remedy = f"Perhaps {near[0]}" if near else f"Known are {', '.join(keys)}"
                self.wrong(key, None, "there is no such key", remedy)

    def text(self, key: str, *, must: bool = False) -> str:
        value = self.table.get(key, "")
        if not isinstance(value, str):
            self.wrong(key, value, "not a text", "Put it in quotation marks")
            return ""
        if must and not value.strip():
            self.wrong(key, None, "it is not there", "Give it as a text in quotation marks")
        return value

    def number(self, key: str, *, must: bool = False) -> int | None:
        value = self.table.get(key)
        if value is None and not must:
            return None
        if isinstance(value, int) and not isinstance(value, bool) and value > 0:
            return value
        self.wrong(key, value, "not a whole number above 0", "Write it as 12, without quotes")
        return None

    def flag(self, key: str) -> bool:
        value = self.table.get(key, False)
        if not isinstance(value, bool):
            self.wrong(key, value, "neither true nor false", "Write true or false without quotes")
        return value is True

    def names(self, key: str) -> tuple[str, ...]:
        value = self.table.get(key, [])
        if isinstance(value, list) and all(isinstance(it, str) and it for it in value):
            return tuple(value)
        self.wrong(key, value, "not a list of texts", 'Write it as ["one", "two"]')
        return ()

    def one_of(self, key: str, choices: tuple[str, ...], default: str) -> str:
        value = self.table.get(key, default)
        if isinstance(value, str) and value in choices:
            return value
        self.wrong(key, value, "not one of the words for it", f"Use {', '.join(choices)}")
        return default

    def rows(self, key: str) -> list[_Fields]:
        value = self.table.get(key, [])
        if not (isinstance(value, list) and all(isinstance(it, dict) for it in value)):
            self.wrong(key, value, "not a list of tables", f"Write each row under [[{key}]]")
            return []
        return [
            _Fields(it, f"{self.place}, {key} {number}{_called(it)}", self.problems)
            for number, it in enumerate(value, 1)
        ]

    def inner(self, key: str) -> _Fields:
        value = self.table[key]
        if not isinstance(value, dict):
            self.wrong(key, value, "not a table", 'Write it as { kind = "...", quantity = 15 }')
            value = {"kind": "?", "quantity": 1}
        return _Fields(value, f"{self.place}, {key}", self.problems)


def _called(row: Mapping[str, object]) -> str:
    name = row.get("name")
    return f" ({name})" if isinstance(name, str) and name else ""
