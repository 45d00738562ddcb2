"""Rules: firing."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule

TITLE: Final = "firing"
RULES: Final[tuple[Rule, ...]] = ()
