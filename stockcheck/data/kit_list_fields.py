"""The fields of a kit list's TOML, read with their types; what is wrong is told all at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from stockcheck.core.names import why_no_line

MOST = 1_000_000
"""The largest number that a list may ask for."""


class Fields:
    """The fields of a TOML table, read with their types; what is wrong is noted, not raised."""

    def __init__(self, table: Mapping[str, object], place: str, problems: list[str]) -> None:
        self.table = table
        self.place = place
        self.problems = problems

    def wrong(self, key: str, value: object, what: str, remedy: str) -> None:
        """Note that the value of a key is wrong, and what to do about it."""
        shown = "" if value is None else f" {str(value)[:60]!r}"
        end = "" if remedy.endswith("?") else "."
        self.problems.append(f"{self.place}, {key}{shown}: {what}. {remedy}{end}")

    def only(self, keys: Collection[str]) -> None:
        """Note every key that is none of these."""
        for key in self.table:
            if key not in keys:
                from difflib import get_close_matches

                near = get_close_matches(key, list(keys), n=1)
                remedy = f"Perhaps {near[0]}" if near else f"Known are {', '.join(keys)}"
                self.wrong(key, None, "there is no such key", remedy)

    def text(self, key: str, *, must: bool = False) -> str:
        """A text; "" where there is none."""
        value = self.table.get(key, "")
        if not isinstance(value, str):
            self.wrong(key, value, "not a text", "Put it in quotation marks")
            return ""
        if why := why_no_line(" ".join(value.split())):
            self.wrong(key, value, f"it {why}", "Write it anew")
            return ""
        if must and not value.strip():
            self.wrong(key, None, "it is not there", "Give it as a text in quotation marks")
        return value

    def number(self, key: str, *, must: bool = False) -> int | None:
        """A whole number above 0, a million at most."""
        value = self.table.get(key)
        if value is None and not must:
            return None
        if isinstance(value, int) and not isinstance(value, bool) and 0 < value <= MOST:
            return value
        if isinstance(value, int) and value > MOST:
            self.wrong(key, value, "more than a million", "Write what is meant")
            return MOST
        self.wrong(key, value, "not a whole number above 0", "Write it as 12, without quotes")
        return None

    def flag(self, key: str) -> bool:
        """True or false; false where it is not there."""
        value = self.table.get(key, False)
        if not isinstance(value, bool):
            self.wrong(key, value, "neither true nor false", "Write true or false without quotes")
        return value is True

    def names(self, key: str) -> tuple[str, ...]:
        """A list of texts."""
        value = self.table.get(key, [])
        if isinstance(value, list) and all(it and not why_no_line(it) for it in value):
            return tuple(value)
        self.wrong(key, value, "not a list of texts", 'Write it as ["one", "two"]')
        return ()

    def one_of(self, key: str, choices: tuple[str, ...], default: str) -> str:
        """One of these words."""
        value = self.table.get(key, default)
        if isinstance(value, str) and value in choices:
            return value
        self.wrong(key, value, "not one of the words for it", f"Use {', '.join(choices)}")
        return default

    def rows(self, key: str) -> list[Fields]:
        """The tables under a key, each with its number and name for messages."""
        value = self.table.get(key, [])
        if not (isinstance(value, list) and all(isinstance(it, dict) for it in value)):
            self.wrong(key, value, "not a list of tables", f"Write each row under [[{key}]]")
            return []
        return [
            Fields(it, f"{self.place}, {key} {number}{_called(it)}", self.problems)
            for number, it in enumerate(value, 1)
        ]

    def inner(self, key: str) -> Fields:
        """The one table under a key."""
        value = self.table[key]
        if not isinstance(value, dict):
            self.wrong(key, value, "not a table", 'Write it as { kind = "...", quantity = 15 }')
            value = {"kind": "?", "quantity": 1}
        return Fields(value, f"{self.place}, {key}", self.problems)


def _called(row: Mapping[str, object]) -> str:
    name = row.get("name")
    return f" ({name})" if isinstance(name, str) and name else ""
