"""What a label of a lot or a box says, taken from the plain values."""

from __future__ import annotations

from datetime import date

from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.model import Box, Holding, State, Status
from stockcheck.core.shelf_life import HEAT, INSPECTED, OPENED, PRINTED, SHELF, status
from stockcheck.core.words import counted
from stockcheck.labels.text import LabelText

_SAID = {
    SHELF: "by shelf life",
    OPENED: "since opened",
    HEAT: "heat estimate",
    INSPECTED: "inspected",
}
_STATES = {State.HELD: "ON HOLD: DO NOT USE", State.LAST_RESORT: "LAST RESORT ONLY"}
CAUTION_WORDS = {
    "medicine": "MEDICINE: READ LEAFLET",
    "sterile": "STERILE",
    "drinking-water": "DRINKING WATER",
    "pressurised": "PRESSURE: UNDER 50 °C",
    "oxidiser": "OXIDISER: KEEP ALONE, DRY",
    "flammable": "FLAMMABLE",
    "fuel": "FUEL",
    "tyre-repair": "TYRE REPAIR: SEE FITTER",
    "cold-chain": "KEEP COLD, NOT FROZEN",
    "sharps": "SHARPS",
    "pyrotechnic": "PYROTECHNIC",
    "brake-safety": "BRAKES: SEALED PACKS ONLY",
}


def lot_label(holding: Holding, on: date, *, iso: bool = False) -> LabelText:
    """The label of a lot as it is held in a box: what it is, until when, and its code."""
    lot = holding.lot
    lines = [counted(holding.quantity, holding.item.unit) if holding.item.unit != "each" else ""]
    lines += [f"rec. {spoken(lot.received_on)}" if lot.received_on else ""]
    opened = spoken(holding.opened_on) if holding.opened_on else ""
    expired = status(holding, on) is Status.EXPIRED
    writes_opening = holding.opened_on or (holding.kind.opened and not expired)
    return LabelText(
        code=lot.code,
        short=lot.short,
        title=lot.item.name,
        date=label_date(holding, iso=iso),
        date_word=_date_word(holding),
        place=holding.box.name,
        batch=lot.batch,
        lines=tuple(line for line in lines if line),
        caution=_caution(holding, on),
        opened=opened if writes_opening else None,
    )


def label_date(holding: Holding, *, iso: bool = False) -> str:
    """The last usable day no more precisely than it was printed: ``NOV 2027``, or ``2027-11``."""
    last = holding.last_usable_day
    if last is None:
        return "NO LIMIT" if holding.governed_by else "NO DATE"
    printed = holding.lot.expiry
    precision = Precision.DAY
    if (
        holding.governed_by == PRINTED
        and printed
        and printed.reading.precision is not Precision.WEEK
    ):
        precision = printed.reading.precision
    if not iso:
        return spoken(last, precision)
    length = {Precision.YEAR: 4, Precision.MONTH: 7}.get(precision, 10)
    return last.isoformat()[:length]


def _date_word(holding: Holding) -> str:
    """What the date is: the printed one only where the pack says the same without any doubt."""
    printed = holding.lot.expiry
    if holding.governed_by != PRINTED or printed is None:
        return _SAID.get(holding.governed_by, "")
    if printed.assumed:
        return f"good through (see {holding.lot.short})"
    same = printed.last_usable_day == printed.reading.last_day()
    return "printed date" if same else "good through"


def _caution(holding: Holding, on: date) -> str:
    """At most two cautions; that it is on hold, a last resort or expired comes before all."""
    state = [_STATES[holding.state]] if holding.state in _STATES else []
    if status(holding, on) is Status.EXPIRED:
        state = ["EXPIRED"]
    words = [CAUTION_WORDS[key] for key in holding.kind.cautions if key in CAUTION_WORDS]
    return "; ".join([*state, *words][:2])


def box_label(box: Box, place: str, holdings: int) -> LabelText:
    """The label of a box: its name large, where it belongs, how many holdings it has."""
    outer = place.rpartition(" / ")[0]
    count = "1 holding" if holdings == 1 else f"{holdings} holdings"
    return LabelText(
        code=box.code,
        short=box.short,
        title=box.name,
        place=f"in {outer}" if outer else "",
        lines=(count, box.climate) if box.climate else (count,),
    )
