"""What the tables of the rules' tests are run by: `test_boundaries = boundaries(CASES)`.

A row begins with the rule's name; then come changes to the kit's plant, and what else `ask` takes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib import import_module
from types import ModuleType
from typing import Any

import pytest

from settingslint import rules
from settingslint.rules.base import Certainty, Remedy, Severity
from settingslint.rules.plant import Context
from settingslint.rules.rule import Rule
from tests.rules.kit import AS_OF, Answer, ask, finding, rule_named

Changes = Mapping[str, Any]
Test = Callable[..., None]
Cases = Sequence[tuple[str, Answer, Changes, Changes]]
"""Rule, how it ends, changes, what else is asked with."""
Remedies = Sequence[tuple[str, Changes, Changes, Changes]]
"""Rule, changes, what else, and what is proposed, SI."""
Unable = Sequence[tuple[str, Changes, Changes, str]]
"""Rule, changes, changes to the control, and words of the remedy that proposes no value there."""
Declared = Sequence[tuple[str, Severity, Certainty, set[str]]]
"""Rule, severity, certainty, cautions."""
Said = Sequence[tuple[str, Changes, Changes, tuple[Severity, Certainty, str, set[str], Mapping[str, float]]]]
"""Rule, changes, what else; severity, certainty, place, cautions and numbers (SI) of what it then says."""
Places = Sequence[tuple[str, Changes, Changes, Severity, str]]
"""Rule, changes, what else, severity, place."""
Owners = Sequence[tuple[str, Changes, Changes, str, float]]
"""Rule, changes and what else with which it is clear, and an owner's number, by name and SI, that makes it speak."""


@cache
def topics() -> dict[str, list[Rule]]:
    """Return the rules of each module of rules, in its order, by `<group>.<topic>`."""
    found: dict[str, list[Rule]] = {}
    for rule in rules.all_rules():
        found.setdefault(rule.check.__module__.removeprefix(f"{rules.__name__}."), []).append(rule)
    return found


def module_of_tests(topic: str) -> ModuleType:
    """Return the module with the tests of the rules of `<group>.<topic>`."""
    group, _, name = topic.partition(".")
    return import_module(f"tests.rules.{group}.test_{name}")


def rows(table: Sequence[tuple[Any, ...]]) -> Callable[[Test], Test]:
    """Return the mark that runs a test with every row of a table, under the rule's name."""
    return pytest.mark.parametrize("row", table, ids=[row[0] for row in table])


def edge(rule: str, changes: Changes, name: str, clear: Any, found: Any, /, **more: Any) -> Cases:
    """Return both sides of a boundary: the value that (just) does not trip a rule, and the one that (just) does."""
    return [(rule, "clear", {**changes, name: clear}, more), (rule, "found", {**changes, name: found}, more)]


def lacking(rule: str, changes: Changes, /, *names: str, **more: Any) -> Cases:
    """Return the rows of a rule that is not checked where one of these facts or settings is missing."""
    return [(rule, "not checked", changes, {"drop": [name], **more}) for name in names]


def remedy_of(rule: str, changes: Changes | None = None, **more: Any) -> Remedy:
    """Return the remedy of a rule's first finding."""
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    return remedy


def narrow(name: str, low: float, high: float) -> dict[str, Any]:
    """Return changes to the control after which a setting takes values of this range only."""
    return {f"setting.{name}.range": {"low": low, "high": high}, f"setting.{name}.default": low}


def boundaries(table: Cases) -> Test:
    """Every case ends as its row says."""

    @pytest.mark.parametrize(("rule", "answer", "changes", "more"), table)
    def test(rule: str, answer: Answer, changes: Changes, more: Changes) -> None:
        assert ask(rule, changes, **more) == answer

    return test


def remedies(table: Remedies) -> Test:
    """Each remedy sets what its row says, and was tried on a copy of the plant."""

    @rows(table)
    def test(row: tuple[str, Changes, Changes, Changes]) -> None:
        rule, changes, more, proposed = row
        remedy = remedy_of(rule, changes, **more)
        assert remedy.set == pytest.approx(dict(proposed), abs=1e-4)
        assert remedy.verified is True
        assert "can't" not in remedy.text

    return test


def unable(table: Unable) -> Test:
    """Where the control can't take what would help, no value is proposed."""

    @rows(table)
    def test(row: tuple[str, Changes, Changes, str]) -> None:
        rule, changes, control, words = row
        remedy = remedy_of(rule, changes, control=control)
        assert remedy.set == {}
        assert remedy.verified is None
        assert words in remedy.text

    return test


def no_figure(table: Places) -> Test:
    """Each finding is as bad, and stands where, as its row says, and comes with words alone."""

    @rows(table)
    def test(row: tuple[str, Changes, Changes, Severity, str]) -> None:
        rule, changes, more, severity, at = row
        one = finding(rule, changes, **more)
        assert (one.severity, one.at) == (severity, at)
        assert one.remedy is not None
        assert one.remedy.set == {}
        assert not any(sign.isdigit() for sign in one.remedy.text)
        assert "meant" not in one.numbers

    return test


def declared(table: Declared) -> Test:
    """Each rule is as bad and as sure as its row says, and carries these cautions."""

    @rows(table)
    def test(row: tuple[str, Severity, Certainty, set[str]]) -> None:
        rule = rule_named(row[0])
        assert (rule.severity, rule.certainty, set(rule.cautions)) == row[1:]

    return test


def sayings(table: Said) -> Test:
    """Each finding is as bad and as sure, and stands where, as its row says; with these cautions and numbers."""

    @rows(table)
    def test(row: tuple[str, Changes, Changes, tuple[Severity, Certainty, str, set[str], Mapping[str, float]]]) -> None:
        rule, changes, more, (severity, certainty, at, cautions, numbers) = row
        one = finding(rule, changes, **more)
        assert (one.severity, one.certainty, one.at) == (severity, certainty, at)
        assert set(one.cautions) == cautions
        assert {name: number.value for name, number in one.numbers.items()} == pytest.approx(dict(numbers), rel=1e-3)
        assert ("(assumes " in one.message) == (certainty is Certainty.LIKELY)
        assert one.remedy is not None
        assert one.remedy.text

    return test


def places(table: Places) -> Test:
    """Each finding is as bad, and stands where, as its row says."""

    @rows(table)
    def test(row: tuple[str, Changes, Changes, Severity, str]) -> None:
        rule, changes, more, severity, at = row
        one = finding(rule, changes, **more)
        assert (one.severity, one.at) == (severity, at)

    return test


def owners_numbers(table: Owners) -> Test:
    """A number of habit is the owner's to set, and a finding that follows from it says so."""

    @rows(table)
    def test(row: tuple[str, Changes, Changes, str, float]) -> None:
        rule, changes, more, threshold, value = row
        assert ask(rule, changes, **more) == "clear"
        one = finding(rule, changes, context=Context(AS_OF, thresholds={threshold: value}), **more)
        assert threshold in one.message.partition("owner's number: ")[2]

    return test
