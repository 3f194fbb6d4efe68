"""CSV files as people and spreadsheets write them: all taken in, or every bad line told at once."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from stockcheck.core.intake import COLUMNS

Run = Callable[..., "subprocess.CompletedProcess[str]"]

GOOD = {
    "plain": b"box,item,quantity,expiry\nWater,I70,20,EXP 11/2027\n",
    "marked as UTF-8": b"\xef\xbb\xbfbox,item,quantity,expiry\nWater,I70,20,EXP 11/2027\n",
    "semicolons": b"box;item;quantity;expiry\nWater;I70;20;EXP 11/2027\n",
    "tabs": b"box\titem\tquantity\texpiry\nWater\tI70\t20\tEXP 11/2027\n",
    "line ends of two characters": b"box,item,quantity,expiry\r\nWater,I70,20,EXP 11/2027\r\n",
    "line ends of an old Mac": b"box,item,quantity,expiry\rWater,I70,20,EXP 11/2027\r",
    "no line end at the end": b"box,item,quantity,expiry\nWater,I70,20,EXP 11/2027",
    "blank lines": b"\n\nbox,item,quantity,expiry\n\nWater,I70,20,EXP 11/2027\n , ,,\n\n",
    "other order and case": b"Expiry,QUANTITY, Item ,box\nEXP 11/2027,20,I70,WATER\n",
    "all quoted": b'"box","item","quantity","expiry"\n"Water","I70","20","EXP 11/2027"\n',
    "commas in quotes": b'box,item,quantity,expiry\nWater,"water tablet 8.5 mg NaDCC, for 1 l",'
    b"20,EXP 11/2027\n",
    "short lines": b"box,item,quantity,expiry,batch,note\nWater,I70,20,EXP 11/2027\n",
    "empty columns": b"box,item,quantity,expiry,,\nWater,I70,20,EXP 11/2027,,\n",
    "a GTIN for the item": b"box,item,quantity,expiry\nWater,9520123000233,20,EXP 11/2027\n",
}


@pytest.mark.parametrize("content", GOOD.values(), ids=GOOD.keys())
def test_a_file_is_read_however_a_spreadsheet_wrote_it(
    inside: Run, tmp_path: Path, content: bytes
) -> None:
    (tmp_path / "in.csv").write_bytes(content)
    done = inside("receive", "--from", "in.csv")
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[:2] == [
        "L116  20 tablets of water tablet 8.5 mg NaDCC, for 1 l into Water: good through",
        "  30 NOV 2027 (printed)",
    ]


def test_every_column_arrives(inside: Run, tmp_path: Path) -> None:
    cells = [
        "Water", "I70", "nadcc-tablets", "20", "tablet", "EXP 11/2028", "MFG 2026-05",
        "2026-11-20", "2026-11-01", "N-77", "9520123000233", "Village shop", "4,20", "dented",
    ]  # fmt: skip
    text = f"{';'.join(COLUMNS)}\n{';'.join(cells)}\n"
    (tmp_path / "in.csv").write_text(text, "utf-8")
    assert inside("receive", "--from", "in.csv").returncode == 0
    shown = inside("lot", "show", "L116").stdout
    for words in ("batch N-77", "read as 2028-11", "made 2026-05", "received 01 NOV 2026",
                  "from Village shop", "cost 4.20 EUR", "dented", "(opened)"):  # fmt: skip
        assert words in shown


def test_other_headings_are_mapped(inside: Run, tmp_path: Path) -> None:
    (tmp_path / "in.csv").write_text("Ort,Was,Wieviel\nWater,I70,7\n", "utf-8")
    maps = ["--map", "box=Ort", "--map", "item=was", "--map", "quantity=Wieviel"]
    done = inside("receive", "--from", "in.csv", *maps)
    assert done.returncode == 0, done.stderr
    assert "L116  7 tablets" in done.stdout


BAD = """box,item,quantity,expiry,opened,gtin,cost,unit,kind,supplier
Water,I70,20,EXP 11/2027,,,,,,
Watr,"bleach, plain",x,03/04/27,,,,,,

Water,,0,LOT 555,2030-01-01,123,EUR 2,ml,tyre,Nobody
,I70,1,31/02/2027,yesterday,,,,,
"""
TOLD = [
    ("line 3, box 'Watr'", "Did you mean 'Water'?"),
    ("line 3, item 'bleach, plain'", "Did you mean 'bleach, plain, 1 l bottle'?"),
    ("line 3, quantity 'x'", "whole number"),
    ("line 3, expiry '03/04/27'", "04 MAR 2027 or 03 APR 2027"),
    ("line 5, item ''", "is empty"),
    ("line 5, quantity '0'", "from 1 to"),
    ("line 5, expiry 'LOT 555'", "batch text"),
    ("line 5, opened '2030-01-01'", "is after today"),
    ("line 5, gtin '123'", "check digit"),
    ("line 5, cost 'EUR 2'", "12.40"),
    ("line 5, supplier 'Nobody'", "supplier add"),
    ("line 6, box ''", "is empty"),
    ("line 6, expiry '31/02/2027'", "not a date"),
    ("line 6, opened 'yesterday'", "YYYY-MM-DD"),
]


def test_every_bad_line_is_told_at_once_and_nothing_is_taken_in(demo: Run, tmp_path: Path) -> None:
    assert demo("find", "x").returncode == 0
    before = (tmp_path / "stock.db").read_bytes()
    (tmp_path / "in.csv").write_text(BAD, "utf-8")
    done = demo("receive", "--from", "in.csv")
    assert (done.returncode, done.stdout) == (3, "")
    lines = done.stderr.removeprefix("stockcheck: ").splitlines()
    for where, remedy in TOLD:
        told = [line for line in lines if line.startswith(f"in.csv, {where}: ")]
        assert told, where
        assert remedy in told[0]
    assert len(lines) == len(TOLD)
    assert (tmp_path / "stock.db").read_bytes() == before


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "line 1, box 'box': this column is missing"),
        (b"box,item\nWater,I70\n", "line 1, quantity 'quantity': this column is missing"),
        (b"box,item,quantity,colour\nWater,I70,1,red\n", "heading 'colour': no such column"),
        (b"box,item,quantity,Box\nWater,I70,1,Cab\n", "heading 'Box': it stands twice"),
        (b"box,item,quantity\nWater,I70,1,2,3\n", "line 2, line '2': 5 cells"),
        (b"box,item,quantity,\nWater,I70,1,lost\n", "line 2, line 'lost'"),
        (b"box,item,quantity\n", "no lines under its headings"),
        (b'box,item,quantity\nWater,"I70,1\n', "look at the quotes"),
        (b"box,item,quantity\nWater,\xff\xfe,1\n", "Save it as UTF-8 (CSV UTF-8)"),
        (b"box,item,quantity\nWater,\0,1\n", "NUL"),
        (b"PK\x03\x04" + bytes(range(256)), "not UTF-8"),
    ],
)
def test_what_is_wrong_with_a_whole_file_is_told_with_a_remedy(
    inside: Run, tmp_path: Path, content: bytes, said: str
) -> None:
    (tmp_path / "in.csv").write_bytes(content)
    done = inside("receive", "--from", "in.csv")
    assert done.returncode == 3
    assert said in done.stderr
    assert "in.csv" in done.stderr


def test_a_dry_run_says_what_would_happen_and_changes_nothing(inside: Run, tmp_path: Path) -> None:
    inside("find", "x")
    before = (tmp_path / "stock.db").read_bytes()
    (tmp_path / "in.csv").write_bytes(GOOD["plain"])
    tried = inside("receive", "--from", "in.csv", "--dry-run")
    assert tried.stdout.startswith("This is only a try; nothing was changed.")
    assert (tmp_path / "stock.db").read_bytes() == before
    done = inside("receive", "--from", "in.csv")
    assert done.stdout.startswith("\n".join(tried.stdout.splitlines()[1:]))


def test_unsure_dates_are_settled_by_an_option_and_noted(inside: Run, tmp_path: Path) -> None:
    (tmp_path / "in.csv").write_text("box,item,quantity,expiry\nWater,I70,1,03/04/27\n", "utf-8")
    ways = {
        ("--date-order", "dmy"): "03 APR 2027",
        ("--date-order", "mdy"): "04 MAR 2027",
        ("--when-unsure", "earliest"): "04 MAR 2027",
    }
    for options, day in ways.items():
        done = inside("receive", "--from", "in.csv", "--dry-run", *options)
        assert day in done.stdout.replace("\n  ", " ")
        assert ("the earliest reading taken" in done.stdout.replace("\n    ", " ")) == (
            options[1] == "earliest"
        )


def test_catalogue_files_too_tell_every_bad_line_and_add_all_or_nothing(
    inside: Run, tmp_path: Path
) -> None:
    (tmp_path / "items.csv").write_text(
        "item,kind,unit,pack\nLamp oil,bleach,ml,500\nWick,no such kind,each,1\nRope,tyre,m,0\n",
        "utf-8",
    )
    done = inside("item", "add", "--from", "items.csv")
    assert done.returncode == 3
    for where in ("line 3, kind 'no such kind'", "line 4, unit 'm'", "line 4, pack '0'"):
        assert where in done.stderr
    assert inside("item", "show", "Lamp oil").returncode == 3
    (tmp_path / "boxes.csv").write_text("box,inside\nShelf,\nTin,Shelf\n", "utf-8")
    assert "Added 2 boxes" in inside("box", "add", "--from", "boxes.csv").stdout
    assert "Shelf / Tin" in inside("box", "show", "tin").stdout
