"""Rules: does the heating get the water it needs, and no hotter than the emitters may take."""

from __future__ import annotations

from typing import Final

from settingslint.rules.heating import need, returns, use
from settingslint.rules.rule import Rule

TITLE: Final = "heating"
RULES: Final[tuple[Rule, ...]] = (
    *need.RULES,
    *returns.RULES,
    *use.RULES,
)
