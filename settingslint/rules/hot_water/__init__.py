"""Rules: is hot water made the way it is piped, by a boiler that is hot enough for the tank and not too hot for it."""

from __future__ import annotations

from typing import Final

from settingslint.rules.hot_water import priority, tank, use
from settingslint.rules.rule import Rule

TITLE: Final = "hot water"
RULES: Final[tuple[Rule, ...]] = (
    *tank.RULES,
    *priority.RULES,
    *use.RULES,
)
