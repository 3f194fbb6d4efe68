"""GS1 element strings and Digital Links, row by row, and against two libraries by other hands.

Today is 25 November 2026. The rules come from GS1's own Syntax Dictionary and Syntax Engine
(pairing of application identifiers, check digits, which dates may have day 00), the GS1 General
Specifications (7.8 separators, 7.9 check digits, 7.12 century; text for AI 17: day 00 is the last
day of the month), ISO/IEC 15424 (symbology identifiers) and the GS1 Digital Link Standard, URI
Syntax. A row whose string is a published example names its source; the others are made from GS1's
example prefix 950 and were run through biip 5.2.0 and python-stdnum 2.2, which agree unless noted.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

import pytest
from biip import ParseError
from biip.gs1_application_identifiers import GS1ApplicationIdentifier
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from biip.gs1_messages import GS1Message
from stdnum import gs1_128

from stockcheck.core.calendar import PartialDate
from stockcheck.core.gs1 import read_gs1
from stockcheck.core.gs1_dates import Malformed, element_date
from stockcheck.core.gs1_elements import scanned
from stockcheck.core.gs1_link import linked
from stockcheck.core.meaning import Meaning

TODAY = date(2026, 11, 25)
GS = "\x1d"
GTIN = "09506000134352"
T = f"01{GTIN}"


@dataclass(frozen=True)
class Good:
    """A string, what its elements are, and what it means; GTIN is ``GTIN`` unless given."""

    row: int
    string: str
    elements: dict[str, str]
    last: str | None = None
    precision: str | None = None
    batch: str | None = None
    serial: str | None = None
    made: str | None = None
    count: int | None = None
    gtin: str = GTIN
    problem: str = ""
    amounts: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"row {self.row}"


G = {"01": GTIN}
NONE_READ = "no expiry read"
SWALLOWED = "may have swallowed one"
GOOD = [
    Good(1, T, G),
    Good(2, f"{T}17291231", G | {"17": "291231"}, "2029-12-31", "day"),
    Good(3, f"{T}17290200", G | {"17": "290200"}, "2029-02-28", "month"),
    Good(4, f"{T}17280200", G | {"17": "280200"}, "2028-02-29", "month"),
    Good(
        5, f"{T}1729123110ABC123", G | {"17": "291231", "10": "ABC123"}, "2029-12-31", "day",
        batch="ABC123",
    ),
    Good(
        6, f"{T}10ABC123{GS}17291231", G | {"10": "ABC123", "17": "291231"}, "2029-12-31", "day",
        batch="ABC123",
    ),
    Good(
        7, f"{T}10ABC123{GS}1729123121SN0001",
        G | {"10": "ABC123", "17": "291231", "21": "SN0001"}, "2029-12-31", "day",
        batch="ABC123", serial="SN0001",
    ),
    Good(
        8, f"{T}112501311730013110L-42/A", G | {"11": "250131", "17": "300131", "10": "L-42/A"},
        "2030-01-31", "day", batch="L-42/A", made="2025-01-31",
    ),
    Good(9, f"{T}15270630", G | {"15": "270630"}, "2027-06-30", "day", problem="best-before"),
    Good(10, f"{T}16270630", G | {"16": "270630"}, problem=NONE_READ),
    Good(11, f"{T}13240229", G | {"13": "240229"}, problem=NONE_READ),
    Good(
        12, f"0010614141234567890802006141411234523725{GS}10ABC123",
        {"00": "106141412345678908", "02": "00614141123452", "37": "25", "10": "ABC123"},
        batch="ABC123", count=25, gtin="00614141123452", problem=NONE_READ,
    ),
    Good(
        13, f"{T}3012{GS}10LOT9", G | {"30": "12", "10": "LOT9"}, batch="LOT9", count=12,
        problem=NONE_READ,
    ),
    Good(
        14, f"{T}70032705311430{GS}10LOT9", G | {"7003": "2705311430", "10": "LOT9"},
        "2027-05-31", "day", batch="LOT9", problem="only until 14:30",
    ),
    Good(
        15, f"{T}240REF-7{GS}17291231", G | {"240": "REF-7", "17": "291231"}, "2029-12-31", "day"
    ),
    # GS1 Syntax Engine, its own test case
    Good(
        16, "01123123123123338200http://example.com",
        {"01": "12312312312333", "8200": "http://example.com"}, gtin="12312312312333",
    ),
    Good(
        17, "01095201234567883103000195", {"01": "09520123456788", "3103": "000195"},
        gtin="09520123456788", amounts={"3103": "0.195"},
    ),
    Good(
        18, f"{T}10ABC123{GS}17291231{GS}", G | {"10": "ABC123", "17": "291231"}, "2029-12-31",
        "day", batch="ABC123",
    ),
    Good(
        19, f"{T}17291231{GS}10ABC123", G | {"17": "291231", "10": "ABC123"}, "2029-12-31", "day",
        batch="ABC123",
    ),
    Good(
        20, "010061414112345217291231", {"01": "00614141123452", "17": "291231"}, "2029-12-31",
        "day", gtin="00614141123452",
    ),
    Good(
        21, "010000009501234617291231", {"01": "00000095012346", "17": "291231"}, "2029-12-31",
        "day", gtin="00000095012346",
    ),
    Good(
        22, f"{T}10ABCDEFGHIJKLMNOPQRST{GS}17291231",
        G | {"10": "ABCDEFGHIJKLMNOPQRST", "17": "291231"}, "2029-12-31", "day",
        batch="ABCDEFGHIJKLMNOPQRST",
    ),
    Good(23, f"{T}1017291231", G | {"10": "17291231"}, batch="17291231", problem=SWALLOWED),
    Good(24, f"{T}100017", G | {"10": "0017"}, batch="0017", problem=NONE_READ),
    Good(
        25, f"{T}1729123110A1{GS}21S1{GS}712123456",
        G | {"17": "291231", "10": "A1", "21": "S1", "712": "123456"}, "2029-12-31", "day",
        batch="A1", serial="S1",
    ),
    Good(26, f"{T}17760101", G | {"17": "760101"}, "2076-01-01", "day", problem="years ahead"),
    Good(27, f"{T}17770101", G | {"17": "770101"}, "1977-01-01", "day", problem="years back"),
    Good(28, f"{T}11990630", G | {"11": "990630"}, made="1999-06-30", problem=NONE_READ),
    Good(29, f"{T}17000229", G | {"17": "000229"}, "2000-02-29", "day", problem="years back"),
    Good(
        30, f"{T}10a-b_c.d/e{GS}17291231", G | {"10": "a-b_c.d/e", "17": "291231"}, "2029-12-31",
        "day", batch="a-b_c.d/e",
    ),
]  # fmt: skip
IDS = [str(case) for case in GOOD]


def _meaning(string: str) -> Meaning:
    found = read_gs1(string, TODAY)
    assert found is not None, f"{string!r} was not taken for a GS1 string"
    return found


@pytest.mark.parametrize("case", GOOD, ids=IDS)
def test_a_published_case_is_taken_apart_as_stated(case: Good) -> None:
    found = scanned(case.string, TODAY)
    assert {each.ai: each.value for each in found} == case.elements
    assert {each.ai: each.amount for each in found if each.amount} == case.amounts


@pytest.mark.parametrize("case", GOOD, ids=IDS)
def test_a_published_case_means_what_is_stated(case: Good) -> None:
    found = _meaning(case.string)
    stated = Meaning(
        case.string, "gs1",
        last_usable_day=date.fromisoformat(case.last) if case.last else None,
        precision=case.precision, gtin=case.gtin, batch=case.batch, serial=case.serial,
        made_on=PartialDate(case.made) if case.made else None, count=case.count,
        problem=found.problem, why=found.why,
    )  # fmt: skip
    assert found == stated
    assert case.problem in (found.problem or "")
    assert bool(case.problem) == bool(found.problem)


@pytest.mark.parametrize("case", GOOD, ids=IDS)
def test_biip_takes_a_published_case_apart_in_the_same_way(case: Good) -> None:
    theirs = GS1Message.parse(case.string).element_strings
    assert [(each.ai.ai, each.value) for each in theirs] == list(case.elements.items())


def _plain(value: object) -> object:
    """A value of python-stdnum as text: dates as days, other values as they are written."""
    if isinstance(value, dt.datetime):
        return value.date()
    return value if isinstance(value, date) else str(value)


def _ours(ai: str, value: str, amount: str) -> object:
    when = element_date(ai, value, TODAY)
    return when.last_day() if when else amount or value


@pytest.mark.parametrize("case", GOOD, ids=IDS)
def test_python_stdnum_reads_a_published_case_in_the_same_way(case: Good) -> None:
    """Except row 26: it puts year 76 in the last century, against GenSpecs 7.12."""
    theirs = {ai: _plain(value) for ai, value in gs1_128.info(case.string, separator=GS).items()}
    ours = {
        each.ai: _ours(each.ai, each.value, each.amount) for each in scanned(case.string, TODAY)
    }
    if case.row == 26:
        assert (theirs.pop("17"), ours.pop("17")) == (date(1976, 1, 1), date(2076, 1, 1))
    assert ours == theirs


MALFORMED = [
    (1, "0109506000134353", "check digit"),
    (2, f"{T}17291331", "no day 2029-13-31"),
    (2, f"{T}17000000", "no day 2000-00"),
    (2, f"{T}17290631", "no day 2029-06-31"),
    (2, f"{T}17291232", "no day 2029-12-32"),
    (2, f"{T}17270229", "no day 2027-02-29"),
    (2, f"{T}70032705312400", "no time 24:00"),
    (4, "01950600013435217291231", "check digit"),
    (5, f"{T}10ABCDEFGHIJKLMNOPQRSTU", "cannot hold"),
    (5, f"{T}30123456789", "cannot hold"),
    (6, f"{T}0512345", "assigned"),
    (6, f"{T}18291231", "assigned"),
    (6, f"{T}1729I231", "cannot hold"),
    (7, f"{T}172912", "cannot hold"),
    (8, f"{T}70032705001430", "must name a day"),
    (9, f"{T}10AB C", "not in the set"),
    (9, f"{T}10AB#C", "cannot hold"),
    (10, f"{T}10{GS}17291231", "cannot hold ''"),
    (11, "]C1(01)09506000134352(17)291231", "never scanned"),
    (12, f"{T}0209506000134352", "must not stand beside"),
    (14, f"{T}1729123117281231", "twice"),
]


@pytest.mark.parametrize(
    ("row", "string", "problem"), MALFORMED, ids=[f"row {row}: {s}" for row, s, _ in MALFORMED]
)
def test_a_malformed_string_is_refused_with_the_rule(row: int, string: str, problem: str) -> None:
    found = _meaning(string)
    assert (found.type, found.settled) == ("unknown", False), row
    assert problem in (found.problem or "")
    assert found == Meaning(string, "unknown", problem=found.problem)


def test_a_lost_separator_cannot_be_seen_but_the_missing_expiry_is_told() -> None:
    """Row 3: a legal string whose batch has swallowed the expiry."""
    found = _meaning(f"{T}10ABC12317291231")
    assert (found.type, found.batch, found.last_usable_day) == ("gs1", "ABC12317291231", None)
    assert found.problem is not None
    assert found.problem.startswith("no expiry read")


def test_an_expiry_standing_alone_is_read_but_called_incomplete() -> None:
    """Row 13: AI 17 needs AI 01 or another number of goods."""
    found = _meaning("17291231")
    assert (found.type, found.last_usable_day) == ("gs1", date(2029, 12, 31))
    assert (found.problem or "").startswith("incomplete: AI 17")


@pytest.mark.parametrize(
    ("today", "figures", "last"),
    [
        ("2026-11-25", "770101", "1977-01-01"),
        ("2026-11-25", "760101", "2076-01-01"),
        ("2030-01-01", "770101", "2077-01-01"),
        ("2049-12-31", "990101", "2099-01-01"),
        ("2050-01-01", "000101", "2100-01-01"),
        ("2099-06-01", "490101", "2149-01-01"),
    ],
)
def test_the_century_goes_by_today_and_not_by_the_clock(
    today: str, figures: str, last: str
) -> None:
    found = read_gs1(f"{T}17{figures}", date.fromisoformat(today))
    assert found is not None
    assert found.last_usable_day == date.fromisoformat(last)


def test_29_february_of_2100_is_no_day() -> None:
    found = read_gs1(f"{T}17000229", date(2060, 1, 1))
    assert found is not None
    assert "no day 2100-02-29" in (found.problem or "")


LINKS = [  # marked: examples of the GS1 Digital Link specification, in GS1's own test cases
    ("https://id.gs1.org/01/09520123456788", {"01": "09520123456788"}, "spec"),
    ("https://id.gs1.org/01/09520123456788/22/2A", {"01": "09520123456788", "22": "2A"}, "spec"),
    (
        "https://id.gs1.org/01/09520123456788/10/ABC1/21/12345?17=180426",
        {"01": "09520123456788", "10": "ABC1", "21": "12345", "17": "180426"}, "spec",
    ),
    (
        "https://brand.example.com/some-extra/pathinfo/01/9520123456788",
        {"01": "09520123456788"}, "spec",
    ),
    (
        "https://example.com/01/09520123456788?3103=000195&3922=0299&17=201225",
        {"01": "09520123456788", "3103": "000195", "3922": "0299", "17": "201225"}, "spec",
    ),
    (
        "https://id.gs1.org/00/952012345678912345?02=09520123456788&37=25&10=ABC123",
        {"00": "952012345678912345", "02": "09520123456788", "37": "25", "10": "ABC123"}, "spec",
    ),
    (
        "https://id.gs1.org/414/9520123456788/254/32a%2Fb",
        {"414": "9520123456788", "254": "32a/b"}, "spec",
    ),
    (
        "https://example.com/01/12312312312333/22/ABC%2d123?99=ABC&98=XYZ%2f987",
        {"01": "12312312312333", "22": "ABC-123", "99": "ABC", "98": "XYZ/987"},
        "GS1 Syntax Engine",
    ),
    (
        "https://example.com/01/09520123456788?linkType=all&17=291200#top",
        {"01": "09520123456788", "17": "291200"}, "made: other keys and the fragment are ignored",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("address", "elements", "source"), LINKS)
def test_a_digital_link_is_taken_apart_as_published_and_as_biip_does(
    address: str, elements: dict[str, str], source: str
) -> None:
    ours = {each.ai: each.value for each in linked(address, TODAY)}
    theirs = GS1DigitalLinkURI.parse(address).element_strings
    assert ours == elements == {each.ai.ai: each.value for each in theirs}, source
    assert read_gs1(f"]Q1{address}", TODAY) is not None


def test_the_dates_of_a_digital_link_are_read_from_its_query() -> None:
    found = _meaning("https://id.gs1.org/01/09520123456788/10/ABC1/21/12345?17=180426")
    assert (found.last_usable_day, found.batch, found.serial, found.gtin) == (
        date(2018, 4, 26), "ABC1", "12345", "09520123456788",
    )  # fmt: skip
    assert _meaning("https://example.com/01/09520123456788?17=201225").last_usable_day == date(
        2020, 12, 25
    )
    (weight,) = [
        each for each in linked("https://example.com/01/09520123456788?3103=000195", TODAY)
        if each.amount
    ]  # fmt: skip
    assert Decimal(weight.amount) == Decimal("0.195")


@pytest.mark.parametrize(
    ("tail", "problem"),
    [
        ("01/09520123456788?10=ABC123", "AI 10 belongs in the path"),
        ("01/09520123456788/21/12345/10/ABC", "no GS1 Digital Link"),
        ("01/09520123456788/17/180426", "no GS1 Digital Link"),
        ("01/09520123456788/10/ABC123?10=ABC123", "AI 10 belongs in the path"),
        ("01/09520123456789", "check digit"),
        ("01/09520123456788?17=180426&17=190426", "twice"),
        ("01/09520123456788?18=180426", "there is no AI 18"),
        ("01/09520123456788?17=180431", "no day 2018-04-31"),
        ("01/0000000000009520123456788", "no GS1 Digital Link"),
        ("01/17", "length"),
        ("01/09520123456788/10/ABC/235/X1", "only qualifier"),
        ("about/us", "no GS1 Digital Link"),
    ],
)
def test_a_digital_link_that_breaks_a_rule_is_refused(tail: str, problem: str) -> None:
    with pytest.raises(Malformed, match=problem):
        linked(f"https://id.gs1.org/{tail}", TODAY)


PREDEFINED = {*(f"{n:02d}" for n in (0, 1, 2, 3, 4, *range(11, 21), *range(31, 37), 41))}


def _assigned(figures: str) -> GS1ApplicationIdentifier | None:
    try:
        return GS1ApplicationIdentifier.extract(figures)
    except ParseError:
        return None


def test_biip_asks_for_a_separator_after_all_but_the_predefined_lengths() -> None:
    """GS1 General Specifications, figure 7.8.4-2; strings are split by this flag of the table."""
    table = {each for number in range(10_000) if (each := _assigned(f"{number:04d}"))}
    assert len(table) > 400
    wrong = [each.ai for each in table if each.separator_required is (each.ai[:2] in PREDEFINED)]
    assert wrong == []
