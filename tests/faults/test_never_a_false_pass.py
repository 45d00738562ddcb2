"""What is taken away from a record can hide nothing: a finding stays, or is said to be not checked."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint.checking.audit import Result, audit
from settingslint.model.control import Control
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.source import Source, parse
from settingslint.rules import all_rules
from settingslint.rules.base import Severity
from settingslint.rules.plant import Context, Plant
from settingslint.vocabulary.facts import TABLES

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
PLANT_RULES: Final = tuple(rule for rule in all_rules() if rule.scope == "plant")
PLANTS: Final = (
    "corner-hall/boiler-1", "ferry-workshop/boiler-1", "linden-yard/boiler-1", "north-lodge/boiler-1",
    "orchard-house/boiler-1", "quarry-school/boiler-2", "tanners-court/boiler-1", "weir-cottages/no-2",
    "weir-cottages/no-3",
)  # fmt: skip
"""Those of the example of which something is found."""
RECORD_ONLY: Final = frozenset({
    "not-read-back", "typed-differs-from-read-back", "guessed-facts", "reason-missing", "default-seen-differs",
    "temporary-change-overdue", "temporary-change-ends-soon", "temporary-change-without-return",
    "typed-in-other-unit", "difference-converted-with-32", "time-in-other-unit", "raw-bus-value-recorded",
    "rounding-through-other-unit", "power-in-other-unit", "input-called-output", "pressure-in-other-unit",
    "flow-in-other-unit", "length-in-other-unit", "minus-lost", "calculated-not-set",
})  # fmt: skip
"""Rules about one recorded value alone: with the value gone there is nothing that they could speak of."""


@cache
def sources(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    profile = parse((HOME / "sites" / f"{name}.toml").read_bytes(), name).data
    control = parse((HOME / "controls" / f"{profile['plant']['control']}.toml").read_bytes(), "control").data
    return profile, control


def look(profile: dict[str, Any], control: dict[str, Any]) -> Result:
    plant = Plant(profile_from(Source("p", "", profile)), read(control), Context(AS_OF))
    return audit(plant, PLANT_RULES)


def read(control: dict[str, Any]) -> Control:
    return control_from(Source("c", "", control))


def without_each(profile: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the profile once without each of its facts and settings, and once without each of its tables."""
    for table in (*TABLES, "settings", "visit", "combustion", "emitter", "counters"):
        if table not in profile:
            continue
        less = copy.deepcopy(profile)
        del less[table]
        yield table, less if table != "settings" else {**less, "settings": {}}
        if isinstance(profile[table], list):
            for index, one in enumerate(profile[table]):
                for name in one:
                    less = copy.deepcopy(profile)
                    del less[table][index][name]
                    yield f"{table}[{index}].{name}", less
        else:
            for name in profile[table]:
                less = copy.deepcopy(profile)
                del less[table][name]
                yield f"{table}.{name}", less


def hidden(before: Result, after: Result) -> set[str]:
    """Return the rules that found something before, and afterwards neither find it nor say that they could not look.

    Less than a danger may be checked with assumptions instead, which is counted apart.
    """
    said = {one.rule for one in after.findings} | {one.rule for one in after.not_checked}
    assumed = {one.rule for one in before.findings if one.severity is not Severity.DANGER} & set(after.assumed)
    return {one.rule for one in before.findings} - said - assumed


@pytest.mark.parametrize("name", PLANTS)
def test_without_a_fact_or_setting_no_finding_falls_silent(name: str) -> None:
    profile, control = sources(name)
    before = look(profile, control)
    assert before.findings
    silent = {
        (what, rule)
        for what, less in without_each(profile)
        for rule in hidden(before, look(less, control)) - RECORD_ONLY
        if not (rule == "value-not-taken-by-control" and what in ("settings", "settings.tank_setpoint"))
    }
    assert silent == set()


@pytest.mark.parametrize("name", PLANTS)
def test_without_a_treatment_no_finding_falls_silent(name: str) -> None:
    """A control file that no longer says how a setting is treated makes what hung on it unknown, and never right."""
    profile, control = sources(name)
    before = look(profile, control)
    silent = set()
    for row in control["setting"]:
        less = copy.deepcopy(control)
        del less["setting"][row]["treatments"]
        silent |= {(row, rule) for rule in hidden(before, look(profile, less)) - RECORD_ONLY}
    assert silent == set()
