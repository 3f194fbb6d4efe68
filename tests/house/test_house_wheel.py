"""The wheel and the source archive: the exact files in each, and that the tool works where it is
installed from the built file.
"""

from __future__ import annotations

import ast
import email
import os
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from email.message import Message
from pathlib import Path

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder
from packaging.licenses import canonicalize_license_expression
from packaging.requirements import Requirement
from trove_classifiers import classifiers

import stockcheck
from newcomer import run_all

ROOT = Path(__file__).parents[2]
SHIPPED = ("labels", "demo_db")
SOURCES = ("stockcheck", "labels", "demo_db", "tests")
BESIDE = ("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", ".gitignore")
OWN = frozenset({".py", ".toml", ".json", ".sql", ".ttf", ".txt", ".md", ".typed"})


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from this tree."""
    folder = tmp_path_factory.mktemp("wheel")
    built = WheelBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"])
    return Path(next(iter(built)))


@pytest.fixture(scope="module")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The source archive, built from this tree."""
    folder = tmp_path_factory.mktemp("sdist")
    return Path(next(iter(SdistBuilder(str(ROOT)).build(directory=str(folder)))))


@pytest.fixture(scope="module")
def rebuilt(sdist: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from nothing but what the source archive holds."""
    folder = tmp_path_factory.mktemp("rebuilt")
    with tarfile.open(sdist) as packed:
        packed.extractall(folder, filter="data")
    source = folder / f"stockcheck-{stockcheck.__version__}"
    built = WheelBuilder(str(source)).build(directory=str(folder), versions=["standard"])
    return Path(next(iter(built)))


@pytest.fixture(scope="module")
def fresh(rebuilt: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The scripts of a new environment that the built file was installed into, off the network.

    What the tool needs lies in this environment already, and is lent to the new one by its path:
    the tool itself is here by a link that the path does not carry over.
    """
    home = tmp_path_factory.mktemp("fresh") / "environment"
    venv.create(home, with_pip=False, symlinks=os.name != "nt")
    paths = sysconfig.get_paths(vars={"base": str(home), "platbase": str(home)}, scheme="venv")
    scripts, site = Path(paths["scripts"]), Path(paths["purelib"])
    python = scripts / ("python.exe" if os.name == "nt" else "python")
    subprocess.run(
        [sys.executable, "-m", "pip", "--python", str(python), "--disable-pip-version-check",
         "install", "--quiet", "--no-deps", "--no-index", str(rebuilt)],
        check=True,
    )  # fmt: skip
    lent = sysconfig.get_paths()["purelib"]
    (site / "lent.pth").write_text(f"{lent}\n", "utf-8")
    return scripts


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel unpacked, as an installer leaves it."""
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as packed:
        for name in packed.namelist():
            packed.extract(name, folder)
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


def test_the_source_archive_holds_exactly_these_files(sdist: Path) -> None:
    top = f"stockcheck-{stockcheck.__version__}"
    ours = {name for each in SOURCES for name in files_under(each)} | set(BESIDE)
    with tarfile.open(sdist) as packed:
        names = {it.name for it in packed.getmembers() if not it.isdir()}
    assert names == {f"{top}/{name}" for name in ours | {"PKG-INFO"}}


def test_the_source_archive_gives_the_same_wheel(wheel: Path, rebuilt: Path) -> None:
    with zipfile.ZipFile(wheel) as one, zipfile.ZipFile(rebuilt) as two:
        assert set(one.namelist()) == set(two.namelist())
        assert {name for name in one.namelist() if one.read(name) != two.read(name)} == set()


def metadata(wheel: Path) -> Message:
    """What the wheel says of itself."""
    with zipfile.ZipFile(wheel) as packed:
        about = packed.read(f"stockcheck-{stockcheck.__version__}.dist-info/METADATA")
    return email.message_from_bytes(about)


def test_what_the_wheel_says_of_itself_is_complete(wheel: Path) -> None:
    """Core metadata 2.4: a licence by its SPDX expression, and no classifier for it beside that."""
    said = metadata(wheel)
    assert (said["Name"], said["Version"]) == ("stockcheck", stockcheck.__version__)
    for key in ("Summary", "Author", "Keywords", "Description-Content-Type"):
        assert said[key], key
    assert said["Requires-Python"] == ">=3.11"
    licence = said["License-Expression"]
    assert licence == canonicalize_license_expression(licence)
    assert len(said.get_all("License-File", [])) == 2
    given = said.get_all("Classifier", [])
    assert set(given) <= set(classifiers)
    assert not [it for it in given if it.startswith("License ::")]
    assert str(said.get_payload()).startswith("# stockcheck\n")


CALLED = {
    "barcode": "python-barcode", "dateutil": "python-dateutil", "PIL": "pillow",
    "pillow_heif": "pillow-heif", "sqlite_utils": "sqlite-utils", "zxingcpp": "zxing-cpp",
}  # fmt: skip


def imported(code: str) -> set[str]:
    """The names of the modules on top that a module imports."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Import):
            found |= {each.name.partition(".")[0] for each in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.partition(".")[0])
    return found


def test_every_library_that_is_imported_is_asked_for_and_no_other(wheel: Path) -> None:
    wanted = [Requirement(each) for each in metadata(wheel).get_all("Requires-Dist", [])]
    asked = {each.name for each in wanted if "test" not in str(each.marker)}
    code = [name for name in files_under("stockcheck") if name.endswith(".py")]
    tops = set().union(*(imported((ROOT / name).read_text("utf-8")) for name in code))
    foreign = tops - sys.stdlib_module_names - {"stockcheck"}
    assert {CALLED.get(each, each) for each in foreign} == asked


def test_a_newcomer_gets_from_the_built_file_to_a_printed_pack(fresh: Path, tmp_path: Path) -> None:
    """README's own section, with the tool as it was installed from the rebuilt wheel."""
    assert "Departure pack: Dry season" in run_all(fresh, tmp_path)[-1]
    assert (tmp_path / "survey.pdf").read_bytes().startswith(b"%PDF-")


def test_the_built_file_does_the_demo_and_its_expiry_report(fresh: Path, tmp_path: Path) -> None:
    tool = fresh / ("stockcheck.exe" if os.name == "nt" else "stockcheck")
    for words in (("demo", "there"), ("--store", "there/stock.db", "expiry", "--box", "Water")):
        done = subprocess.run(
            [str(tool), *words], cwd=tmp_path, capture_output=True, check=False, text=True,
            env={**os.environ, "STOCKCHECK_TODAY": "2026-11-25"}, encoding="utf-8",
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
    assert "EXPIRED" in done.stdout
    where = subprocess.run(
        [str(tool.with_name("python")), "-c", "import stockcheck; print(stockcheck.__file__)"],
        cwd=tmp_path, capture_output=True, check=True, text=True,
    ).stdout  # fmt: skip
    assert str(fresh.parent) in where


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
