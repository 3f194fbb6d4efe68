"""Par levels in the store: each basis is kept as given, changed in part, and refused as a whole."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
BLEACH = "bleach, plain, 1 l bottle"


def row(inside: Run, number: str) -> dict[str, Any]:
    listed = json.loads(inside("par", "list", "--format", "json").stdout)["rows"]
    found: dict[str, Any] = next(each for each in listed if each["par"] == number)
    return found


@pytest.fixture
def number(inside: Run) -> str:
    listed = json.loads(inside("par", "list", "--format", "json").stdout)["rows"]
    return str(next(each["par"] for each in listed if each["item"] == BLEACH))


def test_old_par_levels_stay_fixed(inside: Run) -> None:
    first = row(inside, "P1")
    assert (first["basis"], first["quantity"], first["rate"]) == ("fixed", 2, "")


def test_a_par_level_goes_from_fixed_to_a_rate_to_a_plan_and_back(inside: Run, number: str) -> None:
    steps = [
        (["--quantity", "2.5", "--basis", "per person"], ("per person", None, "2.5", "")),
        (["--quantity", "3"], ("per person", None, "3", "")),
        (["--plan", "water litres=3 tablet=1"], ("plan", None, "", "water litres=3 tablet=1")),
        (["--basis", "history"], ("history", None, "", "")),
        (["--quantity", "2"], ("history", None, "2", "")),
        (["--basis", "", "--quantity", "400"], ("fixed", 400, "", "")),
    ]
    for words, kept in steps:
        done = inside("par", "change", number, *words)
        assert done.returncode == 0, done.stderr
        now = row(inside, number)
        assert (now["basis"], now["quantity"], now["rate"], now["plan"]) == kept


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--quantity", "2.5"], "is not a whole number from 1 up"),
        (["--quantity", "0"], "is not a whole number from 1 up"),
        (["--quantity", "-3"], "is no figure from 0 up"),
        (["--basis", "per week"], "is none of fixed, per person"),
        (["--basis", "plan"], "a planned use needs --plan"),
        (["--plan", "water litres=3"], "needs tablet="),
        (["--assurance", "100%"], "below 100 %"),
        (["--basis", "per day", "--quantity", ""], "needs --quantity"),
    ],
)
def test_what_makes_no_rule_is_refused_and_nothing_changes(
    inside: Run, number: str, words: list[str], said: str
) -> None:
    before = row(inside, number)
    done = inside("par", "change", number, *words)
    assert (done.returncode, said in done.stderr) == (3, True), done.stderr
    assert row(inside, number) == before


def test_without_a_trip_the_restock_list_says_what_it_cannot_work_out(
    inside: Run, number: str
) -> None:
    inside("par", "change", number, "--basis", "per person-day", "--quantity", "2")
    done = inside("restock", "--by", "2027-03-01", "--box", "Water")
    assert f"{number} {BLEACH} in Water: 2 per person-day: give --trip" in " ".join(
        done.stdout.split()
    )


def test_a_supplier_and_an_offer_keep_their_terms(inside: Run) -> None:
    terms = ["--fee", "4.90", "--free-from", "50", "--minimum", "10", "--lead-in", "working"]
    assert (
        inside("supplier", "change", "Village shop", *terms, "--country", "de-by").returncode == 0
    )
    rows = json.loads(inside("supplier", "list", "--format", "json").stdout)["rows"]
    shop = next(each for each in rows if each["supplier"] == "Village shop")
    kept = ("lead_in", "fee", "free_from", "minimum", "country")
    assert [shop[name] for name in kept] == ["working", 4.9, 50.0, 10.0, "DE-BY"]
    assert "shipping: 4.90 EUR" in inside("supplier", "show", "Village shop").stdout
    assert inside("offer", "change", "O1", "--packs-left", "3", "--good-days", "90").returncode == 0
    offers = json.loads(inside("offer", "list", "--format", "json").stdout)["rows"]
    assert (offers[0]["packs_left"], offers[0]["good_days"]) == (3, 90)


def test_a_plan_takes_no_quantity_beside_it(inside: Run, number: str) -> None:
    assert inside("par", "change", number, "--plan", "spread a-day=5").returncode == 0
    done = inside("par", "change", number, "--quantity", "3")
    assert (done.returncode, "goes by its plan" in done.stderr) == (3, True)
