"""Rules: heating."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "heating"
RULES: Final[tuple[Rule, ...]] = ()
