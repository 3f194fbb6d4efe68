"""One way in to every format; each renderer is loaded only when it is asked for."""

from __future__ import annotations

from collections.abc import Iterator

from stockcheck.core.errors import BadInput
from stockcheck.output.report import Report, Stream

FORMATS = ("text", "csv", "json", "pdf", "html")


def render(
    report: Report, fmt: str, *, width: int = 80, colour: bool = False, page: str = "A4"
) -> str | bytes:
    """The complete content of the file, as text or, for ``pdf``, as bytes.

    Text is written as it stands: UTF-8, final newline included, line ends not translated.
    ``width`` and ``colour`` matter to ``text`` alone, ``page`` ("A4" or "Letter") to ``pdf``.
    """
    if fmt == "text":
        from stockcheck.output.text import render_text

        return render_text(report, width=width, colour=colour)
    if fmt == "csv":
        from stockcheck.output.csv_out import render_csv

        return render_csv(report)
    if fmt == "json":
        from stockcheck.output.json_out import render_json

        return render_json(report)
    if fmt == "pdf":
        from stockcheck.output.pdf import render_pdf

        return render_pdf(report, page=page)
    if fmt == "html":
        from stockcheck.output.html import render_html

        return render_html(report)
    raise BadInput(f"format {fmt!r} is not known. Use one of: {', '.join(FORMATS)}")


def chunks(stream: Stream, fmt: str) -> Iterator[bytes]:
    """The content of a CSV or JSON file bit by bit, the same bytes as of a whole report."""
    if fmt == "csv":
        from stockcheck.output.csv_out import csv_chunks

        return (each.encode() for each in csv_chunks(stream))
    from stockcheck.output.json_out import json_chunks

    return (each.encode() for each in json_chunks(stream))
