"""Rows of a table become profiles. What is recorded stays; a wrong row writes nothing unless asked to."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from settingslint.files.finding import profile_files
from settingslint.model.edit import NotEditable
from settingslint.model.profile import LEFT, profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import NUMERIC, Problem, Unreadable
from settingslint.plain import Plain, as_toml
from settingslint.sheets.fill import filled
from settingslint.sheets.match import Column, match, system_of
from settingslint.sheets.read import Decimal, Table, decimal_style, like_thousands, number
from settingslint.units import Kind, System, from_si, to_si, unit_name
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import OFF, SETTINGS

if TYPE_CHECKING:
    from tomlkit.items import Table as TomlTable

YES: Final = frozenset({"yes", "y", "true", "on", "x", "1", "enabled", "ja", "oui", "si"})
NO: Final = frozenset({"no", "n", "false", "off", "0", "disabled", "nein", "non", "none"})
NOTHING: Final = frozenset({"-", "--", "n/a", "na", "?", "unknown", "tbc"})


Words = Mapping[str, Mapping[str, str]]
"""Header to word in a cell to what it means."""


@dataclass(slots=True)
class Taken:
    """What came of a table: profiles by file, and a report in plain lines."""

    profiles: dict[Path, Plain] = field(default_factory=dict)
    unchanged: list[Path] = field(default_factory=list)
    filled: dict[Path, tuple[str, list[str]]] = field(default_factory=dict)
    """Profiles that are there and get what nobody recorded in them: their new text, and the names of what is new."""
    columns: list[Column] = field(default_factory=list)
    guessed: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    converted: list[str] = field(default_factory=list)
    """Cells whose own unit is another than that of their column, with what became of them."""
    problems: list[Problem] = field(default_factory=list)
    unread: dict[str, dict[str, str]] = field(default_factory=dict)
    """Words in cells that mean nothing here, by header, each with what would."""


def slug(text: str) -> str:
    """Return a text as a file name: plain letters, digits and hyphens.

    >>> slug("Östra Gården 12 / B")
    'ostra-garden-12-b'
    """
    flat = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().casefold()
    return re.sub(r"[^a-z0-9]+", "-", flat).strip("-")[:60] or "unnamed"


def take(
    table: Table,
    root: Path,
    *,
    system: System,
    control: str | None = None,
    mapping: Mapping[str, str] | None = None,
    words: Words | None = None,
    decimal: Decimal | None = None,
    source: str = "owner said",
    fill: bool = False,
) -> Taken:
    """Return the profiles of a table; nothing is written here.

    Args:
        table: the table.
        root: the portfolio's folder.
        system: unit system of the profiles, and of numbers whose unit is not stated.
        control: control of rows that name none.
        mapping: header to setting, fact or `plant.` name; an empty name leaves the column out.
        words: header to word in a cell to what it means; an empty meaning says nothing.
        decimal: which sign is the decimal one, told by the numbers themselves where None.
        source: where its facts come from; cells marked ? or ~ are guessed.
        fill: whether profiles that are there get what nobody recorded in them.
    """
    taken = Taken()
    taken.columns = _columns(table, mapping or {}, taken)
    said = {header: {word.casefold(): means for word, means in row.items()} for header, row in (words or {}).items()}
    cells = [row[index] for _, row in table.rows for index in _numeric(taken.columns)]
    style = decimal or decimal_style(cells)
    controls: dict[str, None] = {}
    known = _known(root) if fill else None
    for line, row in table.rows:
        reader = _Row(table.name, line, taken, system, style, source, said)
        data = reader.data(row, control)
        if data is not None:
            controls[str(data["plant"]["control"])] = None
            _add(root, data, table.name, line, taken, known)
    for name in controls:
        if not (root / "controls" / f"{name}.toml").is_file():
            taken.skipped.append(
                f"control {name!r}: no control file describes it; settingslint begin FOLDER --control NAME makes one"
            )
    return taken


def stated_system(table: Table, mapping: Mapping[str, str] | None = None) -> System | None:
    """Return the unit system of a table whose headers state the unit of every number, all of one system; else None."""
    found: set[System | None] = set()
    for column in _columns(table, mapping or {}, Taken()):
        if column.target is None:
            continue
        kind = _kind(column.target)
        if unit_name(kind, "us") != unit_name(kind, "metric"):
            try:
                found.add(system_of(column.unit, kind))
            except ValueError:
                return None
    return next(iter(found)) if len(found) == 1 else None


def _columns(table: Table, mapping: Mapping[str, str], taken: Taken) -> list[Column]:
    columns = []
    seen: dict[str, str] = {}
    for header in table.headers:
        column = match(header)
        if header in mapping:
            column = Column(header, mapping[header] or None, column.unit)
        if column.target is not None and column.target in seen:
            taken.skipped.append(f"column {header!r}: {column.target} is already matched to {seen[column.target]!r}")
            column = Column(header, None, column.unit)
        elif column.target is not None:
            seen[column.target] = header
        elif header and header not in mapping:
            near = " or ".join(column.near)
            hint = f"; did you mean {near}? say so in a mapping file" if near else ""
            taken.skipped.append(f"column {header!r}: not known{hint}")
        columns.append(column)
    return columns


def _kind(target: str) -> Kind:
    if target in SETTINGS:
        return SETTINGS[target].kind
    return FACTS[target].kind if target in FACTS else Kind.TEXT


def _numeric(columns: Sequence[Column]) -> list[int]:
    return [index for index, one in enumerate(columns) if one.target is not None and _kind(one.target) in NUMERIC]


class _Row:
    def __init__(
        self, file: str, line: int, taken: Taken, system: System, style: Decimal | None, source: str, words: Words
    ) -> None:
        self.file, self.line, self.taken, self.words = file, line, taken, words
        self.system, self.style, self.source = system, style, source
        self.wrong = False

    def problem(self, column: int, message: str) -> None:
        self.wrong = True
        self.taken.problems.append(Problem(self.file, self.line, column, message))

    def data(self, row: Sequence[str], control: str | None) -> dict[str, Any] | None:
        """Return a profile's data, or None for a row that is wrong."""
        tables: dict[str, Any] = {"format": 1, "units": self.system, "plant": {}, "settings": {}}
        for index, (column, cell) in enumerate(zip(self.taken.columns, row, strict=True)):
            if column.target is None or not cell:
                continue
            given = cell
            cell = self.words.get(column.header, {}).get(cell.casefold(), cell)
            if not cell or cell.casefold() in NOTHING:
                cell = given
                self.taken.skipped.append(f"line {self.line}, {column.header}: {cell!r} says nothing")
                continue
            try:
                value, guessed = cell_value(column.target, cell, column.unit, self.system, self.style)
            except ValueError as error:
                hint = ""
                if (kind := _kind(column.target)) in (Kind.FLAG, Kind.WORD):
                    means = "yes, no" if kind is Kind.FLAG else ", ".join(_words(column.target))
                    self.taken.unread.setdefault(column.header, {})[cell] = means
                    hint = "; a mapping file can say what it means"
                self.problem(index + 1, f"{column.header}: {error}{hint}")
                continue
            if other := other_unit(column.target, cell, column.unit, self.system, self.style):
                self.taken.converted.append(f"line {self.line}, {column.header}: {cell} is {other}")
            if column.target in SETTINGS:
                tables["settings"][column.target] = value
            elif column.target.startswith("plant."):
                tables["plant"][column.target.removeprefix("plant.")] = value
            else:
                table, _, name = column.target.partition(".")
                if table == "visit":
                    tables.setdefault(table, {})[name] = value
                    continue
                place = tables.setdefault("emitter", [{}])[0] if table == "emitter" else tables
                for part in (table, *name.split(".")[:-1]) if table != "emitter" else ():
                    place = place.setdefault(part, {})
                place[name.split(".")[-1]] = {"value": value, "from": "guessed" if guessed else self.source}
            if guessed:
                self.taken.guessed.append(f"line {self.line}, {column.header}: {cell}")
        if control is not None:
            tables["plant"].setdefault("control", control)
        lacking = [name for name in ("name", "site", "control") if name not in tables["plant"]]
        if lacking:
            self.problem(1, f"the row lacks {' and '.join(lacking)}")
        return None if self.wrong else tables


def cell_value(target: str, cell: str, unit: str, system: System, style: Decimal | None) -> tuple[Any, bool]:
    """Return what a cell means in a file of that unit system, and whether it is marked as guessed.

    Args:
        target: a setting, a fact or a name of `plant.`.
        cell: the cell's text.
        unit: the unit that its header states.
        system: unit system of the file, and of a number whose unit is not stated.
        style: which sign is the decimal one, None where the numbers do not tell.

    Raises:
        ValueError: where the cell does not hold such a value.
    """
    kind = _kind(target)
    if target in SETTINGS and cell.casefold() in LEFT:
        return {"left": cell.casefold()}, False
    if target == "plant.first_fired" and cell.casefold() in NO:
        return False, False
    if kind is Kind.FLAG:
        word = cell.casefold()
        if word not in YES and word not in NO:
            raise ValueError(f"{cell!r} is neither yes nor no")
        return word in YES, False
    if kind is Kind.WORD:
        return _word(target, cell), False
    if kind is Kind.DATE or target == "plant.first_fired":
        return _date(cell), False
    if kind not in NUMERIC:
        return cell, False
    if target in SETTINGS and SETTINGS[target].can_be_off and cell.casefold() in NO:
        return OFF, False
    found = number(cell, style)
    value = found.value
    stated = system_of(found.unit or unit, kind)
    whole = kind in (Kind.FAN_SPEED, Kind.COUNT)
    large = whole or (kind is Kind.POWER and (stated or system) == "us")
    if (whole and value != int(value)) or (large and like_thousands(cell, style)):
        hint = "if that is a thousands mark, leave it out, or name --decimal"
        raise ValueError(f"{cell!r} is read as {value:g}, in a column of whole or large numbers: {hint}")
    if stated is not None and stated != system:
        value = round(from_si(to_si(value, kind, stated), kind, system), 1)
    return (int(value) if value == int(value) else value), found.guessed


def other_unit(target: str, cell: str, unit: str, system: System, style: Decimal | None) -> str:
    """Return a cell's number as the file has it, where the cell states another unit than its column; else nothing.

    The arguments are those of `cell_value`, which has taken the cell.
    """
    kind = _kind(target)
    try:
        found = number(cell, style) if kind in NUMERIC else None
    except ValueError:  # a word in a column of numbers
        return ""
    own = system_of(found.unit, kind) if found is not None and found.unit else None
    if own is None or own == (system_of(unit, kind) or system):
        return ""
    value, _ = cell_value(target, cell, unit, system, style)
    return f"{value:g} {unit_name(kind, system)}"


def _words(target: str) -> tuple[str, ...]:
    return SETTINGS[target].words if target in SETTINGS else FACTS[target].words


def _word(target: str, cell: str) -> str:
    words = _words(target)
    plain = " ".join(re.findall(r"\w+", cell.casefold().replace("_", " ")))
    for word in words:
        if plain == " ".join(re.findall(r"\w+", word)):
            return word
    raise ValueError(f"{cell!r} is not one of {', '.join(words)}")


def _date(cell: str) -> str:
    match_ = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", cell)
    if not match_:
        raise ValueError(f"{cell!r}: write dates as 2026-03-12: else day and month can be confused")
    from datetime import date

    return date(*(int(part) for part in match_.groups())).isoformat()


Known = Mapping[tuple[str, str], Path] | None
"""Where the profiles of a portfolio are, by site and name; None where nothing is filled in."""


def _known(root: Path) -> dict[tuple[str, str], Path]:
    """Return where the profiles are that can be read."""
    found: dict[tuple[str, str], Path] = {}
    for path in profile_files(root):
        try:
            source = parse(path.read_bytes(), str(path))
            check_schema(source, "profile")
            there = profile_from(source)
        except (Unreadable, OSError):
            continue
        found[there.site, there.name] = path
    return found


def _add(root: Path, data: dict[str, Any], file: str, line: int, taken: Taken, known: Known) -> None:
    made = root / "sites" / slug(str(data["plant"]["site"])) / f"{slug(str(data['plant']['name']))}.toml"
    fill = known is not None
    path = (known or {}).get((data["plant"]["site"], data["plant"]["name"]), made)
    if path in taken.profiles or path in taken.unchanged or path in taken.filled:
        taken.problems.append(Problem(file, line, 1, f"a second row for {path.as_posix()}"))
        return
    text = profile_text(data)
    try:
        source = parse(text.encode("utf-8"), file)
        check_schema(source, "profile")
        fresh = profile_from(source)
    except Unreadable as unread:
        taken.problems += [Problem(file, line, 1, one.message) for one in unread.problems]
        return
    if not path.exists():
        taken.profiles[path] = text
        return
    try:
        source = parse(path.read_bytes(), str(path))
        check_schema(source, "profile")
        there = profile_from(source)
    except (Unreadable, OSError) as error:
        taken.problems.append(Problem(file, line, 1, f"{path.as_posix()} exists and can't be read: {error}"))
        return
    if fill:
        try:
            whole, names = filled(there, fresh)
            check_schema(parse(whole.encode("utf-8"), str(path)), "profile")
        except (NotEditable, Unreadable) as error:
            taken.problems.append(Problem(file, line, 1, f"{path.as_posix()}: {error}"))
            return
        if names:
            taken.filled[path] = (whole, names)
    for name, entry in fresh.settings.items():
        if fill and name not in there.settings:
            continue
        old = there.settings.get(name)
        if old is None or old.typed != entry.typed:
            taken.skipped.append(
                f"line {line}: {name} differs from {path.as_posix()}, which is kept; a visit records changes"
            )
    if path not in taken.filled:
        taken.unchanged.append(path)


def profile_text(data: Mapping[str, Any]) -> Plain:
    """Return a profile as TOML text, facts with a source as inline tables."""
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment(":schema ../../schemas/profile.schema.json"))
    document["format"] = data["format"]
    document["units"] = data["units"]
    order = ["plant", *(name for name in data if name not in ("format", "units", "plant", "settings", "visit"))]
    for name in [*order, "settings", *(["visit"] if "visit" in data else [])]:
        if isinstance(data[name], list):
            tables = tomlkit.aot()
            for one in data[name]:
                tables.append(_table(one))
            document[name] = tables
        else:
            document[name] = _table(data[name])
    return as_toml(tomlkit.dumps(document).replace("# :schema", "#:schema", 1))


def _table(values: Mapping[str, Any]) -> TomlTable:
    """Return a table; a value with its source becomes a table in braces, any other one a table of its own."""
    import tomlkit

    table = tomlkit.table()
    for key, value in values.items():
        if not isinstance(value, Mapping):
            table[key] = value
        elif any(isinstance(one, Mapping) for one in value.values()):
            table[key] = _table(value)
        else:
            inline = tomlkit.inline_table()
            inline.update(value)
            table[key] = inline
    return table
