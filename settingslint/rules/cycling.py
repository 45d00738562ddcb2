"""Rules: cycling."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "cycling"
RULES: Final[tuple[Rule, ...]] = ()
