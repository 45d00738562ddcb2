"""Rules: scalding and hygiene of hot water. They pull in opposite directions, so each finding carries both cautions."""

from __future__ import annotations

from typing import Final

from settingslint.rules.hygiene import change, loop, tank, tap
from settingslint.rules.rule import Rule

TITLE: Final = "scalding and hygiene"
RULES: Final[tuple[Rule, ...]] = (
    *tank.RULES,
    *tap.RULES,
    *loop.RULES,
    *change.RULES,
)
