"""Rules: boilers in a group and boilers led by a building automation, one boiler at a time."""

from __future__ import annotations

from typing import Final

from settingslint.rules.cascade import several, staging
from settingslint.rules.rule import Rule

TITLE: Final = "cascade and signals from outside"
RULES: Final[tuple[Rule, ...]] = (
    *staging.RULES,
    *several.RULES,
)
