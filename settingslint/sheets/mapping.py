"""The mapping file that says which column of a spreadsheet is what; kept beside the spreadsheet for the next time."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from settingslint.model.source import parse, read_bytes
from settingslint.model.values import Problem, Unreadable
from settingslint.sheets.match import Column, targets


def read_mapping(path: Path) -> dict[str, str]:
    """Return header to target; an empty target leaves a column out.

    Raises:
        Unreadable: where the file can't be read or names something unknown.
    """
    source = parse(read_bytes(path, str(path)), str(path))
    columns = source.data.get("columns")
    if not isinstance(columns, dict):
        raise Unreadable([source.problem((), "a mapping file has a table [columns]")])
    known = targets()
    problems: list[Problem] = []
    for header, target in columns.items():
        if not isinstance(target, str) or (target and target not in known):
            problems.append(source.problem(("columns", header), f"{target!r} is no setting and no fact"))
    if problems:
        raise Unreadable(problems)
    return columns


def write_mapping_file(path: Path, columns: Sequence[Column]) -> None:
    """Write a mapping of all columns; what was only near stands there as a suggestion to confirm."""
    import tomlkit

    table = tomlkit.table()
    for column in columns:
        if not column.header:
            continue
        value = tomlkit.string(column.target or column.near or "")
        if column.target is None:
            value.comment("a suggestion: confirm or empty it" if column.near else "left out")
        table[column.header] = value
    document = tomlkit.document()
    document["columns"] = table
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
