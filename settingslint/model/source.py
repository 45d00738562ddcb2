"""One TOML file: its text, its data after the schema accepted it, and where each value stands."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from settingslint.model.locate import Place, Places, locate, place_of_error
from settingslint.model.toml import loads
from settingslint.model.values import Problem, Unreadable, one_line

LARGEST_FILE: Final = 1_000_000
"""Bytes. A profile has a few thousand; the limit keeps a hostile file from taking the memory."""
LARGEST_NUMBER: Final = 1e12
DEEPEST: Final = 12
"""Levels of nesting; no file of this project needs more than five."""
MOST_DOTS: Final = 200
"""Dots in one line: a key of many parts takes the parser a time that grows with their square."""

Path_ = tuple[str | int, ...]

READ: Final[set[str]] = set()
"""Files that this run reads, by their absolute paths: nothing is written over them."""

ENDLESS: Final = re.compile(r"[+-]?[0-9][0-9_]{4300,}")
"""A whole number of more digits than Python reads."""

# fmt: off
PLAIN_WORDS: Final = (
    ("Expected newline or end of document",
     "the line should end here (no units; a point, no comma, in decimals; text in quotes)"),
    ("Invalid value", "no value here (put text in quotes; yes and no are true and false)"),
    ("Cannot overwrite a value", "this name has a value already"),
    ("Cannot declare", "this table has been opened already"),
    ("Cannot mutate", "this table is complete already"),
    ("Duplicate inline table key", "this name has a value already"),
    ("Expected '=' after a key", "a name is followed by = and a value"),
    ("Invalid initial character for a key part", "a name is missing here"),
    ("Invalid statement", "a line begins with a name, with [table] or with #"),
    ("Illegal character '\\n'", "the line ends inside quotes"),
    ("Unterminated string", "the quotes are not closed"),
    ("Expected \"'\"", "the quotes are not closed"),
    ("Unclosed array", "the list is not closed with ]"),
    ("Unclosed inline table", "the table is not closed with }"),
    ("Expected ']' at the end of a table declaration", "the table's name is not closed with ]"),
    ("Expected ']]'", "the table's name is not closed with ]]"),
    ("Found invalid character '\\r'", "a line ends in a carriage return alone; save the file with ordinary line ends"),
    ("Invalid date or datetime", "no such day or time"),
)
# fmt: on
"""The beginning of what `tomllib` says, and the same in plain words. What is not listed is shown as it is."""


def dotted(path: Path_) -> str:
    """Return a path as people write it, entries of lists counted from 1.

    >>> dotted(("emitter", 0, "kind"))
    'emitter[1].kind'
    """
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text or "the file"


class Source:
    """A file that was read: `name` as it is shown, `text`, and `data` as JSON-like values (dates as ISO text)."""

    def __init__(self, name: str, text: str, data: dict[str, Any]) -> None:
        self.name = name
        self.text = text
        self.data = data

    @cached_property
    def places(self) -> Places:
        """Where each key and value stands; scanned when first asked for."""
        return locate(self.text)

    def place(self, path: Path_) -> Place:
        """Return the place of the value at that path, or of its nearest parent that exists."""
        return self.places.value(path)

    def problem(self, path: Path_, message: str) -> Problem:
        """Return a problem at the value of that path."""
        return problem_at(self.name, self.place(path), message)

    def problem_at_key(self, path: Path_, message: str) -> Problem:
        """Return a problem at the key of that path."""
        return problem_at(self.name, self.places.key(path), message)


def problem_at(name: str, place: Place | None, message: str) -> Problem:
    """Return a problem of a file at a place, or at its beginning; the message is made one line."""
    return Problem(name, place.line if place else 1, place.column if place else 1, one_line(message))


def note_read(paths: Iterable[str | Path]) -> None:
    """Remember that this run reads some files."""
    here = os.getcwd()
    READ.update(os.path.join(here, path) for path in paths)


def read_bytes(path: Path, name: str) -> bytes:
    """Return the file's bytes.

    Raises:
        Unreadable: where it is missing, no regular file, too large, or access is denied.
    """
    try:
        note_read([path])
        if not path.is_file():
            what = "does not exist" if not path.exists() else "is a folder" if path.is_dir() else "is not a file"
            raise Unreadable([Problem(name, 1, 1, what)])
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except OSError as error:
        raise Unreadable([Problem(name, 1, 1, f"can't be read: {error.strerror or error}")]) from None
    if len(content) > LARGEST_FILE:
        raise Unreadable([Problem(name, 1, 1, f"larger than {LARGEST_FILE:,} bytes: not read")])
    return content


def parse(content: bytes, name: str) -> Source:
    """Return the source of TOML bytes.

    Raises:
        Unreadable: where the bytes are not UTF-8 or not TOML, or hold numbers or nesting beyond the limits.
    """
    text = _decoded(content, name).removeprefix("\ufeff")
    if text.count(".") > MOST_DOTS:
        for number, line in enumerate(text.split("\n"), 1):
            if line.count(".") > MOST_DOTS:
                raise Unreadable([Problem(name, number, 1, f"a line with more than {MOST_DOTS} dots")])
    try:
        data = loads(text)
    except RecursionError:
        place = locate(text).deeper_than(DEEPEST)
        raise Unreadable([problem_at(name, place, f"nested deeper than {DEEPEST} levels")]) from None
    except ValueError as error:
        import tomllib

        if isinstance(error, tomllib.TOMLDecodeError):
            what = f"not TOML: {_plain_words(error)}"
            raise Unreadable([problem_at(name, place_of_error(error, text), what)]) from None
        raise Unreadable([problem_at(name, locate(text).first(ENDLESS), "a number of thousands of digits")]) from None
    source = Source(name, text, data)
    problems = [source.problem(path, message) for path, message in _plain(data, (), 1)]
    if problems:
        raise Unreadable(problems)
    return source


def _decoded(content: bytes, name: str) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or (b"\0" in content[:4] and len(content) > 1):
        raise Unreadable([Problem(name, 1, 1, "not UTF-8 text but UTF-16 or UTF-32; save the file as UTF-8")])
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].removeprefix(b"\xef\xbb\xbf").decode("utf-8")) + 1
        message = f"not UTF-8 text: byte 0x{content[error.start]:02x}; save the file as UTF-8"
        raise Unreadable([Problem(name, line, column, message)]) from None


def _plain_words(error: ValueError) -> str:
    text = str(error).partition(" (at ")[0]
    return next((plain for begin, plain in PLAIN_WORDS if text.startswith(begin)), text)


def _plain(node: dict[str, Any] | list[Any], path: Path_, depth: int) -> Iterator[tuple[Path_, str]]:
    """Turn dates into ISO text in place, and yield what no file may hold."""
    if depth > DEEPEST:
        yield path, f"nested deeper than {DEEPEST} levels"
        return
    items: Any = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in items:
        if isinstance(value, (str, bool)):
            continue
        at = (*path, key)
        if isinstance(value, (dict, list)):
            yield from _plain(value, at, depth + 1)
        elif isinstance(value, float) and not math.isfinite(value):
            yield at, f"{dotted(at)}: {value} is not a number that can be set"
        elif isinstance(value, (int, float)) and abs(value) > LARGEST_NUMBER:
            yield at, f"{dotted(at)}: the number is absurdly large"
        elif isinstance(value, datetime):
            node[key] = value.date().isoformat()
        elif isinstance(value, (date, time)):
            node[key] = value.isoformat()
