"""The timeline in HTML: under each box a line for each holding with its bar, in words as well.

Places along the bars are parts of the width in per cent, so that they suit any screen.
"""

from __future__ import annotations

from itertools import groupby

from stockcheck.core.calendar import spoken
from stockcheck.output.html_parts import Lots, element, paragraphs, text
from stockcheck.output.report import Tone
from stockcheck.output.timeline import Bar, Scale, Timeline, ticks

_MONTH_ROOM, _YEAR_ROOM = 9.0, 12.0  # per cent of a phone's width that a label needs


def timeline(picture: Timeline, lots: Lots) -> str:
    """The whole picture."""
    scale = Scale(picture.start, picture.end, 0.0, 100.0)
    return (
        paragraphs(_sentences(picture), "soft")
        + _axis(picture, scale)
        + "".join(
            element("h3", text(box))
            + element("ol", "".join(_bar(bar, picture, scale, lots) for bar in bars), class_="bars")
            for box, bars in groupby(picture.bars, key=lambda it: it.box)
        )
    )


def _sentences(picture: Timeline) -> list[str]:
    start, end = spoken(picture.start), spoken(picture.end)
    said = [f"Each bar runs from {start} through the last usable day, at most to {end}."]
    if picture.window:
        returns = picture.window.returns
        shaded = f"Shaded: the trip, {spoken(picture.window.departs)} to {spoken(returns)}"
        late = picture.window.horizon > returns
        margin = f", and its margin through {spoken(picture.window.horizon)}" if late else ""
        said.append(f"{shaded}{margin}.")
    if picture.no_limit:
        holdings = "1 holding" if picture.no_limit == 1 else f"{picture.no_limit} holdings"
        is_ = "is" if picture.no_limit == 1 else "are"
        said.append(f"{holdings} without a limit {is_} left out.")
    return said


def _axis(picture: Timeline, scale: Scale) -> str:
    marks = _shade(picture, scale)
    for tick in ticks(scale, _MONTH_ROOM, _YEAR_ROOM):
        marks += f'<line x1="{tick.x:.2f}%" x2="{tick.x:.2f}%" y1="0" y2="100%"/>'
        for words, y in ((tick.year, "40%"), (tick.month, "88%")):
            if words:
                marks += f'<text x="{tick.x + 0.5:.2f}%" y="{y}">{text(words)}</text>'
    return f'<svg class="axis" aria-hidden="true">{marks}</svg>'


def _shade(picture: Timeline, scale: Scale) -> str:
    if picture.window is None:
        return ""
    begin = scale.begin(picture.window.departs)
    wide = scale.finish(picture.window.horizon) - begin
    return f'<rect class="trip" x="{begin:.2f}%" width="{wide:.2f}%" height="100%"/>'


def _bar(bar: Bar, picture: Timeline, scale: Scale, lots: Lots) -> str:
    tone = bar.tone.value if bar.tone in {Tone.BAD, Tone.WARN} else ""
    end = element("span", text(bar.words(picture.start)), class_=f"end {tone}".strip())
    lot = lots.linked(bar.lot)
    drawn = f'<svg aria-hidden="true">{_shade(picture, scale)}{_shape(bar, picture, scale)}</svg>'
    return element("li", f"{end}{text(bar.label)} {lot}{drawn}")


def _shape(bar: Bar, picture: Timeline, scale: Scale) -> str:
    """Full: it lasts; hollow: it ends; dotted: no date, or set aside; a mark: it is past."""
    if bar.expired(picture.start):
        return '<rect class="gone" width="4" height="100%"/>'
    wide = 100.0
    if bar.last_usable_day is not None:
        wide = max(scale.finish(bar.last_usable_day), 1.0)
    sort = "lasts" if bar.tone is Tone.PLAIN else "ends"
    if bar.set_aside or bar.last_usable_day is None:
        sort = "none"
    return f'<rect class="{sort}" y="15%" width="{wide:.2f}%" height="70%"/>'
