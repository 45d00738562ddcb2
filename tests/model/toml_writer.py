"""TOML documents in random styles, with a note of where each key and value was written.

The syntax follows TOML 1.0.0 (https://toml.io/en/v1.0.0), from memory; `tomllib` reads every document back.
"""

from __future__ import annotations

import random
import re
from datetime import datetime, timedelta, timezone
from typing import Any

from hypothesis import strategies as st

from settingslint.model.locate import Place

Path_ = tuple[str | int, ...]


class Writer:
    """Writes a document in a random style, and notes the place of every key and value as it goes.

    It counts lines and columns character by character, and knows nothing of how a text is scanned.
    """

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.newline = chance.choice(["\n", "\r\n"])
        self.pieces: list[str] = []
        self.line = self.column = 1
        self.values: dict[Path_, Place] = {}
        self.keys: dict[Path_, Place] = {}

    def maybe(self) -> bool:
        return self.chance.random() > 0.5

    def put(self, text: str) -> Place:
        line, column = self.line, self.column
        for character in text:
            self.pieces.append(self.newline if character == "\n" else character)
            self.line, self.column = (self.line + 1, 1) if character == "\n" else (self.line, self.column + 1)
        return Place(line, column, self.line, self.column)

    def blank(self) -> None:
        self.put(self.chance.choice(["", "", " ", "\t", "  \t "]))

    def comment(self) -> str:
        return self.chance.choice(["", "", "#", '# it\'s "quoted" ]}', "#[a] = {\t'''", '# é水\U0001f525 """'])

    def end_line(self) -> None:
        self.blank()
        self.put(self.comment() + "\n")
        while self.chance.random() > 0.8:
            self.blank()
            self.put(self.comment() + "\n")
        self.blank()

    def fill(self) -> None:
        """What may stand between the elements of an array."""
        self.blank()
        while self.chance.random() > 0.7:
            self.put(self.comment() + "\n")
            self.blank()

    def quoted(self, text: str, several_lines: bool) -> str:
        raw = all(character == "\t" or character.isprintable() or ord(character) > 0x7F for character in text)
        if raw and "'" not in text and self.maybe():
            return f"'{text}'"
        if not several_lines or self.maybe():
            return '"' + "".join(map(self.escaped, text)) + '"'
        if "'''" not in text and not {"\r", "\x00"} & set(text) and self.maybe():
            return f"'''\n{text}'''"
        written = '"""' + self.chance.choice(["", "\n"] if text[:1] != "\n" else ["\n"])
        for character in text:
            if character not in " \t\n" and self.chance.random() > 0.8:
                written += self.chance.choice(["\\\n", "\\  \n \n\t"])
            raw = character in "\n'" or (character == '"' and not written.endswith('""'))
            written += character if raw and self.maybe() else self.escaped(character)
        return written + '"""'

    def escaped(self, character: str) -> str:
        code = ord(character)
        if character in '"\\':
            return "\\" + character
        if character in "\n\r\x00" or self.chance.random() > 0.9:
            return f"\\u{code:04X}" if code < 0x10000 else f"\\U{code:08x}"
        return character

    def scalar(self, value: Any) -> str:
        pick = self.chance.choice
        match value:
            case bool():
                return str(value).lower()
            case int():
                forms = [f"{value:d}", f"{value:_d}", *([f"+{value}", f"0x{value:_X}", f"0b{value:b}"] * (value >= 0))]
                return pick(forms)
            case float():
                return pick([repr(value), repr(value).replace("e", "E")])
            case str():
                return self.quoted(value, several_lines=True)
            case datetime():
                return value.isoformat(pick(["T", "t", " "])).replace("+00:00", pick(["Z", "z", "+00:00"]))
            case _:
                return str(value.isoformat())

    def dotted(self, names: tuple[str, ...]) -> tuple[Place, list[Place]]:
        parts: list[Place] = []
        for name in names:
            if parts:
                self.blank()
                self.put(".")
                self.blank()
            bare = re.fullmatch("[A-Za-z0-9_-]+", name) and self.chance.random() < 0.8
            parts.append(self.put(name if bare else self.quoted(name, several_lines=False)))
        first, last = parts[0], parts[-1]
        return Place(first.line, first.column, last.end_line, last.end_column), parts

    def inline(self, value: Any, path: Path_) -> None:
        start = self.line, self.column
        if isinstance(value, dict):
            self.put("{")
            self.blank()
            for number, (names, item) in enumerate(self.entries(value)):
                if number:
                    self.put(",")
                    self.blank()
                self.entry(names, item, path)
                self.blank()
            self.put("}")
        elif isinstance(value, list):
            self.put("[")
            self.fill()
            for index, item in enumerate(value):
                self.keys[*path, index] = self.keys[path]
                self.inline(item, (*path, index))
                self.fill()
                if index < len(value) - 1 or self.maybe():
                    self.put(",")
                    self.fill()
            self.put("]")
        else:
            self.put(self.scalar(value))
        self.values[path] = Place(*start, self.line, self.column)

    def entries(self, table: dict[str, Any]) -> list[tuple[tuple[str, ...], Any]]:
        """Return the items of a table in any order, some tables in it opened into dotted keys."""
        found: list[tuple[tuple[str, ...], Any]] = []
        for name, value in table.items():
            if isinstance(value, dict) and value and self.maybe():
                found += [((name, *names), item) for names, item in self.entries(value)]
            else:
                found.append(((name,), value))
        self.chance.shuffle(found)
        return found

    def entry(self, names: tuple[str, ...], value: Any, path: Path_) -> None:
        whole, parts = self.dotted(names)
        for end, part in enumerate(parts, 1):
            self.keys.setdefault((*path, *names[:end]), part)
            self.values.setdefault((*path, *names[:end]), whole)
        self.blank()
        self.put("=")
        self.blank()
        self.inline(value, (*path, *names))

    def header(self, path: Path_, array: bool = False) -> None:
        """Write the header of the table at that path; `array` where it is an element of an array of tables."""
        named = [path[: end + 1] for end, step in enumerate(path) if isinstance(step, str)]
        start = self.line, self.column
        self.put("[[" if array else "[")
        self.blank()
        _, parts = self.dotted(tuple(str(prefix[-1]) for prefix in named))
        self.blank()
        self.put("]]" if array else "]")
        whole = Place(*start, self.line, self.column)
        for prefix, part in zip(named, parts, strict=True):
            self.keys.setdefault(prefix, part)
            self.values.setdefault(prefix, whole)
        # A header declares its own table in full, whatever implied it before.
        self.keys[path], self.values[path] = parts[-1], whole
        self.end_line()

    def table(self, table: dict[str, Any], path: Path_, array: bool = False) -> None:
        """Write a table with its header: lines of its own, and tables below it before or after them."""
        below = {
            name: value
            for name, value in table.items()
            if (
                isinstance(value, dict)
                or (isinstance(value, list) and value and all(isinstance(v, dict) for v in value))
            )
            and self.chance.random() < 0.7
        }
        own = {name: value for name, value in table.items() if name not in below}
        if path and not array and below and self.maybe():
            self.tables(below, path)
            if own or self.maybe():  # otherwise the tables below imply this one
                self.lines(own, path)
            return
        self.lines(own, path, array)
        self.tables(below, path)

    def lines(self, own: dict[str, Any], path: Path_, array: bool = False) -> None:
        if path:
            self.header(path, array)
        for names, value in self.entries(own):
            self.entry(names, value, path)
            self.end_line()

    def tables(self, below: dict[str, Any], path: Path_) -> None:
        for name, value in below.items():
            if isinstance(value, dict):
                self.table(value, (*path, name))
                continue
            for index, element in enumerate(value):
                self.table(element, (*path, name, index), array=True)

    def document(self, data: dict[str, Any]) -> str:
        self.end_line()
        self.table(data, ())
        text = "".join(self.pieces)
        return text if self.maybe() else text.rstrip("\r\n")


LETTERS = st.sampled_from("ab '\"\\\n\r\t#=[]{},.\x00é水\U0001f525\u2028\u0085")
NAMES = st.sampled_from(["a", "b", "c-1_", "1", "1979-05-27", "true", "é", "a b", ""]) | st.text(LETTERS, max_size=4)
ZONES = st.none() | st.integers(-1439, 1439).map(lambda minutes: timezone(timedelta(minutes=minutes)))
SCALARS = st.one_of(
    st.booleans(),
    st.integers(-(10**12), 10**12),
    st.floats(),
    st.dates(),
    st.times().map(lambda when: when.replace(fold=0)),
    st.datetimes(timezones=ZONES).map(lambda when: when.replace(fold=0)),
    st.text(LETTERS, max_size=8),
)
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(NAMES, inner, max_size=4)
        | st.lists(st.dictionaries(NAMES, inner, max_size=3), min_size=1, max_size=3)
    ),
    max_leaves=12,
)
TABLES = st.dictionaries(NAMES, ANYTHING, min_size=1, max_size=3)
DOCUMENTS = st.dictionaries(
    NAMES, ANYTHING | TABLES | st.dictionaries(NAMES, TABLES | st.lists(TABLES), max_size=3), max_size=4
)
CHANCE = st.randoms(use_true_random=False)
