"""Rules: numbers."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "numbers"
RULES: Final[tuple[Rule, ...]] = ()
