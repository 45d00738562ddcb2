"""Rules: cascade."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "cascade"
RULES: Final[tuple[Rule, ...]] = ()
