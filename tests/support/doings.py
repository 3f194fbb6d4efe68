"""Commands of every writing kind, drawn at random on the demo's store; many are refused, as a
person's are. The same seed gives the same commands, so that a second store can follow a first one.
"""

from __future__ import annotations

import contextlib
import io
from pathlib import Path
from random import Random

from stockcheck.cli.app import run

BOXES = ("Water", "Tyre kit", "Medicines", "First aid", "Electrical", "Fluids", "Cab")
ITEMS = ("I1", "I5", "I12", "I30", "I44", "I70")
DECIDED = (("Fluids", "--lot", "L43"), ("Tyre kit", "--lot", "L4"), ("Tyre kit", "--lot", "L9"))
TOP, NEXT = Path(__file__).parents[2], "2027-04-27"
ARRIVALS, LOG = TOP / "demo_db" / "stock.csv", TOP / "tests" / "corpus" / "log-back-and-forth.csv"
KINDS = ("rtv-silicone", "plaster", "burn-gel")
SELLERS = ("Harbour chandlery", "Corner pharmacy")
LISTED = "uk-hse-low-hazard-box"
TEXTS = ("", "seen by Ana", "=1+1", "-2", "'quoted'", 'say "so"', "кузов", "two\nlines", "@x;,\t")


def doing(random: Random, number: int) -> list[str]:
    """One command; ``number`` makes the names in it its own."""
    stock, records, catalogue, trips = doings(random, number)
    return random.choice(random.choice([stock, stock, records, catalogue, trips]))


def doings(random: Random, number: int) -> tuple[list[list[str]], ...]:
    """One of every sort: of stock, of records, of the catalogue, of trips and many at once."""
    return (
        _stock(random, number),
        _records(random, number),
        _catalogue(random, number),
        _trips(random, number),
    )


def _drawn(random: Random) -> tuple[str, str, str, str, str]:
    """A lot, a box, an item, a text and a small number."""
    lot, few = f"L{random.randint(1, 125)}", str(random.randint(1, 4))
    return lot, random.choice(BOXES), random.choice(ITEMS), random.choice(TEXTS), few


def _stock(random: Random, number: int) -> list[list[str]]:
    """Movements."""
    lot, box, item, text, few = _drawn(random)
    reason = ["--reason", text or "none given"]
    return [
        ["use", lot, "-n", few, "--anyway", *reason],
        ["open", lot],
        ["move", lot, "--to", box, "-n", few, *reason],
        ["hold", lot, "-n", few, *reason],
        ["release", lot, *reason],
        ["correct", lot, "--count", few, *reason],
        ["write-off", lot, "-n", few, *reason, "--yes"],
        ["receive", "--box", box, "--item", item, "--quantity", few, "--batch", f"N{number}",
         "--expiry", f"EXP {random.randint(1, 12):02}/2029", "--note", text, "--yes"],
        ["undo"],
        ["undo", f"M{random.randint(1, 160)}"],
    ]  # fmt: skip


def _records(random: Random, number: int) -> list[list[str]]:
    """What is written down beside them."""
    lot, _, item, text, few = _drawn(random)
    reason = ["--reason", text or "none given"]
    return [
        ["inspect", lot, random.choice(["--pass", "--fail"]), "--by", "Ana", "--note", text],
        ["decide", *random.choice(DECIDED), "--as", "last resort", *reason],
        ["recall", item, "--batch", f"N{number - 1}", *reason],
        ["recall", "lift", f"R{random.randint(1, 3)}", "--reason", "other plant", "--yes"],
        ["wanted", item, "--note", text],
        ["remember", item, "--used", few, "--days", "60", "--year", "2024", "--note", text],
        ["round", "do", "First aid", "--list", LISTED, "--by", "Nina", "--as-booked"],
        ["lot", "change", lot, "--batch", f"C{number}", "--note", text, *reason],
    ]


def _catalogue(random: Random, number: int) -> list[list[str]]:
    """What there is, and how it is kept."""
    _, box, item, text, few = _drawn(random)
    new = f"New {number}"
    some = f"New {max(0, number - random.randint(1, 8))}"
    return [
        ["box", "add", new, "--inside", box, "--note", text],
        ["box", "change", box, "--climate", random.choice(["house shelf", "cab", "no such"])],
        ["box", "retire", some],
        ["item", "add", new, "--kind", "rtv-silicone", "--note", text],
        ["item", "change", item, "--note", text],
        ["kind", "change", random.choice(KINDS), "--opened", f"{few} months"],
        ["kind", "change", random.choice(KINDS), "--storage", text or "dry"],
        ["par", "add", "--box", box, "--item", item, "--quantity", few],
        ["supplier", "add", new, "--note", text],
        [
            "offer",
            "add",
            "--supplier",
            random.choice(SELLERS),
            "--item",
            item,
            "--pack",
            few,
            "--price",
            "1.20",
        ],
        ["trip", "add", new, "--departs", "2027-02-08", "--returns", "2027-04-25", "--note", text],
        ["kit-lists", "match", LISTED, "Safety pin", item, "--note", text],
        ["kit-lists", "usual", box, LISTED],
        ["label-stock", "printer", new, "--offset-x", few, "--note", text],
    ]


def _trips(random: Random, number: int) -> list[list[str]]:
    """Going, coming home, buying for it, and what changes many facts at once."""
    _, box, item, text, few = _drawn(random)
    day = f"2027-0{random.randint(1, 6)}-01"
    first, second = random.choice([("Shakedown weekend", "2027-01-18"), ("Spring count", NEXT)])
    return [
        ["order", "--by", day, "--supplier", random.choice(SELLERS), "--yes"],
        ["order", "Spring count", "--yes"],
        ["purchase", "cancel", random.choice(["1", "2", few]), "--reason", text or "late"],
        ["receive", "--order", few, "--box", box, "--item", item, "--quantity", few, "--yes"],
        ["trip", "close", first, "--nothing-more", "--note", text, "--yes", "--on", second],
        ["trip", "close", first, "--undo", "--yes", "--on", second],
        ["trip", "stop", "add", "Spring count", "--day", few, "--place", f"New {number}"],
        ["item", "substitute", random.choice(ITEMS), "--by", item, "--note", text],
        ["par", "assurance", "--vital", f"9{few}%"],
        ["clear-out", "--box", box, "--yes"],
        ["count", box, "--every", few],
        ["receive", "--from", str(ARRIVALS), "--when-unsure", "earliest"],
        ["heat", "log", box, str(LOG)],
        ["labels", random.choice(["L5", "L12", "L40"]), "--output", "-"],
    ]


def done(store: Path, command: list[str]) -> int:
    """Run one command in this process, silently; its exit code."""
    with (
        contextlib.redirect_stdout(io.TextIOWrapper(io.BytesIO(), "utf-8")),
        contextlib.redirect_stderr(io.StringIO()),
    ):
        return run(["--store", str(store), *command])


def many(store: Path, seed: int, count: int) -> list[tuple[list[str], int]]:
    """So many commands, one after another, with their exit codes."""
    random = Random(seed)
    commands = [doing(random, seed % 1000 * 1000 + number) for number in range(count)]
    return [(command, done(store, command)) for command in commands]
