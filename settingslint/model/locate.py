"""Where each key and value of a TOML text stands.

The standard library's `tomllib` reads TOML quickly and keeps no positions. `locate` scans a text that `tomllib` has
accepted for positions only: what the text means stays `tomllib`'s affair.

Syntax: TOML 1.0.0, https://toml.io/en/v1.0.0; line breaks, comments and a last comma in inline tables are let through
for readers of later versions.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    import tomllib

Span = tuple[int, int]
Step = str | int

# Every repeat is possessive: no text, TOML or not, makes these patterns backtrack.
_BLANK: Final = r"[ \t]*+"
_SKIP: Final = r"(?:[ \t\n]++|#[^\n]*+)*+"
_BASIC: Final = r'"(?:[^"\\\n]++|\\[^\n])*+"'
_LITERAL: Final = r"'[^'\n]*+'"
_PART: Final = rf"(?:[A-Za-z0-9_-]++|{_BASIC}|{_LITERAL})"
_DOTTED: Final = rf"{_PART}(?:{_BLANK}\.{_BLANK}{_PART})*+"

PART: Final = re.compile(_PART)
HEADER: Final = re.compile(rf"^{_BLANK}\[\[?+{_BLANK}({_PART}){_BLANK}[.\]]", re.MULTILINE)
BETWEEN: Final = re.compile(_SKIP)
STATEMENT: Final = re.compile(
    rf"{_SKIP}(?:(?P<key>{_DOTTED}){_BLANK}={_BLANK}"
    rf"|(?P<header>\[(?P<more>\[)?+{_BLANK}(?P<name>{_DOTTED}){_BLANK}\](?(more)\])))"
)
ENTRY: Final = re.compile(rf"{_SKIP},?+{_SKIP}(?:(?P<close>\}})|(?P<key>{_DOTTED}){_BLANK}={_BLANK})")
ELEMENT: Final = re.compile(rf"{_SKIP},?+{_SKIP}(?P<close>\])?+")
SCALAR: Final = re.compile(
    # A run of quotes at the end may hold up to two that belong to the string.
    r'"""(?:[^"\\]++|\\[\s\S]|"(?!""))*+"{3,5}+'
    r"|'''(?:[^']++|'(?!''))*+'{3,5}+"
    rf"|{_BASIC}|{_LITERAL}"
    # A date and a time may have one space between them.
    r"|(?:[0-9]{4}-[0-9]{2}-[0-9]{2}[ ](?=[0-9]))?+[^ \t\n,\]}#]++"
)
ERROR_AT: Final = re.compile(r"\(at line (\d+), column (\d+)\)$")


class Place(NamedTuple):
    """A stretch of text. Lines and columns count from 1, columns in Unicode code points; the end is exclusive."""

    line: int
    column: int
    end_line: int
    end_column: int


class Places:
    """The places of one text. Only those of its tables are scanned of which a place is asked.

    A path is the way through the parsed data, `("emitter", 0, "kind")`. What is not in the text stands where its
    nearest parent stands; the document itself stands at line 1, column 1.
    """

    def __init__(self, text: str) -> None:
        # A carriage return stands only before a line feed, so leaving it out moves no line and no column.
        self._text = text.replace("\r\n", "\n")
        self._nodes = _Nodes()

    def value(self, path: tuple[Step, ...]) -> Place:
        """Return the place of the value at that path.

        A table stands at its header, or at the dotted key or the header of the child that first implies it;
        an array of tables stands at its first header.
        """
        nodes = self._scanned(path)
        return self._place(nodes.values[nodes.find(path)])

    def key(self, path: tuple[Step, ...]) -> Place:
        """Return the place of the last part of the key at that path. An element of an array has the array's key."""
        nodes = self._scanned(path)
        return self._place(nodes.keys[nodes.find(path)])

    def deeper_than(self, levels: int) -> Place | None:
        """Return the place of the first value that lies below more than so many tables and arrays."""
        nodes = self._whole()
        depth = [0]  # a parent is always made before its children
        for (parent, _), node in nodes.children.items():
            depth.append(depth[parent] + 1)
            if depth[node] > levels:
                return self._place(nodes.values[node])
        return None

    def first(self, pattern: re.Pattern[str]) -> Place | None:
        """Return the place of the first value whose whole text the pattern matches."""
        for begin, end in self._whole().values[1:]:
            if pattern.fullmatch(self._text, begin, end):
                return self._place((begin, end))
        return None

    def _scanned(self, path: tuple[Step, ...]) -> _Nodes:
        """Return the nodes of the text, with all at least that are below the first name of a path.

        All of them stand before the first header or behind headers that begin with this name. What looks like a header
        inside an array is none; then the array has no end, or its rest is no statement, and the text is scanned whole.
        """
        for name in ("", *path[:1]):
            for span in self._sections.pop(name, ()):
                if not _scan(self._text, span, self._nodes):
                    self._nodes = self._whole()
                    self._sections.clear()
                    return self._nodes
        return self._nodes

    def _whole(self) -> _Nodes:
        nodes = _Nodes()
        _scan(self._text, (0, len(self._text)), nodes)
        return nodes

    @cached_property
    def _sections(self) -> dict[Step, list[Span]]:
        """The stretches of text that are not scanned yet, by the first name of their headers; none before the first."""
        text = self._text
        if '"""' in text or "'''" in text:  # a text over several lines may hold anything
            return {"": [(0, len(text))]}
        heads = [("", 0), *((_name(found[1]), found.start()) for found in HEADER.finditer(text))]
        sections: dict[Step, list[Span]] = {}
        for (name, begin), (_, end) in pairwise((*heads, ("", len(text)))):
            sections.setdefault(name, []).append((begin, end))
        return sections

    @cached_property
    def _line_starts(self) -> list[int]:
        return [0, *(found.end() for found in re.finditer("\n", self._text))]

    def _place(self, span: Span) -> Place:
        (line, column), (end_line, end_column) = map(self._line_and_column, span)
        return Place(line, column, end_line, end_column)

    def _line_and_column(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self._line_starts, offset)
        return line, offset - self._line_starts[line - 1] + 1


def locate(text: str) -> Places:
    """Return the places of a text that `tomllib` accepts.

    A text that it does not accept raises nothing here: the places before the first fault are good, the rest are not.
    """
    return Places(text)


def place_of_error(error: tomllib.TOMLDecodeError, text: str) -> Place:
    """Return the place of the character that `tomllib` complains about; of the end where the text ends too early."""
    line, column = getattr(error, "lineno", None), getattr(error, "colno", None)
    lines = text.replace("\r\n", "\n").split("\n")
    if not (isinstance(line, int) and isinstance(column, int)):  # before Python 3.14 the message alone has them
        if found := ERROR_AT.search(str(error)):
            line, column = int(found[1]), int(found[2])
        elif str(error).endswith("(at end of document)"):
            line, column = len(lines), len(lines[-1]) + 1
        else:
            line, column = 1, 1
    width = int(column <= len(lines[line - 1]))
    return Place(line, column, line, column + width)


class _Nodes:
    """The data as a flat tree, so that no depth of nesting is too deep. Node 0 is the document."""

    def __init__(self) -> None:
        self.children: dict[tuple[int, Step], int] = {}
        self.length: dict[int, int] = {}
        self.keys: list[Span] = [(0, 0)]
        self.values: list[Span] = [(0, 0)]

    def find(self, path: tuple[Step, ...]) -> int:
        """Return the node at that path or its nearest parent."""
        node = 0
        for step in path:
            child = self.children.get((node, step))
            if child is None:
                break
            node = child
        return node

    def add(self, parent: int, step: Step, key: Span, value: Span) -> int:
        """Return the child of that name, made or moved to where it is declared in full."""
        node = self.children.setdefault((parent, step), len(self.keys))
        if node == len(self.keys):
            self.keys.append(key)
            self.values.append(value)
        else:
            self.keys[node], self.values[node] = key, value
        return node

    def append(self, array: int, key: Span, value: Span) -> int:
        """Return a new last element of that array."""
        index = self.length.get(array, 0)
        self.length[array] = index + 1
        return self.add(array, index, key, value)

    def nest(self, table: int, parts: list[tuple[str, Span]], whole: Span) -> int:
        """Return the table behind all parts of a dotted key; `whole` is where a table stands that this key implies."""
        for name, span in parts:
            child = self.children.get((table, name))
            if child is None:
                child = self.add(table, name, span, whole)
            # Behind the name of an array of tables is its last table.
            table = self.children.get((child, self.length.get(child, 0) - 1), child)
        return table


def _scan(text: str, span: Span, nodes: _Nodes) -> bool:
    """Add what is declared in a stretch of text; return whether that was all that is in it."""
    table = 0
    unclosed: list[tuple[int, re.Pattern[str]]] = []
    position, end = span
    while True:
        container, pattern = unclosed[-1] if unclosed else (table, STATEMENT)
        found = pattern.match(text, position, end)
        if found is None:
            return BETWEEN.fullmatch(text, position, end) is not None
        position = found.end()
        if unclosed and found["close"]:
            unclosed.pop()
            nodes.values[container] = (nodes.values[container][0], position)
            continue
        if not unclosed and found["header"]:
            table = _header(nodes, text, found)
            continue
        if pattern is ELEMENT:
            node = nodes.append(container, nodes.keys[container], (position, position))
        else:
            name, key = found["key"], found.span("key")
            parent = container
            if not name.isidentifier():  # not bare: quoted, dotted or with a hyphen
                *parents, (name, key) = _parts(text, key)
                parent = nodes.nest(container, parents, found.span("key")) if parents else container
            node = nodes.add(parent, name, key, (position, position))
        if text.startswith("[", position):
            unclosed.append((node, ELEMENT))
            position += 1
        elif text.startswith("{", position):
            unclosed.append((node, ENTRY))
            position += 1
        elif scalar := SCALAR.match(text, position, end):
            nodes.values[node] = scalar.span()
            position = scalar.end()
        else:
            return False


def _header(nodes: _Nodes, text: str, found: re.Match[str]) -> int:
    """Return the table that a header opens."""
    whole = found.span("header")
    *parents, (name, key) = _parts(text, found.span("name"))
    parent = nodes.nest(0, parents, whole)
    if not found["more"]:
        return nodes.add(parent, name, key, whole)
    array = nodes.children.get((parent, name))
    if array is None:
        array = nodes.add(parent, name, key, whole)
    return nodes.append(array, key, whole)


def _parts(text: str, span: Span) -> list[tuple[str, Span]]:
    return [(_name(part[0]), part.span()) for part in PART.finditer(text, *span)]


def _name(part: str) -> str:
    if part[0] == "'":
        return part[1:-1]
    if part[0] != '"':
        return part
    if "\\" not in part:
        return part[1:-1]
    import tomllib

    try:
        return str(tomllib.loads(f"key = {part}")["key"])
    except tomllib.TOMLDecodeError:  # in a text that tomllib does not accept either
        return part
