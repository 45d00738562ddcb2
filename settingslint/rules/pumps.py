"""Rules: pumps."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "pumps"
RULES: Final[tuple[Rule, ...]] = ()
