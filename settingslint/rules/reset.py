"""Rules: reset."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "reset"
RULES: Final[tuple[Rule, ...]] = ()
