"""Rules: settings whose number only makes sense in another unit, scale or reading."""

from __future__ import annotations

from typing import Final

from settingslint.rules.numbers import facts, plausible, settings
from settingslint.rules.rule import Rule

TITLE: Final = "units and numbers"
RULES: Final[tuple[Rule, ...]] = (
    *settings.RULES,
    *facts.RULES,
    *plausible.RULES,
)
