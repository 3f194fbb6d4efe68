"""The guide's pages: which there are, how they are built, and that what they name exists."""

from __future__ import annotations

import re
import shlex
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from stockcheck.cli.app import COMMANDS, GUIDED, root
from stockcheck.core.names import name_key
from stockcheck.data.guide import TOPICS, page, question, topic_of, words
from stockcheck.output.prose import CODE, Grid, Heading, Items, Listing, Paragraph, blocks
from stockcheck.output.prose_text import render_page
from stockcheck.output.text import display_width

GUIDE = Path(__file__).parents[2] / "stockcheck" / "data" / "guide"
PAGES = {topic: page(topic) for topic in TOPICS}
LONGEST = {"views": 320}  # a table of reference; the others are read through


def test_every_page_that_ships_is_a_topic() -> None:
    assert {file.name for file in GUIDE.iterdir()} == {f"{topic}.md" for topic in TOPICS}


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_answers_a_question_and_says_when_not_to_believe_it(topic: str) -> None:
    first, *others = [each for each in blocks(PAGES[topic]) if isinstance(each, Heading)]
    assert first.level == 1
    assert first.text == question(topic)
    assert first.text.endswith("?")
    assert {each.level for each in others} == {2}
    assert [each.text for each in others[-2:]] == ["When not to believe this", "Sources"]


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_is_read_through_in_a_few_screens(topic: str) -> None:
    lines = render_page(PAGES[topic], width=80).splitlines()
    assert 40 <= len(lines) <= LONGEST.get(topic, 120)


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_holds_no_markdown_but_the_part_that_is_rendered(topic: str) -> None:
    for block in blocks(PAGES[topic]):
        match block:
            case Paragraph(text) | Heading(_, text):
                texts: tuple[str, ...] = (text,)
            case Items(texts, _):
                pass
            case Grid(head, rows):
                assert {len(row) for row in rows} == {len(head)}
                texts = tuple(cell for row in (head, *rows) for cell in row)
            case Listing(language, _):
                assert language in {"console", "sql", "text"}
                continue
        for text in texts:
            rest = CODE.sub("", text)
            assert not re.search(r"`|\*|\]\(|^\s*#|^\s*>|__", rest), text


@pytest.mark.parametrize("width", [40, 59, 60, 80, 120, 200])
@pytest.mark.parametrize("topic", TOPICS)
def test_no_line_is_wider_than_the_screen(topic: str, width: int) -> None:
    for line in render_page(PAGES[topic], width=width).splitlines():
        alone = re.fullmatch(
            r"> (\"[^\"]*\"|'[^']*')( \\)?", line
        )  # whole, so that it can be copied
        assert display_width(line) <= width or alone, line


def named_commands() -> Iterator[tuple[str, list[str]]]:
    """Each command line in a page's words, as the page and what stands after stockcheck."""
    for topic, text in PAGES.items():
        prose = re.sub(r"^```.*?^```$", "", text, flags=re.DOTALL | re.MULTILINE)
        for code in CODE.findall(" ".join(prose.split())):
            if code.startswith("stockcheck "):
                yield topic, shlex.split(code)[1:]
            elif code in COMMANDS:
                yield topic, [code]


@pytest.mark.parametrize(("topic", "line"), list(named_commands()))
def test_every_command_that_a_page_names_exists(topic: str, line: list[str]) -> None:
    command: click.Command = root
    context = click.Context(root)
    given = list(line)
    while isinstance(command, click.Group) and given and not given[0].startswith("-"):
        below = command.get_command(context, given.pop(0))
        assert below is not None, (topic, line)
        command = below
    known = {name for param in command.params for name in (*param.opts, *param.secondary_opts)}
    assert {word for word in given if word.startswith("-")} <= known
    if line[0] == "guide" and given:
        assert given[0] in TOPICS


def test_a_topic_is_found_by_the_commands_that_it_is_about() -> None:
    assert {word: topic_of(word) for word in TOPICS} == {word: word for word in TOPICS}
    assert topic_of("Restock") == "buying"
    assert topic_of("kit-lists") == "audits"
    assert topic_of("weather") is None
    assert len(set(words())) == len(words())
    assert all(word == name_key(word) for word in words())


@pytest.mark.parametrize("name", GUIDED)
def test_the_help_of_a_command_names_the_topic_by_which_it_is_found(name: str) -> None:
    command = root.get_command(click.Context(root), name)
    assert command is not None
    assert f"'stockcheck guide {GUIDED[name]}'" in command.get_help(click.Context(command))
    assert topic_of(name) == GUIDED[name]


def described_views() -> dict[str, list[str]]:
    """The views of the page about them, with their columns in its order."""
    found: dict[str, list[str]] = {}
    name = ""
    for block in blocks(PAGES["views"]):
        if isinstance(block, Heading):
            name = block.text
        elif isinstance(block, Grid):
            found[name] = [column for row in block.rows for column in row[0].split(", ")]
    return found


def test_every_view_and_column_is_described_and_none_is_invented(made_stores: Path) -> None:
    with sqlite3.connect(f"file:{made_stores / 'empty.db'}?mode=ro", uri=True) as store:
        views = store.execute("SELECT name FROM sqlite_master WHERE type = 'view'").fetchall()
        columns = {
            name: [row[1] for row in store.execute(f"PRAGMA table_info({name})")]
            for (name,) in views
        }
    store.close()
    described = described_views()
    assert set(described) == set(columns)
    for name, known in columns.items():
        assert sorted(described[name]) == sorted(known), name
