"""The one gate for text: what a person reads is a `Plain`, and only this module makes one.

Names, reasons, units, paths, branches and messages of others are untrusted. In a `Plain` every character that nobody
sees is spelled out, so that it moves no cursor, turns no line around and hides nothing; line ends stand only where the
program put them. Whatever prints or writes text takes a `Plain`; a test looks for what goes around it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

_CATEGORIES: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
_UNSEEN: Final = re.compile("[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0]")
"""Letters, marks and signs that show nothing: Default_Ignorable_Code_Point of the Unicode Character Database as far as
no category above has them, and the blank Braille pattern."""


class Plain(str):
    """Text that may be printed or written as it is: the functions of this module return it, and nothing else does."""

    __slots__ = ()


def hidden(char: str) -> bool:
    r"""Return whether nobody sees a character, or it does something else than to be seen.

    >>> [hidden(char) for char in ("\x1b", "\u202e", "\u3164", "\ufe0f", "a", " ", "\u00e9")]
    [True, True, True, True, False, False, False]
    """
    return unicodedata.category(char) in _CATEGORIES or _UNSEEN.match(char) is not None


def shows(text: str) -> bool:
    """Return whether nothing in a text is hidden; of a text with rare blanks too it may say that something is."""
    return text.isprintable() and (text.isascii() or _UNSEEN.search(text) is None)


def plain(text: str) -> Plain:
    r"""Return text on one line with everything invisible spelled out.

    >>> plain("a\x1b[31mred\nb")
    'a\\x1b[31mred\\x0ab'
    """
    return text if type(text) is Plain and "\n" not in text else Plain(_spelled(text))


def in_lines(lines: Iterable[str]) -> Plain:
    r"""Return lines with their ends. What is no `Plain` yet is one line, whatever it holds.

    >>> in_lines(["a\nb", in_lines(["c", "d"])[:-1]])
    'a\\x0ab\nc\\x0ad\n'
    """
    return Plain("".join([f"{line if type(line) is Plain else _spelled(line)}\n" for line in lines]))


def together(*parts: str) -> Plain:
    r"""Return parts of one line as one text; a `Plain` among them stays as it is.

    >>> together("a\n", painted("b", "1"))
    'a\\x0a\x1b[1mb\x1b[0m'
    """
    return Plain("".join([part if type(part) is Plain else _spelled(part) for part in parts]))


def as_laid_out(text: str) -> Plain:
    r"""Return a text whose line ends are meant: its parts were made plain, or escaped, before they were put together.

    >>> as_laid_out("a,b\r\nc\x9b\r\n")
    'a,b\r\nc\\x9b\r\n'
    """
    if shows(text.replace("\n", "")):
        return Plain(text)
    parts = re.split("(\r?\n)", text)
    return Plain("".join([part if at % 2 else _spelled(part) for at, part in enumerate(parts)]))


def as_toml(text: str) -> Plain:
    r"""Return a TOML text with everything invisible spelled as TOML has it, which in quotes means the same.

    Not for strings between single quotes, nor for a file that somebody else laid out.

    >>> as_toml('a = "b\u202e"  # c\x9b\n')
    'a = "b\\u202e"  # c\\u009b\n'
    """
    if shows(text.replace("\n", "")):
        return Plain(text)
    return Plain("\n".join("".join(map(toml_letter, row)) for row in text.split("\n")))


def toml_letter(letter: str) -> str:
    """Return a character as a TOML string between double quotes has it, where nobody would see it."""
    if not hidden(letter):
        return letter
    code = ord(letter)
    return "\\ufffd" if 0xD800 <= code < 0xE000 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"


def painted(word: str, colour: str) -> Plain:
    r"""Return a word in a colour of the terminal, by the numbers that select it.

    >>> painted("danger\x1b", "1;35")
    '\x1b[1;35mdanger\\x1b\x1b[0m'
    """
    return Plain(f"\x1b[{colour}m{_spelled(word)}\x1b[0m")


def _spelled(text: str) -> str:
    if shows(text):
        return text
    return "".join([_sign(char) if hidden(char) else char for char in text])


def _sign(char: str) -> str:
    code = ord(char)
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"
