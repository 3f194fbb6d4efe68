"""A session with a scanner: what it remembers, what it is given, and what comes of each line.

Pure values: a step is worked out from them in ``scanning_steps``, and the caller writes it down.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from stockcheck.core.model import Holding, State, Status

if TYPE_CHECKING:
    from stockcheck.core.actions import Action
    from stockcheck.core.model import Box
    from stockcheck.core.movements import Movement
    from stockcheck.core.recalls import Recall
    from stockcheck.core.recognising import MakerCode, Recognised


SPOKEN = {
    Status.IN_DATE: "GOOD",
    Status.DUE: "DUE",
    Status.ENDS_ON_TRIP: "ENDS ON TRIP",
    Status.EXPIRED: "EXPIRED",
    Status.UNDATED: "NO DATE",
    Status.HELD: "ON HOLD",
    Status.LAST_RESORT: "LAST RESORT",
}
"""The word that is called out for each status."""
GOOD = frozenset({Status.IN_DATE, Status.DUE})
"""The statuses that ring no bell."""


class Mood(StrEnum):
    """How a line is coloured; its words always say the same."""

    PLAIN = ""
    GOOD = "good"
    WARN = "warn"
    BAD = "bad"


@dataclass(frozen=True, slots=True)
class Said:
    """A line for the person; ``word`` stands out before the text, ``indent`` sets it in."""

    text: str
    mood: Mood = Mood.PLAIN
    word: str = ""
    indent: int = 0


class Ask(StrEnum):
    """What a session may be waiting for an answer to."""

    MOVE_HERE = "move it here"
    RECEIVE = "receive it"
    RECEIVE_ANYWAY = "receive it although something speaks against it"
    ANOTHER_PACK = "take the GTIN for another pack of an item"
    MAKE_ITEM = "make the item"
    WRITE_OFF = "write it off"
    USE_ANYWAY = "use it although it is not good"
    COUNT = "how many there are"
    WHERE_TO = "which box it goes into"
    WHERE_FROM = "which box it came from"


@dataclass(frozen=True, slots=True)
class Question:
    """An open question: ``again`` are the keys of the scans that answer yes.

    ``held`` is the stock that it is about, ``quantity`` how much of it, ``maker`` the code that was
    scanned. ``counted`` is how many scans a count has had.
    """

    ask: Ask
    again: frozenset[str] = frozenset()
    held: tuple[Holding, ...] = ()
    quantity: int | None = None
    maker: MakerCode | None = None
    reason: str = ""
    counted: int = 0

    @property
    def takes_a_number(self) -> bool:
        """Whether a number alone answers it."""
        return self.ask in {
            Ask.MOVE_HERE, Ask.RECEIVE, Ask.RECEIVE_ANYWAY, Ask.COUNT, Ask.WRITE_OFF,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Command:
    """An action, typed or from the card, with what was typed behind it."""

    action: Action
    quantity: int | None = None
    rest: str = ""


@dataclass(frozen=True, slots=True)
class Given:
    """What a line turned out to be, with what the store holds of it.

    One of a command, a number, how many packs to receive, an answer (yes or no), or what was
    recognised. ``held`` is the stock of the lots that it means, anywhere and none left included, or
    what is in the box, the boxes ``inside`` it not counted. ``box`` is the box scanned. ``recall``
    calls the lot's batch back. ``key`` is equal for two scans of one thing.
    """

    key: str
    command: Command | None = None
    number: int | None = None
    receive: int | None = None
    answer: bool | None = None
    recognised: Recognised | None = None
    held: tuple[Holding, ...] = ()
    box: Box | None = None
    inside: tuple[str, ...] = ()
    recall: Recall | None = None


@dataclass(frozen=True, slots=True)
class Session:
    """What is remembered between two lines.

    ``lot_ids`` and ``about`` are the thing scanned last, ``waiting`` is a command that waits for
    its thing, ``seen`` are lots by box (both by number), ``boxes`` those that were scanned.
    """

    box: Box | None = None
    lot_ids: tuple[int, ...] = ()
    about: str = ""
    maker: MakerCode | None = None
    waiting: Command | None = None
    question: Question | None = None
    seen: frozenset[tuple[int, int]] = frozenset()
    boxes: tuple[int, ...] = ()
    labels: tuple[int, ...] = ()
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing done in a session, for its summary: what, how many of which lot, and where."""

    what: str
    lot: str
    item: str
    quantity: int
    unit: str
    box: str
    to_box: str = ""


@dataclass(frozen=True, slots=True)
class Post:
    """Movements to write in one transaction; ``deeds`` tell them in the summary.

    They were worked out from ``known`` and hold only while that is as it was.
    """

    movements: tuple[Movement, ...]
    deeds: tuple[Deed, ...]
    known: tuple[Holding, ...] = ()


@dataclass(frozen=True, slots=True)
class TakeIn:
    """A maker's code to be received: so many units into a box, once more of a lot if one is given.

    ``anyway`` says that what speaks against it was confirmed.
    """

    maker: MakerCode
    box: Box
    units: int
    lot_id: int | None = None
    anyway: bool = False


@dataclass(frozen=True, slots=True)
class MakeItem:
    """An unknown GTIN to be made an item, or another pack of one that there is."""

    maker: MakerCode
    another_pack: bool = False


@dataclass(frozen=True, slots=True)
class Undo:
    """Reverse the last write of the session."""


@dataclass(frozen=True, slots=True)
class Done:
    """The session ends."""


Work = Post | TakeIn | MakeItem | Undo | Done


@dataclass(frozen=True, slots=True)
class Step:
    """What comes of a line: the session after it, what is to be written, and what is said.

    ``before`` is said at once, ``after`` when the work is durable; ``beware`` is the stock whose
    cautions must be shown, ``rings`` whether the bell sounds, ``disposed`` what is got rid of.
    ``show`` are lots to be shown again as they stand after the work, ``then`` is a further line.
    """

    session: Session
    before: tuple[Said, ...] = ()
    work: Work | None = None
    after: tuple[Said, ...] = ()
    beware: tuple[Holding, ...] = ()
    disposed: tuple[Holding, ...] = ()
    rings: bool = False
    show: tuple[int, ...] = ()
    then: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """What holds for the whole session: the day, the trip's horizon, whether it may ask."""

    on: date
    horizon: date | None = None
    asks: bool = True


def is_free(holding: Holding) -> bool:
    """Whether it is ordinary stock."""
    return holding.state is State.STOCK
