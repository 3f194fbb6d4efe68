"""Texts that do harm where they are not looked at, each with what it tries; all invented."""

from __future__ import annotations

import os
import unicodedata

# No way in may keep these: they hide what a name is, or steer whatever shows them.
REFUSED = {
    "right-to-left override": "gauze \u202egnp.exe",
    "isolate": "gauze \u2067abc\u2069",
    "embedding never ended": "gauze \u202b",
    "zero-width space": "gau\u200bze",
    "byte order mark": "gau\ufeffze",
    "joiner between Latin letters": "gau\u200dze",
    "soft hyphen": "gau\u00adze",
    "clears the screen": "gauze \x1b[2J\x1b[H",
    "sets the clipboard": "gauze \x1b]52;c;cm0=\x07",
    "conceals what follows": "gauze \x1b[8m",
    "C1 control sequence": "gauze \x9b2J",
    "backspaces": "gauze\b\b\b\b\bbread",
    "deleted": "gauze\x7f",
    "private use": "gauze \ue000",
    "no character": "gauze \ufffe",
    "tag letters": "gauze \U000e0041",
    "filler that is blank": "gauze \u3164",
}
# These are words like any other: kept as they are, and harmless wherever they come out.
KEPT = {
    "SQL": "gauze'); DROP TABLE holding; --",
    "SQL wildcard": "100% _ gauze",
    "formula": '=HYPERLINK("http://x.invalid","gauze")',
    "formula by +": "+1+cmd|' /C calc'!A0",
    "formula by -": "-2+3 gauze",
    "formula by @": "@SUM(1+1)",
    "full-width formula": "＝1+1",
    "apostrophe": "'=1+1",
    "markup": "<script>alert(1)</script> & <b>gauze",
    "half a tag": "</para><font size=90>",
    "template": "%s %n {0} {x!r} ${HOME} $(id) `id`",
    "path": "../../../elsewhere/gauze",
    "Windows path": "..\\..\\gauze:stream",
    "JSON": '{"a": [1, "\\u202e"]}',
    "CSV": "gauze, \"half; a' quote",
    "right to left": "شاش معقم",
    "joiner of Persian": "نمی\u200cخواهم",
    "family": "kit of \U0001f468\u200d\U0001f469\u200d\U0001f467",
    "combining": "Кре\u0301м для рук",
    "line of Unicode, blanks to us": "gauze\u2028gauze",
    "line ends, blanks to us": "gauze\r\n\tgauze",
    "wide": "滅菌ガーゼ",
}


def tries(usual: int) -> int:
    """How many tries chance gets: so many, and STOCKCHECK_FUZZ times that where it is set."""
    return usual * int(os.environ.get("STOCKCHECK_FUZZ", "1"))


def steers(text: str) -> list[str]:
    """The characters of a text that steer a terminal; line ends, tabs and joiners do not."""
    return [
        char
        for char in text
        if char not in "\n\t\u200c\u200d" and unicodedata.category(char) in {"Cc", "Cf", "Cs"}
    ]
