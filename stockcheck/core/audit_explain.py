"""Why stock stands at the line where an audit laid it, and not at another that it could serve."""

from __future__ import annotations

from collections.abc import Mapping

from stockcheck.core.audit_result import AuditResult, LineResult, Serving
from stockcheck.core.audit_stock import IN_DATE
from stockcheck.core.kit_list_fit import ByHand, fit
from stockcheck.core.words import counted, listed

_NAMED = 3


def explained(result: AuditResult) -> dict[str, tuple[str, ...]]:
    """For each line, by name, what is to be said of its stock; lines without a choice left out.

    Such as ``2 of L12 stand here: 'Large dressing' could take them too, but L3 meets it``, and for
    a short line ``1 of L3 would serve, but stands at 'Large dressing', which asks 1``.
    """
    said = {(it.line, it.item_id): it for it in result.said}
    found = {}
    for line in result.lines:
        words = [*_standing_here(result, line, said), *_standing_elsewhere(result, line, said)]
        if words:
            found[line.line.name] = tuple(words)
    return found


def _standing_here(result: AuditResult, line: LineResult, said: ByHand) -> list[str]:
    words = []
    for it in _counting(line):
        others = [
            other
            for other in result.lines
            if other is not line and not other.line.anything_of_a_group and _could(other, it, said)
        ]
        if others:
            told = [_other_words(other, it) for other in others[:_NAMED]]
            more = len(others) - len(told)
            told += [f"{more} more line{'s' * (more > 1)} could take it too"] if more else []
            words.append(f"{_some(it)} here: {'; '.join(told)}")
    return words


def _other_words(other: LineResult, it: Serving) -> str:
    lots = dict.fromkeys(each.holding.lot.short for each in _counting(other))
    by = [lot for lot in lots if lot != it.holding.lot.short]
    could = f"'{other.line.name}' could take it too"
    if not other.met:
        return f"{could}, and is short {other.short or ''}".rstrip()
    if not by:
        return f"{could}, and has enough of it"
    return f"{could}, but is met by {listed(by)}"


def _standing_elsewhere(result: AuditResult, line: LineResult, said: ByHand) -> list[str]:
    if line.met or line.line.anything_of_a_group:
        return []
    words = []
    for other in result.lines:
        for it in _counting(other) if other is not line else ():
            if _could(line, it, said):
                asks = "it is named" if other.required is None else f"which asks {other.required}"
                words.append(f"{_some(it)} at '{other.line.name}', {asks}")
    return [f"would serve too: {'; '.join(words[:_NAMED])}"] if words else []


def _counting(line: LineResult) -> list[Serving]:
    return [it for it in line.holdings if it.role in IN_DATE and it.quantity]


def _could(line: LineResult, it: Serving, said: ByHand) -> bool:
    item = it.holding.item
    how = fit(line.line, item, said.get((line.line.name, item.id)))
    opened = it.holding.opened_on is not None and line.line.only_unopened
    return how is not None and how.serves and not opened


def _some(it: Serving) -> str:
    amount = counted(it.quantity, it.holding.item.unit)
    return f"{amount} of {it.holding.lot.short}"


def by_item(result: AuditResult) -> Mapping[int, tuple[LineResult, ...]]:
    """The lines at which each item stands, in whatever role, by the id of the item."""
    found: dict[int, list[LineResult]] = {}
    for line in result.lines:
        for item_id in {it.holding.item.id for it in line.holdings}:
            found.setdefault(item_id, []).append(line)
    return {item_id: tuple(lines) for item_id, lines in found.items()}
