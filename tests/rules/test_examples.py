"""Every rule's documentation is true: its first example trips it, its second does not."""

from __future__ import annotations

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Rule
from tests.rules.examples import Example, example_of
from tests.rules.kit import Answer, answer, make_plant

SINGLE = [rule for rule in all_rules() if rule.scope == "plant"]


def told(rule: Rule, example: Example) -> Answer:
    plant = make_plant(example.profile, control=example.control, style=example.style)
    return answer(audit(plant, [rule]), rule.name)


def with_history(rule: Rule) -> bool:
    """Return whether the rule looks into the history, so that an example in a file can't show it."""
    return "with a history" in rule.doc


@pytest.mark.parametrize("rule", SINGLE, ids=lambda rule: rule.name)
def test_the_tripping_example_trips(rule: Rule) -> None:
    example = example_of(rule, "Trips")
    if with_history(rule):
        assert example is None
        return
    assert example is not None
    assert told(rule, example) == "found"


@pytest.mark.parametrize("rule", SINGLE, ids=lambda rule: rule.name)
def test_the_passing_example_passes(rule: Rule) -> None:
    example = example_of(rule, "Passes")
    if with_history(rule):
        return
    assert example is not None
    assert told(rule, example) in ("clear", "does not apply")


def test_an_example_is_not_the_plant_itself() -> None:
    """The parser reads something: an example without changes would show nothing."""
    examples = {rule.name: example_of(rule, "Trips") for rule in SINGLE}
    empty = [name for name, one in examples.items() if one and not one.profile and not one.control]
    assert empty == []
