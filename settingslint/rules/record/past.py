"""Rules of the record group that hold the record against defaults and against what earlier visits left."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import title_of
from settingslint.rules.base import (
    DANGER,
    LIKELY,
    OUTAGE,
    RECORD,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Threshold,
    found,
)
from settingslint.rules.entries import (
    cautions_of,
    changed_at_visit,
    recorded_value,
    severity_of,
    told_on,
    typed_entries,
    visit_day,
)
from settingslint.rules.past import open_change
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.settings import SETTINGS
from settingslint.vocabulary.sources import COMMON_PRACTICE

CAUTION: Final = ("record",)

DEFAULT_SHARE: Final = Threshold(
    "defaults_share", 0.9, Kind.RATIO, COMMON_PRACTICE, "share of settings at default that looks never set",
    0.5, 0.95, "common practice, no source: one setting in twenty is typed on any boiler that was set up",
    looser="up",
)  # fmt: skip
FEWEST: Final = Threshold(
    "fewest_settings", 5.0, Kind.COUNT, COMMON_PRACTICE, "settings that must be recorded to judge the defaults",
    3.0, 12.0, "common practice, no source: a usual profile records 12 settings and more", looser="up",
)  # fmt: skip
COUNTERS: Final = ("counters.starts", "counters.burner_hours")


@rule(
    "all-at-defaults",
    severity=OUTAGE,
    certainty=LIKELY,
    cautions=("board", "firing", "combustion"),
    source=COMMON_PRACTICE,
    assumes="nobody confirmed the defaults on purpose",
    thresholds=(DEFAULT_SHARE, FEWEST),
    trips=(
        "settings.heating_setpoint = 150, settings.heating_differential = 12, settings.tank_setpoint = 125, "
        "settings.hot_water_boiler_setpoint = 165, settings.reset_endpoint = 72, "
        "settings.heating_maximum_rate = 100, settings.keep_warm = 3, settings.priority_time_limit = 45, "
        "settings.tank_differential = 7, settings.warm_weather_shutdown = 66, settings.pump_overrun = 3"
    ),
    passes='settings.reset_endpoint = 76, settings.heating_maximum_rate = 90, settings.keep_warm = "off"',
)
def all_at_defaults(plant: Plant) -> Drafts:
    """Nearly every setting is at default: never set, or the control board was replaced.

    Share of recorded settings that equal the control's default for this size; above 0.9. A default that was confirmed
    with a reason does not count.
    """
    at_default: list[str] = []
    recorded = 0
    for name, entry in plant.entries.items():
        default = plant.default_of(name)
        if default is None or entry.left in ("not reachable", "not applicable"):
            continue
        recorded += 1
        if entry.why is None and (entry.left == "default" or same(entry.typed, default)):
            at_default.append(name)
    if recorded < plant.threshold(FEWEST):
        raise Missing("settings", "too few settings with a known default are recorded")
    if len(at_default) / recorded > plant.threshold(DEFAULT_SHARE) + TOLERANCE:
        yield found(
            at_default[0],
            f"{len(at_default)} of {recorded} settings are at default: never set, or control board replaced?",
            {
                "at default": Quantity(float(len(at_default)), Kind.COUNT),
                "recorded": Quantity(float(recorded), Kind.COUNT),
            },
            "identify size and fuel, restore the settings or set it up, then prove combustion",
        )


@rule(
    "as-found-differs",
    severity=RECORD,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips="settings.heating_setpoint = 164",
    passes="",
    history=("in which the set point was found changed", "in which nothing was found changed"),
)
def as_found_differs(plant: Plant) -> Drafts:
    """A setting was found changed since the last visit, and no reason is recorded.

    Looks into the history: each "as found" against the state before it. It is cleared once a reason is recorded at the
    setting, or the value from before is set again.
    """
    states = plant.states()
    if not any(state.found for state in states[1:]):
        raise DoesNotApply("no visit recorded what was found")
    for name in sorted({name for state in states if state.found for name in state.typed}.intersection(SETTINGS)):
        change = open_change(
            states,
            name,
            plant.default_of(name),
            lambda one: one.state.found,
            lambda one, state: state.why(one.name) is not None,
        )
        if change is None:
            continue
        yield found(
            name,
            f"{title_of(name)} {'found' if change.old_found else 'left'} at {plant.show(name, change.old)}, found at"
            f" {plant.show(name, change.new)} on {change.state.on}, no reason recorded",
            {},
            "ask who changed it and why, and record it",
            severity=severity_of(name),
            cautions=cautions_of(name),
        )


@rule(
    "defaults-after-earlier-settings",
    severity=DANGER,
    cautions=("board", "firing", "combustion"),
    source=COMMON_PRACTICE,
    thresholds=(DEFAULT_SHARE, FEWEST),
    trips="settings.heating_setpoint = 150",
    passes="settings.heating_setpoint = 164",
    history=("of other values", "of the same values"),
)
def defaults_after_earlier_settings(plant: Plant) -> Drafts:
    """Settings that were set are back at default: the control board was replaced or reset.

    Looks into the history; share of settings now at their default, that had another value before.
    """
    fell: list[str] = []
    stayed = 0
    for name, value in plant.before().typed.items():
        default, now = plant.default_of(name), recorded_value(plant, name)
        if default is None or now is None or same(default, value):
            continue
        if same(now, default):
            fell.append(name)
        else:
            stayed += 1
    few = len(fell) < plant.threshold(FEWEST)
    if not few and len(fell) / (len(fell) + stayed) > plant.threshold(DEFAULT_SHARE) + TOLERANCE:
        yield found(
            fell[0],
            f"{len(fell)} settings that were set are back at default: control board replaced or reset?",
            {"fell to default": Quantity(float(len(fell)), Kind.COUNT)},
            "do not fire until size and fuel are identified and the settings restored and read back",
        )


@rule(
    "faults-grew-without-cause",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("counters.faults_before", "counters.faults_now"),
    cautions=("mask",),
    source=COMMON_PRACTICE,
    assumes="settings were changed because of the faults",
    trips="counters.faults_now = 2, settings.heating_setpoint = { value = 164, on = 2026-10-06 }",
    passes="counters.faults_now = 1",
)
def faults_grew_without_cause(plant: Plant) -> Drafts:
    """The fault history grew, settings were changed on the same visit, and no cause is recorded.

    Changed: what carries the visit's date, or by the history had another value before.
    """
    grew = plant.number("counters.faults_now") - plant.number("counters.faults_before")
    if grew <= 0 or plant.known("visit.fault_cause") is not None:
        return
    read = told_on(plant, "counters.faults_now")
    told = [
        (name, changed_at_visit(plant, name) if read == visit_day(plant) else entry.on == read)
        for name, entry in typed_entries(plant)
    ]
    changed = [name for name, at_visit in told if at_visit]
    if changed:
        yield found(
            changed[0],
            f"{grew:.0f} more in the fault history, {title_of(changed[0])} changed, no cause recorded",
            {"more faults": Quantity(grew, Kind.COUNT)},
            "find the cause and record it",
        )
    elif any(at_visit is None for _, at_visit in told):
        yield Missing("history", "whether settings were changed on the visit is not recorded")


@rule(
    "visit-copied",
    severity=RECORD,
    certainty=LIKELY,
    needs=("visit.on", *COUNTERS),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="two visits do not leave the same counters",
    trips="counters.starts = 3100",
    passes="",
    history=("that has the same counters at another visit", "that has other counters"),
)
def visit_copied(plant: Plant) -> Drafts:
    """The counters of the visit are identical to those of another visit.

    Looks into the history: burner starts and burner hours, both equal.
    """
    if plant.past is None:
        raise Missing("history")
    visited, now = plant.day("visit.on"), [plant.value(name) for name in COUNTERS]
    if any(told_on(plant, name) != visited for name in COUNTERS):
        raise DoesNotApply("the counters were not read at the last visit")
    for state in reversed(plant.past.states):
        other = state.facts.get("visit.on")
        if other not in (None, visited) and [state.facts.get(name) for name in COUNTERS] == now:
            yield found("visit.on", f"counters are identical to those of the visit on {other}", {}, "read them again")
            return


RULES: Final[tuple[Rule, ...]] = (
    all_at_defaults,
    as_found_differs,
    defaults_after_earlier_settings,
    faults_grew_without_cause,
    visit_copied,
)
