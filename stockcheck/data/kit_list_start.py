"""The beginning of a kit list of one's own: a text with every key told in it."""

from __future__ import annotations

from stockcheck.core.kit_list import KitList

_TOP = """# A kit list of your own, in TOML. Check it:    stockcheck kit-lists check {id}.toml
# Hold a box against it:                         stockcheck audit BOX --list {id}.toml
# Keep it in the store, to be known by its id:   stockcheck kit-lists add {id}.toml

id = "{id}"
title = "{title}"
"""

_ALONE = """source = "our own"
source_certainty = "own"
# How often to look at the kit, in days, and who says so:
# check_every_days = 90
# check_source = "our own"

[[item]]
name = "Wound dressing"
quantity = 4
unit = "each"                # each, pair, pack, box, set, day, ml, g, cm, ft or quart
kinds = ["wound-dressing"]   # 'stockcheck kind list' shows them
dated = true
sterile = true               # an opened one does not count
width_mm = 80                # at least so wide and so long; minimum_area_mm2 for an area
length_mm = 100
or = [{ kinds = ["sterile-dressing"], width_mm = 100, length_mm = 100 }]

[[item]]
name = "Gloves"
quantity = 2
unit = "pair"
kinds = ["gloves-disposable"]
dated = true
per_person = true            # or per_people = 4, per_day = true, per_days = 7

[[item]]
name = "Plasters"
quantity = 20
kinds = ["plaster"]
dated = true
# up to so many people so many; beyond the last step in proportion
steps = [{ people = 10, quantity = 20 }, { people = 25, quantity = 40 }]

[[item]]
name = "Scissors and tweezers"
quantity = 1
unit = "set"
set_of = [
  { name = "scissors", quantity = 1, kinds = ["scissors", "shears"] },
  { name = "tweezers", quantity = 1, kinds = ["tweezers"] },
]

# What is only named, without a number:
[[presence]]
name = "Whistle"
kinds = ["whistle"]

# Other keys of a row: spec, per_pack (pieces in one pack), minimum_ml and minimum_mg (what one
# piece must hold), wrapped (sterile piece by piece),
# size_words, name_words, about (sides up to 5 % smaller do), only_that_size, covered_by (one of
# these kinds serves the whole row), fewer_with = {{ kind = "...", quantity = 15 }}, unless and
# when (a condition of the place), any_of_groups (anything of a group of kinds).
"""

_EXTENDS = """extends = "{base}"           # or several that add up: ["one", "other"]

# drop = [{first}]

# [[change]]                  # the keys of a row that are other; without = ["key"] takes keys away
# name = {second}
# quantity = 10

# [[item]]                    # a row more
# name = "Whistle"
# quantity = 1
# kinds = ["whistle"]

# The rows that it has now:
"""


def start_of(name: str, base: KitList | None = None) -> str:
    """The text of a list called ``name``; with a ``base`` one that extends it, its rows told."""
    title = f"{base.title}, as we carry it" if base else "What we carry"
    top = _TOP.format(id=name, title=title.replace('"', "'"))
    if base is None:
        return top + _ALONE.replace("{{", "{").replace("}}", "}")
    names = [f'"{line.name}"' for line in base.lines]
    text = _EXTENDS.format(base=base.id, first=names[0], second=names[-1])
    rows = "".join(f"# {_asked(line.quantity, line.unit)} {line.name}\n" for line in base.lines)
    return top + text + rows


def _asked(quantity: int | None, unit: str) -> str:
    return "named" if quantity is None else f"{quantity} {unit}"
