"""Rules about the records of several plants, at their boundaries. Their numbers are common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import pytest

from settingslint.checking.audit import Result, audit, finding_at
from settingslint.checking.several import together
from settingslint.rules.base import Certainty, Draft, Finding, Severity
from settingslint.rules.rule import Rule
from tests.rules.kit import AS_OF, DEFAULTS, METRIC, Answer, answer, make_plant, rule_named

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


def first(results: Sequence[Result]) -> Finding:
    return next(finding for result in results for finding in result.findings)


def serials(*names: str) -> list[dict[str, Any]]:
    return [{"plant.serial": name} for name in names]


def edit(name: str, value: Any, on: str = "2026-10-06") -> dict[str, Any]:
    return {f"settings.{name}": {"value": value, "on": on}}


FEW: Final[dict[str, Any]] = {"drop": ["building", "boiler"]}
SIX: Final = {
    "building.design_load": 88000, "building.balance_point": 62, "building.indoor_design": 70,
    "boiler.efficiency": 0.92, "boiler.condensing": True, "boiler.input_maximum": 118000,
}  # fmt: skip
FIVE: Final = {name: value for name, value in SIX.items() if name != "boiler.efficiency"}
SAME: Final = "sites-with-the-same-facts"
DEFAULT: Final = "defaults-across-portfolio"
LEFT: Final = {"settings.heating_setpoint": {"left": "default"}}
MEANT: Final = {"settings.heating_setpoint": {"value": DEFAULTS["heating_setpoint"], "why": "by the emitters' papers"}}
FOUND: Final[list[Answer]] = ["found"]
CLEAR: Final[list[Answer]] = ["clear"]
BULK: Final = "bulk-edit-over-sites"
STORE: Final = edit("tank_setpoint", 150)
ONE: Final = {"plant.site": "one"}

CASES: Final[list[tuple[str, Sequence[Answer], Sequence[Mapping[str, Any]], Mapping[str, Any]]]] = [
    ("serial-twice", ["clear", "clear"], [{}, {}], {"drop": ["plant.serial"]}),  # put in again by `several`
    ("serial-twice", ["clear", "clear"], [*serials("A", "B")], {}),
    ("serial-twice", ["found", "found"], [*serials("A", "A")], {}),
    ("serial-twice", ["found", "found"], [*serials("A1", " a1 ")], {}),
    ("serial-twice", ["found", "clear", "found"], [*serials("A", "B", "A")], {}),
    ("serial-twice", ["found", "found", "found"], [*serials("A", "A", "A")], {}),
    ("serial-twice", ["not checked", "not checked"], [*serials("unknown", "Unknown")], {}),
    ("serial-twice", ["clear", "not checked"], [*serials("A", "n/a")], {}),
    (SAME, ["clear", "found"], [{}, {}], {}),
    (SAME, ["clear", "clear"], [{}, MENDED], {}),
    (SAME, ["clear", "clear"], [{}, {"boiler.efficiency": 0.921}], {}),
    (SAME, ["clear", "clear", "found"], [{}, MENDED, {}], {}),
    # facts of other tables may differ, and the plate's serial number does where somebody has corrected the copy
    (SAME, ["clear", "found"], [{}, {"site.elevation": 700}], {}),
    (SAME, ["clear", "found"], [{}, {"boiler.serial_on_plate": "K-9"}], {}),
    # boilers of one site are alike
    (SAME, ["clear", "clear"], [ONE, ONE], {}),
    (SAME, ["clear", "clear", "found"], [ONE, ONE, {}], {}),
    # six facts make two sites the same, and a serial number is none of them
    (SAME, ["clear", "found"], [SIX, SIX], FEW),
    (SAME, ["not checked", "not checked"], [FIVE, FIVE], FEW),
    (SAME, ["not checked", "not checked"], [{**FIVE, "boiler.serial_on_plate": "K"}] * 2, FEW),
    (SAME, ["clear", "found"], [{}, {}], METRIC),
    (SAME, ["clear", "clear"], [{}, {"building.design_load": 25.8}], METRIC),
    # 3 of 5 are more than half, 3 of 6 are not; 4 plants are too few
    (DEFAULT, FOUND * 3 + CLEAR * 2, [HEATING] * 3 + [{}] * 2, {}),
    (DEFAULT, CLEAR * 6, [HEATING] * 3 + [{}] * 3, {}),
    (DEFAULT, CLEAR * 4, [HEATING] * 4, {}),
    # left at it is as good as typed; meant so is something else
    (DEFAULT, FOUND * 3 + CLEAR * 2, [LEFT] * 3 + [{}] * 2, {}),
    (DEFAULT, CLEAR * 5, [MEANT] * 5, {}),
    (DEFAULT, FOUND * 3 + CLEAR * 2, [HEATING] * 3 + [MEANT] * 2, {}),
    # other defaults are nobody's business, and plants of another control do not count
    (DEFAULT, CLEAR * 5, [{"settings.pump_overrun": DEFAULTS["pump_overrun"]}] * 5, {}),
    (DEFAULT, CLEAR * 5, [HEATING] * 3 + [{"plant.control": "other"}] * 2, {}),
    # one value at many sites on one day
    (BULK, FOUND * 5, [STORE] * 5, {}),
    (BULK, CLEAR * 5, [STORE] * 4 + [{}], {}),
    (BULK, CLEAR * 5, [STORE] * 4 + [edit("tank_setpoint", 150, "2026-10-07")], {}),
    (BULK, CLEAR * 5, [STORE] * 4 + [edit("tank_setpoint", 151)], {}),
    # five boilers at four sites are four sites
    (BULK, CLEAR * 5, [STORE] * 3 + [{**STORE, **ONE}] * 2, {}),
    (BULK, FOUND * 6, [STORE] * 4 + [{**STORE, **ONE}] * 2, {}),
    # the classes that it concerns
    (BULK, FOUND * 5, [edit("heating_setpoint", 160)] * 5, {}),
    (BULK, FOUND * 5, [edit("freeze_protection", True)] * 5, {}),
    (BULK, FOUND * 5, [edit("operating_limit", 180)] * 5, {}),
    (BULK, FOUND * 5, [edit("ignition_trials", 3)] * 5, {}),
    (BULK, FOUND * 5, [edit("hot_water_boiler_setpoint", 170)] * 5, {}),
    (BULK, CLEAR * 5, [edit("pump_overrun", 5)] * 5, {}),
    (BULK, CLEAR * 5, [edit("keep_warm", 3)] * 5, {}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "expected", "plants", "more"), CASES)
def test_boundaries(
    rule: str, expected: Sequence[Answer], plants: Sequence[Mapping[str, Any]], more: Mapping[str, Any]
) -> None:
    assert [answer(result, rule) for result in several(rule, plants, **more)] == expected


def test_serial_twice_names_the_other() -> None:
    results = several("serial-twice", [{"plant.serial": "A"}, {}, {"plant.serial": "A"}])
    assert ["sites/2.toml" in results[0].findings[0].message, "sites/0.toml" in results[2].findings[0].message] == [
        True,
        True,
    ]
    assert results[0].findings[0].at == "plant.serial"
    assert results[0].findings[0].severity is Severity.DANGER


def test_a_serial_that_is_missing_is_not_checked() -> None:
    empty = together([audit(make_plant(drop=["plant.serial"]), [])], [rule_named("serial-twice")], AS_OF, {}, unplaced)
    assert empty[0].not_checked[0].needs == ("plant.serial",)


def unplaced(result: Result, rule: Rule, draft: Draft) -> Finding:
    raise AssertionError("nothing is found")


def test_what_is_said_of_sites_with_the_same_facts() -> None:
    one = first(several(SAME, [SIX, SIX], **FEW))
    assert one.message.startswith("all 6 facts of building and boiler are identical to sites/0.toml")
    assert one.certainty is Certainty.LIKELY
    assert one.at == "plant.site"


@pytest.mark.parametrize("name", ["heating_setpoint", "reset_endpoint", "tank_setpoint", "hot_water_boiler_setpoint"])
def test_which_defaults_are_looked_at(name: str) -> None:
    results = several(DEFAULT, [{f"settings.{name}": DEFAULTS[name]}] * 5)
    assert [finding.at for result in results for finding in result.findings] == [name] * 5
    one = first(results)
    assert one.message.endswith("is at default at 5 of 5 plants: was it ever set?")
    assert one.certainty is Certainty.ASK


def test_what_is_said_of_a_bulk_edit() -> None:
    one = first(several(BULK, [STORE] * 5))
    assert one.message.startswith("tank set point set to 150 F at 5 plants on 2026-10-06")
    assert one.severity is Severity.RECORD
    owners = first(several(BULK, [STORE] * 5, severities={BULK: Severity.DANGER}))
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
