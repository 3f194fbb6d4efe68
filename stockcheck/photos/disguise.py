"""What a file really is that is called a picture, by its first bytes."""

from __future__ import annotations

_PICTURES = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*")
_OTHERS = (
    (b"%PDF", "a PDF"),
    (b"SQLite format 3\0", "a store or another database"),
    (b"GIF8", "a GIF"),
    (b"BM", "a bitmap"),
    (b"PK\x03\x04", "a ZIP or office file"),
    (b"\x1f\x8b", "a packed file"),
    (b"7z\xbc\xaf", "a packed file"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
    (b"ID3", "a sound"),
    (b"\x1aE\xdf\xa3", "a film"),
    (b"8BPS", "a drawing program's own file"),
    (b"%!PS", "PostScript"),
)  # as the formats' own descriptions give them; from memory
_HEIF_BRANDS = {b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1"}


def what_it_is(data: bytes) -> str:
    """In words what it is, ``HEIC`` for that; empty where it may well be a picture."""
    if data.startswith(_PICTURES) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP"):
        return ""
    if data[4:8] == b"ftyp":
        return "HEIC" if data[8:12] in _HEIF_BRANDS else "a film or a picture of a newer sort"
    for start, name in _OTHERS:
        if data.startswith(start):
            return name
    return _text(data[:512])


def _text(start: bytes) -> str:
    try:
        text = start.decode("utf-8")
    except UnicodeDecodeError as error:
        if error.start < len(start) - 4 or len(start) < 512:
            return ""
        text = start[: error.start].decode("utf-8")
    if any(char < " " and char not in "\t\n\r\f" for char in text):
        return ""
    if "<svg" in text:
        return "a drawing in SVG"
    return "a web page" if "<html" in text.lower() or "<!doctype" in text.lower() else "text"
