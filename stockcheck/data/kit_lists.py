"""The kit lists that ship, and reading a person's own list of the same shape.

Keys of a list: ``id``, ``title``, ``source``, ``source_certainty`` (``seen``: read in a copy of the
source; ``memory``: not read, or partly composed; ``own``: one's own list), ``edition``,
``replaced_by`` (the id of a newer edition), ``jurisdiction``, ``notes``, ``seen_at``,
``check_every_days`` with ``check_source`` (how often the source wants the kit looked at),
``people_from`` and ``people_to`` (for how many people the source means it), then the rows:
``[[item]]`` with a quantity, ``[[presence]]`` for what the source names without a number. A
list may extend others: see ``kit_list_extend``.

Keys of a row, from the source: ``name``, ``quantity``, ``unit``, ``spec``, ``dated``, ``sterile``,
``width_mm``, ``length_mm``, ``minimum_area_mm2`` (least sizes), ``per_pack`` (pieces that one pack
holds), ``alternative`` and ``condition`` (in words), ``per_person``, ``certainty``.

How a quantity grows: ``per_person``, ``per_people = 4`` (once for each started four people),
``per_day``, ``per_days = 7``, and ``steps = [{ people = 10, quantity = 20 }, ...]`` (up to so many
people so many pieces, beyond the last in proportion).

Keys of a row, its logic:

- ``kinds``: the catalogue kinds that can serve it;
- ``or``: other ways, piece for piece, as tables of ``kinds`` and sizes;
- ``covered_by``: kinds of which one usable thing serves the whole row and is not used up;
- ``fewer_with``: ``{ kind, quantity }``, a smaller number that is enough with such a thing;
- ``unless``, ``when``: a condition of the place that takes the row away, or that it needs;
- ``instead``: ``[{ when, quantity, size_words }]``, what it asks for where a condition holds;
- ``wrapped``: each sterile piece is wrapped by itself, so an opened box of them counts (set for
  every sterile plaster: they are sold that way, common practice);
- ``minimum_ml``, ``minimum_mg``: what one piece must hold at least, where the item's size or name
  says what it holds ("15 ml"); one that does not say is taken at its word;
- ``size_words``: words of which one must stand in the item's name or size;
- ``name_words``: words of which one must stand in its name, where a kind holds many things;
- ``set_of``: the parts of one set, as tables of ``name``, ``quantity``, ``kinds`` and sizes; the
  row's own ``kinds``, if any, serve as ready-made sets;
- ``any_of_groups``: groups of kinds of which anything will do that no other row wants;
- ``only_that_size``: a larger one does not stand in (5 % larger still does, common practice);
- ``about``: the source says "about" such a size, so sides up to 5 % smaller do (common practice:
  no source says how much; set where a list's own text has the word).

The size of a dressing with its bandage is that of the pad.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.kit_list import KitList
from stockcheck.core.model import Kind
from stockcheck.data.given_files import read_toml
from stockcheck.data.kit_list_extend import Table, extended
from stockcheck.data.kit_list_fields import Fields
from stockcheck.data.kit_list_rows import check_kinds, kit_list_of

SHIPPED = Path(__file__).parent / "kit_lists"
Known = Callable[[str], Table | None]
"""From an id to the table of a list that a person keeps; None for any other id."""


def kit_list_ids() -> tuple[str, ...]:
    """The ids of the lists that ship, in order."""
    return tuple(sorted(path.stem for path in SHIPPED.glob("*.toml")))


@cache
def kit_list(list_id: str) -> KitList:
    """A list that ships; UnknownName with the nearest ids for any other."""
    if list_id not in kit_list_ids():
        raise no_such_list(list_id)
    return kit_list_file(SHIPPED / f"{list_id}.toml")


def no_such_list(list_id: str, own: tuple[str, ...] = ()) -> UnknownName:
    """The error that tells the nearest ids of the lists that ship or are a person's ``own``."""
    from stockcheck.core.names import nearest

    more = nearest(list_id, [*own, *kit_list_ids()], "'kit-lists list' shows them all")
    return UnknownName(f"there is no kit list {list_id!r}{more}")


def kit_list_file(
    path: Path, known_kinds: Mapping[str, Kind] | None = None, known: Known | None = None
) -> KitList:
    """Read a list from a TOML file; BadInput for a file that is not there, no TOML, or wrong."""
    return kit_list_and_table(path, known_kinds, known)[0]


def kit_list_and_table(
    path: Path, known_kinds: Mapping[str, Kind] | None = None, known: Known | None = None
) -> tuple[KitList, Table]:
    """The list of a file, and its table with all that it extends; BadInput as above."""
    problems: list[str] = []
    table = _resolved(path, known, (), problems)
    return _read(table, path.name, known_kinds, problems), table


def read_kit_list(
    table: Table, where: str, known_kinds: Mapping[str, Kind] | None = None
) -> KitList:
    """Make a kit list from the table of its TOML; ``where`` names it in messages.

    BadInput tells everything that is wrong at once: file, row, key, value and remedy. With
    ``known_kinds`` a kind that is not among them is wrong too.
    """
    problems: list[str] = []
    whole = extended(table, Fields(table, where, problems), lambda name: _shipped(name, where))
    return _read(whole, where, known_kinds, problems)


def _read(
    whole: Table, where: str, known_kinds: Mapping[str, Kind] | None, problems: list[str]
) -> KitList:
    """The list of a table that extends nothing any more; ``problems`` are those found so far."""
    top = Fields(whole, where, problems)
    found = kit_list_of(top)
    if known_kinds is not None:
        check_kinds(top, found.lines, known_kinds)
    if problems:
        raise BadInput("\n".join(dict.fromkeys(problems)))
    return found


def _resolved(
    path: Path, known: Known | None, inside: tuple[Path, ...], problems: list[str]
) -> dict[str, object]:
    """The table of a file with all that it extends; ``inside`` are the files that led here."""
    here = Path(os.path.realpath(path))  # unlike resolve() no error where links go in circles
    if here in inside:
        raise BadInput(f"{path}: it extends itself, by {inside[-1].name}; extend another list")
    table = read_toml(path)
    way = (*inside, here)

    def find(name: str) -> Table:
        if name.endswith(".toml"):
            return _resolved(path.parent / name, known, way, problems)
        kept = known(name) if known else None
        return kept if kept is not None else _shipped(name, path.name)

    return extended(table, Fields(table, path.name, problems), find)


def _shipped(name: str, where: str) -> Table:
    if name not in kit_list_ids():
        raise BadInput(f"{where}, extends {name!r}: {no_such_list(name)}")
    return read_toml(SHIPPED / f"{name}.toml")
