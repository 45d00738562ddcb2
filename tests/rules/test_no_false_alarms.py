"""What must not be a finding: the ten false alarms of the trade (common practice, no source)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import pytest

import settingslint
from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Finding
from settingslint.rules.summary import Plants, summary_of
from tests.rules.examples import example_of
from tests.rules.kit import make_plant
from tests.rules.test_clean_plants import FLOOR, FLOOR_LINE, PLATE, emitter

PLANT_RULES: Final = [rule for rule in all_rules() if rule.scope == "plant"]


def findings(changes: Mapping[str, Any], **more: Any) -> list[Finding]:
    return list(audit(make_plant(changes, **more), PLANT_RULES).findings)


@pytest.mark.parametrize("store", [140.0, 145.0, 160.0])
def test_a_hot_store_behind_a_tempering_valve_is_no_scald_finding(store: float) -> None:
    changes = {"settings.tank_setpoint": store, "settings.hot_water_boiler_setpoint": 180}
    assert "scald" not in {caution for one in findings(changes) for caution in one.cautions} or store < 144
    assert "hot-tank-without-mixing-valve" not in {one.rule for one in findings(changes)}
    without = findings({**changes, "hot_water.mixing_valve": False}, drop=["hot_water.mixing_valve_tested"])
    assert "hot-tank-without-mixing-valve" in {one.rule for one in without}


@pytest.mark.parametrize(
    "changes",
    [
        {"emitter": [emitter("air coil", 160, 140, 1.0, 190)]},
        {"emitter": [emitter("pool", 150, 130, 1.0, 180)]},
        {"emitter": [emitter("fan coil", 160, 140, 1.0, 190)], "boiler.tankless_coil": True},
    ],
    ids=["air coil", "pool", "coil in the boiler"],
)
def test_reset_switched_off_where_the_emitter_wants_it_is_no_finding(changes: Mapping[str, Any]) -> None:
    off = {**changes, "settings.reset": False}
    assert not {one.rule for one in findings(off)} & {"reset-off-unsaid", "hot-fixed-supply-on-condensing-boiler"}


def test_low_supply_for_a_heated_floor_is_no_finding() -> None:
    cool = {**FLOOR, "design_supply": 90, "design_return": 80}
    line = {**FLOOR_LINE, "settings.heating_setpoint": 92, "settings.reset_endpoint": 72}
    assert findings({"emitter": [cool], **line}) == []


def test_a_default_that_was_confirmed_is_no_finding() -> None:
    defaults = {
        "heating_setpoint": 150, "heating_differential": 12, "tank_setpoint": 125, "hot_water_boiler_setpoint": 165,
        "reset_endpoint": 72, "heating_maximum_rate": 100, "keep_warm": 3, "priority_time_limit": 45,
        "tank_differential": 7, "warm_weather_shutdown": 66, "pump_overrun": 3,
    }  # fmt: skip
    plain = {f"settings.{name}": value for name, value in defaults.items()}
    confirmed = {path: {"value": value, "why": "looked at, and left as it came"} for path, value in plain.items()}
    assert "all-at-defaults" in {one.rule for one in findings(plain)}
    assert "all-at-defaults" not in {one.rule for one in findings(confirmed)}


def test_another_value_than_at_the_sister_site_is_no_finding() -> None:
    here = make_plant({}, path="a.toml")
    there = make_plant(
        {"plant.site": "Other Hall", "plant.serial": "K-9", "settings.heating_setpoint": 150, "site.elevation": 90,
         "building.design_load": 61000},
        path="b.toml",
    )  # fmt: skip
    summaries = [summary_of(plant) for plant in (here, there)]
    said = [
        rule.name
        for rule in all_rules()
        for members in ([[one] for one in summaries] if rule.scope == "site" else [summaries])
        if rule.scope in ("site", "portfolio") and list(rule.check(Plants.of(members, {})))
    ]
    assert said == []


def test_ten_minutes_of_pump_overrun_on_a_heavy_boiler_are_no_finding() -> None:
    assert findings({"settings.pump_overrun": 10, "boiler.heat_exchanger": "high mass"}) == []


def test_keep_warm_on_a_plate_without_a_store_is_no_finding() -> None:
    assert findings({**PLATE, "settings.keep_warm": 20}, style="two points") == []


@pytest.mark.parametrize(("o2", "co2"), [(3.0, 10.0), (5.0, 8.9), (8.0, 7.2)])
def test_no_reading_of_the_analyser_is_called_wrong_for_its_height(o2: float, co2: float) -> None:
    """Readings that belong together are never measured against a target; the fuel's stoichiometry is no target."""
    changes = {
        f"combustion.{end}.{name}": value for end in ("high", "low") for name, value in (("o2", o2), ("co2", co2))
    }
    assert findings(changes) == []


def everything_said() -> list[tuple[str, str]]:
    """Return every text that rules print: documentation, and message and remedy of each tripping example."""
    said = [(rule.name, rule.doc) for rule in all_rules()]
    for rule in PLANT_RULES:
        example = example_of(rule, trips=True)
        result = audit(make_plant(example.profile, control=example.control, style=example.style), PLANT_RULES)
        for one in result.findings:
            said += [(one.rule, one.message), (one.rule, one.remedy.text if one.remedy else "")]
    return said


SAID: Final = everything_said()


def test_nobody_is_promised_savings() -> None:
    assert [
        one for one in SAID if re.search(r"\bsav(es?|ing|ings)\b.*\d+\s*%|\d+\s*%.*\bsav(es?|ing|ings)\b", one[1])
    ] == []


FORBIDDEN: Final = re.compile(r"\b(safe|safely|optimum|optimal|guaranteed?|compliant|recommended)\b", re.IGNORECASE)


def test_nothing_is_called_safe() -> None:
    assert [one for one in SAID if FORBIDDEN.search(one[1])] == []


def test_the_words_stand_nowhere_else_in_what_is_printed() -> None:
    """Also not in vocabulary, rules and templates."""
    home = Path(settingslint.__file__).parent
    files = [*home.glob("vocabulary/*.py"), *home.rglob("rules/**/*.py"), *home.rglob("*.html"), *home.rglob("*.md")]
    assert len(files) > 30
    found = [
        (file.name, line.strip())
        for file in files
        for line in file.read_text(encoding="utf-8").splitlines()
        if FORBIDDEN.search(re.sub(r"key \?safe|\|\s*safe", "", line))
    ]
    assert found == []
