"""The readings of one visit: what was found, what was left and why, from TOML, CSV or standard input.

TOML has the tables of a profile beside `[found]` and `[left]`; a CSV has a row for each setting or fact.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from settingslint.model.control import Control
from settingslint.model.locate import Place
from settingslint.model.profile import LEFT
from settingslint.model.source import Path_, Source, parse, problem_at, read_bytes
from settingslint.model.validate import check_schema
from settingslint.model.values import NUMERIC, Problem, Unreadable, kind_of
from settingslint.sheets.match import match, normal
from settingslint.sheets.read import Table, decimal_style, table_of
from settingslint.sheets.take import cell_value
from settingslint.units import Kind, System, from_si, to_si
from settingslint.vocabulary.facts import TABLES
from settingslint.vocabulary.settings import SETTINGS

NUMBER_KEYS: Final = ("value", "read_back", "then")
"""Keys of a setting's table that hold one of its values."""
HEADERS: Final = {
    "setting": "setting", "name": "setting", "found": "found", "as found": "found", "left": "left", "as left": "left",
    "asked for": "left", "read back": "read_back", "why": "why", "reason": "why", "until": "until", "then": "then",
    "watched by": "watched_by",
}  # fmt: skip
"""Columns of a CSV. `PASSED_OVER` are those that the printed list brings along."""
PASSED_OVER: Final = frozenset({"label", "menu", "unit", "last left", ""})
HEAD: Final = ("serial", "control", "units")
MOST_BYTES: Final = 1_000_000


@dataclass(frozen=True)
class Readings:
    """The readings of one visit as the file states them, in the units of `system`."""

    source: Source
    units: System | None

    @property
    def data(self) -> dict[str, Any]:
        """The file's data."""
        return self.source.data

    @property
    def serial(self) -> str | None:
        """The serial number that was read off the boiler."""
        return self.data.get("serial")

    @property
    def control(self) -> str | None:
        """The control that was found."""
        return self.data.get("control")

    @property
    def says_something(self) -> bool:
        """Whether anything was read or left; who was there, and at which boiler, is no reading."""
        return any(self.data.get(table) for table in ("found", "left", "combustion", *TABLES))

    @property
    def visit(self) -> Mapping[str, Any]:
        """What the file says of the visit itself."""
        return self.data.get("visit", {})  # type: ignore[no-any-return]

    def found(self, system: System) -> dict[str, Any]:
        """Return what was found, by setting: a plain value in a unit system, or a table that says why there is none."""
        return {
            name: raw if isinstance(raw, dict) else self._number(raw, kind_of(name), system)
            for name, raw in self.data.get("found", {}).items()
        }

    def left(self, system: System) -> dict[str, dict[str, Any]]:
        """Return what was left, by setting, as a table in a unit system."""
        tables = {}
        for name, raw in self.data.get("left", {}).items():
            table = dict(raw) if isinstance(raw, dict) else {"value": raw}
            for key in NUMBER_KEYS:
                if key in table:
                    table[key] = self._number(table[key], kind_of(name), system)
            if "until" in table:
                table["until"] = date.fromisoformat(table["until"])
            tables[name] = table
        return tables

    def facts(self, system: System) -> dict[tuple[str, ...], Any]:
        """Return facts and combustion readings by where they stand in a profile."""
        facts: dict[tuple[str, ...], Any] = {}
        for table in TABLES:
            for name, raw in self.data.get(table, {}).items():
                facts[table, name] = self._fact(raw, f"{table}.{name}", system)
        for end, readings in self.data.get("combustion", {}).items():
            for name, raw in readings.items():
                facts["combustion", end, name] = self._fact(raw, f"combustion.{end}.{name}", system)
        return facts

    def facts_of_visit(self, system: System) -> dict[str, Any]:
        """Return what goes into the table `[visit]`."""
        return {name: self._fact(raw, f"visit.{name}", system) for name, raw in self.visit.items()}

    def _fact(self, raw: Any, name: str, system: System) -> Any:
        kind = kind_of(name)
        if not isinstance(raw, dict):
            return self._number(raw, kind, system)
        table = {**raw, "value": self._number(raw["value"], kind, system)}
        return {**table, "on": date.fromisoformat(raw["on"])} if "on" in raw else table

    def _number(self, raw: Any, kind: Kind, system: System) -> Any:
        """Return a value as a file of that unit system states it; the same system leaves it as it is."""
        if kind is Kind.DATE:
            return date.fromisoformat(raw)
        stated = self.units or system
        plain = isinstance(raw, bool | str) or kind not in NUMERIC or kind is Kind.FAN_SPEED
        if plain or stated == system:
            return raw
        number = round(from_si(to_si(float(raw), kind, stated), kind, system), 3)
        return int(number) if number == int(number) else number


def read_readings(file: Path, control: Control, system: System) -> Readings:
    """Return the readings of a file; its ending says whether it is TOML or CSV, else its first line. See `readings_of`.

    Raises:
        Unreadable: where it can't be read or is not valid.
    """
    content = read_bytes(file, str(file))
    return readings_of(content, str(file), control, system, _IS_CSV.get(file.suffix.casefold()))


_IS_CSV: Final = {".csv": True, ".toml": False}


def readings_of(content: bytes, name: str, control: Control, system: System, is_csv: bool | None = None) -> Readings:
    """Return the readings of a content.

    Args:
        content: the bytes.
        name: how messages call it.
        control: its labels are taken for names in a CSV.
        system: unit system of the profile, and of the readings where they name none.
        is_csv: whether it is CSV; told by its first line where None.

    Raises:
        Unreadable: where it is not valid.
    """
    if len(content) > MOST_BYTES:
        raise Unreadable([Problem(name, 1, 1, f"larger than {MOST_BYTES:,} bytes: not read")])
    csv = _looks_like_csv(content) if is_csv is None else is_csv
    source = _of_table(table_of(content, name), control, system) if csv else parse(content, name)
    check_schema(source, "readings")
    return Readings(source, source.data.get("units"))


def _looks_like_csv(content: bytes) -> bool:
    for raw in content.decode("utf-8", "replace").removeprefix("\ufeff").splitlines():
        line = raw.strip()
        if line and not line.startswith("#"):
            return not line.startswith("[") and not re.match(r"[\w.\"'-]+\s*=", line)
    return False


class _Rows(Source):
    """A source whose values stand on the lines of a table."""

    def __init__(self, name: str, data: dict[str, Any], lines: Mapping[str, int]) -> None:
        super().__init__(name, "", data)
        self.lines = lines

    def place(self, path: Path_) -> Place:
        """See `Source`."""
        parts = [str(part) for part in path]
        keys = [".".join(parts[:length]) for length in range(len(parts), 0, -1)]
        line = next((self.lines[key] for key in keys if key in self.lines), 1)
        return Place(line, 1, line, 1)

    def problem_at_key(self, path: Path_, message: str) -> Problem:
        """See `Source`."""
        return problem_at(self.name, self.place(path), message)

    @cached_property
    def places(self) -> Any:
        """There are none in a table."""
        raise NotImplementedError


def _of_table(table: Table, control: Control, system: System) -> Source:
    problems: list[Problem] = []
    columns: dict[str, int] = {}
    for index, header in enumerate(table.headers):
        name = HEADERS.get(normal(header))
        if name is None and normal(header) not in PASSED_OVER:
            known = ", ".join(dict.fromkeys(HEADERS.values()))
            problems.append(Problem(table.name, 1, 1, f"column {header!r} is not known; known are {known}"))
        elif name is not None and name in columns:
            problems.append(Problem(table.name, 1, 1, f"two columns for {name}"))
        elif name is not None:
            columns[name] = index
    if "setting" not in columns or not {"found", "left"} & set(columns):
        problems.append(Problem(table.name, 1, 1, "the table needs a column setting, and one of found and left"))
    if problems:
        raise Unreadable(problems)
    rows = [(line, {name: row[index] for name, index in columns.items()}) for line, row in table.rows]
    data, lines = _TableReader(table.name, control, system, rows).read()
    return _Rows(table.name, data, lines)


class _TableReader:
    def __init__(self, name: str, control: Control, system: System, rows: list[tuple[int, dict[str, str]]]) -> None:
        self.name = name
        self.default_system = system
        self.rows = rows
        self.problems: list[Problem] = []
        self.lines: dict[str, int] = {}
        self.data: dict[str, Any] = {}
        self.style = decimal_style([row.get(key, "") for _, row in rows for key in ("found", "left", "read_back")])
        self.labels: dict[str, list[str]] = {}
        for one in control.rows.values():
            if one.label:
                self.labels.setdefault(normal(one.label), []).append(one.name)

    def read(self) -> tuple[dict[str, Any], dict[str, int]]:
        """Return the data and where it stands.

        Raises:
            Unreadable: with a problem for each cell that says nothing.
        """
        self.rows.sort(key=lambda one: normal(one[1]["setting"]) != "units")  # numbers need it
        for line, row in self.rows:
            if not row["setting"]:
                continue
            try:
                self._row(line, row)
            except ValueError as error:
                self.problems.append(Problem(self.name, line, 1, f"{row['setting']}: {error}"))
        if self.problems:
            raise Unreadable(sorted(self.problems))
        return self.data, self.lines

    @property
    def system(self) -> System:
        stated = self.data.get("units", self.default_system)
        return "metric" if stated == "metric" else "us"

    def _row(self, line: int, row: Mapping[str, str]) -> None:
        target = self._target(row["setting"])
        if target not in SETTINGS:
            given = [row[key] for key in ("left", "found") if row.get(key)]
            if len(set(given)) > 1:
                raise ValueError("found and left differ; a fact has one value")
            if given:
                self._fact(line, target, given[0])
            return
        if row.get("found"):
            found = self._value(target, row["found"], ("not reachable", "not applicable"))
            self._put(line, ("found", target), found)
        left = dict(self._left(target, row))
        if left:
            self._put(line, ("left", target), left)

    def _left(self, target: str, row: Mapping[str, str]) -> Iterator[tuple[str, Any]]:
        for key in ("left", "read_back", "then"):
            if row.get(key):
                value = self._value(target, row[key], LEFT if key == "left" else ())
                if isinstance(value, dict):
                    yield "left", value["left"]
                else:
                    yield ("value" if key == "left" else key), value
        for key in ("why", "until", "watched_by"):
            if row.get(key):
                yield key, row[key]

    def _value(self, target: str, cell: str, words: tuple[str, ...]) -> Any:
        if cell.casefold() in words:
            return {"left": cell.casefold()}
        if self.style is None and re.search(r"\d[.,]\d", cell):
            raise ValueError(f"{cell!r}: the numbers of this table leave open which sign is the decimal one")
        value, guessed = cell_value(target, cell, "", self.system, self.style or "point")
        if guessed:
            raise ValueError(f"{cell!r} is marked as guessed: a reading is read or left out")
        return value

    def _fact(self, line: int, target: str, cell: str) -> None:
        way = tuple(target.split("."))
        self._put(line, way, cell if target in HEAD else self._value(target, cell, ()))

    def _target(self, name: str) -> str:
        if name.strip() in SETTINGS:
            return name.strip()
        labelled = self.labels.get(normal(name), [])
        if len(labelled) > 1:
            raise ValueError(f"this control labels {' and '.join(labelled)} so; write which one")
        if labelled:
            return labelled[0]
        if normal(name) in HEAD:
            return normal(name)
        column = match(name)
        target = column.target.removeprefix("plant.") if column.target in ("plant.serial", "plant.control") else None
        target = target or column.target
        if target is None or target.startswith(("plant.", "emitter")):
            hint = f"; did it mean {column.near}?" if column.near else ""
            raise ValueError(f"is no setting, fact or label of this control{hint}")
        return target

    def _put(self, line: int, way: tuple[str, ...], value: Any) -> None:
        name = ".".join(way)
        if name in self.lines:
            raise ValueError(f"is on line {self.lines[name]} already")
        self.lines[name] = line
        node = self.data
        for part in way[:-1]:
            node = node.setdefault(part, {})
        node[way[-1]] = value
