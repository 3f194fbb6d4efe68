"""The wheel: the exact files in it, and that the tool finds them where it is installed."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder

import stockcheck

ROOT = Path(__file__).parents[2]
SHIPPED = ("labels", "demo_db")
OWN = frozenset({".py", ".toml", ".json", ".sql", ".ttf", ".txt", ".typed"})


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from this tree."""
    folder = tmp_path_factory.mktemp("wheel")
    built = WheelBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"])
    return Path(next(iter(built)))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel unpacked, as an installer leaves it."""
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder)
    return folder


def files_under(folder: str) -> set[str]:
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", folder],
        cwd=ROOT, capture_output=True, check=True, text=True,
    ).stdout  # fmt: skip
    return {name for name in listed.split("\0") if name and (ROOT / name).is_file()}


def test_the_wheel_holds_exactly_these_files(wheel: Path) -> None:
    info = f"stockcheck-{stockcheck.__version__}.dist-info"
    package = files_under("stockcheck")
    shipped = {f"stockcheck/_shipped/{name}" for each in SHIPPED for name in files_under(each)}
    about = {
        f"{info}/{name}"
        for name in (
            "METADATA", "RECORD", "WHEEL", "entry_points.txt", "licenses/LICENSE",
            "licenses/stockcheck/data/fonts/LICENSE-fonts.txt",
        )
    }  # fmt: skip
    with zipfile.ZipFile(wheel) as packed:
        assert set(packed.namelist()) == package | shipped | about


def test_the_package_holds_nothing_but_code_data_and_licences() -> None:
    assert {Path(name).suffix for name in files_under("stockcheck")} <= OWN


@pytest.mark.parametrize("folder", SHIPPED)
def test_an_installed_tool_finds_what_ships_beside_it(installed: Path, folder: str) -> None:
    found = subprocess.run(
        [sys.executable, "-c", f"from stockcheck.data import shipped; print(shipped({folder!r}))"],
        cwd=installed, capture_output=True, check=True, text=True,
        env={**os.environ, "PYTHONPATH": str(installed)},
    ).stdout.strip()  # fmt: skip
    assert Path(found) == installed / "stockcheck" / "_shipped" / folder
    there = {path.name for path in Path(found).rglob("*") if path.is_file()}
    assert there == {Path(name).name for name in files_under(folder)}


def test_an_installed_tool_makes_a_store(installed: Path, tmp_path: Path) -> None:
    """The migrations and the catalogue are in the wheel too."""
    made = subprocess.run(
        [sys.executable, "-c", "from stockcheck.cli import main; main()", "init"],
        cwd=tmp_path, capture_output=True, check=True, text=True,
        env={**os.environ, "PYTHONPATH": str(installed), "STOCKCHECK_STORE": "kit.db"},
    )  # fmt: skip
    assert "Made kit.db" in made.stdout
    assert (tmp_path / "kit.db").is_file()
