"""The actions that a session does, each with a code of its own for the printed action card."""

from __future__ import annotations

from enum import StrEnum

from stockcheck.core.codes import make_code, read_code


class Action(StrEnum):
    """What may be done in a session, by the word that is typed or stands on the card."""

    USE_ONE = "use one"
    OPEN = "open"
    COUNT = "count"
    WRITE_OFF = "write off"
    MOVE = "move"
    LABEL = "label"
    UNDO = "undo"
    DONE = "done"

    @property
    def code(self) -> str:
        """The ten digits that stand for it on the card; its place in the list never changes."""
        return make_code("action", list(Action).index(self) + 1)


def read_action(text: str) -> Action | None:
    """The action that a code or a typed word names; None when it names none."""
    found = read_code(text)
    if found is not None and found[0] == "action":
        actions = list(Action)
        return actions[found[1] - 1] if found[1] <= len(actions) else None
    tidy = " ".join(text.replace("-", " ").split()).casefold()
    return Action(tidy) if tidy in {action.value for action in Action} else None
