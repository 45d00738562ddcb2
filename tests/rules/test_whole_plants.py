"""Whole plants at random: a remedy that claims to clear its finding does, and both unit systems find the same.

The plants are the kit's with settings and facts at random near where they trip something. A remedy is typed into the
file as printed, and all rules look again; nothing of the audit's own trial of it is used.
"""

from __future__ import annotations

import copy
from typing import Any, Final, get_args

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from settingslint.checking.audit import Result, audit
from settingslint.model.profile import profile_from
from settingslint.model.schema_parts import BOUNDS
from settingslint.model.source import Source
from settingslint.model.validate import check_schema
from settingslint.output.data import value_of
from settingslint.rules import all_rules, by_group
from settingslint.rules.base import Finding
from settingslint.rules.plant import Context, Plant
from settingslint.units import Kind, System
from settingslint.vocabulary.bounds import Bounds
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import OFF, SETTINGS
from tests.rules.kit import AS_OF, Style, make_control, profile_data, put, to_metric

STYLES: Final = get_args(Style)
CONTROLS: Final = {style: make_control(style=style) for style in STYLES}
OFFSETS: Final = (-60, -30, -15, -8, -4, -2, -1, 1, 2, 4, 8, 15, 30, 60)


def _near(
    value: Any, kind: Kind, words: tuple[str, ...], can_be_off: bool, own: Bounds | None = None
) -> st.SearchStrategy[Any]:
    """Values near one of the kit's, and the others that its kind allows."""
    if kind is Kind.FLAG:
        return st.booleans()
    if kind is Kind.WORD:
        return st.sampled_from(words)
    numbers: st.SearchStrategy[Any] = st.just(value)
    if kind in BOUNDS and isinstance(value, int | float):
        low, high = (own.low, own.high) if own is not None else BOUNDS[kind]
        numbers = st.sampled_from(
            [round(value + one, 3) for one in OFFSETS if max(low, 0) < value + one <= high] or [value]
        )
    return numbers | st.just(OFF) if can_be_off else numbers


def _choices(style: Style) -> dict[str, st.SearchStrategy[Any]]:
    """Return dotted paths of the kit's profile with what may stand there instead."""
    data = profile_data(style)
    found = {}
    for name, value in data["settings"].items():
        row = SETTINGS[name]
        found[f"settings.{name}"] = _near(value, row.kind, row.words, row.can_be_off)
    for table in ("building", "site", "boiler", "hot_water", "water", "piping", "accessories"):
        for name, value in data[table].items():
            fact = FACTS[f"{table}.{name}"]
            found[f"{table}.{name}"] = _near(value, fact.kind, fact.words, can_be_off=False, own=fact.physical)
    return found


CHOICES: Final = {style: _choices(style) for style in STYLES}


@st.composite
def changed(draw: st.DrawFn) -> tuple[Style, dict[str, Any]]:
    """A style, and up to seven changes."""
    style: Style = draw(st.sampled_from(STYLES))
    paths = draw(st.lists(st.sampled_from(sorted(CHOICES[style])), min_size=1, max_size=7, unique=True))
    return style, {path: draw(CHOICES[style][path]) for path in paths}


def look(data: dict[str, Any], style: Style) -> tuple[Plant, Result]:
    source = Source("plant.toml", "", data)
    check_schema(source, "profile")
    plant = Plant(profile_from(source), CONTROLS[style], Context(AS_OF))
    return plant, audit(plant, all_rules())


def typed_in(data: dict[str, Any], finding: Finding, system: System) -> dict[str, Any]:
    """Return the file with the remedy typed in, as the JSON form prints it."""
    assert finding.remedy is not None
    new = copy.deepcopy(data)
    put(new, {f"settings.{name}": value_of(value, name, system) for name, value in finding.remedy.set.items()})
    return new


@settings(
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
@given(changed(), st.booleans())
def test_a_remedy_that_claims_to_clear_its_finding_does(change: tuple[Style, dict[str, Any]], metric: bool) -> None:
    style, changes = change
    data = profile_data(style)
    put(data, changes)
    if metric:
        data = to_metric(data)
    plant, result = look(data, style)
    claims = [one for one in result.findings if one.remedy is not None and one.remedy.verified]
    assume(claims)
    before = {(one.rule, one.at) for one in result.findings}
    for one in claims:
        assert one.remedy is not None and one.remedy.set
        _, after = look(typed_in(data, one, plant.system), style)
        left = {(other.rule, other.at): other for other in after.findings}
        assert (one.rule, one.at) not in left, one
        assert one.rule not in {lack.rule for lack in after.not_checked} - {lack.rule for lack in result.not_checked}
        worse = [other for where, other in left.items() if where not in before and other.severity.forbids(one.severity)]
        assert worse == [], (one, worse)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(changed())
def test_us_and_metric_files_of_a_plant_have_the_same_findings(change: tuple[Style, dict[str, Any]]) -> None:
    """Nine decimals in the metric file, so that no value moves over a limit. Left out are the rules that look at the
    written digits, for which a number in the other unit is what they look for."""
    style, changes = change
    data = profile_data(style)
    put(data, changes)
    digits = {one.name for one in by_group()["numbers"]}
    found = [
        {(one.rule, one.at, one.severity, one.certainty) for one in look(file, style)[1].findings}
        for file in (data, to_metric(data, digits=9))
    ]
    assert {one for one in found[0] ^ found[1] if one[0] not in digits} == set()


def test_a_fix_that_raises_a_question_about_damage_is_not_said_to_clear_the_finding() -> None:
    """Reset, turned on, lets the return of a boiler that may not condense fall; whether a valve holds it is asked."""
    data = profile_data("one number")
    put(data, {
        "boiler.condensing": False, "boiler.efficiency": 0.92, "accessories.bus_module": False, "settings.reset": False,
    })  # fmt: skip
    _, result = look(data, "one number")
    (unused,) = [one for one in result.findings if one.rule == "outdoor-sensor-unused"]
    assert unused.remedy is not None and unused.remedy.verified is False and not unused.remedy.set
    data["piping"]["return_protection"] = True
    _, result = look(data, "one number")
    (unused,) = [one for one in result.findings if one.rule == "outdoor-sensor-unused"]
    assert unused.remedy is not None and unused.remedy.verified is True and unused.remedy.set == {"reset": True}
