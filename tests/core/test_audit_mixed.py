"""Lines that count one thing by different measures: whole packs, pairs, single pieces.

The least possible is missing, counted in pieces, as trying everything shows. All is invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from given_kit import FAR, KIT, kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.audit_mixed import MOST_WAYS, Sharing, groups_with_mixed, shared_out
from stockcheck.core.audit_result import AuditResult
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.model import Holding, Item, Lot

WIDTHS = st.sampled_from([50, 75, 100])
SINGLE = st.tuples(st.just("each"), st.integers(1, 4), st.just(0), WIDTHS)
PACKS = st.tuples(st.just("pack"), st.integers(1, 2), st.sampled_from([2, 3]), WIDTHS)
LINES = st.lists(st.one_of(SINGLE, PACKS), min_size=1, max_size=3)
STOCK = st.lists(st.tuples(st.sampled_from([50, 75, 100, 120]), st.integers(1, 7)), max_size=3)
Wanted = tuple[str, int, int, int]


def held(stock: Sequence[tuple[int, int]]) -> list[Holding]:
    found = []
    for at, (width, quantity) in enumerate(stock):
        pad = Item(at, "", f"pad {at}", kit_kind("pad"), width_mm=width)
        found.append(Holding(at, Lot(at, "", pad), KIT, quantity, last_usable_day=FAR))
    return found


def audit_of(lines: Sequence[Wanted], stock: Sequence[Holding]) -> AuditResult:
    asked = [
        Line(f"line {at}", number, ("pad",), unit, per_pack=per or None, sterile=True, width_mm=w)
        for at, (unit, number, per, w) in enumerate(lines)
    ]
    return audit(KitList("mine", "Mine", "", "", "own", "", tuple(asked)), stock, FAR)


def least_missing(lines: Sequence[Wanted], stock: Sequence[tuple[int, int]]) -> int:
    """In pieces, by trying every way of giving every holding away."""

    @cache
    def best(at: int, need: tuple[int, ...]) -> int:
        if at == len(stock):
            return sum(n * (per or 1) for n, (_, _, per, _) in zip(need, lines, strict=True))
        width, quantity = stock[at]
        ways = [
            range(n + 1) if width >= w else (0,)
            for n, (_, _, _, w) in zip(need, lines, strict=True)
        ]
        return min(
            best(at + 1, tuple(n - g for n, g in zip(need, given, strict=True)))
            for given in product(*ways)
            if sum(g * (per or 1) for g, (_, _, per, _) in zip(given, lines, strict=True))
            <= quantity
        )

    return best(0, tuple(number for _, number, _, _ in lines))


@given(LINES, STOCK)
def test_packs_and_pieces_leave_the_least_missing(
    lines: list[Wanted], stock: list[tuple[int, int]]
) -> None:
    result = audit_of(lines, held(stock))
    missing = sum(line.short * (line.line.per_pack or 1) for line in result.lines)
    assert missing == least_missing(lines, stock)


@given(LINES, STOCK, st.data())
def test_packs_and_pieces_are_counted_once_whatever_the_order(
    lines: list[Wanted], stock: list[tuple[int, int]], data: st.DataObject
) -> None:
    there = held(stock)
    result = audit_of(lines, there)
    assert audit_of(lines, data.draw(st.permutations(there))) == result
    for it in there:
        at_lines = [s for line in result.lines for s in line.holdings if s.holding == it]
        assert sum(s.quantity for s in at_lines) in {0, it.quantity}


@given(st.integers(0, 9), st.integers(1, 4), st.integers(1, 4))
def test_single_gloves_serve_pairs_and_singles(gloves: int, pairs: int, singles: int) -> None:
    """DIN asks single gloves, others pairs: the least is missing in gloves."""
    kind, lot = kit_kind("gloves"), Lot(1, "", Item(1, "", "glove", kit_kind("gloves")))
    lines = (
        Line("Pairs", pairs, (kind.key,), unit="pair"),
        Line("Singles", singles, (kind.key,)),
    )
    stock = [Holding(1, lot, KIT, gloves, last_usable_day=FAR)] if gloves else []
    result = audit(KitList("mine", "Mine", "", "", "own", "", lines), stock, FAR)
    missing = result.lines[0].short * 2 + result.lines[1].short
    assert missing == max(0, pairs * 2 + singles - gloves)


def test_stock_is_grouped_with_what_shares_its_lines_where_any_is_mixed() -> None:
    def sharing(*lines: tuple[int, int]) -> Sharing:
        return Sharing(9, {line: (0, measure) for line, measure in lines}, {})

    stock = {
        0: sharing((0, 3), (1, 1)),
        1: sharing((1, 1), (2, 1)),
        2: sharing((2, 1)),
        3: sharing((3, 1), (4, 1)),
        4: sharing((5, 10)),
    }
    assert groups_with_mixed(stock) == [(0, 1, 2)]


def test_where_there_are_too_many_ways_to_try_packs_are_given_first() -> None:
    stock = {
        at: Sharing(
            100,
            {line: (0, 2 if line < 9 else 1) for line in range(10)},
            dict.fromkeys(range(10), 50),
        )
        for at in range(3)
    }
    need = dict.fromkeys(range(10), 5)
    assert MOST_WAYS < 6 ** (3 * 9)
    flow = shared_out(stock, need, dict.fromkeys(range(10), 1))
    assert {line: sum(u for (_, to), u in flow.items() if to == line) for line in need} == need
