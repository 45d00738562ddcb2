"""The rules, a module for each group. A rule is registered by standing in its module's `RULES`."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from settingslint.rules.rule import Rule

GROUPS: Final = (
    "heating",
    "reset",
    "firing",
    "hot_water",
    "hygiene",
    "freeze",
    "pumps",
    "limits",
    "cycling",
    "cascade",
    "record",
    "numbers",
)
"""The groups in the order in which they are explained; each is a module of this package with `TITLE` and `RULES`."""


@cache
def by_group() -> dict[str, tuple[Rule, ...]]:
    """Return the rules of each group."""
    from importlib import import_module

    return {name: import_module(f"settingslint.rules.{name}").RULES for name in GROUPS}


@cache
def all_rules() -> tuple[Rule, ...]:
    """Return all rules in the order of the groups."""
    return tuple(rule for rules in by_group().values() for rule in rules)
