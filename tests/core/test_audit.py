"""What an audit promises: every unit counted once, the least possible missing, and every finding
with what is behind it. The lists and the stock are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.audit import audit
from stockcheck.core.audit_matching import assign
from stockcheck.core.audit_result import AuditResult, Finding, LineResult
from stockcheck.core.audit_stock import Role
from stockcheck.core.calendar import PartialDate
from stockcheck.core.kit_list import KitList, Line, together
from stockcheck.core.kit_list_fit import fit
from stockcheck.core.kit_list_way import Way
from stockcheck.core.model import (
    Box,
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Item,
    Kind,
    Lot,
    PastDate,
    PrintedExpiry,
    State,
)

ON, HORIZON = date(2027, 3, 1), date(2027, 5, 31)
GOOD, ENDING, OLD = date(2029, 1, 31), date(2027, 4, 30), date(2027, 2, 28)
BOX = Box(1, "0200000019", "first aid")


def kind(key: str, *, has_life: bool = True) -> Kind:
    meaning = DateMeaning.SAFETY if has_life else DateMeaning.NONE
    general, discard = DateContext.GENERAL, PastDate.DISCARD
    return Kind(key, key, "first aid", general, meaning, discard, "", "", Certainty.PRACTICE)


def item(
    number: int,
    key: str = "dressing",
    size: tuple[int | None, int | None] = (None, None),
    *,
    unit: str = "each",
    pack: int = 1,
    name: str = "",
) -> Item:
    return Item(
        id=number,
        code="",
        name=name or f"{key} {number}",
        kind=kind(key),
        unit=unit,
        pack=pack,
        width_mm=size[0],
        length_mm=size[1],
    )


def held(
    number: int,
    what: Item,
    quantity: int,
    until: date | None = GOOD,
    state: State = State.STOCK,
    opened: date | None = None,
) -> Holding:
    printed = PrintedExpiry("", PartialDate(str(until)), until) if until else None
    return Holding(number, Lot(number, "", what, "", printed), BOX, quantity, opened, state, until)


def a_list(*lines: Line) -> KitList:
    return KitList("mine", "My list", "invented", "", "own", "", lines)


def audited(line: Line, *holdings: Holding, horizon: date | None = None) -> LineResult:
    return audit(a_list(line), holdings, ON, horizon=horizon).lines[0]


DRESSING = item(1)
SIX = Line("Dressing", 6, ("dressing",))
PRESENT = Line("Dressing", None, ("dressing",))
SIZED = Line("Dressing", 2, ("dressing",), width_mm=80, length_mm=100)
BIG, SMALL, UNMEASURED = item(2, size=(100, 120)), item(3, size=(100, 70)), item(4, size=(90, None))


@pytest.mark.parametrize(
    ("line", "holdings", "finding", "also"),
    [
        (SIX, [], "missing", []),
        (SIX, [held(1, DRESSING, 6)], "ok", []),
        (SIX, [held(1, DRESSING, 5)], "short", []),
        (SIX, [held(1, DRESSING, 7)], "surplus", []),
        (SIX, [held(1, DRESSING, 9, OLD)], "expired", ["short"]),
        (SIX, [held(1, DRESSING, 9, None)], "undated", ["short"]),
        (SIX, [held(1, DRESSING, 4, OLD), held(2, DRESSING, 2)], "short", ["expired"]),
        (SIX, [held(1, DRESSING, 4, OLD), held(2, DRESSING, 6)], "expired", []),
        (SIX, [held(1, DRESSING, 6, ENDING)], "ends on trip", []),
        (SIX, [held(1, DRESSING, 6), held(2, DRESSING, 2, ENDING)], "surplus", []),
        (SIX, [held(1, DRESSING, 3, ENDING)], "short", ["ends on trip"]),
        (SIX, [held(1, DRESSING, 6, state=State.HELD)], "on hold", ["short"]),
        (SIX, [held(1, DRESSING, 6), held(2, DRESSING, 1, state=State.HELD)], "on hold", []),
        (SIX, [held(1, DRESSING, 5), held(2, DRESSING, 1, state=State.HELD)], "short", ["on hold"]),
        (SIX, [held(1, DRESSING, 6, OLD, State.LAST_RESORT)], "short", []),
        (SIZED, [held(1, SMALL, 2)], "wrong size", ["short"]),
        (SIZED, [held(1, UNMEASURED, 2)], "wrong size", ["short"]),
        (SIZED, [held(1, BIG, 2), held(2, SMALL, 2)], "wrong size", []),
        (PRESENT, [], "missing", []),
        (PRESENT, [held(1, DRESSING, 1)], "ok", []),
        (PRESENT, [held(1, DRESSING, 40)], "ok", []),
        (PRESENT, [held(1, DRESSING, 1, OLD)], "expired", ["short"]),
    ],
)
def test_the_finding_is_what_the_person_must_do_first(
    line: Line, holdings: list[Holding], finding: str, also: list[str]
) -> None:
    result = audited(line, *holdings, horizon=HORIZON)
    assert (str(result.finding), [str(it) for it in result.also]) == (finding, also)


@pytest.mark.parametrize(
    ("line", "what", "quantity", "usable"),
    [
        (Line("Gloves", 2, ("g",), unit="pair"), item(1, "g"), 5, 2),
        (Line("Gloves", 4, ("g",)), item(1, "g", unit="pair"), 2, 4),
        (Line("Gloves", 2, ("g",), unit="pair"), item(1, "g", unit="pair"), 2, 2),
        (Line("Gauze", 5, ("g",), unit="pack", per_pack=3, sterile=True), item(1, "g"), 14, 4),
        (Line("Strips", 1, ("s",), unit="pack", per_pack=50), item(1, "s"), 20, 20),
        (Line("Strips", 1, ("s",), unit="box"), item(1, "s", pack=50), 49, 0),
        (Line("Strips", 1, ("s",), unit="box"), item(1, "s", pack=50), 100, 2),
        (Line("Wash", 118, ("w",), unit="ml"), item(1, "w", unit="ml"), 120, 120),
        (Line("Wash", 118, ("w",), unit="ml"), item(1, "w"), 120, 0),
        (Line("Spray", 1, ("w",)), item(1, "w", unit="ml", pack=50), 40, 0),
        (Line("Spray", 1, ("w",)), item(1, "w", unit="ml", pack=50), 50, 1),
        (Line("Cord", 50, ("c",), unit="ft"), item(1, "c", unit="cm"), 1524, 1524),
        (Line("Tablets", 2, ("t",)), item(1, "t", unit="tablet"), 10, 10),
    ],
)
def test_units_are_whole_units_of_the_list(
    line: Line, what: Item, quantity: int, usable: int
) -> None:
    assert audited(line, held(1, what, quantity)).usable == usable


def test_single_gloves_of_one_item_pair_up_over_lots_but_not_over_items() -> None:
    pairs = Line("Gloves", 3, ("g",), unit="pair")
    medium, large = item(1, "g"), item(2, "g")
    one_item = audited(pairs, held(1, medium, 1), held(2, medium, 3), held(3, medium, 2))
    two_items = audited(pairs, held(1, medium, 3), held(2, large, 3))
    assert (one_item.usable, two_items.usable, two_items.short) == (3, 2, 1)
    assert sum(it.units for it in one_item.holdings) == 3


@pytest.mark.parametrize(
    ("pieces", "packs_short", "pieces_short"), [(26, 0, 0), (25, 0, 1), (9, 2, 0), (0, 2, 6)]
)
def test_packs_and_loose_pieces_of_one_item_are_counted_once_each(
    pieces: int, packs_short: int, pieces_short: int
) -> None:
    packs = Line("Packs", 2, ("dressing",), unit="pack", per_pack=10, sterile=True)
    loose = Line("Pieces", 6, ("dressing",))
    result = audit(a_list(packs, loose), [held(1, DRESSING, pieces)], ON)
    assert [line.short for line in result.lines] == [packs_short, pieces_short]
    assert sum(it.quantity for line in result.lines for it in line.holdings) == pieces


def test_opened_sterile_stock_does_not_count_unless_wrapped_piece_by_piece() -> None:
    sterile = Line("Dressing", 2, ("dressing",), sterile=True)
    opened = held(1, DRESSING, 2, opened=date(2027, 2, 1))
    plain, wrapped = audited(sterile, opened), audited(replace(sterile, wrapped=True), opened)
    assert (plain.short, plain.finding, plain.holdings[0].role) == (2, Finding.SHORT, Role.OPENED)
    assert wrapped.finding is Finding.OK


def test_one_holding_is_split_over_lines_and_never_counted_twice() -> None:
    two = a_list(replace(SIX, name="A", quantity=3), replace(SIX, name="B", quantity=4))
    result = audit(two, [held(1, DRESSING, 5)], ON)
    assert [line.usable for line in result.lines] == [3, 2]
    assert [line.short for line in result.lines] == [0, 2]


def test_a_large_dressing_is_kept_for_the_line_that_no_other_can_serve() -> None:
    lines = a_list(
        Line("Any", 1, ("dressing",)),
        Line("Small", 1, ("dressing",), width_mm=60, length_mm=60),
        Line("Large", 1, ("dressing",), width_mm=100, length_mm=120),
    )
    tiny = item(9, size=(40, 40))
    stock = [held(1, BIG, 1), held(2, item(8, size=(80, 60)), 1), held(3, tiny, 1)]
    result = audit(lines, stock, ON)
    assert [line.holdings[0].holding.id for line in result.lines] == [3, 2, 1]
    assert result.met == 3


def test_stock_that_lasts_goes_where_only_it_can_serve_through_the_horizon() -> None:
    lines = a_list(SIZED, replace(SIX, name="Any", quantity=2))
    stock = [held(1, BIG, 2), held(2, BIG, 2, ENDING)]
    result = audit(lines, stock, ON, horizon=HORIZON)
    assert (result.met, result.met_through) == (2, 1)
    assert sum(line.short_through for line in result.lines) == 2


def test_what_no_line_names_is_not_on_the_list_and_what_does_not_apply_is_told() -> None:
    gel = Line("Gel", 5, ("burn-gel",), unless="running-water")
    stranger, known = held(1, item(1, "rope"), 1), held(2, item(2, "burn-gel"), 5)
    watered = audit(a_list(SIX, gel), [stranger, known], ON, conditions=frozenset({gel.unless}))
    assert watered.not_on_list == (stranger,)
    assert watered.not_applied == (gel,)
    assert [line.line for line in watered.lines] == [SIX]


def test_a_word_tells_apart_things_of_one_kind_and_a_size_sold_by_number() -> None:
    mirror = Line("Mirror", 1, ("tool",), name_words=("mirror",))
    number = Line("Dressing", 1, ("dressing",), size_words=("No. 15", "large"))
    wrench = item(1, "tool", name="Wrench 13 mm")
    assert fit(mirror, wrench) is None
    assert audit(a_list(mirror), [held(1, wrench, 1)], ON).not_on_list
    no_14, no_15 = item(1, name="Dressing no. 14"), item(2, name="Dressing No 15, sterile")
    assert audited(number, held(1, no_14, 1)).finding is Finding.WRONG_SIZE
    assert audited(number, held(1, no_15, 1)).finding is Finding.OK


def test_an_alternative_serves_piece_for_piece_with_a_size_of_its_own() -> None:
    elastic = Way(("elastic",), width_mm=100, length_mm=2000)
    line = Line("Gauze", 3, ("gauze",), width_mm=100, length_mm=5000, ways=(elastic,))
    gauze, short_gauze = item(1, "gauze", (100, 5000)), item(2, "gauze", (100, 2000))
    other = item(3, "elastic", (100, 2000))
    assert audited(line, held(1, gauze, 2), held(2, other, 1)).met
    assert audited(line, held(1, gauze, 2), held(2, short_gauze, 1)).short == 1


@pytest.mark.parametrize(
    ("stock", "verdict"),
    [
        ([held(1, DRESSING, 6), held(2, BIG, 2)], "yes"),
        (
            [held(1, DRESSING, 6, ENDING), held(2, BIG, 2)],
            "yes, but not through 31 MAY 2027: 1 line by then short",
        ),
        ([held(1, DRESSING, 6, OLD)], "no; 1 line missing, 1 line only with expired stock"),
        ([held(1, DRESSING, 5), held(2, BIG, 1)], "no; 2 lines short"),
    ],
)
def test_the_verdict_is_about_that_day_and_certifies_nothing(
    stock: list[Holding], verdict: str
) -> None:
    lines = a_list(SIX, replace(SIZED, kinds=("dressing",)))
    result = audit(lines, stock, ON, horizon=HORIZON)
    assert result.verdict == f"meets the list on that day: {verdict}"


def test_a_line_says_why_in_words_and_figures() -> None:
    result = audited(SIX, held(7, DRESSING, 4, OLD), held(8, DRESSING, 2))
    assert result.why == "asks 6; usable 2; 4 of L7 expired 28 FEB 2027; short 4"
    packs = Line("Gauze", 5, ("dressing",), unit="pack", per_pack=3, sterile=True)
    assert audited(packs, held(1, DRESSING, 12), held(2, DRESSING, 2, opened=OLD)).why == (
        "asks 5 packs of 3; usable 4; 2 loose of L2 opened; short 1"
    )
    assert audited(PRESENT).why == "asked for without a number; none usable"
    wrong = audited(SIZED, held(3, SMALL, 2))
    assert wrong.why == (
        "asks 2; usable 0; 2 of L3 wrong size: 100 x 70 mm is too small; the list asks at least "
        "80 x 100 mm; short 2"
    )


def test_lists_put_together_add_up_line_by_line() -> None:
    both = together([a_list(SIX, SIZED), a_list(replace(SIX, spec="again"), PRESENT)])
    assert [line.quantity for line in both.lines] == [12, 2]


def test_an_empty_holding_is_no_stock() -> None:
    assert audited(SIX, held(1, DRESSING, 0)).finding is Finding.MISSING


@st.composite
def problems(draw: st.DrawFn) -> tuple[list[int], list[int], dict[tuple[int, int], int]]:
    supply = draw(st.lists(st.integers(0, 3), min_size=1, max_size=4))
    need = draw(st.lists(st.integers(0, 3), min_size=1, max_size=4))
    pairs = [(stock, line) for stock in range(len(supply)) for line in range(len(need))]
    ranks = draw(st.dictionaries(st.sampled_from(pairs), st.integers(0, 3)))
    return supply, need, ranks


def most(supply: Sequence[int], need: Sequence[int], pairs: Sequence[tuple[int, int]]) -> int:
    """The most that can be covered, by trying every split of every stock."""

    @cache
    def best(stock: int, wanting: tuple[int, ...]) -> int:
        if stock == len(supply):
            return 0
        splits = {(wanting, supply[stock], 0)}
        for line in (line for which, line in pairs if which == stock):
            splits |= {
                ((*rest[:line], rest[line] - units, *rest[line + 1 :]), left - units, laid + units)
                for rest, left, laid in splits
                for units in range(min(left, rest[line]) + 1)
            }
        return max(laid + best(stock + 1, rest) for rest, _, laid in splits)

    return best(0, tuple(need))


@given(problems())
def test_the_assignment_leaves_no_more_missing_than_trying_everything_would(
    problem: tuple[list[int], list[int], dict[tuple[int, int], int]],
) -> None:
    supply, need, ranks = problem
    flow = assign(supply, need, ranks)
    assert sum(flow.values()) == most(supply, need, sorted(ranks))
    for at, units in enumerate(supply):
        assert sum(laid for (stock, _), laid in flow.items() if stock == at) <= units
    for at, units in enumerate(need):
        assert sum(laid for (_, line), laid in flow.items() if line == at) <= units


SIZES = st.sampled_from([(50, 50), (75, 75), (75, 100), (100, 100), (100, 200)])
DAYS = st.sampled_from([GOOD, ENDING, OLD, None])
STOCK = st.lists(st.tuples(SIZES, st.integers(1, 4), DAYS, st.booleans()), max_size=6)
LINES = st.lists(st.tuples(SIZES, st.integers(1, 4), st.booleans()), min_size=1, max_size=4)


def audit_of(
    lines: Sequence[tuple[tuple[int, int], int, bool]], stock: Sequence[Holding]
) -> AuditResult:
    wanted = [
        Line(f"Line {at}", number, ("dressing",), sterile=sterile, width_mm=w, length_mm=h)
        for at, ((w, h), number, sterile) in enumerate(lines)
    ]
    return audit(a_list(*wanted), stock, ON, horizon=HORIZON)


def holdings_of(
    stock: Sequence[tuple[tuple[int, int], int, date | None, bool]],
) -> list[Holding]:
    return [
        held(at, item(at, size=size), number, until, opened=OLD if opened else None)
        for at, (size, number, until, opened) in enumerate(stock)
    ]


@given(LINES, STOCK, st.data())
def test_the_order_of_entry_never_changes_a_result(
    lines: list[tuple[tuple[int, int], int, bool]],
    stock: list[tuple[tuple[int, int], int, date | None, bool]],
    data: st.DataObject,
) -> None:
    holdings = holdings_of(stock)
    shuffled = data.draw(st.permutations(holdings))
    assert audit_of(lines, holdings) == audit_of(lines, shuffled)


@given(LINES, STOCK)
def test_an_audit_leaves_the_least_missing_on_the_day_and_at_the_horizon(
    lines: list[tuple[tuple[int, int], int, bool]],
    stock: list[tuple[tuple[int, int], int, date | None, bool]],
) -> None:
    holdings = holdings_of(stock)
    result = audit_of(lines, holdings)
    for days, shorts in (
        ((GOOD, ENDING), [line.short for line in result.lines]),
        ((GOOD,), [line.short_through for line in result.lines]),
    ):
        counted = [it for it in holdings if it.last_usable_day in days]
        pairs = [
            (at, line)
            for at, it in enumerate(counted)
            for line, wanted in enumerate(result.lines)
            if not (wanted.line.sterile and it.opened_on)
            and wanted.line.all_ways[0].misfit(it.item) == ""
        ]
        need = [number for _, number, _ in lines]
        assert sum(need) - sum(shorts) == most([it.quantity for it in counted], need, pairs)
    for it in holdings:
        at_lines = [part for line in result.lines for part in line.holdings if part.holding == it]
        assert sum(part.quantity for part in at_lines) == it.quantity
