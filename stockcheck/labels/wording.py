"""What each sort of label says, taken from the plain values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from stockcheck.core.calendar import Life, Precision, in_words, spoken
from stockcheck.core.model import Box, DateMeaning, Holding, Item, Status
from stockcheck.core.shelf_life import HEAT, INSPECTED, OPENED, PRINTED, SHELF, status
from stockcheck.core.words import counted
from stockcheck.labels import marks, symbols
from stockcheck.labels.text import LabelText

_SAID = {
    SHELF: "by shelf life",
    OPENED: "since opened",
    HEAT: "heat estimate",
    INSPECTED: "inspected",
}
ON_HOLD, LAST_RESORT, EXPIRED = "ON HOLD: DO NOT USE", "LAST RESORT ONLY", "EXPIRED"
_BANNERS = {
    Status.HELD: ON_HOLD,
    Status.LAST_RESORT: LAST_RESORT,
    Status.EXPIRED: EXPIRED,
}
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
    lines += [f"rec. {day_words(lot.received_on, iso)}" if lot.received_on else ""]
    expired = status(holding, on) is Status.EXPIRED
    keeps = holding.kind.opened is not None and holding.kind.opened.life != Life()
    writes_opening = holding.opened_on or (keeps and not expired)
    return LabelText(
        code=lot.code,
        short=lot.short,
        title=lot.item.name,
        date=label_date(holding, iso=iso),
        date_word=_date_word(holding),
        date_mark=marks.date_symbol(holding),
        place=holding.box.name,
        batch=lot.batch,
        made=_made(holding, iso),
        lines=tuple(line for line in lines if line),
        caution=_caution_words(holding.kind.cautions),
        opened=day_words(holding.opened_on, iso) if writes_opening else None,
        banner=_BANNERS.get(status(holding, on), ""),
        marks=marks.kind_marks(holding.kind),
    )


def opened_label(holding: Holding, on: date, *, iso: bool = False) -> LabelText:
    """The label for an opened pack: when it was opened, and through when it may be used.

    What is still sealed gets lines to write both days on, with the life that the kind gives it.
    """
    lot, rule = holding.lot, holding.kind.opened
    use_at_once = rule is not None and rule.life == Life()
    dated = holding.opened_on is not None or rule is None
    write: tuple[str, ...] = () if dated or use_at_once else ("use through",)
    return LabelText(
        code=lot.code,
        short=lot.short,
        title=lot.item.name,
        date=label_date(holding, iso=iso) if dated else "",
        date_word="use through" if dated and holding.last_usable_day else "",
        date_mark=marks.date_symbol(holding) if dated else "",
        place=holding.box.name,
        batch=lot.batch,
        about="" if dated else _once_opened(holding, iso),
        caution=_caution_words(holding.kind.cautions),
        opened=day_words(holding.opened_on, iso),
        banner=_BANNERS.get(status(holding, on), ""),
        marks=marks.kind_marks(holding.kind),
        write=write,
    )


def _once_opened(holding: Holding, iso: bool) -> str:
    """How long a sealed pack keeps once it is opened, and the date that still bounds it."""
    rule = holding.kind.opened
    if rule is None:
        return ""
    if rule.life == Life():
        return "use at once, keep nothing"
    bound = f", never past {label_date(holding, iso=iso)}" if holding.last_usable_day else ""
    return f"good for {rule.life} once opened{bound}"


def hold_label(holding: Holding, on: date, *, reason: str = "", iso: bool = False) -> LabelText:
    """The label for what is on hold: that it must not be used, why, and who releases it.

    Without a reason there is a line to write it on.
    """
    lot = holding.lot
    dated = f"date {label_date(holding, iso=iso)}" if holding.last_usable_day else ""
    lines = (f"since {day_words(on, iso)}", dated)
    return LabelText(
        code=lot.code,
        short=lot.short,
        title=lot.item.name,
        place=holding.box.name,
        batch=lot.batch,
        lines=tuple(line for line in lines if line),
        caution=_caution_words(holding.kind.cautions),
        banner=ON_HOLD,
        about=reason,
        write=("released by",) if reason else ("why", "released by"),
    )


def last_resort_label(holding: Holding, on: date, *, iso: bool = False) -> LabelText:
    """The label for what is kept past its date on purpose, and never counted as usable."""
    lot, last = holding.lot, holding.last_usable_day
    past = "was good through" if last and last < on else "good through"
    lines = ["only when nothing else is left"]
    if holding.kind.meaning is DateMeaning.SAFETY:
        lines.append("past its safety date: see label and leaflet")
    return LabelText(
        code=lot.code,
        short=lot.short,
        title=lot.item.name,
        date=label_date(holding, iso=iso),
        date_word=past if last else "",
        place=holding.box.name,
        batch=lot.batch,
        lines=tuple(lines),
        caution=_caution_words(holding.kind.cautions),
        opened=day_words(holding.opened_on, iso) or None,
        banner=LAST_RESORT,
    )


def item_label(item: Item, *, place: str = "", keep: int | None = None) -> LabelText:
    """The label of an item for its shelf or bag: its name large, how many belong there.

    ``place`` is the box or shelf that it belongs in, ``keep`` its par level.
    """
    pack = f"packs of {counted(item.pack, item.unit)}" if item.pack > 1 else ""
    level = f"keep {counted(keep, item.unit)}" if keep else ""
    size = "" if item.size.casefold() in item.name.casefold() else item.size
    return LabelText(
        code=item.code,
        short=item.short,
        title=item.name,
        place=place,
        lines=tuple(line for line in (level, pack, size) if line),
        caution=_caution_words(item.kind.cautions),
        marks=marks.kind_marks(item.kind),
    )


def box_label(
    box: Box,
    place: str,
    holdings: int,
    *,
    contents: Sequence[Holding] = (),
    audit_due: date | None = None,
    iso: bool = False,
) -> LabelText:
    """The label of a box: its name large, where it belongs, what and how much is in it.

    ``holdings`` is how many it has, ``contents`` what they are, ``audit_due`` the day by which it
    is to be audited next.
    """
    outer = place.rpartition(" / ")[0]
    count = "1 holding" if holdings == 1 else f"{holdings} holdings"
    due = f"audit due {day_words(audit_due, iso)}" if audit_due else ""
    first_aid = marks.is_first_aid(contents)
    return LabelText(
        code=box.code,
        short=box.short,
        title=box.name,
        place=f"in {outer}" if outer else "",
        lines=tuple(line for line in (count, due, box.climate) if line),
        about=", ".join(_main_things(contents)),
        sign=symbols.FIRST_AID if first_aid else "",
    )


def _main_things(contents: Sequence[Holding]) -> list[str]:
    """The kinds in a box, those with the most holdings first."""
    names = Counter(holding.kind.name for holding in contents)
    return [name for name, _ in sorted(names.items(), key=lambda it: (-it[1], it[0]))]


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


def day_words(day: date | None, iso: bool) -> str:
    """A day in letters or as ISO; "" for none."""
    if day is None:
        return ""
    return day.isoformat() if iso else spoken(day)


def _made(holding: Holding, iso: bool) -> str:
    made = holding.lot.made
    if made is None:
        return ""
    return made.iso if iso and "/" not in made.iso else in_words(made)


def _date_word(holding: Holding) -> str:
    """What the date is: the printed one only where the pack says the same without any doubt."""
    printed = holding.lot.expiry
    if holding.governed_by != PRINTED or printed is None:
        return _SAID.get(holding.governed_by, "")
    if printed.assumed:
        return f"good through (see {holding.lot.short})"
    same = printed.last_usable_day == printed.reading.last_day()
    return "printed date" if same else "good through"


def _caution_words(cautions: Sequence[str]) -> str:
    """At most two cautions."""
    return "; ".join([CAUTION_WORDS[key] for key in cautions if key in CAUTION_WORDS][:2])
