"""Groups of boilers at their boundaries. Common practice, no source, unless a case says more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import pytest

from settingslint.rules.base import Draft, Missing, Severity
from settingslint.rules.cascade.several import TWINS
from settingslint.rules.summary import Plants, Summary, summary_of
from settingslint.vocabulary.settings import FIRING, LIMITS
from tests.rules.cascade.givens import FOLLOWER, SIGNAL
from tests.rules.kit import Answer, make_plant, rule_named


def boiler(name: str, changes: Mapping[str, Any] | None = None, drop: Sequence[str] = ()) -> Summary:
    base: dict[str, Any] = {
        "plant.name": name, "plant.group": "plant room", "settings.cascade_role": "follower",
        "settings.cascade_address": int(name[-1]),
    }  # fmt: skip
    plant = make_plant({**base, **(changes or {})}, path=f"{name}.toml")
    summary = summary_of(plant)
    for one in drop:
        for table in (summary.settings, summary.facts):
            assert isinstance(table, dict)
            table.pop(one, None)
    return summary


LEADING: Final = {"settings.cascade_role": "leader"}
DIRECT: Final = {"piping.topology": "direct"}


def group(
    first: Mapping[str, Any] | None = None,
    second: Mapping[str, Any] | None = None,
    *,
    drop: Sequence[str] = (),
) -> list[Summary]:
    """Return a leader and a follower that agree, with changes."""
    return [boiler("Boiler 1", {**LEADING, **(first or {})}), boiler("Boiler 2", second, drop)]


def told(rule: str, plants: Sequence[Summary]) -> list[tuple[Answer, str, str]]:
    """Return what a rule says of plants: how it ends there, the plant's name, and where or what is missing."""
    return [
        ("not checked", plant.name, item.name) if isinstance(item, Missing) else ("found", plant.name, item.at)
        for plant, item in rule_named(rule).check(Plants.of(plants, {}))
    ]


CASES: Final[list[tuple[str, Answer, list[Summary], list[tuple[str, str]]]]] = [
    ("two-leaders", "clear", group(), []),
    ("two-leaders", "found", group(second=LEADING), [("Boiler 2", "cascade_role")]),
    ("two-leaders", "clear", group({"settings.cascade_role": "follower"}), []),
    ("group-without-leader", "clear", group(), []),
    ("group-without-leader", "found", group({"settings.cascade_role": "follower"}),
     [("Boiler 1", "cascade_role"), ("Boiler 2", "cascade_role")]),
    ("group-without-leader", "found", group({"settings.cascade_role": "alone"}, SIGNAL),
     [("Boiler 1", "cascade_role")]),
    ("group-without-leader", "clear", [boiler("Boiler 1", {"settings.cascade_role": "alone"})], []),
    ("group-without-leader", "not checked", group({**FOLLOWER, **SIGNAL}, drop=["cascade_role"]),
     [("Boiler 2", "cascade_role")]),
    ("cascade-address-twice", "clear", group(), []),
    ("cascade-address-twice", "found", group(second={"settings.cascade_address": 1}),
     [("Boiler 2", "cascade_address")]),
    ("cascade-address-twice", "not checked", group(drop=["cascade_address"]), [("Boiler 2", "cascade_address")]),
    ("cascade-address-twice", "clear", group(second={"settings.cascade_role": "alone"}, drop=["cascade_address"]), []),
    ("twins-not-alike", "clear", group(), []),
    ("twins-not-alike", "found", group(second={"settings.minimum_fan_speed": 1301}),
     [("Boiler 2", "minimum_fan_speed")]),
    ("twins-not-alike", "found", group(second={"settings.fuel_setting": "propane"}), [("Boiler 2", "fuel_setting")]),
    ("twins-not-alike", "found", group(second={"settings.operating_limit": 191}), [("Boiler 2", "operating_limit")]),
    ("twins-not-alike", "clear", group(second={"settings.heating_setpoint": 160}), []),
    ("twins-not-alike", "clear", group(second={"settings.vent_length_setting": 20}), []),
    ("twins-not-alike", "not checked", group(drop=["minimum_fan_speed"]), [("Boiler 2", "minimum_fan_speed")]),
    ("twins-not-alike", "not checked", group(drop=["minimum_fan_speed"])[::-1], [("Boiler 2", "minimum_fan_speed")]),
    ("twins-not-alike", "found", group(second={"settings.tank_high_limit": 186}), [("Boiler 2", "tank_high_limit")]),
    ("follower-at-odds-with-leader", "clear", group(), []),
    ("follower-at-odds-with-leader", "found", group(second={"settings.heating_setpoint": 163}),
     [("Boiler 2", "heating_setpoint")]),
    ("follower-at-odds-with-leader", "clear", group({"settings.heating_setpoint": 163}), []),
    ("follower-at-odds-with-leader", "found",
     group(second={"settings.maximum_supply": 179, "settings.warm_weather_shutdown": 62}),
     [("Boiler 2", "maximum_supply"), ("Boiler 2", "warm_weather_shutdown")]),
    ("follower-at-odds-with-leader", "clear", group(second={**LEADING, "settings.heating_setpoint": 150}), []),
    ("burner-hours-apart", "clear", group({"counters.burner_hours": 1300}, {"counters.burner_hours": 1000}), []),
    ("burner-hours-apart", "found", group({"counters.burner_hours": 1301}, {"counters.burner_hours": 1000}),
     [("Boiler 1", "counters.burner_hours")]),
    ("burner-hours-apart", "not checked", group(drop=["counters.burner_hours"]),
     [("Boiler 2", "counters.burner_hours")]),
    ("burner-hours-apart", "clear", [boiler("Boiler 1", drop=["counters.burner_hours"])], []),
    # two boilers of 108,000 Btu/h
    ("group-output-below-load", "clear", group({"building.design_load": 216000}, {"building.design_load": 216000}), []),
    ("group-output-below-load", "found", group({"building.design_load": 216100}, {"building.design_load": 216100}),
     [("Boiler 1", "building.design_load")]),
    ("group-output-below-load", "not checked", group(drop=["building.design_load"]),
     [("Boiler 2", "building.design_load")]),
    # 63 kW in a file of Btu/h is not plausible: no sum rests on it
    ("group-output-below-load", "not checked", group({"building.design_load": 216100}, {"building.design_load": 63}),
     [("Boiler 2", "building.design_load")]),
    ("group-output-below-load", "not checked", group(drop=["boiler.output_maximum"]),
     [("Boiler 2", "boiler.output_maximum")]),
    # two boilers of at least 3.2 gpm each
    ("group-needs-more-flow", "clear", group({**DIRECT, "piping.system_flow": 6.4}, DIRECT), []),
    ("group-needs-more-flow", "found", group({**DIRECT, "piping.system_flow": 6.39}, DIRECT),
     [("Boiler 1", "piping.system_flow")]),
    ("group-needs-more-flow", "clear", group({"piping.system_flow": 3.3}), []),
    ("group-needs-more-flow", "not checked", group(DIRECT, drop=["piping.topology"]),
     [("Boiler 2", "piping.topology")]),
    ("group-needs-more-flow", "not checked", group(DIRECT, drop=["boiler.minimum_flow"]),
     [("Boiler 2", "boiler.minimum_flow")]),
    ("idle-boiler-of-group", "clear", group(), []),
    ("idle-boiler-of-group", "found", group(second={"settings.heating_enabled": False}),
     [("Boiler 2", "heating_enabled")]),
    ("idle-boiler-of-group", "clear", [boiler("Boiler 1", {"settings.heating_enabled": False})], []),
    ("facts-of-one-site-differ", "clear", group(), []),
    ("facts-of-one-site-differ", "found", group(second={"site.elevation": 601}), [("Boiler 2", "site.elevation")]),
    ("facts-of-one-site-differ", "found", group(second={"gas.fuel": "propane"}), [("Boiler 2", "gas.fuel")]),
    ("facts-of-one-site-differ", "not checked", group(drop=["site.coldest"]), [("Boiler 2", "site.coldest")]),
    ("facts-of-one-site-differ", "found", group(second={"building.design_load": 70000}),
     [("Boiler 2", "building.design_load")]),
    ("facts-of-one-site-differ", "clear",
     [boiler("Boiler 1"), boiler("Boiler 2", {"plant.group": "annexe", "building.design_load": 70000})], []),
]  # fmt: skip


def drafts(rule: str, plants: Sequence[Summary]) -> list[Draft]:
    return [item for _, item in rule_named(rule).check(Plants.of(plants, {})) if isinstance(item, Draft)]


@pytest.mark.parametrize(("rule", "answer", "plants", "said"), CASES)
def test_boundaries(rule: str, answer: Answer, plants: list[Summary], said: list[tuple[str, str]]) -> None:
    assert told(rule, plants) == [(answer, *one) for one in said]
    assert bool(said) == (answer != "clear")


@pytest.mark.parametrize("left", [{"drop": ["settings.high_limit"]}, "not reachable", "not applicable"])
def test_twins_of_which_nobody_knows_a_value_are_not_alike(left: Any) -> None:
    """What neither records is not the same on both; what the control has not is nothing to compare."""
    more = left if isinstance(left, dict) else {"changes": {"settings.high_limit": {"left": left}}}
    twins = [summary_of(make_plant(**more, path=f"{name}.toml")) for name in ("one", "two")]
    (missing,) = (item for _, item in rule_named("twins-not-alike").check(Plants.of(twins, {})))
    assert isinstance(missing, Missing) and missing.name == "high_limit"
    twins = [summary_of(make_plant(drop=["settings.high_limit"], drop_control=["setting.high_limit"]))] * 2
    assert not list(rule_named("twins-not-alike").check(Plants.of(twins, {})))


def test_twins_name_no_target() -> None:
    """The twin's value may be the maker's: it is not named, and which one is right is left to the licensed person."""
    (one,) = drafts("twins-not-alike", group(second={"settings.minimum_fan_speed": 1500}))
    assert "1,500" in one.message
    assert "1,300" not in one.message
    assert one.remedy is not None
    assert not any(sign.isdigit() for sign in one.remedy.text)
    assert not one.remedy.set
    assert set(TWINS) == (FIRING | LIMITS) - {"vent_length_setting"}


def test_severities() -> None:
    assert rule_named("twins-not-alike").severity is Severity.DANGER
    assert rule_named("two-leaders").severity is Severity.OUTAGE
