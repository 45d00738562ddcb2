"""What rules declare about themselves against what they do on the cases of a group's table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from settingslint.checking.audit import run
from settingslint.rules.plant import Context
from settingslint.rules.rule import Rule
from tests.rules.kit import AS_OF, Answer, make_plant

Case = tuple[str, Answer, dict[str, Any], dict[str, Any]]


class Asked(dict[str, float]):
    """An owner who has set no number, and remembers which were asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.names: set[str] = set()

    def get(self, name: str, default: Any = None) -> Any:
        self.names.add(name)
        return default


def numbers_asked_for(rule: Rule, cases: Iterable[Case]) -> set[str]:
    """Return the numbers of habit that a rule asks for in any case of its own."""
    asked = Asked()
    for name, _, changes, more in cases:
        if name == rule.name:
            run(rule, make_plant(changes, **{**more, "context": Context(AS_OF, asked)}))
    return asked.names


def undeclared(rules: Sequence[Rule], cases: Sequence[Case]) -> dict[str, set[str]]:
    """Return the rules whose declared numbers are not those that they ask for, with the difference."""
    pairs = {rule.name: {one.name for one in rule.thresholds} ^ numbers_asked_for(rule, cases) for rule in rules}
    return {name: difference for name, difference in pairs.items() if difference}
