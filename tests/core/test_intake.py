"""Stock as it comes in: each field's meaning, and each problem with line, column, value, remedy."""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.calendar import PartialDate
from stockcheck.core.errors import BadInput, Problem, UnsureDate
from stockcheck.core.intake import (
    Answers,
    Arrival,
    DateRules,
    Shelves,
    read_day,
    read_expiry,
    read_lines,
    read_made_date,
    read_money,
    read_quantity,
)
from stockcheck.core.model import (
    Box,
    Certainty,
    DateContext,
    DateMeaning,
    Item,
    Kind,
    PastDate,
    PrintedExpiry,
)
from stockcheck.core.planning import Supplier

TODAY = date(2026, 11, 25)
RULES = DateRules(TODAY)
KIND = Kind(
    key="invented-tablet",
    name="Invented tablet",
    group="invented",
    dates=DateContext.GENERAL,
    meaning=DateMeaning.SAFETY,
    past=PastDate.DISCARD,
    disposal="invented",
    source="invented",
    certainty=Certainty.OWN,
)
WATER = Box(3, "2000000034", "Water")
TABLET = Item(17, "3000000172", "water tablet", KIND, unit="tablet", gtins=("09520123000103",))
SHELVES = Shelves.of([WATER], [TABLET], [Supplier(1, "Corner pharmacy")])
GOOD = {"box": "Water", "item": "water tablet", "quantity": "50"}


def problems(rules: DateRules = RULES, **fields: str) -> list[Problem]:
    arrivals, found = read_lines("stock.csv", [(7, {**GOOD, **fields})], SHELVES, rules)
    assert (arrivals == []) == (found != [])
    return found


def arrival(rules: DateRules = RULES, **fields: str) -> Arrival:
    arrivals, found = read_lines("stock.csv", [(7, {**GOOD, **fields})], SHELVES, rules)
    assert found == []
    return arrivals[0]


def test_three_fields_are_enough() -> None:
    there = arrival()
    assert (there.line, there.box, there.item, there.quantity) == (7, WATER, TABLET, 50)
    assert there.opened_on is None
    assert there.facts.item_id == 17
    assert (there.facts.expiry, there.facts.made, there.facts.received_on) == (None, None, None)


def test_every_field_is_understood() -> None:
    there = arrival(
        kind="INVENTED-tablet", unit="Tablet", expiry="EXP 11/2027", made="2025-10",
        opened="2026-11-25", received="today", batch="  W 113 ", gtin="9520123000103",
        supplier="corner PHARMACY", cost="12,40", note="from  the\ttin",
    )  # fmt: skip
    facts = there.facts
    assert there.opened_on == TODAY
    assert facts.expiry is not None
    assert (facts.expiry.text, facts.expiry.reading.iso) == ("EXP 11/2027", "2027-11")
    assert facts.expiry.last_usable_day == date(2027, 11, 30)
    assert (facts.made, facts.made_text) == (PartialDate("2025-10"), "2025-10")
    assert (facts.received_on, facts.batch, facts.gtin) == (TODAY, "W 113", "09520123000103")
    assert (facts.supplier_id, facts.cost_cents, facts.note) == (1, 1240, "from the tin")


@pytest.mark.parametrize("text", ["WATER  tablet", "I17", "i17", "3000000172", "09520123000103"])
def test_an_item_is_meant_by_name_short_form_code_or_makers_code(text: str) -> None:
    assert arrival(item=text).item is TABLET


@pytest.mark.parametrize("text", ["water", "B3", "b3", "2000000034"])
def test_a_box_is_meant_by_name_short_form_or_code(text: str) -> None:
    assert arrival(box=text).box is WATER


WRONG: list[tuple[dict[str, str], str, str, str]] = [
    ({"box": ""}, "box", "is empty", "Write the name of the box"),
    ({"box": "Watr"}, "box", "there is no such box", "Did you mean 'Water'?"),
    ({"box": "Zoo"}, "box", "there is no such box", "Make it first with 'box add'"),
    ({"item": " "}, "item", "is empty", "Write the name of the item"),
    ({"item": "water tblet"}, "item", "there is no such item", "Did you mean 'water tablet'?"),
    ({"supplier": "Corner pharmcy"}, "supplier", "there is no such supplier",
     "Did you mean 'Corner pharmacy'?"),
    ({"unit": "ml"}, "unit", "water tablet is counted in tablet", "Give the number of tablet"),
    ({"kind": "drops"}, "kind", "water tablet is of kind invented-tablet",
     "Change the item, or this line"),
    ({"gtin": "9520123000104"}, "gtin", "is not a GTIN: wrong length or check digit",
     "Look at the digits again, or leave it empty"),
    ({"opened": "2026-11-26"}, "opened", "is after today, 2026-11-25", "Look at the year again"),
    ({"received": "2027-01-01"}, "received", "is after today, 2026-11-25",
     "Look at the year again"),
    ({"received": "01.10.2026"}, "received", "a day is written YYYY-MM-DD, or 'today' or 'unknown'",
     "Write it as 2026-08-31"),
    ({"cost": "12.4.0"}, "cost", "an amount is figures such as 12.40, without a currency sign",
     "Write it as 12.40"),
]  # fmt: skip


@pytest.mark.parametrize(("fields", "field", "what", "remedy"), WRONG)
def test_a_problem_names_line_column_value_and_remedy(
    fields: dict[str, str], field: str, what: str, remedy: str
) -> None:
    assert problems(RULES, **fields) == [
        Problem("stock.csv", 7, field, fields[field], what, remedy)
    ]


@pytest.mark.parametrize("text", ["", "0", "-5", "1e5", "2.5", "1,000", "many", "٣", "99999999"])
def test_a_quantity_is_a_whole_number_of_units(text: str) -> None:
    (found,) = problems(quantity=text)
    assert (found.field, found.value) == ("quantity", text)
    assert found.what == "a quantity is a whole number of units from 1 to 9999999"
    with pytest.raises(BadInput):
        read_quantity(text)


def test_every_problem_of_every_line_is_found_before_anything_is_said() -> None:
    lines = [
        (2, {**GOOD, "quantity": "0", "expiry": "soon", "cost": "-1"}),
        (3, GOOD),
        (5, {"box": "Zoo", "quantity": "1"}),
    ]
    arrivals, found = read_lines("stock.csv", lines, SHELVES, RULES)
    assert [(each.line, each.field) for each in found] == [
        (2, "quantity"), (2, "expiry"), (2, "cost"), (5, "box"), (5, "item"),
    ]  # fmt: skip
    assert [each.line for each in arrivals] == [3]


def test_a_problem_reads_as_a_sentence() -> None:
    assert str(problems(quantity="0")[0]) == (
        "stock.csv, line 7, quantity '0': a quantity is a whole number of units from 1 to 9999999."
        " Write how many units there are"
    )


UNSURE = [
    ("03/04/27", "04 MAR 2027 or 03 APR 2027"),
    ("USE BY 11/2027", "31 OCT 2027 or 30 NOV 2027"),
    ("EXP 2027", "31 DEC 2026 or 31 DEC 2027"),
]


@pytest.mark.parametrize(("text", "readings"), UNSURE)
def test_an_unsure_date_is_a_problem_naming_every_reading(text: str, readings: str) -> None:
    (found,) = problems(expiry=text)
    assert found.what.startswith(f"{text!r} can be read as {readings}")
    assert "--when-unsure earliest" in found.remedy
    assert ("--date-order" in found.remedy) == (text == "03/04/27")  # the others are of one order
    with pytest.raises(UnsureDate):
        read_expiry(text, DateContext.GENERAL, RULES)


@pytest.mark.parametrize(("text", "readings"), UNSURE)
def test_the_earliest_reading_is_taken_on_request_and_noted_on_the_lot(
    text: str, readings: str
) -> None:
    printed = arrival(DateRules(TODAY, when_unsure="earliest"), expiry=text).facts.expiry
    assert printed is not None
    assert printed.assumed == f"unsure, the earliest reading taken: {readings}"
    assert printed.text == text
    assert printed.last_usable_day == read_day_of(readings.partition(" or ")[0])


def read_day_of(spoken: str) -> date:
    day, month, year = spoken.split()
    months = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")
    return date(int(year), months.index(month) + 1, int(day))


def test_an_order_of_figures_decides_and_is_noted_on_the_lot() -> None:
    for order, day in (("dmy", date(2027, 4, 3)), ("mdy", date(2027, 3, 4))):
        printed = arrival(DateRules(TODAY, order=order), expiry="03/04/2027").facts.expiry
        assert printed is not None
        assert printed.last_usable_day == day
        taken = f"its figures taken as {'-'.join(order)}: 04 MAR 2027 or 03 APR 2027"
        assert printed.assumed == taken


def test_an_order_of_figures_that_was_not_needed_is_not_noted() -> None:
    printed = arrival(DateRules(TODAY, order="mdy"), expiry="EXP 11/2027").facts.expiry
    assert printed is not None
    assert printed.assumed == ""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("MFG 03/2025", "that is a made text, not an expiry. Put it into the made date"),
        ("LOT 270311", "that is a batch text, not an expiry. Put it into the batch"),
        ("12M", "that is an opened life text, not an expiry. It counts from the opening"),
        ("soon", "'soon' is not a date that can be read"),
        ("31.02.2027", "'31.02.2027' is not a date that can be read"),
    ],
)
def test_what_is_no_expiry_is_never_taken_for_one(text: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_expiry(text, DateContext.GENERAL, DateRules(TODAY, when_unsure="earliest"))
    assert str(refused.value).startswith(words)


@pytest.mark.parametrize(
    ("field", "text", "remedy"),
    [
        ("expiry", "soon", "leave it empty and put the words into the note"),
        ("expiry", "EXP 2027-02-29", "leave it empty and put the words into the note"),
        ("expiry", "MFG 03/2025", "Put it into the made date"),
        ("expiry", "B/N 270311", "Put it into the batch"),
        ("made", "EXP 11/2027", "Put it into the expiry"),
        ("made", "LOT 270311", "Put it into the batch"),
        ("made", "2027-03", "Look at the pack again"),
    ],
)
def test_each_way_to_fail_has_its_own_remedy(field: str, text: str, remedy: str) -> None:
    (found,) = problems(RULES, **{field: text})
    assert found.field == field
    assert remedy in found.remedy


@pytest.mark.parametrize(
    ("text", "taken", "assumed"),
    [
        ("EXP 06/27", "2027-06", "taken as JUN 2027; as month and day it would be 2027-06-27"),
        ("EXP 13/06/27", "2027-06-13",
         "taken as 13 JUN 2027; another reading lies far in the past: 2013-06-27"),
        ("EXP 09/2059", "2059-09", "taken as SEP 2059; more than 20 years ahead"),
    ],
)  # fmt: skip
def test_a_reading_that_wants_confirming_is_taken_and_noted_on_the_lot(
    text: str, taken: str, assumed: str
) -> None:
    printed = arrival(expiry=text).facts.expiry
    assert printed is not None
    assert (printed.text, printed.reading.iso, printed.assumed) == (text, taken, assumed)


def test_a_day_of_food_without_its_year_is_taken_and_noted() -> None:
    printed = read_expiry("Best before: 23 January", DateContext.FOOD, RULES)
    assert printed is not None
    assert printed.last_usable_day == date(2027, 1, 23)
    assert printed.assumed == (
        "taken as 23 JAN 2027; the year is not printed; the next 23 January taken"
    )


def test_a_made_figure_that_may_be_a_quarter_is_noted_with_its_text() -> None:
    there = arrival(made="3/94")
    assert there.facts.made == PartialDate("1994-03")
    assert there.made_assumed.startswith(
        "taken as MAR 1994; on rubber parts such a figure is a qua"
    )
    assert there.facts.made_text == f"3/94 ({there.made_assumed})"


CONTRADICTORY = [
    ({"made": "2026-08", "received": "2026-07-31"}, "made", "is after the day it was received"),
    ({"made": "2026-08-02", "opened": "2026-08-01"}, "made", "is after the day it was opened"),
    ({"made": "2026-06-01", "expiry": "EXP 05/2026"}, "made", "is after its expiry"),
    ({"opened": "2026-08-01", "received": "2026-08-02"}, "opened",
     "is before the day it was received"),
]  # fmt: skip


@pytest.mark.parametrize(("fields", "field", "what"), CONTRADICTORY)
def test_days_of_one_lot_that_cannot_all_be_true_are_refused(
    fields: dict[str, str], field: str, what: str
) -> None:
    (found,) = problems(RULES, **fields)
    assert (found.field, found.value) == (field, fields[field])
    assert found.what.startswith(what)
    assert found.remedy.startswith("Look at both again")


def test_a_made_month_is_no_later_than_a_day_within_it() -> None:
    there = arrival(made="2026-08", received="2026-08-03", opened="2026-08-03", expiry="08/2026")
    assert there.facts.made == PartialDate("2026-08")


def test_what_somebody_said_of_a_date_stands_in_its_place() -> None:
    said = PrintedExpiry("03/04/27", PartialDate("2027-04-03"), date(2027, 4, 3), "asked")
    line = {**GOOD, "expiry": "03/04/27"}
    (there,), found = read_lines("x", [(1, line)], SHELVES, RULES, Answers(expiry=said))
    assert (found, there.facts.expiry) == ([], said)


def test_no_text_is_no_date() -> None:
    assert read_expiry(" ", DateContext.GENERAL, RULES) is None
    assert read_made_date("", DateContext.GENERAL, RULES) is None


@pytest.mark.parametrize("when_unsure", ["ask", "earliest"])
def test_nothing_was_made_in_the_future(when_unsure: str) -> None:
    rules = DateRules(TODAY, when_unsure=when_unsure)
    with pytest.raises(BadInput, match="2027-03"):
        read_made_date("2027-03", DateContext.GENERAL, rules)


def test_a_thing_made_this_month_was_not_made_in_the_future() -> None:
    assert read_made_date("2026-11", DateContext.GENERAL, RULES) == PartialDate("2026-11")
    assert read_made_date("2026", DateContext.GENERAL, RULES) == PartialDate("2026")


@pytest.mark.parametrize(
    ("text", "cents"),
    [("", None), ("12", 1200), ("12.4", 1240), ("12.40", 1240), ("0,05", 5), ("0", 0),
     ("9999999.99", 999999999)],
)  # fmt: skip
def test_money_is_whole_cents(text: str, cents: int | None) -> None:
    assert read_money(text) == cents


@pytest.mark.parametrize("text", ["12.405", "-3", "€12", "12 EUR", "1.234,56", "1e3", ".5", "٣"])
def test_other_figures_are_no_amount(text: str) -> None:
    with pytest.raises(BadInput, match="an amount is figures such as"):
        read_money(text)


@pytest.mark.parametrize(
    ("text", "day"),
    [("", None), ("Unknown", None), ("TODAY", TODAY), ("2028-02-29", date(2028, 2, 29))],
)
def test_a_day_is_iso_today_or_unknown(text: str, day: date | None) -> None:
    assert read_day(text, TODAY) == day


@pytest.mark.parametrize("text", ["2027-02-29", "2026-11", "2026-W09-1", "yesterday", "2026-1-01"])
def test_other_texts_are_no_day(text: str) -> None:
    with pytest.raises(BadInput, match="a day is written YYYY-MM-DD"):
        read_day(text, TODAY)
