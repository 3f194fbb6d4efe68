"""The rules of the house, read off the syntax trees of the package and its tests."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "stockcheck"
LONGEST_FUNCTION, LONGEST_MODULE = 50, 400


def tracked(*patterns: str) -> list[Path]:
    """The project's files of some patterns, as git knows them."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", *patterns],
        cwd=ROOT, capture_output=True, check=True, text=True,
    ).stdout  # fmt: skip
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


MODULES = tracked("stockcheck/*.py")
CORE = [path for path in MODULES if PACKAGE / "core" in path.parents]
STORE = [path for path in MODULES if PACKAGE / "store" in path.parents]
TREES = {path: ast.parse(path.read_text("utf-8")) for path in tracked("*.py")}


def places(paths: list[Path], wrong: Callable[[ast.AST], bool]) -> list[str]:
    """Where something wrong stands: ``stockcheck/core/x.py:12``."""
    return [
        f"{path.relative_to(ROOT)}:{getattr(node, 'lineno', 0)}"
        for path in paths
        for node in ast.walk(TREES[path])
        if wrong(node)
    ]


def dotted(node: ast.AST) -> str:
    """``date.today`` for that expression, "" for what is no dotted name."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        inner = dotted(node.value)
        return f"{inner}.{node.attr}" if inner else f"?.{node.attr}"
    return ""


def imports(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [each.name for each in node.names]
    if isinstance(node, ast.ImportFrom):
        return [node.module or "", *(f"{node.module}.{each.name}" for each in node.names)]
    return []


def imports_any(*names: str) -> Callable[[ast.AST], bool]:
    return lambda node: any(
        found == name or found.startswith(f"{name}.") for found in imports(node) for name in names
    )


def calls(*names: str) -> Callable[[ast.AST], bool]:
    """A call whose dotted name ends so: ``date.today`` is a call of ``today`` too."""
    return lambda node: (
        isinstance(node, ast.Call)
        and any(
            dotted(node.func) == name or dotted(node.func).endswith(f".{name}") for name in names
        )
    )


def docstrings(tree: ast.AST) -> set[ast.AST]:
    bodies = (getattr(node, "body", None) for node in ast.walk(tree))
    firsts = [body[0] for body in bodies if isinstance(body, list) and body]
    return {first.value for first in firsts if isinstance(first, ast.Expr)}


def test_the_core_reads_no_clock() -> None:
    clock = calls("now", "utcnow", "today", "fromtimestamp", "localtime", "gmtime", "monotonic")
    assert places(CORE, clock) == []
    assert places(CORE, imports_any("time", "calendar", "zoneinfo")) == []


def test_the_core_touches_no_file_screen_environment_or_database() -> None:
    assert places(CORE, calls("open", "print", "input", "getenv", "read_text", "write_text")) == []
    assert places(CORE, imports_any("os", "io", "sys", "pathlib", "sqlite3", "subprocess")) == []


def test_the_core_leaves_nothing_to_chance() -> None:
    assert places(CORE, imports_any("random", "secrets", "uuid")) == []


def test_no_module_opens_a_network_connection() -> None:
    network = imports_any(
        "socket", "ssl", "http", "urllib.request", "urllib3", "requests", "httpx", "aiohttp",
        "ftplib", "smtplib", "xmlrpc", "asyncio", "webbrowser",
    )  # fmt: skip
    assert places(MODULES, network) == []


def test_one_module_connects() -> None:
    connecting = places(MODULES, calls("sqlite3.connect"))
    assert {place.partition(":")[0] for place in connecting} == {"stockcheck/store/files.py"}
    assert places(MODULES, imports_any("sqlite_utils.Database.connect")) == []


SQL = re.compile(
    r"\b(SELECT\s.+|INSERT\s+(OR\s|INTO\s)|UPDATE\s+\w+\s+SET|DELETE\s+FROM|PRAGMA\s\w"
    r"|CREATE\s+(TABLE|VIEW|INDEX|TRIGGER)|BEGIN\s+IMMEDIATE)",
    re.DOTALL,
)


def sql_outside_of_docstrings(path: Path) -> list[str]:
    known = docstrings(TREES[path])
    return [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for node in ast.walk(TREES[path])
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and node not in known
        and SQL.search(node.value)
    ]


def test_only_the_store_knows_sql() -> None:
    outside = [path for path in MODULES if path not in STORE]
    assert [place for path in outside for place in sql_outside_of_docstrings(path)] == []
    assert any(sql_outside_of_docstrings(path) for path in STORE), "the test itself still sees SQL"


def with_a_connection(node: ast.AST) -> bool:
    """``with db.conn:`` commits, or leaves open, what it was not asked to."""
    items = node.items if isinstance(node, ast.With) else []
    return any(re.search(r"(^|\.)(conn|connection)$", dotted(it.context_expr)) for it in items)


def loosens_a_write(node: ast.AST) -> bool:
    """``ignore=True`` swallows every constraint, ``replace=`` deletes, ``alter=`` rebuilds."""
    return (
        isinstance(node, ast.keyword)
        and node.arg in {"ignore", "replace", "alter", "upsert", "truncate"}
        and not (isinstance(node.value, ast.Constant) and node.value.value is False)
    )


def test_every_write_goes_through_the_one_transaction() -> None:
    """Each of these commits silently, or leaves a transaction that dies at close."""
    assert places(MODULES, with_a_connection) == []
    assert places(MODULES, calls("commit", "executescript", "rollback", "atomic")) == []
    assert places(STORE, loosens_a_write) == []
    assert places(STORE, calls("transform", "upsert", "upsert_all", "insert_or_replace")) == []


def writes_over(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and re.search(r"\b(OR|ON CONFLICT)\s+(REPLACE|IGNORE)\b", node.value) is not None
    )


def test_no_statement_writes_over_or_swallows() -> None:
    known = {id(doc) for tree in TREES.values() for doc in docstrings(tree)}
    assert places(STORE, lambda node: id(node) not in known and writes_over(node)) == []
    for path in tracked("stockcheck/store/migrations/*.sql"):
        told = [line for line in path.read_text("utf-8").splitlines() if "--" not in line]
        assert not re.search(r"\bOR\s+(REPLACE|IGNORE)\b", "\n".join(told)), path


def functions(path: Path) -> Iterator[tuple[str, int]]:
    for node in ast.walk(TREES[path]):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            length = (node.end_lineno or node.lineno) - node.lineno + 1
            yield f"{path.relative_to(ROOT)}:{node.lineno} {node.name}", length


def test_no_function_is_longer_than_a_screen() -> None:
    long = [(name, n) for path in TREES for name, n in functions(path) if n > LONGEST_FUNCTION]
    assert long == []


def test_no_module_is_too_long_to_read() -> None:
    lengths = {path: len(path.read_text("utf-8").splitlines()) for path in TREES}
    long = {str(path.relative_to(ROOT)): n for path, n in lengths.items() if n > LONGEST_MODULE}
    assert long == {}


def test_there_is_no_drawer_for_everything() -> None:
    drawers = {"utils", "util", "helpers", "misc", "common"}
    assert [path for path in TREES if drawers & {path.stem, *path.relative_to(ROOT).parts}] == []


def machine_paths(text: str) -> list[str]:
    return re.findall(r"(?<![\w.~*])/(?:work|tmp|root|home)/[\w.]*", text)


TEXTS = tracked(
    "*.py", "*.toml", "*.md", "*.sql", "*.csv", "*.txt", ".ci/*", ".gitignore", "LICENSE"
)  # fmt: skip


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_file_speaks_of_one_machine_or_package_index(path: Path) -> None:
    text = path.read_text("utf-8", errors="replace")  # files in other encodings are kept as trouble
    if path != Path(__file__):
        assert machine_paths(text) == []
        assert re.findall(r"pypi\.org|pythonhosted|--index-url|--extra-index", text) == []


def test_a_machine_path_would_be_seen() -> None:
    for folder in ("tmp", "work", "root"):
        assert machine_paths(f"open('/{folder}/x')") != []
        assert machine_paths(f"either/{folder}/or, ./{folder}/x, $HOME/{folder}/x") == []
