"""Rules: record."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "record"
RULES: Final[tuple[Rule, ...]] = ()
