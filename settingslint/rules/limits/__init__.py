"""Rules: limits and the working values below them. A working value is lowered; a limit never gets a figure."""

from __future__ import annotations

from typing import Final

from settingslint.rules.limits import changed, margin, ratings
from settingslint.rules.rule import Rule

TITLE: Final = "limits"
RULES: Final[tuple[Rule, ...]] = (
    *margin.RULES,
    *ratings.RULES,
    *changed.RULES,
)
