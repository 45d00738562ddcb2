"""Every rule's documentation is true: its first example trips it, its second does not."""

from __future__ import annotations

import tomllib

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.examples import as_toml, passing, tripping
from settingslint.rules.rule import Rule
from tests.rules.examples import Example, example_of
from tests.rules.kit import Answer, answer, make_plant

SINGLE = [rule for rule in all_rules() if rule.scope == "plant"]


def told(rule: Rule, example: Example) -> Answer:
    plant = make_plant(example.profile, control=example.control, style=example.style)
    return answer(audit(plant, [rule]), rule.name)


@pytest.mark.parametrize("rule", SINGLE, ids=lambda rule: rule.name)
def test_the_tripping_example_trips(rule: Rule) -> None:
    example = example_of(rule, True)
    if any(rule.history):  # a file alone can't show it
        assert rule.passes or all(rule.history)
        return
    assert told(rule, example) == "found"


@pytest.mark.parametrize("rule", SINGLE, ids=lambda rule: rule.name)
def test_the_passing_example_passes(rule: Rule) -> None:
    if any(rule.history):
        return
    assert told(rule, example_of(rule, False)) in ("clear", "does not apply")


def test_an_example_is_not_the_plant_itself() -> None:
    """An example without changes would show nothing."""
    assert [rule.name for rule in SINGLE if not tripping(rule)] == []


@pytest.mark.parametrize("rule", SINGLE, ids=lambda rule: rule.name)
def test_an_example_is_shown_as_a_file_has_it(rule: Rule) -> None:
    shown = tomllib.loads(as_toml(passing(rule)))
    for path, value in passing(rule).items():
        node = shown
        for part in path.removeprefix("control.").split("."):
            node = node[part]
        assert node == value
