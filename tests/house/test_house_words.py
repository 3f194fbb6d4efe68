"""Whatever is typed and kept is refused or tidied in one way: held over every command's parameters.

``cli.shell.WORDS`` and ``core.names.tidy_text`` behind it are the one home of what words may be. A
parameter that is plain text to click is either looked up, reckoned with, or read by a reader that
comes to the same; which, is told here for each.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from importlib import import_module

import click
import pytest

from hostile import REFUSED
from stockcheck.cli.app import COMMANDS
from stockcheck.cli.catalogue_sorts import SORTS
from stockcheck.core.errors import BadInput
from stockcheck.core.names import MOST_NAME, MOST_TEXT, tidy_name
from stockcheck.data.kinds import OWN, kind_from_table
from stockcheck.store.bulk import FIELDS

# Of these groups every field is read by a reader of its own, the same for options and files.
READ_ELSEWHERE: dict[tuple[str, ...], str] = {
    **{
        (sort.what, verb): "store.bulk.FIELDS, names by core.names.tidy_name"
        for sort in SORTS
        for verb in ("add", "change")
    },
    ("receive",): "core.intake, texts by core.names.tidy_text",
}
# What a parameter is, by its name; "names" what is there already and is never kept as it was typed.
NOT_KEPT = {
    "names a thing that is there": {
        "base", "box_name", "boxes", "by_name", "codes", "conditions", "first", "from_box", "group",
        "has", "item", "item_name", "key", "left", "line", "list_id", "lists", "lot_name", "lots",
        "movement", "named", "names", "number", "printer", "printer_name", "routes", "second",
        "stock", "take_back", "thing", "to_box", "trip", "trip_name",
    },
    "a figure or a day, read strictly": {
        "assurance", "budget", "currency", "damaged", "desirable", "essential", "expiry", "found",
        "lasts", "made", "ratio", "received", "ruler_x", "ruler_y", "vital", "zone",
    },
    "only answered": {"text", "texts", "maps", "preview", "queue", "mode", "only", "sort"},
}  # fmt: skip
# Names that are kept, by core.names.tidy_name; elsewhere ``name`` is that of a thing that is there.
NAMED = {("init",), ("label-stock", "printer")}
NAME_OF_A_THING = {("whatif",), ("item", "substitute"), ("trip", "close"), ("climate", "show")}


def parameters(
    words: tuple[str, ...], command: click.Command
) -> Iterator[tuple[tuple[str, ...], click.Parameter]]:
    """Every parameter under a command with the words that lead to it."""
    if not isinstance(command, click.Group):
        yield from ((words, each) for each in command.params)
        return
    for name in command.commands:
        yield from parameters((*words, name), command.commands[name])


def plain_texts() -> Iterator[tuple[tuple[str, ...], str]]:
    """Where a parameter is whatever text was typed."""
    for name, (module, _) in COMMANDS.items():
        found = import_module(f"stockcheck.cli.{module}").COMMANDS[name]
        for words, each in parameters((name,), found):
            if type(each.type) is type(click.STRING):
                yield words, each.name or ""


def test_every_parameter_that_is_kept_as_text_is_words_or_stricter() -> None:
    known = set().union(*NOT_KEPT.values())
    unknown = [
        f"{' '.join(words)}: {name}"
        for words, name in plain_texts()
        if words not in READ_ELSEWHERE
        and name not in known
        and not (name == "name" and words in NAMED | NAME_OF_A_THING)
    ]
    assert unknown == [], "give it type=WORDS (cli.shell), or say here why it needs none"


def test_what_is_said_here_is_still_so() -> None:
    found = list(plain_texts())
    assert {words for words, _ in found} >= READ_ELSEWHERE.keys() | NAMED | NAME_OF_A_THING
    gone = set().union(*NOT_KEPT.values()) - {name for _, name in found}
    assert gone <= {"only", "sort", "mode"}


TEXT_FIELDS = [(what, name) for what, fields in FIELDS.items() for name in fields]


@pytest.mark.parametrize(("what", "name"), TEXT_FIELDS, ids="-".join)
@pytest.mark.parametrize("text", [*REFUSED.values(), "gauze " * 1700], ids=[*REFUSED, "long"])
def test_no_field_of_the_catalogue_keeps_what_nobody_sees(
    store: sqlite3.Connection, what: str, name: str, text: str
) -> None:
    with pytest.raises(BadInput):
        FIELDS[what][name].read(store, text)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    from stockcheck.store.files import opened
    from stockcheck.store.migrate import create

    path = tmp_path_factory.mktemp("words") / "kit.db"
    create(path, "Kit", "EUR")
    with opened(path) as made:
        yield made.conn


@pytest.mark.parametrize("field", ["name", "group", "storage", "source", "past_note"])
@pytest.mark.parametrize("text", [*REFUSED.values(), "gauze " * 1700], ids=[*REFUSED, "long"])
def test_no_text_of_a_kind_keeps_it_either(field: str, text: str) -> None:
    table = {"key": "own", "name": "own", "meaning": "none", "past": "no limit", field: text}
    with pytest.raises(BadInput, match=r"do not print|characters long"):
        kind_from_table(table, "kind own", OWN)


def test_the_limits_are_exact() -> None:
    from stockcheck.cli.shell import WORDS

    def keep(text: str) -> str:
        return WORDS.convert(text, None, None)

    assert keep("a" * MOST_TEXT) == "a" * MOST_TEXT
    assert tidy_name("a" * MOST_NAME, "box") == "a" * MOST_NAME
    with pytest.raises(BadInput, match=f"Keep to {MOST_TEXT} characters"):
        keep("a" * (MOST_TEXT + 1))
    with pytest.raises(BadInput, match=f"at most {MOST_NAME}"):
        tidy_name("a" * (MOST_NAME + 1), "box")


def test_a_new_way_in_that_forgets_to_look_is_stopped_at_the_store(
    store: sqlite3.Connection,
) -> None:
    code = ("1000000013", "Wa\u202eter", "water")
    with pytest.raises(BadInput, match=r"U\+202E"):
        store.execute("INSERT INTO box (code, name, name_key) VALUES (?, ?, ?)", code)
    with pytest.raises(BadInput, match=r"U\+202E"):
        store.executemany("INSERT INTO box (code, name, name_key) VALUES (?, ?, ?)", [code])
    assert store.execute("SELECT count(*) FROM box").fetchone() == (0,)
