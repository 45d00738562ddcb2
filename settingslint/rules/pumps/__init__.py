"""Rules: does water move through the boiler when it must."""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Rule
from settingslint.rules.pumps import flow, running

TITLE: Final = "pumps and flow"
RULES: Final[tuple[Rule, ...]] = (
    *running.RULES,
    *flow.RULES,
)
