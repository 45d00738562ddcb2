"""Rules: hot water."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "hot water"
RULES: Final[tuple[Rule, ...]] = ()
