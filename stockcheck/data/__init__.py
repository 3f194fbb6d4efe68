"""What ships with the tool: kinds, cautions, fonts, and the way to the shipped folders."""

from __future__ import annotations

from pathlib import Path

from stockcheck.core.errors import StockcheckError

_PACKAGE = Path(__file__).parent.parent


def shipped(folder: str) -> Path:
    """The top-level folder ``labels`` or ``demo_db``, in a checkout or an installed wheel alike.

    StockcheckError when neither has it.
    """
    installed = _PACKAGE / "_shipped" / folder
    if installed.is_dir():
        return installed
    checkout = _PACKAGE.parent
    # site-packages may hold somebody else's "labels": only a project's own root counts
    if (checkout / "pyproject.toml").is_file() and (checkout / folder).is_dir():
        return checkout / folder
    raise StockcheckError(
        f"the folder {folder!r} that ships with stockcheck is missing beside {_PACKAGE};"
        " install stockcheck again"
    )


def fonts() -> Path:
    """The folder of the fonts that PDFs embed."""
    return Path(__file__).parent / "fonts"
