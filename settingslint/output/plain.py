"""Plain text in the shapes that several outputs share: JSON, lines of a width, a count with its noun."""

from __future__ import annotations

import json
import unicodedata
from functools import lru_cache

from settingslint.plain import Plain, as_laid_out, hidden, plain, shows


def json_text(data: object) -> Plain:
    r"""Return JSON that every reader takes: everything invisible, and half characters of file names, is spelled out.

    >>> json_text({"file": "caf\udce9", "by": "\x9b2J"})
    '{\n "file": "caf\\\\udce9",\n "by": "\\u009b2J"\n}\n'
    """
    text = json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)
    lines = text.split("\n")
    return as_laid_out("\n".join(line if shows(line) else _ascii(line) for line in lines) + "\n")


def _ascii(line: str) -> str:
    return "".join(_json(char) if hidden(char) else char for char in line)


def _json(char: str) -> str:
    return f"\\\\u{ord(char):04x}" if unicodedata.category(char) == "Cs" else json.dumps(char)[1:-1]


@lru_cache(maxsize=20_000)
def wrapped(text: str, width: int, indent: str, hang: str = "  ") -> Plain:
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
    return as_laid_out("\n".join([*lines, line]) if not empty else "")


def plural(count: int, one: str, many: str | None = None) -> str:
    """Return a count with its noun.

    >>> plural(1, "rule"), plural(2, "rule"), plural(0, "boiler")
    ('1 rule', '2 rules', '0 boilers')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}"
