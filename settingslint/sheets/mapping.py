"""The mapping file that says which column of a spreadsheet is what, and what words in its cells mean."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final, NamedTuple

from settingslint.files.whole import put
from settingslint.model.source import parse, read_bytes
from settingslint.model.values import Problem, Unreadable, one_line
from settingslint.plain import as_toml
from settingslint.sheets.match import Column, targets

NAMES: Final = "settingslint explain --names"
"""The command that lists what a column can be."""
HEAD: Final = (
    f'Which column is what; "" skips one. The names: {NAMES}',
    'Say under [words."header"] what a word in its cells means, as in: "Comb" = "plate"',
)


class Mapped(NamedTuple):
    """What a mapping file says: header to target, and header to word to what it means."""

    columns: dict[str, str]
    words: dict[str, dict[str, str]]


def read_mapping(path: Path) -> Mapped:
    """Return what a mapping file says; an empty target leaves a column out, an empty meaning says nothing.

    Raises:
        Unreadable: where the file can't be read or names something unknown.
    """
    source = parse(read_bytes(path, str(path)), str(path))
    columns, words = source.data.get("columns"), source.data.get("words", {})
    if not isinstance(columns, dict):
        raise Unreadable([source.problem((), "a mapping file needs a table [columns]")])
    known = targets()
    problems: list[Problem] = []
    for name in source.data.keys() - {"columns", "words"}:
        problems.append(source.problem((name,), f"unknown table {name}: a mapping file has [columns] and [words]"))
    for header, target in columns.items():
        if not isinstance(target, str) or (target and target not in known):
            problems.append(
                source.problem(("columns", header), f"{target!r} is neither a setting nor a fact: see {NAMES}")
            )
    if not isinstance(words, dict):
        raise Unreadable([source.problem(("words",), 'name the column of words: [words."header"]')])
    for header, row in words.items():
        if header not in columns:
            problems.append(source.problem(("words", header), f"{header!r} is no column of [columns]"))
        if not isinstance(row, dict) or not all(isinstance(means, str) for means in row.values()):
            text = 'name the column of words: [words."header"], then "word" = "what it means"'
            problems.append(source.problem(("words", header), text))
    if problems:
        raise Unreadable(problems)
    return Mapped(columns, words)


def write_mapping_file(
    path: Path,
    columns: Sequence[Column],
    unread: Mapping[str, Mapping[str, str]],
    words: Mapping[str, Mapping[str, str]],
) -> None:
    """Write a mapping of all columns; what was only near is named beside an empty value, as a question.

    Args:
        path: the file.
        columns: of the table.
        unread: header to word to the words that would be understood; they are there empty, to fill in.
        words: header to word to what an earlier mapping says that it means.

    Raises:
        OSError: where it can't be written.
    """
    import tomlkit

    document = tomlkit.document()
    for line in HEAD:
        document.add(tomlkit.comment(line))
    table = tomlkit.table()
    for column in columns:
        if not column.header:
            continue
        only = column.near[0] if len(column.near) == 1 else ""
        value = tomlkit.string(column.target or "")
        if column.target is None:
            some = f"one of {', '.join(column.near)}?" if column.near else "skipped"
            value.comment(f"{only}?" if only else some)
        table[column.header] = value
    document["columns"] = table
    meanings = tomlkit.table(is_super_table=True)
    for header in [column.header for column in columns if column.header in unread or column.header in words]:
        row = tomlkit.table()
        for word, means in words.get(header, {}).items():
            row[word] = means
        for word, known in unread.get(header, {}).items():
            empty = tomlkit.string("")
            empty.comment(one_line(f"one of {known}; empty says nothing"))
            row[word] = empty
        meanings[header] = row
    if meanings:
        document["words"] = meanings
    put(path, as_toml(tomlkit.dumps(document)), edit=True)
