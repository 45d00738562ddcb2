"""What the pages have in common: the names of files, the signs of severities."""

from __future__ import annotations

import hashlib
from typing import Final

from settingslint.checking.audit import Result
from settingslint.rules.base import Severity

SIGNS: Final = {
    Severity.DANGER: "◆", Severity.DAMAGE: "▲", Severity.OUTAGE: "●", Severity.WASTE: "○", Severity.RECORD: "·",
}  # fmt: skip

URGENT: Final = (Severity.DANGER, Severity.DAMAGE)


def page_name(result: Result) -> str:
    """Return the file name of a plant's page and sheet: readable, and one of its kind by a hash of site and name."""
    readable = "".join(char if char.isascii() and char.isalnum() else "-" for char in f"{result.site}-{result.plant}")
    short = hashlib.sha256(f"{result.site}\0{result.plant}".encode("utf-8", "surrogatepass")).hexdigest()[:8]
    return f"{readable[:60].strip('-').lower()}-{short}.html"
