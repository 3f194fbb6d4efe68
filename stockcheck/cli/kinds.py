"""Kinds: the shipped catalogue with its sources, and the person's own kinds and figures."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import click

from stockcheck.cli.shell import (
    DAY,
    WORDS,
    Shell,
    Tasks,
    emit,
    on_option,
    pass_shell,
    report_options,
    say,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.model import Kind, LifeRule
    from stockcheck.output.report import Row

_OPTIONS = {
    "name": "What it is called.",
    "group": "Under which heading it is listed.",
    "sealed": "Sealed life, such as '24 months'.",
    "sealed-from": "made or received: the day a sealed life counts from.",
    "opened": "Life once opened, such as '28 days'; '0 days' is use at once.",
    "meaning": "safety, quality, inspect or none: what its date means.",
    "past": "discard, 'replace, keep as last resort', inspect or 'no limit'.",
    "dates": "general, medicine, food, cosmetic or tyre: how its dates are read.",
    "storage": "How it is to be kept.",
    "disposal": "Disposal route, by its key.",
    "cautions": "Caution keys, with commas between.",
    "past-note": "What is done past the date, in words.",
    "source": "Where your figures come from.",
}


def _options(command: Any) -> Any:
    for name, text in reversed(_OPTIONS.items()):
        command = click.option(f"--{name}", type=WORDS, metavar="TEXT", help=text)(command)
    return command


@click.group(cls=Tasks)
def kind() -> None:
    """Kinds of consumable with their shelf-life rules: add, list, show, change, retire.

    \b
    Examples:
      stockcheck kind show eye-drops
      stockcheck kind change threadlocker --sealed "18 months" --source supplier
    """


@kind.command("list")
@click.option("--group", "group", metavar="WORDS", help="Only groups with these words.")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def list_(shell: Shell, group: str | None, on: date, fmt: str, output: Path | None) -> None:
    """List the kinds by group, in order of key."""
    from dataclasses import replace

    from stockcheck.output import lists
    from stockcheck.output.report import Section
    from stockcheck.store.kinds import kinds_by_key

    with shell.store() as store:
        found = kinds_by_key(store.conn, retired=False).values()
        chosen = [each for each in found if not group or group.lower() in each.group.lower()]
        chosen.sort(key=lambda each: (each.group.lower(), each.key))
        by_group: dict[str, list[Row]] = {}
        for each in chosen:
            by_group.setdefault(each.group, []).append(lists.kind_row(each))
        rows = [row for group_rows in by_group.values() for row in group_rows]
        report = lists.catalogue("kind", rows, on=on, store=store.name)
    sections = tuple(Section(heading, tuple(rows)) for heading, rows in by_group.items())
    report = replace(report, sections=sections, grouped="Group")
    emit(report, fmt, output)


@kind.command(short_help="Show a kind's whole rule with the source of every figure.")
@click.argument("key", metavar="KIND")
@pass_shell
def show(shell: Shell, key: str) -> None:
    """Show a kind's whole rule with the source of every figure, and what you changed."""
    from stockcheck.data.kinds import cautions, disposal_routes, shipped_kind
    from stockcheck.store.kinds import kind_changes, kinds_by_key
    from stockcheck.store.names import find_kind

    with shell.store() as store:
        _, found = find_kind(store.conn, key)
        one = kinds_by_key(store.conn)[found]
        changes = kind_changes(store.conn, found)
    route = disposal_routes()[one.disposal]
    lines = [
        ("group", one.group),
        ("also called", ", ".join(one.also)),
        ("sealed", _life(one.sealed, "only the printed date counts" if one.has_life else "")),
        ("once opened", _life(one.opened, "good to its date" if one.has_life else "")),
        ("its date means", one.meaning.value),
        ("past its date", one.past.value + (f": {one.past_note}" if one.past_note else "")),
        ("how it fails", one.failure),
        ("inspection", _inspection(one)),
        ("storage", one.storage),
        ("heat", one.heat),
        ("dates read as", one.dates.value),
        ("disposal", f"{route.name}. {route.text}"),
        ("source", f"{one.source} ({one.certainty.value})"),
    ]
    say(f"{one.name} ({one.key}, {one.origin})")
    for label, text in lines:
        if text:
            _wrapped(label, text)
    for field in changes:
        shipped = shipped_kind(found)
        _wrapped("shipped", f"{field}: {_shipped_value(shipped, field)}")
    texts = cautions()
    for caution in one.cautions:
        _wrapped("caution", texts[caution])


def _life(rule: LifeRule | None, otherwise: str) -> str:
    if rule is None:
        return otherwise
    life = "use at once, keep nothing" if str(rule.life) == "0 days" else str(rule.life)
    spread = f" (met: {rule.spread})" if rule.spread else ""
    return f"{life}{spread}; {rule.source} ({rule.certainty.value})"


def _inspection(one: Kind) -> str:
    rule = one.inspection
    if rule is None:
        return ""
    times = "once" if rule.times == 1 else f"{rule.times} times at most"
    gain = (
        "a pass extends nothing" if rule.extends is None else f"a pass adds {rule.extends}, {times}"
    )
    return f"{' '.join(rule.ask)} {gain}; {rule.source} ({rule.certainty.value})"


def _shipped_value(shipped: Kind | None, field: str) -> str:
    value = getattr(shipped, field, None)
    return str(value.life) if field in {"sealed", "opened"} and value else str(value)


def _wrapped(label: str, text: str) -> None:
    from stockcheck.cli.shell import screen_width

    click.echo(click.wrap_text(text, screen_width(), f"  {label + ':':<16}", " " * 18))


@kind.command()
@click.argument("key", metavar="KEY")
@_options
@pass_shell
def add(shell: Shell, /, key: str, **given: str | None) -> None:
    """Add a kind of your own: at least --name, --meaning and --past."""
    from stockcheck.store.kinds import add_kind

    with shell.store() as store:
        with store.writing() as conn:
            made = add_kind(conn, {"key": key, **_table(given)})
        say(f"Added kind {made.key}: {made.name}")


@kind.command(short_help="Lay your own figures over a kind's, or take them off.")
@click.argument("key", metavar="KIND")
@_options
@click.option("--shipped", is_flag=True, help="Go back to the shipped figures.")
@pass_shell
def change(shell: Shell, /, key: str, shipped: bool, **given: str | None) -> None:
    """Lay your own figures over a kind's; the shipped ones stay beside them."""
    from stockcheck.store.kinds import change_kind, unchange_kind
    from stockcheck.store.names import find_kind

    table = _table(given)
    if bool(table) == shipped:
        raise click.UsageError("give a figure to change, or --shipped to go back, one of both")
    with shell.store() as store:
        with store.writing() as conn:
            _, found = find_kind(conn, key)
            moved = unchange_kind(conn, found) if shipped else change_kind(conn, found, table)
        holdings = "1 holding" if moved == 1 else f"{moved or 'no'} holdings"
        say(f"Changed kind {found}; the last usable day of {holdings} moved")


@kind.command()
@click.argument("key", metavar="KIND")
@click.option("--on", type=DAY, envvar="STOCKCHECK_TODAY", default="today", help="From this day.")
@pass_shell
def retire(shell: Shell, key: str, on: date) -> None:
    """Take a kind out of the lists; items of it keep their rule."""
    from stockcheck.store.catalogue import retire as take_out
    from stockcheck.store.names import find_kind

    with shell.store() as store:
        with store.writing() as conn:
            number, found = find_kind(conn, key)
            take_out(conn, "kind", number, on)
        click.echo(f"Retired kind {found}")


def _table(given: dict[str, str | None]) -> dict[str, Any]:
    """Options as the catalogue's table: lives with their start and source, cautions as a list."""
    table: dict[str, Any] = {
        name: text for name, text in given.items() if text is not None and name != "sealed_from"
    }
    if "cautions" in table:
        table["cautions"] = [word.strip() for word in table["cautions"].split(",") if word.strip()]
    for name in ("sealed", "opened"):
        if name in table:
            table[name] = _life_option(table[name], given, sealed=name == "sealed")
    if given.get("sealed_from") and "sealed" not in table:
        raise click.UsageError("--sealed-from goes with --sealed; give both")
    return table


def _life_option(text: str, given: dict[str, str | None], *, sealed: bool) -> Any:
    if not text.strip():
        return None
    life: dict[str, Any] = {"life": text}
    if given.get("source"):
        life["source"] = given["source"]
    if sealed and given.get("sealed_from"):
        life["from"] = given["sealed_from"]
    return life


COMMANDS = {"kind": kind}
