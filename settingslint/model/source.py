"""One TOML file: its text, its data after the schema accepted it, and where each value stands."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from datetime import date, datetime, time
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from settingslint.model.locate import Place, Places, locate, place_of_error
from settingslint.model.values import Problem, Unreadable

LARGEST_FILE: Final = 1_000_000
"""Bytes. A profile has a few thousand; the limit keeps a hostile file from taking the memory."""
LARGEST_NUMBER: Final = 1e12
DEEPEST: Final = 12
"""Levels of nesting; no file of this project needs more than five."""

Path_ = tuple[str | int, ...]


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
        place = self.place(path)
        return Problem(self.name, place.line, place.column, message)

    def problem_at_key(self, path: Path_, message: str) -> Problem:
        """Return a problem at the key of that path."""
        place = self.places.key(path)
        return Problem(self.name, place.line, place.column, message)


def read_bytes(path: Path, name: str) -> bytes:
    """Return the file's bytes.

    Raises:
        Unreadable: where it is missing, no regular file, too large, or access is denied.
    """
    try:
        if not path.is_file():
            what = "is not a file" if path.exists() else "does not exist"
            raise Unreadable([Problem(name, 1, 1, f"{what}")])
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
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        message = f"not UTF-8 text: byte 0x{content[error.start]:02x}; save the file as UTF-8"
        raise Unreadable([Problem(name, line, column, message)]) from None
    if text.startswith("\ufeff"):
        text = text[1:]
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = place_of_error(error, text)
        reason = str(error).partition(" (at ")[0]
        raise Unreadable([Problem(name, place.line, place.column, f"not TOML: {reason}")]) from None
    except RecursionError:
        raise Unreadable([Problem(name, 1, 1, f"nested deeper than {DEEPEST} levels")]) from None
    except ValueError as error:  # a number of thousands of digits
        raise Unreadable([Problem(name, 1, 1, f"not TOML: {error}")]) from None
    source = Source(name, text, data)
    problems = [source.problem(path, message) for path, message in _plain(data, (), 1)]
    if problems:
        raise Unreadable(problems)
    return source


def _plain(node: dict[str, Any] | list[Any], path: Path_, depth: int) -> Iterator[tuple[Path_, str]]:
    """Turn dates into ISO text in place, and yield what no file may hold."""
    if depth > DEEPEST:
        yield path, f"nested deeper than {DEEPEST} levels"
        return
    items: Any = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in items:
        if isinstance(value, dict | list):
            yield from _plain(value, (*path, key), depth + 1)
        elif isinstance(value, float) and not math.isfinite(value):
            yield (*path, key), f"{key}: {value} is no number"
        elif isinstance(value, int | float) and abs(value) > LARGEST_NUMBER:
            yield (*path, key), f"{key}: the number is absurdly large"
        elif isinstance(value, datetime):
            node[key] = value.date().isoformat()
        elif isinstance(value, date | time):
            node[key] = value.isoformat()
