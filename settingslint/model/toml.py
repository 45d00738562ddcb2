"""TOML 1.0.0 read quickly. What a text means, and what is wrong with it, stays the affair of `tomllib`.

`tomli` is the same reader as a compiled package, three times as fast, but its newer versions also take what only TOML
1.1.0 has: then a file would mean something here and nothing on the next machine. So `tomli` is asked only about texts
in which nothing of that can be, and only when it accepts one is its answer taken.
"""

from __future__ import annotations

import re
from typing import Any, Final

import tomli

_TIME: Final = re.compile(r":[0-9]{2}(?!:)")
_VALUE_WITHOUT_SECONDS: Final = re.compile(
    r"(?:[=\[,{][ \t\n]*+|[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ])[0-9]{2}:[0-9]{2}(?!:)"
)
_LAST_COMMA: Final = re.compile(r",[ \t]*+\}")
_OPEN_AT_END_OF_LINE: Final = re.compile(r"\{[^\n]*+(?<!\})(?<!\}\r)(?:\n|\Z)")
_GOES_ON: Final = re.compile(r"\n[ \t]*+[,}]")
"""An inline table over several lines: its first line does not end with a brace, or a later one begins with these."""


def loads(text: str) -> dict[str, Any]:
    """Return what a TOML 1.0.0 text holds.

    Raises:
        tomllib.TOMLDecodeError: where it is not TOML 1.0.0; RecursionError and ValueError as `tomllib.loads`.
    """
    if not _may_be_later(text):
        try:
            return tomli.loads(text)
        except (ValueError, RecursionError):
            pass
    import tomllib  # seldom needed

    return tomllib.loads(text)


def _may_be_later(text: str) -> bool:
    """Return whether a text may hold what came after TOML 1.0.0; often it does not.

    New in 1.1.0 (https://toml.io/en/v1.1.0): line breaks, comments and a last comma in inline tables, the escapes
    `\\e` and `\\x`, times without seconds.
    """
    if "\\" in text and ("\\e" in text or "\\x" in text):
        return True
    if _TIME.search(text) and _VALUE_WITHOUT_SECONDS.search(text):
        return True
    return any(one.search(text) for one in (_LAST_COMMA, _OPEN_AT_END_OF_LINE, _GOES_ON))
