"""Groups of boilers and signals from outside at the boundaries. Common practice, no source, unless a case says more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import pytest

from settingslint.rules.base import Certainty, Draft, Missing, Severity
from settingslint.rules.cascade.several import TWINS
from settingslint.rules.summary import Plants, Summary, summary_of
from settingslint.vocabulary.settings import FIRING, LIMITS
from tests.rules.kit import Answer, ask, finding, make_plant, rule_named

LEADER: Final = {"settings.cascade_role": "leader"}
FOLLOWER: Final = {"settings.cascade_role": "follower"}
SIGNAL: Final = {"settings.external_signal": "temperature"}
ENDS: Final = {
    **SIGNAL, "settings.external_low": 80, "settings.external_high": 180, "accessories.signal_low": 80,
    "accessories.signal_high": 180,
}  # fmt: skip
DELAY: Final = "stage-delay-shorter-than-loop"
SCALED: Final = "signal-scaled-differently-at-its-ends"
LOWER: Final = {"control": {"control.second_reset": "lower of both"}}

ALONE: Final[list[tuple[str, Answer, Mapping[str, Any], Mapping[str, Any]]]] = [
    ("cascade-without-system-sensor", "found", {**LEADER, "accessories.system_sensor": False}, {}),
    ("cascade-without-system-sensor", "clear", LEADER, {}),
    ("cascade-without-system-sensor", "does not apply", {"accessories.system_sensor": False}, {}),
    ("cascade-without-system-sensor", "does not apply", {**FOLLOWER, "accessories.system_sensor": False}, {}),
    ("cascade-without-system-sensor", "not checked", LEADER, {"drop": ["accessories.system_sensor"]}),
    ("cascade-without-system-sensor", "not checked", {}, {"drop": ["settings.cascade_role"]}),
    ("staging-by-few-at-high-fire", "found", {**LEADER, "settings.stage_order": "fewest"}, {}),
    ("staging-by-few-at-high-fire", "clear", {**LEADER, "settings.stage_order": "most"}, {}),
    (
        "staging-by-few-at-high-fire", "clear",
        {**LEADER, "settings.stage_order": "fewest", "boiler.condensing": False}, {},
    ),
    ("staging-by-few-at-high-fire", "not checked", LEADER, {}),
    (
        "staging-by-few-at-high-fire", "not checked", {**LEADER, "settings.stage_order": "fewest"},
        {"drop": ["boiler.condensing"]},
    ),
    # 95 gal at 9.5 gpm go round in 10 min
    (DELAY, "found", {**LEADER, "piping.system_flow": 9.5, "settings.stage_on_delay": 9.99}, {}),
    (DELAY, "clear", {**LEADER, "piping.system_flow": 9.5, "settings.stage_on_delay": 10}, {}),
    (DELAY, "not checked", {**LEADER, "settings.stage_on_delay": 9}, {"drop": ["piping.system_flow"]}),
    (DELAY, "not checked", {**LEADER, "settings.stage_on_delay": 9}, {"drop": ["water.system_volume"]}),
    (DELAY, "not checked", LEADER, {}),
    # 360 L at 0.6 L/s go round in 600 s
    (
        DELAY, "found",
        {**LEADER, "water.system_volume": 360, "piping.system_flow": 0.6, "settings.stage_on_delay": 9.9},
        {"metric": True},
    ),
    (
        DELAY, "clear",
        {**LEADER, "water.system_volume": 360, "piping.system_flow": 0.6, "settings.stage_on_delay": 10.1},
        {"metric": True},
    ),
    ("rotation-off", "found", {**LEADER, "settings.rotation_interval": "off"}, {}),
    ("rotation-off", "clear", {**LEADER, "settings.rotation_interval": 1000}, {}),
    ("rotation-off", "does not apply", {"settings.rotation_interval": "off"}, {}),
    ("rotation-off", "not checked", LEADER, {}),
    ("no-heat-when-leader-is-lost", "found", {**FOLLOWER, "settings.leader_loss": "stop"}, {}),
    ("no-heat-when-leader-is-lost", "clear", {**FOLLOWER, "settings.leader_loss": "local set point"}, {}),
    ("no-heat-when-leader-is-lost", "does not apply", {**LEADER, "settings.leader_loss": "stop"}, {}),
    ("no-heat-when-leader-is-lost", "not checked", FOLLOWER, {}),
    ("no-heat-when-signal-is-lost", "found", {**SIGNAL, "settings.external_loss": "stop"}, {}),
    (
        "no-heat-when-signal-is-lost", "found",
        {"settings.external_signal": "firing rate", "settings.external_loss": "stop"}, {},
    ),
    ("no-heat-when-signal-is-lost", "clear", {**SIGNAL, "settings.external_loss": "local set point"}, {}),
    ("no-heat-when-signal-is-lost", "does not apply", {"settings.external_loss": "stop"}, {}),
    ("no-heat-when-signal-is-lost", "not checked", SIGNAL, {}),
    (SCALED, "clear", ENDS, {}),
    (SCALED, "found", {**ENDS, "settings.external_high": 182.1}, {}),
    (SCALED, "clear", {**ENDS, "settings.external_high": 182}, {}),
    (SCALED, "clear", {**ENDS, "settings.external_high": 178}, {}),
    (SCALED, "found", {**ENDS, "settings.external_high": 177.9}, {}),
    (SCALED, "found", {**ENDS, "settings.external_low": 77.9}, {}),
    (SCALED, "clear", {**ENDS, "settings.external_low": 78}, {}),
    (SCALED, "not checked", ENDS, {"drop": ["accessories.signal_low"]}),
    (SCALED, "does not apply", {**ENDS, "settings.external_signal": "firing rate", "settings.external_low": 60}, {}),
    ("two-resets-in-series", "found", SIGNAL, LOWER),
    ("two-resets-in-series", "clear", {**SIGNAL, "settings.reset": False}, LOWER),
    ("two-resets-in-series", "does not apply", {}, LOWER),
    ("two-resets-in-series", "does not apply", SIGNAL, {"style": "none"}),
    ("two-resets-in-series", "not checked", SIGNAL, {}),
    ("two-resets-in-series", "not checked", SIGNAL, {"drop": ["settings.reset"], **LOWER}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), ALONE)
def test_one_boiler(rule: str, answer: Answer, changes: Mapping[str, Any], more: Mapping[str, Any]) -> None:
    changes = dict(changes)
    drop = [name for name in more.get("drop", ()) if name not in changes]
    for name in more.get("drop", ()):
        changes.pop(name, None)
    assert ask(rule, changes, **{**more, "drop": drop}) == answer


def test_the_signal_says_both_temperatures() -> None:
    one = finding(SCALED, {**ENDS, "settings.external_high": 176})
    assert one.at == "external_high"
    assert "the automation means 180 F, the boiler makes 176 F" in one.message


def test_two_resets_say_what_comes_out() -> None:
    assert "the lower of both is run" in finding("two-resets-in-series", SIGNAL, **LOWER).message
    added = {"control": {"control.second_reset": "added"}}
    assert "both are added" in finding("two-resets-in-series", SIGNAL, **added).message


# -- several boilers -------------------------------------------------------------------------------------------------


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


def group(
    first: Mapping[str, Any] | None = None,
    second: Mapping[str, Any] | None = None,
    *,
    drop: Sequence[str] = (),
) -> list[Summary]:
    """Return a leader and a follower that agree, with changes."""
    return [boiler("Boiler 1", {**LEADING, **(first or {})}), boiler("Boiler 2", second, drop)]


def told(rule: str, plants: Sequence[Summary]) -> list[tuple[str, str]]:
    """Return the plants of which a rule says something: their names, and where or what is missing."""
    return [
        (plant.name, f"needs {item.name}" if isinstance(item, Missing) else item.at)
        for plant, item in rule_named(rule).check(Plants.of(plants, {}))
    ]


GROUPS: Final[list[tuple[str, list[Summary], list[tuple[str, str]]]]] = [
    ("two-leaders", group(), []),
    ("two-leaders", group(second=LEADING), [("Boiler 2", "cascade_role")]),
    ("two-leaders", group({"settings.cascade_role": "follower"}), []),
    ("group-without-leader", group(), []),
    (
        "group-without-leader", group({"settings.cascade_role": "follower"}),
        [("Boiler 1", "cascade_role"), ("Boiler 2", "cascade_role")],
    ),
    (
        "group-without-leader", group({"settings.cascade_role": "alone"}, SIGNAL), [("Boiler 1", "cascade_role")],
    ),
    ("group-without-leader", [boiler("Boiler 1", {"settings.cascade_role": "alone"})], []),
    (
        "group-without-leader", group({**FOLLOWER, **SIGNAL}, drop=["cascade_role"]),
        [("Boiler 2", "needs cascade_role")],
    ),
    ("cascade-address-twice", group(), []),
    ("cascade-address-twice", group(second={"settings.cascade_address": 1}), [("Boiler 2", "cascade_address")]),
    ("cascade-address-twice", group(drop=["cascade_address"]), [("Boiler 2", "needs cascade_address")]),
    (
        "cascade-address-twice",
        group(second={"settings.cascade_role": "alone"}, drop=["cascade_address"]), [],
    ),
    ("twins-not-alike", group(), []),
    ("twins-not-alike", group(second={"settings.minimum_fan_speed": 1301}), [("Boiler 2", "minimum_fan_speed")]),
    ("twins-not-alike", group(second={"settings.fuel_setting": "propane"}), [("Boiler 2", "fuel_setting")]),
    ("twins-not-alike", group(second={"settings.operating_limit": 191}), [("Boiler 2", "operating_limit")]),
    ("twins-not-alike", group(second={"settings.heating_setpoint": 160}), []),
    ("twins-not-alike", group(second={"settings.vent_length_setting": 20}), []),
    ("twins-not-alike", group(drop=["minimum_fan_speed"]), []),
    ("follower-at-odds-with-leader", group(), []),
    (
        "follower-at-odds-with-leader", group(second={"settings.heating_setpoint": 163}),
        [("Boiler 2", "heating_setpoint")],
    ),
    ("follower-at-odds-with-leader", group({"settings.heating_setpoint": 163}), []),
    (
        "follower-at-odds-with-leader",
        group(second={"settings.maximum_supply": 179, "settings.warm_weather_shutdown": 62}),
        [("Boiler 2", "maximum_supply"), ("Boiler 2", "warm_weather_shutdown")],
    ),
    ("follower-at-odds-with-leader", group(second={**LEADING, "settings.heating_setpoint": 150}), []),
    ("burner-hours-apart", group({"counters.burner_hours": 1300}, {"counters.burner_hours": 1000}), []),
    (
        "burner-hours-apart", group({"counters.burner_hours": 1301}, {"counters.burner_hours": 1000}),
        [("Boiler 1", "counters.burner_hours")],
    ),
    ("burner-hours-apart", group(drop=["counters.burner_hours"]), [("Boiler 2", "needs counters.burner_hours")]),
    ("burner-hours-apart", [boiler("Boiler 1", drop=["counters.burner_hours"])], []),
    # two boilers of 108,000 Btu/h
    ("group-output-below-load", group({"building.design_load": 216000}, {"building.design_load": 216000}), []),
    (
        "group-output-below-load", group({"building.design_load": 216100}, {"building.design_load": 216100}),
        [("Boiler 1", "building.design_load")],
    ),
    ("group-output-below-load", group(drop=["building.design_load"]), [("Boiler 2", "needs building.design_load")]),
    ("group-output-below-load", group(drop=["boiler.output_maximum"]), [("Boiler 2", "needs boiler.output_maximum")]),
    # two boilers of at least 3.2 gpm each
    (
        "group-needs-more-flow",
        group({"piping.topology": "direct", "piping.system_flow": 6.4}, {"piping.topology": "direct"}), [],
    ),
    (
        "group-needs-more-flow",
        group({"piping.topology": "direct", "piping.system_flow": 6.39}, {"piping.topology": "direct"}),
        [("Boiler 1", "piping.system_flow")],
    ),
    ("group-needs-more-flow", group({"piping.system_flow": 3.3}), []),
    (
        "group-needs-more-flow", group({"piping.topology": "direct"}, drop=["piping.topology"]),
        [("Boiler 2", "needs piping.topology")],
    ),
    (
        "group-needs-more-flow", group({"piping.topology": "direct"}, drop=["boiler.minimum_flow"]),
        [("Boiler 2", "needs boiler.minimum_flow")],
    ),
    ("idle-boiler-of-group", group(), []),
    ("idle-boiler-of-group", group(second={"settings.heating_enabled": False}), [("Boiler 2", "heating_enabled")]),
    ("idle-boiler-of-group", [boiler("Boiler 1", {"settings.heating_enabled": False})], []),
    ("facts-of-one-site-differ", group(), []),
    ("facts-of-one-site-differ", group(second={"site.elevation": 601}), [("Boiler 2", "site.elevation")]),
    ("facts-of-one-site-differ", group(second={"gas.fuel": "propane"}), [("Boiler 2", "gas.fuel")]),
    ("facts-of-one-site-differ", group(drop=["site.coldest"]), []),
    (
        "facts-of-one-site-differ", group(second={"building.design_load": 70000}),
        [("Boiler 2", "building.design_load")],
    ),
    (
        "facts-of-one-site-differ",
        [boiler("Boiler 1"), boiler("Boiler 2", {"plant.group": "annexe", "building.design_load": 70000})], [],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "plants", "said"), GROUPS)
def test_several_boilers(rule: str, plants: list[Summary], said: list[tuple[str, str]]) -> None:
    assert told(rule, plants) == said


def drafts(rule: str, plants: Sequence[Summary]) -> list[Draft]:
    return [item for _, item in rule_named(rule).check(Plants.of(plants, {})) if isinstance(item, Draft)]


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
    assert rule_named("no-heat-when-leader-is-lost").certainty is Certainty.ASK
