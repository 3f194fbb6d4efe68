"""GS1 Digital Link: an identification number within a web address. No address is ever opened.

Key qualifiers stand in the path and in their order, everything else in the query (GS1 Digital Link
Standard, URI Syntax). biip takes the address apart; what it lets pass is refused here: a qualifier
in the query, an AI given twice, a number of a length that no GTIN has.
"""

from __future__ import annotations

import re
from datetime import date
from urllib.parse import parse_qsl, urlsplit

from stockcheck.core.gs1_dates import Malformed
from stockcheck.core.gs1_elements import Element, one, together

# The qualifiers of each key, whose place is the path.
_QUALIFIERS = {
    "01": {"22", "10", "21", "235"},
    "8006": {"22", "10", "21"},
    "8010": {"8011"},
    "414": {"254", "7040"},
    "415": {"8020"},
    "417": {"7040"},
    "8017": {"8019"},
    "8018": {"8019"},
    "8004": {"7040"},
}


def linked(address: str, today: date) -> tuple[Element, ...]:
    """The elements of a Digital Link; Malformed when it is another address or breaks a rule."""
    from biip import ParseConfig, ParseError
    from biip.gs1_digital_link_uris import GS1DigitalLinkURI

    try:
        parts = urlsplit(address)
        config = ParseConfig(gs1_element_strings_verify_date=False)
        found = GS1DigitalLinkURI.parse(address, config=config).element_strings
    except (ParseError, ValueError) as error:
        raise Malformed(f"no GS1 Digital Link: {_what(error)}") from error
    if not parts.netloc:
        raise Malformed("no GS1 Digital Link: the address names no host")
    key = found[0].ai.ai
    in_query = [name for name, _ in parse_qsl(parts.query) if re.fullmatch(r"[0-9]+", name)]
    in_path = [each.ai.ai for each in found if each.ai.ai not in in_query]
    _check_key(key, parts.path)
    _check_places(key, in_path, in_query, {each.ai.ai for each in found})
    return together([one(each.ai.ai, each.value, today) for each in found])


def _what(error: Exception) -> str:
    """The library's message, short of what it repeats of the address."""
    text = str(error).rstrip(".")
    return text if len(text) <= 120 else f"{text[:117]}..."


def _check_key(key: str, path: str) -> None:
    """A GTIN may lack its leading zeros, but has one of the lengths of a GTIN."""
    if key != "01":
        return
    stated = path.split("/01/", 1)[-1].split("/", 1)[0]
    if len(stated) not in {8, 12, 13, 14}:
        raise Malformed(f"AI 01: {stated[:20]!r} has a length that no GTIN has")


def _check_places(key: str, in_path: list[str], in_query: list[str], read: set[str]) -> None:
    if "235" in in_path and len(in_path) > 2:
        raise Malformed("AI 235 must be the only qualifier of AI 01")
    for name in in_query:
        if name in _QUALIFIERS.get(key, set()):
            raise Malformed(f"AI {name} belongs in the path of the address, not in its query")
        if name not in read:
            raise Malformed(f"there is no AI {name}")
        if name == key or in_query.count(name) > 1:
            raise Malformed(f"AI {name} stands there twice")
