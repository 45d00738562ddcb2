"""Rules: is the record true, complete, and of this boiler."""

from __future__ import annotations

from typing import Final

from settingslint.rules.record import acceptance, effect, keeping, past, several, temporary, typed
from settingslint.rules.rule import Rule

TITLE: Final = "record"
RULES: Final[tuple[Rule, ...]] = (
    *typed.RULES,
    *effect.RULES,
    *temporary.RULES,
    *past.RULES,
    *keeping.RULES,
    *several.RULES,
    *acceptance.RULES,
)
