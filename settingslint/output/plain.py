"""Untrusted text made plain: no control character reaches a terminal, no line is longer than it should be."""

from __future__ import annotations

import json
import unicodedata
from functools import lru_cache
from typing import Final

_HIDDEN: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def plain(text: str) -> str:
    r"""Return text on one line with everything invisible spelled out.

    >>> plain("a\x1b[31mred\nb")
    'a\\x1b[31mred\\x0ab'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_spelled(char) if unicodedata.category(char) in _HIDDEN else char for char in text)


def _spelled(char: str) -> str:
    code = ord(char)
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"


def json_text(data: object) -> str:
    r"""Return JSON that every reader takes: everything invisible, and half characters of file names, is spelled out.

    >>> json_text({"file": "caf\udce9", "by": "\x9b2J"})
    '{\n "file": "caf\\\\udce9",\n "by": "\\u009b2J"\n}\n'
    """
    text = json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)
    lines = text.split("\n")
    return "\n".join(line if line.isprintable() else _ascii(line) for line in lines) + "\n"


def _ascii(line: str) -> str:
    return "".join(_json(char) if unicodedata.category(char) in _HIDDEN else char for char in line)


def _json(char: str) -> str:
    return f"\\\\u{ord(char):04x}" if unicodedata.category(char) == "Cs" else json.dumps(char)[1:-1]


@lru_cache(maxsize=20_000)
def wrapped(text: str, width: int, indent: str, hang: str = "  ") -> str:
    """Return text filled to a width, every line indented and the later ones hanging; a longer word stands alone.

    Cautions, sources and ways out come again and again, so what was filled is remembered.

    >>> wrapped("caution: hot water", 12, "  ")
    '  caution:\\n    hot\\n    water'
    """
    lines: list[str] = []
    line, room = indent, width - len(indent)
    empty = True
    for word in plain(text).split(" "):
        if not word:
            continue
        if empty:
            line += word
        elif len(word) < room:
            line += " " + word
            room -= 1
        else:
            lines.append(line)
            line, room = indent + hang + word, width - len(indent) - len(hang)
        room -= len(word)
        empty = False
    return "\n".join([*lines, line]) if not empty else ""


def plural(count: int, one: str, many: str | None = None) -> str:
    """Return a count with its noun.

    >>> plural(1, "rule"), plural(2, "rule"), plural(0, "boiler")
    ('1 rule', '2 rules', '0 boilers')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}"
