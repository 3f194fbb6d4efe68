"""Reading a logger's export, row by row."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from stockcheck.core.errors import BadInput, Problem
from stockcheck.core.log_reading import (
    MOST_PROBLEMS,
    LogColumns,
    LogRead,
    Scale,
    find_columns,
    read_log,
    scale_in,
)
from stockcheck.core.log_time import DateOrder, Trouble, read_time
from stockcheck.core.temperature_log import Gap, Reading

CELSIUS = LogColumns("Time", "Temp", scale=Scale.CELSIUS)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


def read(
    *rows: tuple[str, str],
    columns: LogColumns = CELSIUS,
    order: DateOrder | None = None,
    offset: timedelta | None = None,
) -> LogRead:
    table = [(line, {"Time": time, "Temp": temp}) for line, (time, temp) in enumerate(rows, 2)]
    return read_log(table, columns, file="bed.csv", order=order, offset=offset)


TIMES = [
    ("2027-05-31 14:30", None, "2027-05-31T14:30"),
    ("2027-05-31T14:30:05", None, "2027-05-31T14:30:05"),
    ("2027-05-31T14:30Z", None, "2027-05-31T14:30+00:00"),
    ("2027-05-31 14:30:00+0930", None, "2027-05-31T14:30+09:30"),
    ("2027/05/31 14:30", None, "2027-05-31T14:30"),
    ("2027/5/3 4:05", None, "2027-05-03T04:05"),
    ("31/05/2027 14:30", DateOrder.DMY, "2027-05-31T14:30"),
    ("03/04/2027 14:30", DateOrder.DMY, "2027-04-03T14:30"),
    ("03/04/2027 14:30", DateOrder.MDY, "2027-03-04T14:30"),
    ("31.05.27 14.30.05", DateOrder.DMY, "2027-05-31T14:30:05"),
    ("5/31/2027, 2:30:00 PM", DateOrder.MDY, "2027-05-31T14:30"),
    ("5/31/2027 12:05 a.m.", DateOrder.MDY, "2027-05-31T00:05"),
    ("31-05-2027 14:30:00.250 UTC", DateOrder.DMY, "2027-05-31T14:30+00:00"),
    ("31-05-2027 14:30 -07:00", DateOrder.DMY, "2027-05-31T14:30-07:00"),
    ("29/02/2028 00:00", DateOrder.DMY, "2028-02-29T00:00"),
]


@pytest.mark.parametrize(("text", "order", "time"), TIMES)
def test_times_are_read_as_loggers_write_them(
    text: str, order: DateOrder | None, time: str
) -> None:
    assert read_time(text, order) == at(time)


@pytest.mark.parametrize(
    ("text", "order", "what"),
    [
        ("yesterday", None, "it is no time"),
        ("", None, "it is no time"),
        ("03/04/2027 14:30", None, "which figure is the day and which the month is not told"),
        ("31/05/2027 14:30", None, "which figure is the day and which the month is not told"),
        ("31/05/2027 14:30", DateOrder.MDY, "there is no such day in the order mdy"),
        ("29/02/2027 14:30", DateOrder.DMY, "there is no such day in the order dmy"),
        ("31/05/2027 14:30", DateOrder.YMD, "it is no date in the order ymd"),
        ("31/05/2027 half past two", DateOrder.DMY, "its clock cannot be read"),
        ("31/05/2027 25:30", DateOrder.DMY, "there is no such time of day"),
        ("31/05/2027 14:30 PM", DateOrder.DMY, "there is no hour 14 pm"),
        ("31/05/2027 14:30 +99:00", DateOrder.DMY, "there is no zone +99:00"),
        ("2027-05-31T14:30 CET", None, "its clock cannot be read"),
    ],
)
def test_a_time_that_is_not_clear_is_told_and_never_guessed(
    text: str, order: DateOrder | None, what: str
) -> None:
    found = read_time(text, order)
    assert isinstance(found, Trouble)
    assert found.what == what


@pytest.mark.parametrize(
    ("cell", "celsius"),
    [
        ("31.5", 31.5),
        ("31,5", 31.5),
        ("-4", -4.0),
        ("−4,25", -4.25),
        ("31.5 °C", 31.5),
        ("31.5C", 31.5),
        ("104 °F", 40.0),
        ("104F", 40.0),
    ],
)
def test_a_value_may_have_a_decimal_comma_or_name_its_scale(cell: str, celsius: float) -> None:
    (reading,) = read(("2027-06-01 12:00", cell)).readings
    assert reading.celsius == pytest.approx(celsius)


@pytest.mark.parametrize(
    ("heading", "scale"),
    [
        ("Temperature (°C)", "C"),
        ("Temp °F", "F"),
        ("Temperature [F]", "F"),
        ("temp_c", "C"),
        ("Celsius(°C)", "C"),
        ("Fahrenheit", "F"),
        ("Temp deg C", "C"),
        ("F", "F"),
        ("Temperature", None),
        ("Channel 1 temp", None),
    ],
)
def test_a_heading_may_name_the_scale(heading: str, scale: str | None) -> None:
    assert scale_in(heading) == scale


COLUMNS = [
    (["Time", "Temperature (°C)"], LogColumns("Time", "Temperature (°C)", scale=Scale.CELSIUS)),
    (["No.", "Date/Time", "Temp °F"], LogColumns("Date/Time", "Temp °F", scale=Scale.FAHRENHEIT)),
    (["Date", "Time", "temp_c"], LogColumns("Time", "temp_c", date="Date", scale=Scale.CELSIUS)),
    (["timestamp", "temperature", "unit"], LogColumns("timestamp", "temperature", unit="unit")),
    (
        ["Time(dd/mm/yyyy)", "Celsius(°C)", "Humidity(%rh)", "Dew Point temp(°C)"],
        LogColumns("Time(dd/mm/yyyy)", "Celsius(°C)", scale=Scale.CELSIUS),
    ),
]


@pytest.mark.parametrize(("headings", "columns"), COLUMNS)
def test_columns_are_found_by_their_headings(headings: list[str], columns: LogColumns) -> None:
    assert find_columns(headings) == columns


def test_a_told_column_beats_a_found_one() -> None:
    headings = ["When", "Probe 1", "Probe 2 temp"]
    told = {"time": "When", "temperature": "Probe 1"}
    assert find_columns(headings, told, Scale.CELSIUS) == LogColumns(
        "When", "Probe 1", scale=Scale.CELSIUS
    )


@pytest.mark.parametrize(
    ("headings", "told", "message"),
    [
        (["a", "temp"], {}, "the column of the time: no heading says so. Name it, as time=HEADING"),
        (["time", "temp 1", "temp 2"], {}, "several could be it: temp 1, temp 2"),
        (["time", "temp"], {"time": "when"}, "there is no heading 'when'"),
        (["time", "temp"], {"colour": "time"}, "'colour' is nothing that a log holds"),
    ],
)
def test_a_column_that_is_not_clear_is_asked_for(
    headings: list[str], told: dict[str, str], message: str
) -> None:
    with pytest.raises(BadInput, match=message):
        find_columns(headings, told)


def test_rows_come_back_in_order_of_time_with_doubles_blanks_and_gaps_told() -> None:
    found = read(
        ("2027-06-01 14:00", "41"),
        ("2027-06-01 12:00", "38"),
        ("2027-06-01 12:00", "38"),
        ("2027-06-01 13:00", ""),
        ("2027-06-01 20:00", "33"),
    )
    times = [at(f"2027-06-01 {hour}:00") for hour in (12, 14, 20)]
    assert found == LogRead(
        readings=tuple(Reading(*it) for it in zip(times, (38.0, 41.0, 33.0), strict=True)),
        problems=(),
        gaps=(Gap(times[1], times[2]),),
        duplicates=1,
        conflicts=0,
        blanks=1,
        offset=None,
    )


def test_zoned_times_are_shown_at_the_first_rows_offset_so_that_summer_time_loses_no_hour() -> None:
    found = read(("2027-10-31T02:30+02:00", "20"), ("2027-10-31T02:30+01:00", "21"))
    assert [it.at for it in found.readings] == [at("2027-10-31 02:30"), at("2027-10-31 03:30")]
    assert found.offset == timedelta(hours=2)


def test_zoned_times_are_shown_at_the_offset_that_was_asked_for() -> None:
    found = read(("2027-06-01T22:30Z", "20"), offset=timedelta(hours=9, minutes=30))
    assert found.readings[0].at == at("2027-06-02 08:00")


def test_a_row_with_a_zone_among_rows_without_is_a_problem_of_its_line() -> None:
    found = read(("2027-06-01 12:00", "30"), ("2027-06-01T13:00Z", "31"))
    (problem,) = found.problems
    assert str(problem) == (
        "bed.csv, line 3, Time '2027-06-01T13:00Z': it has a zone, unlike the rows before it. "
        "Give every time its zone, or none."
    )


@pytest.mark.parametrize("cell", ["err", "--", "nan", "1,234.5", "-127", "999"])
def test_a_sensors_error_is_a_problem_and_no_reading(cell: str) -> None:
    found = read(("2027-06-01 12:00", cell))
    assert found.readings == ()
    assert [(it.line, it.field, it.value) for it in found.problems] == [(2, "Temp", cell)]


def test_a_unit_column_decides_row_by_row() -> None:
    rows = [
        (2, {"Time": "2027-06-01 12:00", "Temp": "104", "Unit": "F"}),
        (3, {"Time": "2027-06-01 13:00", "Temp": "40", "Unit": "°C"}),
        (4, {"Time": "2027-06-01 14:00", "Temp": "313", "Unit": "K"}),
    ]
    found = read_log(rows, LogColumns("Time", "Temp", unit="Unit"), file="bed.csv")
    assert [it.celsius for it in found.readings] == pytest.approx([40.0, 40.0])
    assert [it.what for it in found.problems] == ["its unit 'K' is neither C nor F"]


def test_date_and_clock_in_columns_of_their_own_are_put_together() -> None:
    rows = [(2, {"Date": "31/05/2027", "Time": "2:30 PM", "Temp": "40"})]
    columns = LogColumns("Time", "Temp", date="Date", scale=Scale.CELSIUS)
    found = read_log(rows, columns, file="bed.csv", order=DateOrder.DMY)
    assert found.readings == (Reading(at("2027-05-31 14:30"), 40.0),)


def test_a_row_cut_short_is_blank_or_a_problem_and_never_a_crash() -> None:
    rows: list[tuple[int, dict[str, str | None]]] = [
        (2, {"Time": "2027-06-01 12:00", "Temp": None}),
        (3, {"Time": None, "Temp": "31"}),
    ]
    found = read_log(rows, CELSIUS, file="bed.csv")
    assert (found.readings, found.blanks) == ((), 1)
    assert found.problems == (
        Problem(
            "bed.csv",
            3,
            "Time",
            "",
            "it is no time",
            "Write it as 2027-05-31 14:30 or 2027-05-31T14:30+02:00.",
        ),
    )


def test_a_scale_that_nothing_names_is_asked_for_once() -> None:
    columns = LogColumns("Time", "Temp")
    found = read(("2027-06-01 12:00", "31"), ("2027-06-01 13:00", "31"), columns=columns)
    assert [it.remedy for it in found.problems] == ["Name the scale, C or F, for the whole file."]


def test_an_order_of_day_and_month_that_was_not_told_is_asked_for_once() -> None:
    found = read(("03/04/2027 12:00", "31"), ("04/04/2027 12:00", "31"))
    assert [it.line for it in found.problems] == [2]


def test_a_file_full_of_problems_is_not_read_to_its_end() -> None:
    found = read(*[("never", "31")] * 1000)
    assert len(found.problems) == MOST_PROBLEMS


def test_a_clock_set_to_another_age_is_a_problem() -> None:
    found = read(("1970-01-01 00:00", "31"))
    assert found.problems[0].what == "the year 1970 is not one of a logger"


def test_an_empty_file_is_an_empty_log() -> None:
    assert read() == LogRead((), (), (), 0, 0, 0, None)
