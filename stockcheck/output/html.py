"""Reports as one self-contained HTML file: no script, nothing from elsewhere, light and dark.

The file says itself (Content-Security-Policy, W3C CSP Level 3) that nothing but its own style
sheet, known by its SHA-256, may be used.
"""

from __future__ import annotations

from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.output.bundle import Bundle, Cover, Part
from stockcheck.output.cells import clean
from stockcheck.output.html_parts import Lots, Table, cautions, element, paragraphs, text
from stockcheck.output.html_style import STYLE
from stockcheck.output.report import Report, Tone

_UP = '<p class="top"><a href="#top">to the top</a></p>'


def render_html(report: Report) -> str:
    """One report as a whole file."""
    head = element("h1", text(report.title), id="top") + _as_of(report.on, report.store)
    body = element("header", head) + element("main", _report(report, "r", Lots()))
    return whole_file(f"{clean(report.title)}, as of {spoken(report.on)}", body)


def render_bundle(bundle: Bundle) -> str:
    """Several reports as one file: the cover, a list of contents, the parts with their anchors.

    Lots are linked to where they lie, in the part that ``lots_in`` names.
    """
    homes = [part.report for part in bundle.parts if part.key == bundle.lots_in]
    rows = [row for report in homes for row in report.rows]
    lots = Lots(str(row.values["lot"]) for row in rows if row.values.get("lot"))
    body = (
        element("header", _cover(bundle))
        + _contents(bundle)
        + element("main", "".join(_part(part, bundle, lots) for part in bundle.parts))
        + element("footer", paragraphs(bundle.cover.foot))
    )
    return whole_file(f"{clean(bundle.title)}, as of {spoken(bundle.on)}", body)


def whole_file(title: str, body: str, more_style: str = "") -> str:
    """A page around a body, with our style sheet and what is added to it."""
    sheet = STYLE + more_style
    style = _allowed(sheet)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{style}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        '<meta name="referrer" content="no-referrer">\n'
        f"<title>{text(title)}</title>\n<style>{sheet}</style>\n</head>\n"
        f"<body>\n{body}\n</body>\n</html>\n"
    )


def _allowed(style: str) -> str:
    """The policy: nothing at all but this style sheet, by its digest."""
    from base64 import b64encode
    from hashlib import sha256

    digest = b64encode(sha256(style.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def _as_of(day: date, store: str) -> str:
    of_store = f", store {store}" if store else ""
    shown = element("time", spoken(day), datetime=day.isoformat())
    return element("p", f"as of {shown}{text(of_store)}", class_="soft")


def _cover(bundle: Bundle) -> str:
    cover = bundle.cover
    facts = "".join(
        element("dt", text(word)) + element("dd", text(told)) for word, told in cover.facts
    )
    return (
        element("p", text(cover.subtitle), class_="kind")
        + element("h1", text(cover.title), id="top")
        + _as_of(bundle.on, bundle.store)
        + element("dl", facts)
        + _verdict(cover)
    )


def _verdict(cover: Cover) -> str:
    word = element("p", text(cover.verdict), class_="word")
    reasons = "".join(element("li", text(each)) for each in cover.reasons)
    tone = cover.tone.value if cover.tone is not Tone.PLAIN else ""
    return element(
        "section",
        word + element("ul", reasons),
        class_=f"verdict {tone}".strip(),
        aria_label="Verdict",
    )


def _contents(bundle: Bundle) -> str:
    """Links to the parts, and below that which lots are looked up in to each of its headings."""
    entries = []
    for part in bundle.parts:
        link = element("a", text(part.title), href=f"#{part.key}")
        about = part.report.empty if part.empty else part.about
        more = f" {element('span', text(about), class_='soft')}" if about else ""
        inner = _headings(part) if part.key == bundle.lots_in else ""
        entries.append(element("li", link + more + inner))
    heading = element("h2", "Contents", id="contents")
    return element("nav", heading + element("ol", "".join(entries)), aria_labelledby="contents")


def _headings(part: Part) -> str:
    links = "".join(
        element("li", element("a", text(section.heading), href=f"#{part.key}-{number}"))
        for number, section in enumerate(part.report.sections, start=1)
        if section.heading
    )
    return element("ul", links) if links else ""


def _part(part: Part, bundle: Bundle, lots: Lots) -> str:
    heading = element("h2", text(part.title), id=f"{part.key}-h")
    home = part.key == bundle.lots_in
    inside = heading + _report(part.report, part.key, lots, home=home) + _UP
    return element("section", inside, id=part.key, aria_labelledby=f"{part.key}-h")


def _report(report: Report, key: str, lots: Lots, *, home: bool = False) -> str:
    """What stands below a report's title."""
    table = Table(report, lots, home)
    rows = "".join(
        table.section(section, f"{key}-{number}")
        for number, section in enumerate(report.sections, start=1)
    )
    picture = ""
    if report.timeline and report.timeline.bars:
        from stockcheck.output.html_timeline import timeline

        picture = timeline(report.timeline, lots)
    nothing = paragraphs([report.empty]) if not (report.rows or picture) else ""
    return (
        paragraphs(report.facts, "soft")
        + (rows if report.rows else nothing)
        + picture
        + paragraphs(report.totals, "total")
        + cautions(report)
    )
