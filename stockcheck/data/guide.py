"""The pages of worked answers that ship: their topics, and where each text lies.

One Markdown file a topic lies under ``guide/``; its first line is the question it answers. Every
figure and every output in them is worked out anew by ``tests/docs/``.
"""

from __future__ import annotations

from pathlib import Path

from stockcheck.core.names import name_key

# In the order in which a person meets the questions in a year.
TOPICS = (
    "dates", "limits", "heat", "counting", "audits", "carry", "buying", "labels", "disposal",
    "keeping", "views",
)  # fmt: skip
# What else a topic may be asked for by: the commands that it is about, and other words for it.
_ALSO = {
    "dates": ("date", "read", "receive", "expiry dates", "printed dates", "best before"),
    "limits": (
        "limit",
        "why",
        "expiry",
        "undated",
        "opened",
        "inspect",
        "decide",
        "status",
        "kind",
        "lot",
        "open",
    ),
    "heat": ("climate", "climates", "whatif", "temperature", "logger"),
    "counting": ("count", "correct", "stocktake", "undo", "history"),
    "audits": ("audit", "round", "kit list", "kit-lists", "first aid"),
    "carry": ("how many", "par", "forecast", "remember", "wanted", "trip"),
    "buying": ("buy", "restock", "order", "purchase", "offers", "offer", "supplier"),
    "labels": ("label", "scan", "codes", "code", "label-stock", "printer", "action-card"),
    "disposal": ("dispose", "clear-out", "write-off", "waste", "last resort"),
    "keeping": ("keep", "backup", "restore", "check", "salvage", "export", "import", "store"),
    "views": ("view", "columns", "sql", "sqlite"),
}
_FOLDER = Path(__file__).parent / "guide"


def page(topic: str) -> str:
    """The Markdown text of a topic's page; FileNotFoundError for anything else."""
    return (_FOLDER / f"{topic}.md").read_text("utf-8")


def question(topic: str) -> str:
    """The question that a topic's page answers: its first line."""
    with (_FOLDER / f"{topic}.md").open(encoding="utf-8") as file:
        return file.readline().removeprefix("# ").strip()


def topic_of(text: str) -> str | None:
    """The topic that a person means by a word, whatever its case; None where there is none."""
    wanted = name_key(text)
    for topic, others in _ALSO.items():
        if wanted == topic or wanted in others:
            return topic
    return None


def words() -> list[str]:
    """Every word by which a topic may be asked for."""
    return [word for topic, others in _ALSO.items() for word in (topic, *others)]
