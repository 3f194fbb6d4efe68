"""An HTML file read with the standard library's parser: its nesting, ids, links, and texts."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "br", "input", "link", "img", "hr"}  # HTML Living Standard, 13.1.2 void elements


@dataclass
class Page:
    """What was found. ``wrong`` tells of nesting that does not close as it opened."""

    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    text: str = ""

    def of(self, tag: str) -> list[dict[str, str]]:
        """The attributes of every element of that name."""
        return [attributes for name, attributes in self.tags if name == tag]

    @property
    def ids(self) -> list[str]:
        """Every id, in order."""
        return [attributes["id"] for _, attributes in self.tags if "id" in attributes]

    @property
    def links(self) -> list[str]:
        """Where links lead."""
        return [attributes.get("href", "") for attributes in self.of("a")]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.page.tags.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.page.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.page.wrong.append(f"</{tag}> at {self.getpos()}")

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.page.text += data


def read_page(html: str) -> Page:
    """The page as the parser sees it."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    reader.page.wrong += [f"<{tag}> is never closed" for tag in reader.open]
    return reader.page
