"""Every rule has its table where its path says, ends in every way there, and declares what it does."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint import rules
from settingslint.checking.look import run
from settingslint.rules import all_rules, by_group
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.rules.rule import Rule
from tests.rules.kit import AS_OF, Answer, make_plant
from tests.rules.tables import module_of_tests, topics

TOPICS: Final = sorted(topics())
HOME: Final = Path(rules.__file__).parent
LACKS_NOTHING: Final = {
    "acceptance-expired", "acceptance-of-danger-incomplete", "acceptance-too-long", "acceptance-unused",
    "bulk-edit-over-sites", "defaults-across-portfolio", "difference-converted-with-32",
    "facts-old", "follower-at-odds-with-leader", "guessed-facts", "heating-value-basis-unsaid", "idle-boiler-of-group",
    "not-read-back", "number-not-plausible",
    "pressure-in-other-unit", "raw-bus-value-recorded", "reading-marked-left-without-visit",
    "reason-missing", "rounding-through-other-unit", "secret-in-record", "temporary-change-overdue",
    "temporary-change-without-return", "time-in-other-unit", "two-leaders",
    "typed-differs-from-read-back", "typed-in-other-unit", "calculated-not-set",
}  # fmt: skip
"""Rules about whatever is recorded, where what is not recorded is not what they are about."""
NEVER_CLEAR: Final = {"pump-adapts-against-the-control"}
"""Where nothing is wrong it does not apply."""


def endings(topic: str) -> Iterable[tuple[str, Answer]]:
    """Yield each rule of a topic's table with each way in which it ends there."""
    for name, how, *_ in module_of_tests(topic).CASES:
        ways: Iterable[Answer] = [how] if isinstance(how, str) else how  # type: ignore[list-item]
        yield from ((name, way) for way in ways)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_rules_of_a_module_are_tested_in_the_module_of_its_name(topic: str) -> None:
    """One table, the cases of each rule together, in the order of the rules."""
    names = [rule.name for rule in topics()[topic]]
    assert [name for name, _ in groupby(module_of_tests(topic).CASES, key=lambda case: case[0])] == names
    for table in ("SAID", "DECLARED"):
        rows = getattr(module_of_tests(topic), table, None)
        assert rows is None or sorted(row[0] for row in rows) == sorted(names)


def test_every_module_of_tests_has_its_module_of_rules() -> None:
    named = {
        path.parent.name + "/" + path.name.removeprefix("test_") for path in Path(__file__).parent.glob("*/test_*.py")
    }
    assert named <= {path.relative_to(HOME).as_posix() for path in HOME.glob("*/*.py")}
    assert {topic.replace(".", "/") + ".py" for topic in TOPICS} <= named


def test_every_rule_ends_in_every_way_somewhere() -> None:
    seen = {one for topic in TOPICS for one in endings(topic)}
    names = {rule.name for rule in all_rules()}
    ways: dict[Answer, set[str]] = {"found": set(), "clear": NEVER_CLEAR, "not checked": LACKS_NOTHING}
    for way, never in ways.items():
        assert names - {name for name, how in seen if how == way} == never, way
    assert {(name, "does not apply") for name in NEVER_CLEAR} <= seen
    for group in ("hot_water", "hygiene"):
        assert {(rule.name, "does not apply") for rule in by_group()[group]} <= seen


class Asked(dict[str, float]):
    """An owner who has set no number, and remembers which were asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.names: set[str] = set()

    def get(self, name: str, default: Any = None) -> Any:
        self.names.add(name)
        return default


def asked_for(rule: Rule, cases: Iterable[tuple[Any, ...]]) -> set[str]:
    """Return the numbers of habit that a rule asks for in any case of its own."""
    asked = Asked()
    for name, _, changes, more in cases:
        if name == rule.name:
            run(rule, make_plant(changes, **{**more, "context": Context(AS_OF, asked)}))
    return asked.names


@pytest.mark.parametrize("topic", TOPICS)
def test_numbers_of_habit_are_declared(topic: str) -> None:
    for rule in topics()[topic]:
        if rule.scope == "plant":
            assert asked_for(rule, module_of_tests(topic).CASES) == {one.name for one in rule.thresholds}, rule.name


def test_what_is_likely_says_what_it_assumes() -> None:
    sure = {rule.name for rule in all_rules() if rule.certainty is not Certainty.LIKELY and rule.assumes}
    assert sure == {"flue-limit-above-vent-rating", "power-in-other-unit", "typed-in-other-unit"}
    assert [rule.name for rule in all_rules() if rule.certainty is Certainty.LIKELY and not rule.assumes] == []


def test_scalding_and_hygiene_are_never_named_alone() -> None:
    for rule in all_rules():
        assert ("scald" in rule.cautions) == ("hygiene" in rule.cautions), rule.name
        assert rule.cautions, rule.name
    for rule in by_group()["hygiene"]:
        assert {"scald", "hygiene"} <= set(rule.cautions), rule.name
        assert rule.severity is Severity.DANGER, rule.name
