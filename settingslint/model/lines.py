"""Where one value stands, found without a scan of the whole text, in files of the usual form.

Most files have a statement on each line: `name = value` with bare names, `[table]`, `[[list]]`, a comment or nothing.
There the line of a value is found by its table's header and its name. Any other text, and any path that this does not
find, is left to the scan in `locate`, with which this agrees (a differential test holds them together). So that every
statement stands behind a line feed, the text is given with one more in front.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Final

Path_ = tuple[str | int, ...]

_BARE: Final = r"[A-Za-z0-9_-]++"
_DOTTED: Final = rf"{_BARE}(?:\.{_BARE})*+"
_COMMENT: Final = r"[ \t]*+(?:#[^\n]*+)?+"
_ODD: Final = re.compile(rf"\n[ \t]*+(?!{_BARE}[ \t]*+=|#|(?:\[{_DOTTED}\]|\[\[{_DOTTED}\]\])?+{_COMMENT}(?:\n|\Z))")
"""The begin of a line that is no statement of its own: the inside of a list or of a text over several lines, or one
whose names are quoted or dotted."""
_LIST: Final = re.compile(r"\n[ \t]*+\[\[([^\]\n]*+)")
_HEADER: Final = re.compile(r"\n[ \t]*+\[")
_NAME: Final = re.compile(_BARE)


def is_usual(text: str) -> bool:
    """Return whether a text, accepted as TOML and without carriage returns, is of the usual form.

    A table below an entry of a list (`[[list]]`, `[list.more]`) is not usual.
    """
    if '"""' in text or "'''" in text or _ODD.search(text):
        return False
    return not any(f"[{name}." in text for name in set(_LIST.findall(text)))


@cache
def _header_of(names: tuple[str, ...], many: bool) -> re.Pattern[str]:
    name = re.escape(".".join(names))
    return re.compile(rf"\n[ \t]*+(\[\[{name}\]\])" if many else rf"\n[ \t]*+(\[{name}\])")


@cache
def _line_of(name: str) -> re.Pattern[str]:
    return re.compile(rf"\n([ \t]*+{re.escape(name)}[ \t]*+=[^\n]*+)")


def header(text: str, path: Path_) -> re.Match[str] | None:
    """Return the header of the table or of the entry of a list at a path, in a text of the usual form; group 1."""
    many = bool(path) and isinstance(path[-1], int)
    names = path[:-1] if many else path
    if not names or not all(isinstance(name, str) and _NAME.fullmatch(name) for name in names):
        return None
    found = _header_of(tuple(map(str, names)), many).finditer(text)
    wanted = path[-1] if isinstance(path[-1], int) else 0
    return next((one for number, one in enumerate(found) if number == wanted), None)


def line(text: str, path: Path_) -> tuple[int, int] | None:
    """Return begin and end of the line that declares the name at a path below a header; None where there is none."""
    *table, name = path
    if not (isinstance(name, str) and _NAME.fullmatch(name)):
        return None
    head = header(text, tuple(table))
    if head is None:
        return None
    following = _HEADER.search(text, head.end())
    found = _line_of(name).search(text, head.end(), following.start() if following else len(text))
    return found.span(1) if found else None


def has_deeper(text: str, path: Path_) -> bool:
    """Return whether a header names something below a table."""
    name = ".".join(map(str, path))
    return f"[{name}." in text
