"""The weather file that a portfolio names, read once for all its plants: EPW, or TMY3 as CSV.

Only the date and the dry-bulb temperature of each row are read, one row after the other. Every row must be the hour
after the one above it, and the whole a year; what is not is reported with its line, and then no hours are known.

Source of the formats: EnergyPlus, Auxiliary Programs, EPW data dictionary; NREL/TP-581-43156, User's Manual for TMY3.
"""

from __future__ import annotations

import csv
import re
from array import array
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import IO, Final, NamedTuple

from settingslint.model.source import Source, note_read
from settingslint.model.values import Problem, Unreadable, one_line
from settingslint.physics.weather import Hours, bins, summary

LARGEST_WEATHER: Final = 8_000_000
"""Bytes. A year of either format has about 1.7 million."""
LONGEST_ROW: Final = 20_000
"""Bytes of one row."""
MOST_PROBLEMS: Final = 20
"""Bad rows that are told one by one."""
COLDEST: Final = -70.0
WARMEST: Final = 70.0
"""Degrees Celsius: the range of the EPW data dictionary. The marks for a missing value, 99.9 and -9900, lie outside."""
YEARS: Final = (8760, 8784)
"""Hours of a year, without and with 29 February."""

_EPW_HEADER_ROWS: Final = 8
_EPW_DRY_BULB: Final = 6
_TMY3_COLUMNS: Final = ("Date (MM/DD/YYYY)", "Time (HH:MM)", "Dry-bulb (C)")
_NUMBER: Final = re.compile(r"[+-]?[0-9]{1,6}(\.[0-9]{0,6})?")
_LAST_DAY: Final = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class Stamp(NamedTuple):
    """When an hour ends: month, day, and hour 1 to 24. The year differs from month to month in a typical year."""

    month: int
    day: int
    hour: int


class _BadRow(Exception):
    """What is wrong with a row, in words."""


class _Row(NamedTuple):
    line: int
    stamp: str
    temperature: str


def hours_of(root: Path, name: str, source: Source) -> Hours:
    """Return the hours of the weather file that portfolio.toml names, with their summary.

    Args:
        root: folder of the portfolio; the file must be below it.
        name: path from there.
        source: of portfolio.toml, which names the file.

    Raises:
        Unreadable: where the file is missing, elsewhere, too large, of another format, or has bad rows.
    """
    shown = (PurePosixPath(source.name).parent / name).as_posix()
    file = _below(root, name, source)
    try:
        note_read([file])
        if file.stat().st_size > LARGEST_WEATHER:
            raise Unreadable([source.problem(("climate",), f"{shown} is larger than {LARGEST_WEATHER:,} bytes")])
        with file.open("rb") as stream:
            return read_hours(stream, shown)
    except OSError as error:
        problem = source.problem(("climate",), f"{shown} can't be read: {error.strerror or error}")
        raise Unreadable([problem]) from None


def _below(root: Path, name: str, source: Source) -> Path:
    try:
        file = (root / name).resolve()
        found = file.is_file()
    except (ValueError, OSError):
        raise Unreadable([source.problem(("climate",), f"{name}: not a valid file name")]) from None
    if not file.is_relative_to(root.resolve()):
        message = f"{name}: is outside the portfolio's folder; put the weather file into it"
        raise Unreadable([source.problem(("climate",), message)])
    if not found:
        what = "is not a file" if file.exists() else "does not exist"
        raise Unreadable([source.problem(("climate",), f"{name}: {what}")])
    return file


def read_hours(stream: IO[bytes], shown: str) -> Hours:
    """Return the hours of a weather file's bytes; `shown` is its name in messages.

    Raises:
        Unreadable: where it is of another format or has bad rows.
    """
    lines = _lines(stream)
    temperatures = array("d")
    problems: list[Problem] = []
    before: Stamp | None = None
    try:
        place, rows = _format(lines)
        line = 1
        for row in rows:
            line = row.line
            stamp = None
            try:
                stamp = _stamp(row.stamp)
                temperatures.append(_temperature(row.temperature))
                if before is not None and not follows(before, stamp):
                    raise _BadRow(f"{_words(stamp)} comes after {_words(before)}: rows are missing, double or moved")
            except _BadRow as bad:
                problems.append(Problem(shown, line, 1, one_line(str(bad))))
            before = stamp
    except _BadRow as bad:
        raise Unreadable([Problem(shown, 1, 1, one_line(str(bad)))]) from None
    if not problems and len(temperatures) not in YEARS:
        message = f"{len(temperatures):,} rows: a year of hours has {YEARS[0]:,}, or {YEARS[1]:,} with 29 February"
        problems.append(Problem(shown, line, 1, message))
    if problems:
        more = len(problems) - MOST_PROBLEMS
        told = problems[:MOST_PROBLEMS]
        raise Unreadable(told + ([Problem(shown, line, 1, f"and {more:,} more bad rows")] if more > 0 else []))
    return Hours(bins(temperatures), summary(place, temperatures))


def _lines(stream: IO[bytes]) -> Iterator[tuple[int, str]]:
    number = 0
    while content := stream.readline(LONGEST_ROW + 1):
        number += 1
        if len(content) > LONGEST_ROW:
            raise _BadRow(f"line {number} is longer than {LONGEST_ROW:,} bytes")
        yield number, content.decode("utf-8", "replace").rstrip("\r\n")


def _format(lines: Iterator[tuple[int, str]]) -> tuple[str, Iterator[_Row]]:
    """Return the place and the rows, by what the first two lines say.

    Raises:
        _BadRow: where the file is neither EPW nor TMY3.
    """
    first = next(lines, (1, ""))[1].removeprefix("\ufeff")
    second = next(lines, (2, ""))[1]
    try:
        head = next(csv.reader([first]), [])
    except csv.Error as error:
        raise _BadRow(f"not a row of a CSV file: {error}") from None
    columns = second.split(",")
    if head[:1] == ["LOCATION"]:
        return _place(head[1:4]), _epw(lines)
    if all(column in columns for column in _TMY3_COLUMNS):
        day, hour, dry_bulb = (columns.index(column) for column in _TMY3_COLUMNS)
        return _place(head[1:3]), _tmy3(lines, day, hour, dry_bulb)
    raise _BadRow("neither EPW (first line LOCATION,...) nor TMY3 CSV (second line with Date, Time and Dry-bulb)")


def _place(parts: list[str]) -> str:
    return one_line(", ".join(part.strip() for part in parts if part.strip())) or "unnamed place"


def _epw(lines: Iterator[tuple[int, str]]) -> Iterator[_Row]:
    for number, text in lines:
        if number > _EPW_HEADER_ROWS and text:
            parts = text.split(",", _EPW_DRY_BULB + 1) + [""] * _EPW_DRY_BULB
            yield _Row(number, f"{parts[1]}/{parts[2]} {parts[3]}", parts[_EPW_DRY_BULB])


def _tmy3(lines: Iterator[tuple[int, str]], day: int, hour: int, dry_bulb: int) -> Iterator[_Row]:
    last = max(day, hour, dry_bulb)
    for number, text in lines:
        if text:
            parts = text.split(",", last + 1) + [""] * last
            date = parts[day].rpartition("/")[0]
            yield _Row(number, f"{date} {parts[hour].removesuffix(':00')}", parts[dry_bulb])


def _stamp(text: str) -> Stamp:
    match = re.fullmatch(r" *([0-9]{1,2})/ *([0-9]{1,2}) +([0-9]{1,2})", text, re.ASCII)
    if match is None:
        raise _BadRow(f"no month, day and hour: {text}")
    stamp = Stamp(*(int(part) for part in match.groups()))
    if not (1 <= stamp.month <= 12 and 1 <= stamp.day <= _LAST_DAY[stamp.month - 1] and 1 <= stamp.hour <= 24):
        raise _BadRow(f"no such month, day or hour (hours are 1 to 24): {text}")
    return stamp


def _temperature(text: str) -> float:
    number = text.strip(" ")
    if _NUMBER.fullmatch(number) is None:
        raise _BadRow(f"no dry-bulb temperature: {text or 'nothing'}")
    value = float(number)
    if not COLDEST <= value <= WARMEST:
        raise _BadRow(f"dry-bulb temperature {text.strip()} C is missing, or outside {COLDEST:g} to {WARMEST:g} C")
    return value


def _words(stamp: Stamp) -> str:
    return f"month {stamp.month} day {stamp.day} hour {stamp.hour}"


def follows(before: Stamp, after: Stamp) -> bool:
    """Return whether one hour comes right after another; 29 February may be there or not.

    >>> follows(Stamp(2, 28, 24), Stamp(3, 1, 1)), follows(Stamp(2, 28, 24), Stamp(2, 29, 1))
    (True, True)
    >>> follows(Stamp(1, 31, 24), Stamp(2, 2, 1))
    False
    """
    if before.hour < 24:
        return after == Stamp(before.month, before.day, before.hour + 1)
    if after == Stamp(before.month, before.day + 1, 1):
        return True
    ends = before.day >= (28 if before.month == 2 else _LAST_DAY[before.month - 1])
    return ends and after == Stamp(before.month % 12 + 1, 1, 1)
