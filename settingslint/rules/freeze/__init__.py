"""Rules: does anything keep the water from freezing, and does it still when nobody is there."""

from __future__ import annotations

from typing import Final

from settingslint.rules.freeze import protection, unheated
from settingslint.rules.rule import Rule

TITLE: Final = "freezing"
RULES: Final[tuple[Rule, ...]] = (
    *protection.RULES,
    *unheated.RULES,
)
