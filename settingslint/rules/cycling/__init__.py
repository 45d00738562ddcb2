"""Rules: does the burner start too often, and do the band and the rest time help."""

from __future__ import annotations

from typing import Final

from settingslint.rules.cycling import control, starts
from settingslint.rules.rule import Rule

TITLE: Final = "cycling"
RULES: Final[tuple[Rule, ...]] = (
    *starts.RULES,
    *control.RULES,
)
