"""Rules: does the burner start too often, and do the band and the rest time help."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule
from settingslint.rules.cycling import control, starts

TITLE: Final = "cycling"
RULES: Final[tuple[Rule, ...]] = (
    *starts.RULES,
    *control.RULES,
)
