"""Rules: fan speeds, rates and the manual fire mode. They say what is not as the maker left it; never a figure."""

from __future__ import annotations

from typing import Final

from settingslint.rules.firing import range, readings, record, site
from settingslint.rules.rule import Rule

TITLE: Final = "firing"
RULES: Final[tuple[Rule, ...]] = (
    *range.RULES,
    *site.RULES,
    *record.RULES,
    *readings.RULES,
)
