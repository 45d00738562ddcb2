"""Absurd facts silence no danger: what was attacked, and every number and date of many plants changed in turn.

A number is written as the other unit system has it, with the wrong sign, ten times over and a tenth of it; a date is
put into the future. A danger that was found before is then found still, or a danger stands at that value, or its rule
is not checked for that value, or the file is refused. `PLAUSIBLE` lists what no bounds can see: numbers as good as any.
"""

from __future__ import annotations

import copy
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Final, NamedTuple

import pytest

from settingslint.api import Estate, Look, render
from settingslint.checking.audit import Result, audit
from settingslint.checking.look import run
from settingslint.model.bounds import NOT_PLAUSIBLE, OTHER
from settingslint.model.profile import profile_from
from settingslint.model.source import Source
from settingslint.model.validate import check_schema
from settingslint.model.values import Unreadable, kind_of
from settingslint.rules import all_rules
from settingslint.rules.base import Severity
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule
from settingslint.starter.example import write_example
from settingslint.units import CONVERSIONS, System, rounded, to_si
from tests.rules.examples import example_of
from tests.rules.kit import make_plant

AS_OF: Final = date(2026, 11, 28)
ORCHARD: Final = "sites/orchard-house/boiler-1.toml"
RULES: Final = tuple(rule for rule in all_rules() if rule.scope == "plant")
HARBOUR: Final = "sites/harbour-rooms/boiler-1.toml"
ABOUT_VALUES: Final = frozenset(
    rule.name
    for rule in RULES
    if rule.check.__module__.startswith("settingslint.rules.numbers") or rule.name == "date-in-the-future"
)
"""Rules that speak of a value that is not plausible."""


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("example")
    write_example(folder)
    return folder


@pytest.fixture(scope="module")
def plants(example: Path) -> Mapping[str, Plant]:
    keep: dict[str, Plant] = {}
    assert not Estate(example, AS_OF).check(keep=keep).problems
    return {str(Path(path).relative_to(example)): plant for path, plant in keep.items()}


# one value at a time --------------------------------------------------------------------------------------------------


def checked(example: Path, file: str, line: str, new: str, folder: Path) -> tuple[list[str], list[str], list[str]]:
    """Return problems, dangers and rules that were not checked, each as text, of a plant with one line changed."""
    old = (example / file).read_text(encoding="utf-8")
    lines = [new if one.startswith(f"{line} = ") else one for one in old.splitlines()]
    assert new in lines
    (folder / "sites/a").mkdir(parents=True)
    shutil.copy(example / "portfolio.toml", folder)
    for name in ("controls", "climate"):
        shutil.copytree(example / name, folder / name)
    (folder / "sites/a/b.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    report = Estate(folder, AS_OF).check()
    problems = [f"{one.line}:{one.column}: {one.message}" for one in report.problems]
    found = [one for result in report.results for one in result.findings if one.severity is Severity.DANGER]
    lacks = [one for result in report.results for one in result.not_checked if one.kind == NOT_PLAUSIBLE]
    return problems, [f"{one.at}: {one.message}" for one in found], [f"{one.rule}: {one.why}" for one in lacks]


REFUSED: Final = [
    # what was attacked
    (ORCHARD, "outlet_measured", "-112", "76:19: hot_water.outlet_measured: -112 F can't be"),
    (ORCHARD, "return_measured", "244", "75:19: hot_water.return_measured: 244 F can't be"),
    (ORCHARD, "mixing_valve_setpoint", "-116", "68:25: hot_water.mixing_valve_setpoint: -116 F can't be"),
    # and others
    (ORCHARD, "outlet_measured", '{ value = -112, from = "measured" }', "-112 F can't be"),
    (ORCHARD, "cold_inlet", "8", "8 C would be 46.4 F: is it in the other unit?"),
    (ORCHARD, "efficiency", "92", "boiler.efficiency: 92 can't be: at least 0.01, at most 1.2"),
    (ORCHARD, "hottest", "930", "site.hottest: 930 F can't be"),
    (ORCHARD, "heating_months_first", "100", "site.heating_months_first: 100 can't be"),
    (ORCHARD, "design_load", "-196000", "-196000 can't be: at least 0"),
]


@pytest.mark.parametrize(("file", "name", "value", "said"), REFUSED)
def test_what_can_not_be_is_refused(file: str, name: str, value: str, said: str, example: Path, tmp_path: Path) -> None:
    problems, dangers, _ = checked(example, file, name, f"{name} = {value}", tmp_path)
    assert [one for one in problems if said in one], problems
    assert not dangers


IN_DOUBT: Final = [
    # what was attacked: a value, what is said of it, and a rule that is not clear for it
    (ORCHARD, "outlet_measured", "60", "60 C would be 140 F", "tap-too-hot: 60 F is not plausible"),
    (ORCHARD, "mixing_valve_tested", "2099-01-01", "2099-01-01 is in the future", "mixing-valve-test-overdue: "),
    # and others
    (
        ORCHARD,
        "outlet_measured",
        "{ value = 112, on = 2099-01-01 }",
        "its date 2099-01-01 is in the f",
        "tap-too-hot",
    ),
    (ORCHARD, "mixing_valve_tested", "2026-11-29", "2026-11-29 is in the future", "mixing-valve-test-overdue: "),
    (ORCHARD, "return_measured", "47.8", "looks like the other unit", "loop-return-too-cool"),
    (ORCHARD, "mixing_valve_setpoint", "46.7", "looks like the other unit", "mixing-valve-set-hot: 46.7 F"),
    # this control keeps a tank set point within its range: what it runs at is plausible
    (ORCHARD, "tank_setpoint", "12.7", "12.7 F is not plausible (80 to 190 F is)", ""),
    (ORCHARD, "tank_setpoint", "-127", "-127 F is not plausible", ""),
    (ORCHARD, "tank_setpoint", "52.8", "looks like the other unit", ""),
    (ORCHARD, "lowest_rated_part", "116", "looks like the other unit", "high-limit-above-rating: 116 F"),
    (ORCHARD, "relief_pressure", "300", "300 psi is not plausible", ""),
]


@pytest.mark.parametrize(("file", "name", "value", "said", "stopped"), IN_DOUBT)
def test_what_is_not_plausible_is_a_danger_and_nothing_rests_on_it(
    file: str, name: str, value: str, said: str, stopped: str, example: Path, tmp_path: Path
) -> None:
    problems, dangers, lacks = checked(example, file, name, f"{name} = {value}", tmp_path)
    assert not problems
    assert [one for one in dangers if name in one and said in one], dangers
    assert not stopped or [one for one in lacks if one.startswith(stopped)], lacks


def test_a_first_firing_to_come_is_as_bad_as_what_it_stops(example: Path, tmp_path: Path) -> None:
    """It stops what says that values are provisional, an outage; a combustion reading that is missing is record."""
    _, _, lacks = checked(example, ORCHARD, "first_fired", "first_fired = 2099-01-01", tmp_path)
    (result,) = Estate(tmp_path, AS_OF).check().results
    assert [one.severity for one in result.findings if one.at == "plant.first_fired"] == [Severity.OUTAGE]
    assert [one for one in lacks if one.startswith("combustion-reading-missing-or-old")]


def test_a_metric_file_in_fahrenheit(example: Path, tmp_path: Path) -> None:
    _, _, lacks = checked(example, HARBOUR, "cold_inlet", "cold_inlet = 46", tmp_path)
    (result,) = Estate(tmp_path, AS_OF).check().results
    (one,) = [one for one in result.findings if one.at == "hot_water.cold_inlet"]
    assert "46 F would be 7.8 C" in one.message
    stopped_ = {lack.partition(":")[0] for lack in lacks}
    assert stopped_
    assert one.severity is min((rule.severity for rule in RULES if rule.name in stopped_), key=lambda bad: bad.rank)


def test_a_temporary_value_that_never_ends(example: Path, tmp_path: Path) -> None:
    table = 'tank_setpoint = { value = 150, until = 2099-01-01, then = 140, watched_by = "x" }'
    _, dangers, _ = checked(example, ORCHARD, "tank_setpoint", table, tmp_path)
    assert [one for one in dangers if "2099-01-01 is more than 730 days ahead" in one]


def test_what_is_not_plausible_is_said_where_it_stands(example: Path, tmp_path: Path) -> None:
    checked(example, ORCHARD, "outlet_measured", "outlet_measured = 60", tmp_path)
    report = Estate(tmp_path, AS_OF).check()
    (one,) = [one for one in report.results[0].findings if one.at == "hot_water.outlet_measured"]
    assert (one.line, one.column) == (76, 19)
    text = render("text", report, Look(every=True))
    assert "(60 F is not plausible)" in " ".join(text.split())


# every value in turn --------------------------------------------------------------------------------------------------

Steps = tuple[str | int, ...]


class Lost(NamedTuple):
    """A danger that nothing speaks of any more."""

    rule: str
    name: str
    how: str


def leaves(node: Any, steps: Steps = ()) -> Iterator[tuple[Steps, Any]]:
    """Yield every value of a file with the steps to it."""
    if isinstance(node, (dict, list)):
        for key, value in node.items() if isinstance(node, dict) else enumerate(node):
            yield from leaves(value, (*steps, key))
    else:
        yield steps, node


def name_of(steps: Steps) -> str:
    """Return the name of the setting or fact that a value belongs to."""
    match steps:
        case ("settings", name, *_):
            return str(name)
        case ("emitter", index, name, *_):
            return f"emitter[{index}].{name}"
        case ("combustion", end, name, *_):
            return f"combustion.{end}.{name}"
    return ".".join(str(one) for one in steps[:2])


def put(data: Mapping[str, Any], steps: Steps, value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(dict(data))
    node: Any = changed
    for step in steps[:-1]:
        node = node[step]
    node[steps[-1]] = value
    return changed


def absurd(steps: Steps, value: Any, system: System, as_of: date) -> Iterator[tuple[str, Any]]:
    """Yield what a value is changed to, with how."""
    if isinstance(value, bool) or len(steps) < 2:
        return
    if isinstance(value, (int, float)):
        kind = kind_of(name_of(steps))
        if CONVERSIONS[kind]["us"] != CONVERSIONS[kind]["metric"]:
            yield "unit", rounded(to_si(value, kind, system), kind, OTHER[system])
        if value:
            yield from (("sign", -value), ("ten", value * 10), ("tenth", value / 10))
    elif isinstance(value, str) and is_day(value):
        yield "date", "2099-06-01"
        yield "date", (as_of + timedelta(1)).isoformat()


def is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def dangers(result: Result) -> set[str]:
    """Return the rules that found a danger which nobody has accepted."""
    return {one.rule for one in result.findings if one.severity is Severity.DANGER and one.accepted is None}


def spoken_of(result: Result, name: str) -> bool:
    return any(one.at == name and one.severity is Severity.DANGER for one in result.findings)


def stopped(result: Result) -> set[str]:
    return {one.rule for one in result.not_checked if one.kind == NOT_PLAUSIBLE}


def lost(plant: Plant, rules: Sequence[Rule], before: set[str], steps: Steps, how: str, value: Any) -> Iterator[Lost]:
    """Yield the dangers that are silent once a value is another."""
    source = plant.profile.source
    changed = Source(source.name, source.text, put(source.data, steps, value))
    try:
        check_schema(changed, "profile")
    except Unreadable:
        return
    past, name = plant.past, name_of(steps)
    result = audit(Plant(profile_from(changed), plant.control, plant.context, lambda _: past), rules)
    if not spoken_of(result, name):
        yield from (Lost(rule, name, how) for rule in sorted(before - dangers(result) - stopped(result)))


def of_plant(plant: Plant, looked_at: Callable[[str], bool], about: set[str], all_of: bool) -> tuple[int, list[Lost]]:
    """Return how many changes were made, and what was lost by them."""
    rules = RULES if all_of else tuple(one for one in RULES if one.name in about | ABOUT_VALUES)
    count = 0
    gone: list[Lost] = []
    for steps, value in leaves(plant.profile.source.data):
        if looked_at(name_of(steps)):
            for how, new in absurd(steps, value, plant.system, plant.as_of):
                count += 1
                gone += lost(plant, rules, about, steps, how, new)
    return count, gone


def test_nothing_in_the_example_silences_a_danger(plants: Mapping[str, Plant]) -> None:
    count = 0
    gone: list[Lost] = []
    for plant in plants.values():
        done, missed = of_plant(plant, lambda _: True, dangers(audit(plant, RULES)), all_of=False)
        count, gone = count + done, gone + missed
    assert count > 3000
    assert gone == []


HEIGHT: Final = "a height that many places have"
TIME: Final = "a time that many plants have"
SIZE: Final = "a size that many plants have"
SAID: Final = "the number was wrong before: another wrong number, or the right one"
SPEED: Final = "a fan speed is in the unit of its control: said, but not as a number"
PLAUSIBLE: Final[Mapping[Lost, str]] = {
    Lost("derated-though-control-adapts", "site.elevation", "tenth"): HEIGHT,
    Lost("derated-though-control-adapts", "site.elevation", "unit"): HEIGHT,
    Lost("elevation-not-set-or-counted-twice", "site.elevation", "tenth"): HEIGHT,
    Lost("elevation-not-set-or-counted-twice", "site.elevation", "unit"): HEIGHT,
    Lost("high-limit-near-boiling", "site.elevation", "sign"): HEIGHT,
    Lost("high-limit-near-boiling", "site.elevation", "tenth"): HEIGHT,
    Lost("high-limit-near-boiling", "site.elevation", "unit"): HEIGHT,
    Lost("high-site-without-derate", "site.elevation", "tenth"): HEIGHT,
    Lost("high-site-without-derate", "site.elevation", "unit"): HEIGHT,
    Lost("length-in-other-unit", "elevation_setting", "ten"): SAID,
    Lost("length-in-other-unit", "elevation_setting", "tenth"): SAID,
    Lost("length-in-other-unit", "elevation_setting", "unit"): SAID,
    Lost("length-in-other-unit", "site.elevation", "sign"): SAID,
    Lost("length-in-other-unit", "site.elevation", "ten"): SAID,
    Lost("length-in-other-unit", "site.elevation", "tenth"): SAID,
    Lost("length-in-other-unit", "site.elevation", "unit"): SAID,
    Lost("pressure-in-other-unit", "water.relief_pressure", "ten"): SAID,
    Lost("pressure-in-other-unit", "water.relief_pressure", "tenth"): SAID,
    Lost("pressure-in-other-unit", "water.relief_pressure", "unit"): SAID,
    Lost("raw-bus-value-recorded", "hot_water_maximum_rate", "tenth"): SAID,
    Lost("hygiene-time-limit-too-short", "hot_water.coil_output", "ten"): SIZE,
    Lost("hygiene-time-limit-too-short", "hot_water.tank_volume", "tenth"): SIZE,
    Lost("hygiene-time-limit-too-short", "tank_differential", "unit"): SIZE,
    Lost("tank-below-hygiene-temperature", "tank_differential", "unit"): SIZE,
    Lost("clocked-input-off", "maximum_fan_speed", "tenth"): SPEED,
    Lost("high-fire-above-makers", "maximum_fan_speed", "tenth"): SPEED,
    Lost("hygiene-time-limit-too-short", "maximum_fan_speed", "tenth"): SPEED,
    Lost("circulation-stopped-for-hours", "recirculation_off_hours", "tenth"): TIME,
    Lost("hygiene-time-limit-too-short", "hygiene_time_limit", "ten"): TIME,
}
"""What can't be seen from the number itself, and why."""


def test_nothing_but_what_is_plausible_silences_any_rule_of_danger() -> None:
    """Each rule of danger on the example of its documentation, changed in what that rule looks at."""
    count = 0
    gone: list[Lost] = []
    for rule in RULES:
        if any(rule.history):  # a file alone does not trip it
            continue
        example_ = example_of(rule, trips=True)
        plant = make_plant(example_.profile, control=example_.control, style=example_.style)
        outcome = run(rule, plant)
        if any((one.severity or rule.severity) is Severity.DANGER for one in outcome.drafts):
            done, missed = of_plant(plant, outcome.touched.__contains__, {rule.name}, all_of=True)
            count, gone = count + done, gone + missed
    assert count > 400
    assert {one: PLAUSIBLE.get(one, "?") for one in gone} == PLAUSIBLE
