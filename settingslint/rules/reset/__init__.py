"""Rules: the two ends of the line of outdoor reset, and whether it does anything at all."""

from __future__ import annotations

from typing import Final

from settingslint.rules.reset import fit, line, sensor, weather
from settingslint.rules.rule import Rule

TITLE: Final = "outdoor reset"
RULES: Final[tuple[Rule, ...]] = (
    *line.RULES,
    *fit.RULES,
    *weather.RULES,
    *sensor.RULES,
)
