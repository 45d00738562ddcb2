"""Rules: does water move through the boiler when it must."""

from __future__ import annotations

from typing import Final

from settingslint.rules.pumps import flow, running
from settingslint.rules.rule import Rule

TITLE: Final = "pumps and flow"
RULES: Final[tuple[Rule, ...]] = (
    *running.RULES,
    *flow.RULES,
)
