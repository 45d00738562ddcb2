"""Rules about the records of several plants, at their boundaries. Their numbers are common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import pytest

from settingslint.checking.audit import Result, audit, finding_at
from settingslint.checking.several import together
from settingslint.rules.base import Certainty, Draft, Finding, Severity
from settingslint.rules.rule import Rule
from tests.rules.kit import AS_OF, DEFAULTS, Answer, answer, make_plant, rule_named

HEATING: Final = {"settings.heating_setpoint": DEFAULTS["heating_setpoint"]}
MENDED: Final = {"building.balance_point": 61}


def several(
    rule: str,
    plants: Sequence[Mapping[str, Any]],
    severities: Mapping[str, Severity] | None = None,
    thresholds: Mapping[str, float] | None = None,
    **more: Any,
) -> list[Result]:
    """Return what one rule says of the kit's plants with changes, each at a site of its own unless it says another."""
    made = []
    for number, changes in enumerate(plants):
        own = {"plant.site": f"site {number}", "plant.serial": f"K-{number}", **changes}
        made.append(make_plant(own, path=f"sites/{number}.toml", **more))
    by_path = {plant.profile.path: plant for plant in made}

    def place(result: Result, rule: Rule, draft: Draft) -> Finding:
        return finding_at(rule, draft, by_path[result.path])

    rules = [rule_named(rule)]
    audited = [audit(plant, rules) for plant in made]
    return together(audited, rules, AS_OF, severities or {}, place, thresholds)


def answers(rule: str, plants: Sequence[Mapping[str, Any]], **more: Any) -> list[Answer]:
    return [answer(result, rule) for result in several(rule, plants, **more)]


def first(results: Sequence[Result]) -> Finding:
    return next(finding for result in results for finding in result.findings)


@pytest.mark.parametrize(
    ("serials", "expected"),
    [
        (["A", "B"], ["clear", "clear"]),
        (["A", "A"], ["found", "found"]),
        (["A1", " a1 "], ["found", "found"]),
        (["A", "B", "A"], ["found", "clear", "found"]),
        (["A", "A", "A"], ["found", "found", "found"]),
        (["unknown", "Unknown"], ["not checked", "not checked"]),
        (["A", "n/a"], ["clear", "not checked"]),
    ],
)
def test_serial_twice(serials: list[str], expected: list[Answer]) -> None:
    assert answers("serial-twice", [{"plant.serial": serial} for serial in serials]) == expected


def test_serial_twice_names_the_other() -> None:
    results = several("serial-twice", [{"plant.serial": "A"}, {}, {"plant.serial": "A"}])
    assert ["sites/2.toml" in results[0].findings[0].message, "sites/0.toml" in results[2].findings[0].message] == [
        True,
        True,
    ]
    assert results[0].findings[0].at == "plant.serial"
    assert results[0].findings[0].severity is Severity.DANGER


def test_a_serial_that_is_missing_is_not_checked() -> None:
    results = several("serial-twice", [{}, {}], drop=["plant.serial"])
    assert [answer(result, "serial-twice") for result in results] == ["clear", "clear"]  # put in again by `several`
    empty = together([audit(make_plant(drop=["plant.serial"]), [])], [rule_named("serial-twice")], AS_OF, {}, unplaced)
    assert empty[0].not_checked[0].needs == ("plant.serial",)


def unplaced(result: Result, rule: Rule, draft: Draft) -> Finding:
    raise AssertionError("nothing is found")


# sites with the same facts --------------------------------------------------------------------------------------------

FEW: Final = ["building", "boiler"]
SIX: Final = {
    "building.design_load": 88000, "building.balance_point": 62, "building.indoor_design": 70,
    "boiler.efficiency": 0.92, "boiler.condensing": True, "boiler.input_maximum": 118000,
}  # fmt: skip
FIVE: Final = {name: value for name, value in SIX.items() if name != "boiler.efficiency"}
SAME: Final = "sites-with-the-same-facts"


def test_sites_with_the_same_facts() -> None:
    assert answers(SAME, [{}, {}]) == ["clear", "found"]
    assert answers(SAME, [{}, MENDED]) == ["clear", "clear"]
    assert answers(SAME, [{}, {"boiler.efficiency": 0.921}]) == ["clear", "clear"]
    assert answers(SAME, [{}, MENDED, {}]) == ["clear", "clear", "found"]
    # facts of other tables may differ, and the plate's serial number does where somebody has corrected the copy
    assert answers(SAME, [{}, {"site.elevation": 700}]) == ["clear", "found"]
    assert answers(SAME, [{}, {"boiler.serial_on_plate": "K-9"}]) == ["clear", "found"]
    # boilers of one site are alike
    assert answers(SAME, [{"plant.site": "one"}, {"plant.site": "one"}]) == ["clear", "clear"]
    assert answers(SAME, [{"plant.site": "one"}, {"plant.site": "one"}, {}]) == ["clear", "clear", "found"]


def test_six_facts_make_two_sites_the_same() -> None:
    assert answers(SAME, [SIX, SIX], drop=FEW) == ["clear", "found"]
    assert answers(SAME, [FIVE, FIVE], drop=FEW) == ["not checked", "not checked"]
    # a serial number is none of them
    assert answers(SAME, [{**FIVE, "boiler.serial_on_plate": "K"}] * 2, drop=FEW) == ["not checked", "not checked"]


def test_what_is_said_of_sites_with_the_same_facts() -> None:
    one = first(several(SAME, [SIX, SIX], drop=FEW))
    assert one.message.startswith("all 6 facts of building and boiler are those of sites/0.toml")
    assert one.certainty is Certainty.LIKELY
    assert one.at == "plant.site"


def test_metric_files_of_the_same_facts_are_the_same() -> None:
    assert answers(SAME, [{}, {}], metric=True) == ["clear", "found"]
    assert answers(SAME, [{}, {"building.design_load": 25.8}], metric=True) == ["clear", "clear"]


# defaults over the portfolio ------------------------------------------------------------------------------------------

DEFAULT: Final = "defaults-across-portfolio"


def test_defaults_across_the_portfolio() -> None:
    # 3 of 5 are more than half, 3 of 6 are not; 4 plants are too few
    assert answers(DEFAULT, [HEATING] * 3 + [{}] * 2) == ["found"] * 3 + ["clear"] * 2
    assert answers(DEFAULT, [HEATING] * 3 + [{}] * 3) == ["clear"] * 6
    assert answers(DEFAULT, [HEATING] * 4) == ["clear"] * 4
    # left at it is as good as typed; meant so is something else
    left = {"settings.heating_setpoint": {"left": "default"}}
    meant = {"settings.heating_setpoint": {"value": DEFAULTS["heating_setpoint"], "why": "by the emitters' papers"}}
    assert answers(DEFAULT, [left] * 3 + [{}] * 2) == ["found"] * 3 + ["clear"] * 2
    assert answers(DEFAULT, [meant] * 5) == ["clear"] * 5
    assert answers(DEFAULT, [HEATING] * 3 + [meant] * 2) == ["found"] * 3 + ["clear"] * 2


@pytest.mark.parametrize("name", ["heating_setpoint", "reset_endpoint", "tank_setpoint", "hot_water_boiler_setpoint"])
def test_which_defaults_are_looked_at(name: str) -> None:
    results = several(DEFAULT, [{f"settings.{name}": DEFAULTS[name]}] * 5)
    assert [finding.at for result in results for finding in result.findings] == [name] * 5
    one = first(results)
    assert one.message.startswith("5 of 5 plants")
    assert one.certainty is Certainty.ASK


def test_other_defaults_are_nobodys_business() -> None:
    assert answers(DEFAULT, [{"settings.pump_overrun": DEFAULTS["pump_overrun"]}] * 5) == ["clear"] * 5


def test_plants_of_another_control_do_not_count() -> None:
    plants = [HEATING] * 3 + [{"plant.control": "other"}] * 2
    assert answers(DEFAULT, plants) == ["clear"] * 5


# bulk edits -----------------------------------------------------------------------------------------------------------

BULK: Final = "bulk-edit-over-sites"


def edit(name: str, value: Any, on: str = "2026-10-06") -> dict[str, Any]:
    return {f"settings.{name}": {"value": value, "on": on}}


def test_one_value_at_many_sites_on_one_day() -> None:
    store = edit("tank_setpoint", 150)
    assert answers(BULK, [store] * 5) == ["found"] * 5
    assert answers(BULK, [store] * 4 + [{}]) == ["clear"] * 5
    assert answers(BULK, [store] * 4 + [edit("tank_setpoint", 150, "2026-10-07")]) == ["clear"] * 5
    assert answers(BULK, [store] * 4 + [edit("tank_setpoint", 151)]) == ["clear"] * 5
    # five boilers at four sites are four sites
    assert answers(BULK, [store] * 3 + [{**store, "plant.site": "one"}] * 2) == ["clear"] * 5
    assert answers(BULK, [store] * 4 + [{**store, "plant.site": "one"}] * 2) == ["found"] * 6


@pytest.mark.parametrize(
    ("name", "value", "expected"),
    [
        ("heating_setpoint", 160, "found"),
        ("freeze_protection", True, "found"),
        ("operating_limit", 180, "found"),
        ("ignition_trials", 3, "found"),
        ("hot_water_boiler_setpoint", 170, "found"),
        ("pump_overrun", 5, "clear"),
        ("keep_warm", 3, "clear"),
    ],
)
def test_which_classes_a_bulk_edit_concerns(name: str, value: Any, expected: Answer) -> None:
    assert answers(BULK, [edit(name, value)] * 5) == [expected] * 5


def test_what_is_said_of_a_bulk_edit() -> None:
    one = first(several(BULK, [edit("tank_setpoint", 150)] * 5))
    assert one.message.startswith("tank set point became 150 F at 5 plants on 2026-10-06")
    assert one.severity is Severity.RECORD
    owners = first(several(BULK, [edit("tank_setpoint", 150)] * 5, severities={BULK: Severity.DANGER}))
    assert owners.severity is Severity.DANGER


EDIT: Final[dict[str, Any]] = {"settings.tank_setpoint": {"value": 140, "on": "2026-05-02"}}


@pytest.mark.parametrize(
    ("rule", "name", "plants", "trips", "quiet"),
    [
        ("defaults-across-portfolio", "fewest_plants", [HEATING] * 4, 4, 5),
        ("bulk-edit-over-sites", "fewest_plants", [EDIT] * 4, 4, 5),
        ("sites-with-the-same-facts", "fewest_facts", [{}, {}], 6, 1000),
        (
            "burner-hours-apart", "burner_hours_apart",
            [
                {"plant.site": "one", "plant.group": "g", "counters.burner_hours": hours}
                for hours in (1250, 1000)
            ],
            1.2, 1.25,
        ),
    ],
)  # fmt: skip
def test_an_owner_sets_the_numbers_of_habit(
    rule: str, name: str, plants: Sequence[Mapping[str, Any]], trips: float, quiet: float
) -> None:
    results = several(rule, plants, thresholds={name: trips})
    assert f"(owner's number: {name})" in first(results).message
    assert all(result.owner_numbers == (name,) for result in results)
    assert all(not result.findings for result in several(rule, plants, thresholds={name: quiet}))
    assert name in {threshold.name for threshold in rule_named(rule).thresholds}
