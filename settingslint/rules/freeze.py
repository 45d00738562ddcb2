"""Rules: freeze."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "freeze"
RULES: Final[tuple[Rule, ...]] = ()
