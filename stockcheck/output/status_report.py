"""What needs doing, on one screen: as many words as its lines hold, the most urgent told fully."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from stockcheck.core.calendar import spoken
from stockcheck.core.todo import Facts, Task, Urgency
from stockcheck.output.cells import clean
from stockcheck.output.layout import ELLIPSIS, wrap, wrap_within
from stockcheck.output.report import Column, Report, Row, Section, Tone
from stockcheck.output.text import display_width

if TYPE_CHECKING:
    from stockcheck.core.model import Holding

NOTHING = "Nothing to do."
_EMPTY = "The store is empty: 'stockcheck box add' and 'item add', then 'receive' takes stock in."
KEYS = ("task", "urgency", "count", "what", "names", "by", "command")
_TONES = {Urgency.NOW: Tone.BAD, Urgency.BEFORE: Tone.WARN, Urgency.SOME_TIME: Tone.PLAIN}
_CODES = {Urgency.NOW: "31", Urgency.BEFORE: "33"}
_INDENT = "   "
_GAP = 2


def status_report(
    tasks: Sequence[Task], facts: Facts, store: str, cautions: Mapping[str, str]
) -> Report:
    """The tasks as rows for other programs, with the cautions of what is to be decided on."""
    from stockcheck.output.expiry_report import cautions_of

    return Report(
        title="Status",
        on=facts.on,
        store=store,
        columns=(Column("what", "To do"), Column("command", "Command")),
        sections=(Section("", tuple(_row(task) for task in tasks)),),
        keys=KEYS,
        cautions=cautions_of(_concerned(facts), cautions),
        empty=NOTHING,
    )


def _row(task: Task) -> Row:
    return Row(
        {
            "task": task.key,
            "urgency": task.urgency.words,
            "count": task.count,
            "what": task.words,
            "names": list(task.names),
            "by": task.by,
            "command": task.command,
        },
        tone=_TONES[task.urgency],
    )


def _concerned(facts: Facts) -> list[Holding]:
    """What is expired, undated, held, ends on the way or was recalled."""
    good = {"in date", "due"}
    held = [each.holding for each in facts.standings if each.status.value not in good]
    return held + [each for _, some in facts.recalls for each in some]


def screen(
    tasks: Sequence[Task],
    facts: Facts,
    store: str,
    *,
    width: int = 80,
    height: int | None = 23,
    colour: bool = False,
) -> str:
    """The tasks as text of at most so many lines where the width has room for it; None: all.

    Each task is one line with its command, or two where they do not fit. The most urgent get
    another line of names while lines last; what has no line at all is counted at the end.
    """
    head = _head(tasks, facts, store, width)
    column = _column(tasks, width)
    parts = [_brief(number, task, width, column) for number, task in enumerate(tasks, 1)]
    brief = [[*what, *command] for what, command in parts]
    most = None if height is None else max(height, len(head) + 3)
    left = None if most is None else most - len(head)
    shown = _shown(brief, left)
    spare = None if left is None else left - sum(map(len, brief[:shown])) - (shown < len(tasks))
    lines = list(head)
    for task, (what, command) in zip(tasks[:shown], parts, strict=False):
        named = _named(task, width) if spare is None or spare > 0 else []
        if spare is not None:
            spare -= len(named)
        told = [*what, *named, *command]
        lines += [_painted(line, task.urgency) if colour else line for line in told]
    if shown < len(tasks):
        lines += wrap_within(
            f"{_INDENT}and {len(tasks) - shown} more: 'stockcheck status --all'",
            width, display_width, 1,
        )  # fmt: skip
    return "\n".join(lines) + "\n"


def _shown(brief: Sequence[Sequence[str]], left: int | None) -> int:
    """How many tasks have room, one line kept for the count of those that have not."""
    if left is None or sum(map(len, brief)) <= left:
        return len(brief)
    used = 1
    for number, lines in enumerate(brief):
        used += len(lines)
        if used > left:
            return number
    return len(brief)


def _head(tasks: Sequence[Task], facts: Facts, store: str, width: int) -> list[str]:
    trip = facts.trip
    if trip is None:
        said = "No trip ahead: 'stockcheck trip add' plans one."
    else:
        days = (trip.departs - facts.on).days
        when = f"in {days} days" if days > 1 else {1: "tomorrow", 0: "today"}.get(days, "under way")
        said = f"Next trip: {trip.name}, {spoken(trip.departs)} to {spoken(trip.returns)}, {when}"
    title = f"To do: {store}, {spoken(facts.on)}"
    lines = [*wrap_within(clean(title), width, display_width, 1)]
    lines += wrap_within(clean(said), width, display_width, 2)
    if tasks:
        return [*lines, ""]
    more = "" if facts.stocked else f" {_EMPTY}"
    return [*lines, "", *wrap(NOTHING + more, width, display_width)]


def _column(tasks: Sequence[Task], width: int) -> int:
    """Where commands begin that stand beside what is to be done."""
    sizes = [(_size(task.words), display_width(task.command)) for task in tasks]
    beside = [what for what, command in sizes if what + _GAP + command <= width]
    return max(beside, default=0) + _GAP


def _size(words: str) -> int:
    return len(_INDENT) + display_width(clean(words))


def _brief(number: int, task: Task, width: int, column: int) -> tuple[list[str], list[str]]:
    """What, with the command beside it where both fit; else the lines of what and of the command.

    A command that is broken goes on a bit further in.
    """
    size, command = _size(task.words), display_width(task.command)
    if size + _GAP + command <= width:
        at = max(size + _GAP, min(column, width - command))
        what = f"{number:>2} {clean(task.words)}"
        return [what + " " * (at - size) + task.command], []
    first, *rest = wrap(clean(task.words), width - len(_INDENT), display_width)
    head, *tail = wrap(task.command, width - len(_INDENT) - 4, display_width)
    return (
        [f"{number:>2} {first}", *(_INDENT + line for line in rest)],
        [f"{_INDENT}  {head}", *(f"{_INDENT}    {line}" for line in tail)],
    )


def _named(task: Task, width: int) -> list[str]:
    """A line of the names concerned; none where there are none."""
    if not task.names:
        return []
    indent = _INDENT + "  "
    return [indent + summed([clean(name) for name in task.names], width - len(indent))]


def summed(names: Sequence[str], room: int) -> str:
    """As many of the names as there is room for, and how many more there are."""
    for shown in range(len(names), 0, -1):
        left = len(names) - shown
        text = "; ".join(names[:shown]) + (f" and {left} more" if left else "")
        if display_width(text) <= room:
            return text
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    first = names[0]
    while first and display_width(first + ELLIPSIS + more) > room:
        first = first[:-1]
    return first + ELLIPSIS + more


def _painted(line: str, urgency: Urgency) -> str:
    code = _CODES.get(urgency)
    return f"\x1b[{code}m{line}\x1b[0m" if code else line
