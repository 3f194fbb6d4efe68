"""Every question has an answer that a script can give, and one that Enter alone takes.

Each place that asks is read off the syntax trees and stands in one table here: a new one has to.
"""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from command_tree import command_of

Run = Callable[..., "subprocess.CompletedProcess[str]"]
CLI = Path(__file__).parents[2] / "stockcheck" / "cli"
ASKING = {"click.prompt", "click.confirm", "confirm", "asked_words", "_agreed"}

# Where something is asked: the command, and what answers it before it is asked.
ANSWERED = {
    "purchasing.order": ("order", ["--yes"]),
    "recall.lift": ("recall lift", ["--yes"]),
    "kit_lists_own.new": ("kit-lists new", ["--yes"]),
    "kit_lists_own.remove": ("kit-lists remove", ["--yes"]),
    "round_asking._ask": ("round do", ["--found", "--as-booked"]),
    "round_asking._ask_more": ("round do", ["--found", "--as-booked"]),
    "round_asking._how_many": ("round do", ["--found", "--as-booked"]),
    "round_doing._resume": ("round do", ["--anew"]),
    "round_doing._who": ("round do", ["--seal", "--note"]),
    "round_doing._asked_person": ("round do", ["--by"]),
    "round_doing._asked_day": ("round do", ["--last-used"]),
    "round_doing._wanted": ("round do", ["--correct"]),
    "counting_finish.finish": ("count", ["--yes"]),
    "counting_finish._count_again": ("count", ["--yes"]),
    "counting._abandon": ("count", ["--yes"]),
    "arrival_form.ask": ("receive", ["--box", "--item", "--quantity", "--expiry", "--received"]),
    "receive._ask_about_expired": ("receive", ["--yes"]),
    "receive._ask_about_recalled": ("receive", ["--yes"]),
    "asking._choose": ("receive", ["--date-order", "--when-unsure"]),
    "asking._confirm": ("receive", ["--date-order", "--when-unsure"]),
    "asking._written_out": ("receive", ["--expiry", "--made"]),
    "backups.restore": ("restore", ["--yes"]),
    "scan_taking.make_item": ("item add", ["--pack", "--gtin"]),
    "scan_taking._typed": ("item add", ["--kind"]),
    "scan_taking._fields": ("item add", ["--unit"]),
    "inspecting._ask": ("inspect", ["--pass", "--fail", "--by", "--note"]),
    "clear_out_asking.chosen_by_hand": ("clear-out", ["--yes"]),
    "clear_out_asking._ask": ("clear-out", ["--lot", "--route", "--yes"]),
    "deciding._choose": ("decide", ["--as", "--lot"]),
    "deciding._ask": ("decide", ["--reason"]),
    "heat.forget": ("heat forget", ["--yes"]),
    "books.write_off": ("write-off", ["--yes"]),
    "trips.close": ("trip close", ["--yes", "--nothing-more"]),
    "trips._asked": ("trip close", ["--from", "--lines", "--nothing-more"]),
    "trips._asked_of": ("trip close", ["--from", "--lines", "--nothing-more"]),
    "audit_matching.match_by_hand": ("kit-lists match", ["--not"]),
    "audit_matching._asked_of": ("kit-lists match", ["--not", "--note"]),
}
# What Enter alone must not answer.
NO_DEFAULT = {
    "deciding._choose": "what is expired is decided on purpose, even to leave it",
    "inspecting._ask": "a look that nobody took would pass, or end the lot",
    "arrival_form.ask": "which box, item and quantity came in is known to the person alone;"
    " what may be left out has its default beside it",
    "asking._written_out": "a date that was denied is not made up",
    "scan_taking._typed": "the name of a thing is made up by nobody",
    "scan_taking.make_item": "how many another pack holds is not guessed",
    "round_doing._asked_person": "who looked is signed by a name",
}


def dotted(node: ast.AST) -> str:
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""


def questions() -> Iterator[tuple[str, ast.Call]]:
    """Every place that asks: ``module.function``, and the call."""
    for path in sorted(CLI.glob("*.py")):
        tree = ast.parse(path.read_text("utf-8"))
        for function in ast.walk(tree):
            if isinstance(function, ast.FunctionDef):
                for node in ast.walk(function):
                    if isinstance(node, ast.Call) and dotted(node.func) in ASKING:
                        yield f"{path.stem}.{function.name}", node


HOMES = {"shell.confirm", "asking.asked_words"}  # through which others ask
FOUND = [(place, call) for place, call in questions() if place not in HOMES]


def test_every_question_stands_in_the_table_and_nothing_else_does() -> None:
    assert {place for place, _ in FOUND} == set(ANSWERED)


@pytest.mark.parametrize("place", ANSWERED)
def test_what_answers_a_question_is_an_option_of_its_command(place: str) -> None:
    path, options = ANSWERED[place]
    command = command_of(path)
    there = {opt for param in command.params for opt in (*param.opts, *param.secondary_opts)}
    assert set(options) <= there


def without_default(call: ast.Call) -> bool:
    """A prompt without a default, or one with None; a yes or no question is no unless it says."""
    given = [key.value for key in call.keywords if key.arg == "default"]
    if not given:
        return dotted(call.func) == "click.prompt"
    return isinstance(given[0], ast.Constant) and given[0].value is None


def test_every_prompt_has_a_default_unless_there_is_a_reason() -> None:
    assert {place for place, call in FOUND if without_default(call)} <= set(NO_DEFAULT)


# What would ask at a terminal, with none: what is said names the option, and nothing changes.
UNASKED = [
    (["order", "Spring count"], "--yes"),
    (["write-off", "L4", "--reason", "old"], "--yes"),
    (["clear-out", "--write-off"], "--yes"),
    (["decide", "Tyre kit"], "--lot and --as"),
    (["inspect", "L2"], "--pass or --fail"),
    (["restore", "copy.db"], "--yes"),
    (["receive"], "--box, --item, --quantity"),
    (["receive", "--box", "Water", "--item", "I70", "--quantity", "1", "--expiry", "03/04/27"],
     "--date-order"),
    (["receive", "--box", "Water", "--item", "I70", "--quantity", "1", "--expiry", "EXP 01/2020"],
     "--yes"),
    (["round", "do", "Water", "--list", "uk-hse-low-hazard-box"], "--as-booked"),
    (["trip", "close", "Spring count", "--on", "2027-05-30"], "--nothing-more"),
    (["count", "Water", "--abandon"], "--yes"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "option"), UNASKED, ids=str)
def test_without_a_terminal_the_option_is_named_and_nothing_is_changed(
    demo: Run, tmp_path: Path, words: list[str], option: str
) -> None:
    if words[0] == "restore":
        demo("backup", "copy.db")
        demo("use", "L105", "-n", "1")
    if words[0] == "count":
        demo("count", "Water", stdin="L105\n")
    before = (tmp_path / "stock.db").read_bytes()
    done = demo(*words)
    assert done.returncode in {1, 2, 3}  # 1: a question that nobody answered, as one answered no
    assert option in done.stderr
    assert (tmp_path / "stock.db").read_bytes() == before
