"""Every figure in the guide's words is worked out, has a source, or stands in an output that runs.

``guide_figures`` works out, ``guide_sources`` lists what a source tells.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable

import pytest

from guide_figures import worked_out
from guide_sources import SOURCED
from prose_figures import bare_figures, words_of
from stockcheck.cli.receive import BACKUP_FROM
from stockcheck.core.keeping import MONTHS_KEPT, NEWEST_KEPT
from stockcheck.data.guide import TOPICS, page
from stockcheck.data.kinds import disposal_routes
from stockcheck.output.prose import Grid, blocks
from stockcheck.store.stocktake_due import USUAL_DAYS

Run = Callable[..., "subprocess.CompletedProcess[str]"]
WORKED_OUT = worked_out()
PHRASES = [(topic, phrase) for topic, phrases in WORKED_OUT.items() for phrase in phrases]


@pytest.mark.parametrize(("topic", "phrase"), PHRASES)
def test_what_the_core_works_out_stands_in_the_page(topic: str, phrase: str) -> None:
    assert phrase in words_of(page(topic))


def test_each_sourced_fact_stands_in_its_page_and_says_how_it_is_known() -> None:
    for topic, facts in SOURCED.items():
        for phrase, source in facts.items():
            assert phrase in words_of(page(topic)), phrase
            assert re.match(r"(seen|memory|ours)\b", source), source


def of_the_audit(demo: Run) -> list[str]:
    """What the worked answer of the page about audits says of three lines of the list."""
    done = demo("audit", "First aid", "--list", "de-din-13164-2022", "--format", "json")
    rows = {row["line"]: row for row in json.loads(done.stdout)["rows"]}
    packet, cloth = rows["Dressing packet M (medium)"], rows["Dressing cloth 60 x 80 cm"]
    bandage, other = rows["Fixing bandage 8 cm"], rows["Fixing bandage 6 cm"]
    assert other["short"] == 0
    sizes = re.findall(
        r"(\d+ x \d+) mm",
        demo("audit", "First aid", "--list", "de-din-13164-2022").stdout.replace("\n", " "),
    )
    assert cloth["finding"] == "wrong size"
    assert "600 x 800" in sizes
    return [
        f"{packet['required']} asked, {packet['usable']} usable, {packet['short']} short",
        "The dressing cloth is 400 x 600 mm, the list asks for 600 x 800 mm at least",
        f"The {bandage['usable']} bandages for the 8 cm line would also fit the one for 6 cm",
    ]


@pytest.mark.parametrize("topic", TOPICS)
def test_no_figure_stands_in_a_page_without_anything_behind_it(demo: Run, topic: str) -> None:
    behind = [*WORKED_OUT.get(topic, []), *SOURCED.get(topic, {})]
    if topic == "audits":
        behind += of_the_audit(demo)
        assert all(phrase in words_of(page(topic)) for phrase in behind)
    assert bare_figures(page(topic), behind) == []


def test_a_bare_figure_would_be_seen() -> None:
    text = "# Why?\n\nIt keeps 9 months and `L3` for 30 JUN 2027, twice as long.\n"
    assert len(bare_figures(text, ["twice as long"])) == 2
    assert bare_figures(f"{text}\n```text\n9 months, 30 JUN 2027\n```\n", ["twice"]) == []


def test_our_own_choices_are_those_of_the_program() -> None:
    numbers = {10: "ten", 12: "twelve"}
    kept, counting = words_of(page("keeping")), words_of(page("counting"))
    assert f"the {numbers[NEWEST_KEPT]} newest" in kept
    assert f"last {numbers[MONTHS_KEPT]} months" in kept
    assert f"a file of {BACKUP_FROM} arrivals" in kept
    assert f"every {USUAL_DAYS} days" in counting


def test_the_routes_are_those_of_the_catalogue() -> None:
    routes = next(
        block for block in blocks(page("disposal"))
        if isinstance(block, Grid) and block.head[0] == "Route"
    )  # fmt: skip
    assert [row[0] for row in routes.rows] == [route.name for route in disposal_routes().values()]
