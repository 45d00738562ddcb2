"""Rules: limits."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "limits"
RULES: Final[tuple[Rule, ...]] = ()
