"""Reading a CSV file as spreadsheets write them: BOM, Latin-1, semicolons or tabs, two header rows, odd numbers."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from settingslint.model.source import read_bytes
from settingslint.model.values import Problem, Unreadable
from settingslint.sheets.cells import live

Decimal = Literal["point", "comma"]
MOST_COLUMNS: Final = 500
MOST_ROWS: Final = 100_000
LONGEST_NUMBER: Final = 40


@dataclass(frozen=True, slots=True)
class Table:
    """A table: one header for each column, and rows with the line on which each begins."""

    name: str
    headers: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    encoding: str
    separator: str


def read_table(path: Path, name: str) -> Table:
    """Return the table of a CSV file.

    A second header row is joined to the first where the first has merged (empty) cells and the second has no number.

    Raises:
        Unreadable: where the file can't be read, is no table, or is too large.
    """
    return table_of(read_bytes(path, name), name)


def table_of(content: bytes, name: str) -> Table:
    """Return the table of a CSV file's content; see `read_table`.

    Raises:
        Unreadable: where it is no table, or is too large.
    """
    text, encoding = _decoded(content, name)
    separator = _separator(text)
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        lines: list[tuple[int, list[str]]] = []
        start = 1
        for row in reader:
            lines.append((start, [live(cell.strip()) for cell in row]))
            start = reader.line_num + 1
    except csv.Error as error:
        raise Unreadable([Problem(name, start, 1, f"not a table: {error}")]) from None
    lines = [(line, row) for line, row in lines if any(row)]
    if len(lines) < 2:
        raise Unreadable([Problem(name, 1, 1, "a table needs a header and at least one row")])
    if len(lines) > MOST_ROWS or max(len(row) for _, row in lines) > MOST_COLUMNS:
        raise Unreadable([Problem(name, 1, 1, f"more than {MOST_ROWS:,} rows or {MOST_COLUMNS} columns")])
    headers, used = _headers([row for _, row in lines[:2]])
    width = len(headers)
    rows = []
    for line, row in lines[used:]:
        if len(row) > width and any(row[width:]):
            raise Unreadable([Problem(name, line, 1, f"the row has {len(row)} cells, the header {width}")])
        rows.append((line, tuple((row + [""] * width)[:width])))
    return Table(name, headers, tuple(rows), encoding, separator)


def _decoded(content: bytes, name: str) -> tuple[str, str]:
    if b"\0" in content and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Unreadable([Problem(name, 1, 1, "not a table: it has binary content; export it as CSV")])
    for encoding in ("utf-8-sig", "utf-16") if content.startswith((b"\xff\xfe", b"\xfe\xff")) else ("utf-8-sig",):
        try:
            return content.decode(encoding), encoding
        except UnicodeError:
            continue
    return content.decode("cp1252", "replace"), "Latin-1"


def _separator(text: str) -> str:
    first = next((line for line in text.splitlines() if line.strip()), "")
    outside = re.sub(r'"[^"]*"', "", first)
    return max(",;\t|", key=outside.count)


def _headers(rows: Sequence[list[str]]) -> tuple[tuple[str, ...], int]:
    """Return the headers, and how many rows they take: merged headers stand over a second row."""
    top = rows[0]
    second = rows[1] if len(rows) > 1 else []
    merged = any(not cell for cell in top) and not any(re.search(r"\d", cell) for cell in second)
    if not merged or not any(second):
        return tuple(top), 1
    above = ""
    names = []
    for index in range(max(len(top), len(second))):
        over = top[index] if index < len(top) else ""
        under = second[index] if index < len(second) else ""
        above = over or above
        names.append(" ".join(part for part in (above, under) if part))
    return tuple(names), 2


_NUMBER: Final = re.compile(
    r"^([~≈]|ca\.?\s*|about\s+)?([-−+]?[\d.,'\u00a0\u202f ]*\d[\d.,]*)\s*(\?)?\s*([^\d?]*)(\?)?$"
)


@dataclass(frozen=True, slots=True)
class Number:
    """A number as a cell states it, with the unit that stood behind it; `guessed` where it was marked so."""

    value: float
    unit: str
    guessed: bool


def _told(digits: str) -> Decimal | None:
    """Return which sign is the decimal one in a number that leaves no doubt."""
    comma, point = digits.count(","), digits.count(".")
    if comma and point:
        return "comma" if digits.rfind(",") > digits.rfind(".") else "point"
    if comma > 1 or point > 1:
        return "point" if comma > 1 else "comma"
    if (comma or point) and not re.search(r"^[-−+]?[1-9]\d{0,2}[.,]\d{3}$", digits):
        return "comma" if comma else "point"
    return None


def decimal_style(cells: Sequence[str]) -> Decimal | None:
    """Return which sign is the decimal one, told by the numbers that leave no doubt; None where they contradict."""
    styles: set[Decimal] = set()
    for cell in cells:
        match = _NUMBER.match(cell)
        if not match:
            continue
        digits = re.sub(r"['\u00a0\u202f ]", "", match[2])
        style = _told(digits)
        if style:
            styles.add(style)
    if len(styles) > 1:
        return None
    return next(iter(styles), None)


def like_thousands(cell: str, decimal: Decimal | None) -> bool:
    """Return whether what is read as a decimal mark has the look of a thousands mark: 5,600 where a comma is decimal.

    >>> like_thousands("5,600", "comma"), like_thousands("5,600", "point"), like_thousands("5,6", "comma")
    (True, False, False)
    """
    mark = {"comma": ",", "point": "."}.get(decimal or "", "")
    return bool(mark) and re.search(rf"(^|[^\d.,])[1-9]\d{{0,2}}{re.escape(mark)}\d{{3}}(?![\d.,])", cell) is not None


def number(cell: str, decimal: Decimal | None) -> Number:
    """Return the number in a cell.

    Raises:
        ValueError: where it holds none, or where a sign could be a decimal or a thousands mark.
    """
    match = _NUMBER.match(cell)
    if not match:
        raise ValueError(f"{cell!r} is no number")
    digits = re.sub(r"['\u00a0\u202f ]", "", match[2]).replace("−", "-")
    signs = set(digits) & {",", "."}
    if decimal is None and signs:
        raise ValueError(f"{cell!r}: is the {' or '.join(sorted(signs))} a decimal sign? say --decimal point or comma")
    thousands = "," if decimal == "point" else "."
    groups = digits.split("." if decimal == "point" else ",")[0].lstrip("+-").split(thousands)
    if len(groups) > 1 and (any(len(group) != 3 for group in groups[1:]) or not 1 <= len(groups[0]) <= 3):
        other = "comma" if decimal == "point" else "point"
        raise ValueError(f"{cell!r}: thousands marks in the wrong places; if one is decimal, say --decimal {other}")
    plain = digits.replace(thousands, "").replace(",", ".")
    if len(plain) > LONGEST_NUMBER:
        raise ValueError(f"a number of {len(plain)} digits")
    return Number(float(plain), match[4].strip(), bool(match[1] or match[3] or match[5]))
