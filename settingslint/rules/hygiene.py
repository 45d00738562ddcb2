"""Rules: hygiene."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "hygiene"
RULES: Final[tuple[Rule, ...]] = ()
