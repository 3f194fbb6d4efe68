"""Pages of worked answers as one self-contained HTML file, for a phone without a network."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape

from stockcheck.output.html import whole_file
from stockcheck.output.html_parts import element, text
from stockcheck.output.prose import CODE, Block, Grid, Heading, Items, Listing, Paragraph, blocks

_STYLE = """
pre{overflow-x:auto;background:var(--field);border-radius:.3rem;padding:.6rem .8rem;
font:.8rem/1.4 ui-monospace,monospace;overflow-wrap:normal}
code{font:.9em ui-monospace,monospace;background:var(--field);border-radius:.2rem;padding:0 .2rem}
pre code{background:none;padding:0;font:inherit}
pre b{color:var(--link)}
"""


def render_pages(pages: Sequence[tuple[str, str]]) -> str:
    """Topics with their Markdown as one file; several begin with their questions as links."""
    titles = [(topic, next(blocks(page))) for topic, page in pages]
    questions = [(topic, it.text) for topic, it in titles if isinstance(it, Heading)]
    several = len(pages) > 1
    title = "Guide: worked answers" if several else questions[0][1]
    head = element("header", element("h1", text(title), id="top")) if several else ""
    contents = _contents(questions) if several else ""
    body = "".join(_page(topic, page, several=several) for topic, page in pages)
    return whole_file(title, head + contents + element("main", body), _STYLE)


def _contents(questions: Iterable[tuple[str, str]]) -> str:
    entries = (
        element("li", element("a", text(question), href=f"#{topic}"))
        for topic, question in questions
    )
    return element("nav", element("ol", "".join(entries)), aria_label="Contents")


def _page(topic: str, page: str, *, several: bool) -> str:
    below = 1 if several else 0
    return element("section", "".join(_block(block, below) for block in blocks(page)), id=topic)


def _block(block: Block, below: int) -> str:
    match block:
        case Heading(level, words):
            return element(f"h{level + below}", _inline(words))
        case Paragraph(words):
            return element("p", _inline(words))
        case Items(texts, numbered):
            entries = "".join(element("li", _inline(words)) for words in texts)
            return element("ol" if numbered else "ul", entries)
        case Grid():
            return _table(block)
        case Listing(_, lines):
            shown = "\n".join(
                element("b", escape(line)) if line.startswith(("$ ", "> ")) else escape(line)
                for line in lines
            )
            return element("pre", element("code", shown), tabindex="0")


def _inline(words: str) -> str:
    """Words as they are, with what stood between backticks as code."""
    return "".join(
        element("code", text(part)) if number % 2 else escape(part)
        for number, part in enumerate(CODE.split(words))
    )


def _table(grid: Grid) -> str:
    """Each row in a body of its own: where the screen is narrow, the style makes cards of them."""
    head = "".join(element("th", _inline(cell), scope="col") for cell in grid.head)
    bodies = (element("tbody", element("tr", "".join(_cells(grid, row)))) for row in grid.rows)
    return element("table", element("thead", element("tr", head)) + "".join(bodies))


def _cells(grid: Grid, row: tuple[str, ...]) -> Iterator[str]:
    yield element("td", element("b", _inline(row[0])))
    for heading, cell in zip(grid.head[1:], row[1:], strict=True):
        yield element("td", element("span", _inline(cell)), data_head=heading)
