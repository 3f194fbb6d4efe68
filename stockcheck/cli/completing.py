"""Names completed by a shell: which words of which command are boxes, items, lots, columns ...

Loaded only when a shell asks. What an argument or option takes is told by the words that its help
shows (``BOX``, ``--trip``), in one table, so that a new command is completed without a word.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

import click
from click.shell_completion import (
    BashComplete,
    CompletionItem,
    FishComplete,
    ShellComplete,
    ZshComplete,
    add_completion_class,
)

from stockcheck.cli.choosing import ColumnName
from stockcheck.cli.columns import columns_of
from stockcheck.cli.shell import store_path
from stockcheck.core.names import name_key

VARIABLE = "_STOCKCHECK_COMPLETE"
SHELLS = ("bash", "zsh", "fish")
_OPTIONS = {
    "--box": "box", "--inside": "box", "--item": "item", "--instead-of": "item", "--lot": "lot",
    "--supplier": "supplier", "--trip": "trip", "--leave": "box", "--kind": "kind",
    "--climate": "climate", "--stock": "stock", "--printer": "printer", "--list": "list",
    "--extends": "list", "--order": "purchase", "--route": "route",
}  # fmt: skip
_WORDS = {
    "BOX": "box", "ITEM": "item", "LOT": "lot", "TRIP": "trip", "SUPPLIER": "supplier",
    "KIND": "kind", "LIST": "list", "ID": "list",
}  # fmt: skip
_THING = ("item", "lot")
_CATALOGUE = ("box", "item", "lot", "supplier", "trip", "par", "offer", "climate", "purchase")
# Arguments that their help calls otherwise.
_OTHERWISE = {
    ("label-stock", "stock"): "stock", ("label-stock", "name"): "printer",
    ("purchase", "number"): "purchase",
}  # fmt: skip
_SHIPPED = ("stock", "list", "climate", "route")  # which need no store
_UNSAFE = re.compile(r"([^\w\-.,:/@%+=])")
_CODE = re.compile(r"[lL]\d*")


class Named(click.ParamType[str]):
    """A text that names something in the store: those that begin so are offered."""

    name = "TEXT"

    def __init__(self, *sorts: str, files: bool = False) -> None:
        self.sorts = sorts
        self.files = files

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """The names that begin as what was typed, whatever its case; lots by their short form.

        Where a file may be named too, and nothing is called so, the shell completes files.
        """
        given = store_path(ctx.find_root().params.get("store"))
        path = Path(given).expanduser()  # which no shell has done yet
        wanted = name_key(incomplete)
        found = [
            CompletionItem(name, help=told)
            for sort in self.sorts
            if self._offered(sort, incomplete)
            for name, told in known(path, sort)
            if name_key(name).startswith(wanted)
        ]
        return found or ([CompletionItem(incomplete, type="file")] if self.files else [])

    def _offered(self, sort: str, incomplete: str) -> bool:
        """Lots beside items only where a lot is meant: hundreds of numbers would bury the names."""
        return sort != "lot" or len(self.sorts) == 1 or bool(_CODE.fullmatch(incomplete))


class Columns(click.ParamType[str]):
    """The columns of a command's lists, for --only and --sort."""

    name = "COLUMN"

    def __init__(self, columns: tuple[str, ...], *, sorts: bool) -> None:
        self.columns = columns
        self.sorts = sorts

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """The columns that begin so; the only one with the signs that may follow."""
        before, comma, begun = incomplete.rpartition(",") if self.sorts else ("", "", incomplete)
        named = set(before.replace("-", "").split(","))
        found = [it for it in self.columns if it.startswith(begun) and it not in named]
        if len(found) == 1 and not self.sorts:
            return [CompletionItem(found[0] + sign) for sign in ("=", "!=")]
        return [CompletionItem(f"{before}{comma}{name}") for name in found]


def known(path: Path, sort: str) -> list[tuple[str, str]]:
    """The names of a sort, each with a word about it: what ships, and what the store has."""
    from stockcheck.store.name_lists import SORTS, names

    found = dict(_shipped(sort)) if sort in _SHIPPED else {}
    return list((found | (dict(names(path, sort)) if sort in SORTS else {})).items())


def _shipped(sort: str) -> list[tuple[str, str]]:
    if sort == "stock":
        from stockcheck.labels.stock import shipped_stocks

        return [(stock.name, stock.about) for stock in shipped_stocks()]
    if sort == "list":
        from stockcheck.data.kit_lists import kit_list_ids

        return [(name, "") for name in kit_list_ids()]
    if sort == "climate":
        from stockcheck.data.climates import climates

        return [(name, "") for name in climates()]
    from stockcheck.data.kinds import disposal_routes

    return [(route.name, "") for route in disposal_routes().values()]


def sorts_of(path: str, param: click.Parameter) -> tuple[str, ...]:
    """What a command's argument or option names; empty for anything else.

    ``path`` is the command with those above it, such as ``stockcheck box show``.
    """
    if not isinstance(param.type, (click.types.StringParamType, Named)):
        return ()
    words = re.findall(r"[A-Z]+", param.metavar or "")
    if isinstance(param, click.Option):
        if param.is_flag:
            return ()
        named = [_OPTIONS[name] for name in param.opts if name in _OPTIONS]
        return tuple(named or [_WORDS[word] for word in words if word in _WORDS])
    words = words or [(param.name or "").upper()]
    found = tuple(dict.fromkeys(_WORDS[word] for word in words if word in _WORDS))
    return found or _by_name(path.split()[1:], param.name or "")


def _by_name(words: list[str], name: str) -> tuple[str, ...]:
    """Arguments called thing or name: of the sort that the group is called after, or stock."""
    if words and (words[0], name) in _OTHERWISE:
        return (_OTHERWISE[words[0], name],)
    if words and words[0] in _CATALOGUE and words[-1] != "add" and name in {"thing", "name"}:
        return (words[0],)
    if name != "thing" or (len(words) > 1 and words[0] != "recall"):
        return ()
    return ("item",) if words and words[0] == "recall" else _THING


def taught(command: click.Command, path: str) -> click.Command:
    """The command, and those under it, with every name of the store completed."""
    columns = columns_of(path.partition(" ")[2])
    for param in command.params:
        if isinstance(param.type, ColumnName):
            param.type = Columns(columns, sorts="--sort" in param.opts)
        elif sorts := sorts_of(path, param):
            param.type = Named(*sorts, files="FILE" in (param.metavar or ""))
    if isinstance(command, click.Group):
        for name, below in command.commands.items():
            taught(below, f"{path} {name}")
    return command


class _Bash(BashComplete):
    """Names with blanks are escaped, unless the word was begun with a quote.

    Click's script would take the escapes away again where it reads our answer.
    """

    source_template = BashComplete.source_template.replace("read type value", "read -r type value")

    def source(self) -> str:
        """The script; its own shell says so if it is too old."""
        return ShellComplete.source(self)

    def format_completion(self, item: CompletionItem) -> str:
        """As click does it, with what a shell would read otherwise escaped."""
        value = str(item.value)
        if not _begun().startswith(("'", '"')):
            value = _UNSAFE.sub(r"\\\1", value)
        return f"{item.type},{value}"


def _begun() -> str:
    """The word as it stands on the line, its quotes and all."""
    words = os.environ.get("COMP_WORDS", "").split("\n")
    place = os.environ.get("COMP_CWORD", "")
    number = int(place) if place.isascii() and place.isdigit() else len(words)
    return words[number] if number < len(words) else ""


_CLASSES: dict[str, type[ShellComplete]] = {
    "bash": _Bash, "zsh": ZshComplete, "fish": FishComplete,
}  # fmt: skip


def prepare() -> None:
    """Let click know how we answer a shell that asks."""
    add_completion_class(_Bash)


def script(root: click.Command, shell: str) -> str:
    """What a shell is to read so that it asks us."""
    settings: dict[str, Any] = {}
    return _CLASSES[shell](root, settings, "stockcheck", VARIABLE).source()
