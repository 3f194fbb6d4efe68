"""Every message speaks in one voice, and what is mistyped is met with the nearest there is."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
PACKAGE = Path(__file__).parents[2] / "stockcheck"
RAISED = {
    "BadInput", "UnknownName", "UsageError", "Declined", "StoreTrouble", "UnsureDate", "BrokenOff",
    "StockcheckError", "fail",
}  # fmt: skip
NAMES = ("GS1 ", "GTIN ", "M{", "L{", "CSV ", "PDF ")  # which are written so


def text_of(node: ast.expr) -> str:
    """The words of a literal, with {} where a value stands."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.JoinedStr):
        return "".join(text_of(it) if isinstance(it, ast.Constant) else "{}" for it in node.values)
    return "{}"


def messages() -> Iterator[tuple[str, str]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and node.args:
                name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(
                    node.func, "id", "")  # fmt: skip
                if name in RAISED:
                    for at, part in enumerate(node.args[:2]):
                        yield f"{path.relative_to(PACKAGE)}:{node.lineno}:{at}", text_of(part)


MESSAGES = dict(messages())


def test_there_are_messages() -> None:
    assert len(MESSAGES) > 350


def test_no_message_begins_as_a_sentence_or_ends_as_one() -> None:
    """What is wrong begins small; its remedy, a second text, may be a sentence of its own."""
    wrong = {
        place: text
        for place, text in MESSAGES.items()
        if text.endswith((".", "!"))
        or (place.endswith(":0") and text[:1].isupper() and not text.startswith(NAMES)
            and not re.match(r"[A-Z]\{", text))
    }  # fmt: skip
    assert wrong == {}


def test_no_message_is_a_machines() -> None:
    words = re.compile(
        r"\b(please|invalid|illegal|oops|sorry|unable|failed to|error:)\b", re.IGNORECASE
    )
    found = {place: text for place, text in MESSAGES.items() if words.search(text)}
    assert [text for text in found.values() if "please report it" not in text] == []


MISTYPED = [
    (["expiri"], "there is no command 'expiri'; did you mean 'expiry'"),
    (["box", "shw", "Cab"], "there is no command 'shw'; did you mean 'show'?"),
    (["expiry", "--bx", "Cab"], "there is no option '--bx'; did you mean '--box'?"),
    (["expiry", "--status", "expird"], "did you mean 'expired'?"),
    (["expiry", "--box", "Watr"], "there is no box 'Watr'; did you mean 'Water'?"),
    (["expiry", "--trip", "Sprng count"], "did you mean 'Spring count'?"),
    (["expiry", "--only", "boxx=Cab"], "there is no column 'boxx' here; did you mean 'box'?"),
    (["expiry", "--sort", "stats"], "there is no column 'stats' here; did you mean 'status'"),
    (["use", "eye dropps, 10 ml bottle"], "did you mean 'eye drops, 10 ml bottle'"),
    (["box", "show", "Аптечка Ниы"], "did you mean 'Аптечка Нины'?"),
    (["kind", "show", "eye-drps"], "did you mean 'eye-drops'"),
    (["supplier", "show", "Corner farmacy"], "did you mean 'Corner pharmacy'?"),
    (["audit", "Cab", "--list", "de-din-13164"], "there is no kit list 'de-din-13164'; did you"),
    (["labels", "L1", "--stock", "a4-3x77"], "there is no label stock 'a4-3x77'; did you mean"),
    (["whatif", "Cab", "--climate", "hous shelf"], "did you mean 'house shelf'?"),
    (["clear-out", "--route", "farmacy"], "did you mean 'pharmacy'?"),
    (["guide", "dtes"], "there is no topic 'dtes'; did you mean 'dates'"),
    (["item", "add", "new one", "--kind", "eye-drps"], "did you mean 'eye-drops'"),
    (["why", "L99999"], "there is no lot 'L99999'"),
    (["trip", "close", "Sprng count"], "did you mean 'Spring count'?"),
    (["purchase", "show", "99"], "'purchase list' shows them"),
    (["recall", "lift", "R9", "--reason", "x"], "'recall list --all' shows them"),
]


@pytest.mark.parametrize(("words", "said"), MISTYPED, ids=str)
def test_what_is_mistyped_is_met_with_the_nearest(inside: Run, words: list[str], said: str) -> None:
    done = inside(*words)
    assert done.returncode in {2, 3}
    assert said in done.stderr
    assert "stockcheck: " in done.stderr


USAGE = [
    (["why"], "LOT is missing; 'stockcheck why --help' tells more"),
    (["move", "L1"], "--to is missing"),
    (["why", "a", "b"], "'b' is too much here; put a name with blanks into quotes"),
    (["use", "L1", "--quantity"], "--quantity needs a value after it"),
    (["expiry", "--within", "x"], "--within: 'x' is not a whole number from 0 up"),
    (["history", "--last", "0"], "--last: 0 is not a whole number from 1 up"),
    (["label-stock", "printer", "a", "--mark-x", "wide"], "--mark-x: 'wide' is not a number"),
    (["expiry", "--on", "soon"], "--on: 'soon' is not a day; write it YYYY-MM-DD"),
    (["expiry", "-z"], "there is no option '-z'; 'stockcheck expiry --help' tells more"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "said"), USAGE, ids=str)
def test_wrong_usage_is_told_in_the_same_voice(inside: Run, words: list[str], said: str) -> None:
    done = inside(*words)
    assert done.returncode == 2
    assert f"stockcheck: {said}" in done.stderr
