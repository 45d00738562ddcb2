# ruff: noqa: E501
"""The record group at its boundaries. Its numbers are common practice, no source.

Dates count from the check on 2026-11-25 and from the visit on 2026-10-06. The kit's control states 22 defaults.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.model.values import Value
from settingslint.rules.base import RESTORE_FIRING, RESTORE_LIMIT, Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.earlier import earlier, past
from tests.rules.kit import AS_OF, DEFAULTS, Answer, ask, finding, make_plant, rule_named

METRIC: Final[dict[str, Any]] = {"metric": True}
NO_VISIT: Final = {"drop": ["visit.on"]}
FAULTS: Final = {"counters.faults_now": 2}
SAME_FAN: Final = past(earlier("2026-03-01", {"maximum_fan_speed": 6100}))
AT_MOST: Final[dict[str, Any]] = {
    "control": {"setting.maximum_fan_speed.treatments": [{"does": "at most until first firing", "amount": 4000}]}
}
COUNTERS: Final = {"counters.starts": 3100, "counters.burner_hours": 1500}
PRIORITY: Final = "priority_time_limit"
DAY: Final = "2026-10-06"


def setting(name: str, value: Any, **more: Any) -> dict[str, Any]:
    """One setting as a table."""
    return {f"settings.{name}": {"value": value, **more}}


def point(**more: Any) -> dict[str, Any]:
    return setting("heating_setpoint", 164, **more)


def defaults(at: int, off: int, confirmed: int = 0, left: int = 0) -> dict[str, Any]:
    """Only these settings: so many at their default, off it, at it with a reason, and left at it."""
    names = [name for name, value in DEFAULTS.items() if isinstance(value, int)]
    settings: dict[str, Any] = {}
    for number, name in enumerate(names[: at + off + confirmed + left]):
        value = DEFAULTS[name]
        if number >= at + off + confirmed:
            settings[name] = {"left": "default"}
        elif number >= at + off:
            settings[name] = {"value": value, "why": "meant so"}
        else:
            settings[name] = value if number < at else value + 1
    return {"settings": settings}


def other(count: int) -> dict[str, Any]:
    """The first so many settings with a default, at something else."""
    names = [name for name, value in DEFAULTS.items() if isinstance(value, int)]
    return {name: DEFAULTS[name] + 1 for name in names[:count]}


CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    ("not-read-back", "clear", {}, {}),
    ("not-read-back", "found", {"visit.read_back": False}, {}),
    ("not-read-back", "found", {}, {"drop": ["visit.read_back"]}),
    ("not-read-back", "clear", setting("tank_setpoint", 145, on=DAY), {}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("tank_setpoint", 62.8, on="2026-10-07"), METRIC),
    ("not-read-back", "clear", setting("tank_setpoint", 145, on="2026-10-07", read_back=145), {}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on=DAY), NO_VISIT),
    ("not-read-back", "clear", {}, NO_VISIT),
    # classes: scald, hygiene, freezing, limits, firing; not heating, pumps or comfort
    ("not-read-back", "found", setting("hot_water_boiler_setpoint", 172, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("freeze_protection", True, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("high_limit", 206, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("pre_purge", 15, on="2026-10-07"), {}),
    ("not-read-back", "clear", point(on="2026-10-07"), {}),
    ("not-read-back", "clear", setting("pump_overrun", 4, on="2026-10-07"), {}),
    ("not-read-back", "clear", setting("tank_setpoint", 145, on="2026-10-07"), {"control": {"setting.tank_setpoint.read_back": "not readable"}}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on="2026-10-07"), {"control": {"setting.tank_setpoint.read_back": "as typed"}}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on="2026-10-07"), {"drop_control": ["setting.tank_setpoint"]}),
    ("typed-differs-from-read-back", "clear", point(read_back=164), {}),
    ("typed-differs-from-read-back", "found", point(read_back=163), {}),
    ("typed-differs-from-read-back", "clear", point(), {}),
    ("typed-differs-from-read-back", "clear", setting("heating_setpoint", 73, read_back=73), METRIC),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 73, read_back=72), METRIC),
    # the control's step alone is no difference: 163 becomes 165; 62 C is 143.6 F, kept as 144 F and shown as 62.2 C
    ("typed-differs-from-read-back", "clear", setting("heating_setpoint", 163, read_back=165), {"control": {"setting.heating_setpoint.step": 5}}),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 163, read_back=164), {"control": {"setting.heating_setpoint.step": 5}}),
    ("typed-differs-from-read-back", "clear", setting("heating_setpoint", 62, read_back=62.2), {"control": {"setting.heating_setpoint.step": 1}, "metric": True}),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 62, read_back=62.2), METRIC),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 163, read_back=160), {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 160, "outside": "moved to the end"}, "setting.heating_setpoint.step": 5}}),
    ("typed-differs-from-read-back", "found", point(read_back=163), {"drop_control": ["setting.heating_setpoint"]}),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"left": "default", "value": 12}}, {}),
    ("default-seen-differs", "found", {"settings.heating_differential": {"left": "default", "value": 12.1}}, {}),
    ("default-seen-differs", "found", {"settings.heating_differential": {"left": "default", "value": 6.6}}, METRIC),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"left": "default"}}, {}),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"value": 13}}, {}),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"left": "not reachable", "value": 13}}, {}),
    ("default-seen-differs", "not checked", {"settings.heating_differential": {"left": "default", "value": 13}}, {"drop_control": ["setting.heating_differential.default"]}),
    ("default-seen-differs", "not checked", {"settings.heating_differential": {"left": "default", "value": 13}}, {"drop_control": ["setting.heating_differential"]}),
    ("reason-missing", "found", setting("tank_setpoint", 146, on="2026-10-07"), {}),
    ("reason-missing", "clear", setting("tank_setpoint", 146, on="2026-10-07", why="water-safety plan"), {}),
    ("reason-missing", "clear", setting("tank_setpoint", 146, on=DAY), {}),
    ("reason-missing", "found", setting("tank_setpoint", 146, on=DAY), {"drop": ["visit.why"]}),
    ("reason-missing", "found", setting("tank_setpoint", 146, on=DAY), NO_VISIT),
    ("reason-missing", "clear", setting("tank_setpoint", 146), {"drop": ["visit.why"]}),
    ("reason-missing", "clear", point(on="2026-10-07"), {}),
    ("reason-missing", "found", setting("tank_setpoint", 63, on="2026-10-07"), METRIC),
    ("role-not-entitled", "found", {"visit.role": "heating technician", **setting("maximum_fan_speed", 6100, on=DAY)}, {}),
    ("role-not-entitled", "found", {"visit.role": "water-safety holder", **setting("maximum_fan_speed", 6100, on=DAY)}, {}),
    ("role-not-entitled", "found", {"visit.role": "caretaker", **setting("operating_limit", 190, on=DAY)}, {}),
    ("role-not-entitled", "found", {"visit.role": "caretaker", **setting("operating_limit", 88, on=DAY)}, METRIC),
    ("role-not-entitled", "found", {"visit.role": "occupant", **setting("fuel_setting", "natural gas", on=DAY)}, {}),
    ("role-not-entitled", "clear", {"visit.role": "maker", **setting("maximum_fan_speed", 6000, on=DAY)}, {}),
    ("role-not-entitled", "clear", setting("maximum_fan_speed", 6000, on=DAY), {}),
    ("role-not-entitled", "clear", {"visit.role": "caretaker", **setting("tank_setpoint", 145, on=DAY)}, past()),
    ("role-not-entitled", "clear", {"visit.role": "caretaker", **setting("maximum_fan_speed", 6000, on="2026-10-05")}, past()),
    ("role-not-entitled", "found", {"visit.role": "caretaker", "settings.maximum_fan_speed": 6000}, SAME_FAN),
    ("role-not-entitled", "clear", {"visit.role": "caretaker"}, SAME_FAN),
    ("role-not-entitled", "not checked", {"visit.role": "caretaker"}, {}),
    # all at its default and nothing else recorded: nothing was changed
    ("role-not-entitled", "clear", {"visit.role": "caretaker", "settings": {"maximum_fan_speed": 6100}}, {}),
    ("role-not-entitled", "not checked", {"visit.role": "caretaker", "settings": {"maximum_fan_speed": 6000}}, {}),
    # nothing of firing recorded at all
    ("role-not-entitled", "not checked", {"visit.role": "caretaker", "settings": {"heating_setpoint": 164}}, past()),
    ("role-not-entitled", "not checked", {}, {"drop": ["visit.role"]}),
    ("role-not-entitled", "not checked", {}, NO_VISIT),
    ("reading-marked-left-without-visit", "clear", point(read_back=164, on=DAY), {}),
    ("reading-marked-left-without-visit", "found", point(read_back=164, on="2026-10-07"), {}),
    ("reading-marked-left-without-visit", "clear", point(on="2026-10-07"), {}),
    ("reading-marked-left-without-visit", "clear", point(read_back=164), {}),
    ("reading-marked-left-without-visit", "found", point(read_back=164), {"drop": ["visit"]}),
    ("reading-marked-left-without-visit", "found", {}, NO_VISIT),
    ("reading-marked-left-without-visit", "clear", {"visit.read_back": False}, NO_VISIT),
    ("reading-marked-left-without-visit", "clear", {}, {"drop": ["visit"]}),
    ("temporary-change-overdue", "clear", point(until="2026-11-25"), {}),
    ("temporary-change-overdue", "found", point(until="2026-11-24"), {}),
    ("temporary-change-overdue", "clear", point(), {}),
    ("temporary-change-overdue", "found", setting("heating_setpoint", 75, until="2026-11-24", then=73), METRIC),
    # 20 of 25 days are 0.8, 50 of 62.5 since the visit
    ("temporary-change-ends-soon", "clear", point(on="2026-11-05", until="2026-11-30"), {}),
    ("temporary-change-ends-soon", "found", point(on="2026-11-05", until="2026-11-29"), {}),
    ("temporary-change-ends-soon", "clear", point(until="2026-12-08"), {}),
    ("temporary-change-ends-soon", "found", point(until="2026-12-07"), {}),
    ("temporary-change-ends-soon", "found", point(on="2026-11-05", until="2026-11-25"), {}),
    ("temporary-change-ends-soon", "clear", point(on="2026-11-05", until="2026-11-24"), {}),
    ("temporary-change-ends-soon", "clear", point(on="2026-11-25", until="2026-11-25"), {}),
    ("temporary-change-ends-soon", "clear", {}, {}),
    ("temporary-change-ends-soon", "clear", point(on="2026-11-05", until="2026-11-29"), {"context": Context(AS_OF, {"temporary_warning_share": 0.9})}),
    ("temporary-change-ends-soon", "found", setting("heating_setpoint", 75, on="2026-11-05", until="2026-11-29"), METRIC),
    ("temporary-change-ends-soon", "not checked", point(until="2026-12-07"), NO_VISIT),
    ("temporary-change-ends-soon", "found", point(on="2026-11-05", until="2026-11-29"), NO_VISIT),
    ("temporary-change-without-return", "found", point(until="2026-12-20"), {}),
    ("temporary-change-without-return", "found", point(until="2026-12-20", then=160), {}),
    ("temporary-change-without-return", "found", point(until="2026-12-20", watched_by="duty engineer"), {}),
    ("temporary-change-without-return", "clear", point(until="2026-12-20", then=160, watched_by="duty engineer"), {}),
    ("temporary-change-without-return", "clear", point(then=160), {}),
    ("provisional-before-first-firing", "found", {"plant.first_fired": False}, AT_MOST),
    ("provisional-before-first-firing", "found", {"plant.first_fired": False, "settings.maximum_fan_speed": 4000}, AT_MOST),
    ("provisional-before-first-firing", "clear", {}, AT_MOST),
    ("provisional-before-first-firing", "clear", {"plant.first_fired": True}, AT_MOST),
    ("provisional-before-first-firing", "clear", {"plant.first_fired": False}, {}),
    ("provisional-before-first-firing", "not checked", {}, {**AT_MOST, "drop": ["plant.first_fired"]}),
    ("provisional-before-first-firing", "clear", {"settings.maximum_fan_speed": 4000}, {**AT_MOST, "drop": ["plant.first_fired"]}),
    ("provisional-before-first-firing", "not checked", {"plant.first_fired": False}, {**AT_MOST, "drop": ["settings.maximum_fan_speed"]}),
    ("provisional-before-first-firing", "clear", {}, {**AT_MOST, "drop": ["settings.maximum_fan_speed"]}),
    ("provisional-before-first-firing", "not checked", {"plant.first_fired": False}, {"drop_control": ["setting.pump_overrun.treatments"]}),
    ("provisional-before-first-firing", "clear", {}, {"drop_control": ["setting.pump_overrun.treatments"]}),
    # 9 of 10, 10 of 11
    ("all-at-defaults", "clear", defaults(9, 1), {}),
    ("all-at-defaults", "found", defaults(10, 1), {}),
    # 19 of 21 are 0.905
    ("all-at-defaults", "found", defaults(19, 2), {}),
    ("all-at-defaults", "clear", defaults(18, 3), {}),
    ("all-at-defaults", "found", defaults(4, 0, left=1), {}),
    ("all-at-defaults", "clear", defaults(9, 0, confirmed=1), {}),
    ("all-at-defaults", "clear", defaults(0, 0, confirmed=10), {}),
    ("all-at-defaults", "found", defaults(5, 0), {}),
    ("all-at-defaults", "found", defaults(0, 0, left=5), {}),
    ("all-at-defaults", "not checked", defaults(4, 0), {}),
    ("all-at-defaults", "not checked", defaults(0, 0), {}),
    # without a default nothing can be told, and what could not be reached counts for nothing
    ("all-at-defaults", "not checked", defaults(5, 0), {"drop_control": ["setting.ignition_trials.default"]}),
    ("all-at-defaults", "not checked", {"settings": {**defaults(4, 0)["settings"], "pump_overrun": {"left": "not reachable"}}}, {}),
    ("all-at-defaults", "not checked", {"settings": {**defaults(4, 0)["settings"], "pump_overrun": {"left": "not applicable"}}}, {}),
    ("all-at-defaults", "clear", {}, {}),
    ("all-at-defaults", "clear", defaults(10, 1), {"context": Context(AS_OF, {"defaults_share": 0.95})}),
    ("all-at-defaults", "found", defaults(4, 0), {"context": Context(AS_OF, {"fewest_settings": 4})}),
    ("all-at-defaults", "not checked", defaults(5, 0), {"context": Context(AS_OF, {"fewest_settings": 6})}),
    ("as-found-differs", "found", {}, past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 165}, kind="as found"))),
    ("as-found-differs", "clear", {}, past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 164}, kind="as found"))),
    ("as-found-differs", "clear", {}, past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"pump_overrun": 4}, kind="as found"))),
    ("as-found-differs", "clear", point(why="tenant was cold"), past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 165}, kind="as found"))),
    ("as-found-differs", "found", {}, {**past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 165}, kind="as found")), "drop": ["settings.heating_setpoint"]}),
    # the newest of two, and what a visit left afterwards does not hide it
    ("as-found-differs", "clear", {}, past(earlier("2025-03-01", {"pump_overrun": 4}), earlier("2025-09-01", {"pump_overrun": 5}, kind="as found"), earlier("2026-03-01", {"pump_overrun": 5}), earlier(DAY, {"pump_overrun": 5}, kind="as found"))),
    ("as-found-differs", "found", {}, past(earlier("2026-03-01", {"pump_overrun": 4}), earlier(DAY, {"pump_overrun": 5}, kind="as found"), earlier(DAY, {"pump_overrun": 4}))),
    ("as-found-differs", "does not apply", {}, past(earlier("2026-03-01", {"pump_overrun": 4}), earlier(DAY, {"pump_overrun": 5}))),
    # there was nothing left before it
    ("as-found-differs", "does not apply", {}, past(earlier(DAY, {"pump_overrun": 5}, kind="as found"))),
    ("as-found-differs", "does not apply", {}, past()),
    ("as-found-differs", "not checked", {}, {}),
    ("defaults-after-earlier-settings", "found", defaults(10, 0), past(earlier("2026-03-01", other(5)))),
    ("defaults-after-earlier-settings", "clear", defaults(10, 0), past(earlier("2026-03-01", other(4)))),
    ("defaults-after-earlier-settings", "found", defaults(10, 0), {**past(earlier("2026-03-01", other(4))), "context": Context(AS_OF, {"fewest_settings": 4})}),
    ("defaults-after-earlier-settings", "clear", defaults(9, 1), past(earlier("2026-03-01", other(10)))),
    ("defaults-after-earlier-settings", "found", defaults(10, 1), past(earlier("2026-03-01", other(11)))),
    ("defaults-after-earlier-settings", "found", defaults(0, 0, left=10), past(earlier("2026-03-01", other(5)))),
    # what stood at its default before did not fall
    ("defaults-after-earlier-settings", "clear", defaults(10, 0), past(earlier("2026-03-01", {**other(4), "tank_setpoint": DEFAULTS["tank_setpoint"], "reset_endpoint": DEFAULTS["reset_endpoint"]}))),
    ("defaults-after-earlier-settings", "clear", {"settings": {**defaults(4, 0)["settings"], "heating_setpoint": {"left": "not reachable"}}}, past(earlier("2026-03-01", other(5)))),
    ("defaults-after-earlier-settings", "clear", {"settings": {**defaults(4, 0)["settings"], "heating_setpoint": {"left": "default", "value": 151}}}, past(earlier("2026-03-01", other(5)))),
    # what is not recorded now neither fell nor stayed
    ("defaults-after-earlier-settings", "found", defaults(10, 0), past(earlier("2026-03-01", other(14)))),
    ("defaults-after-earlier-settings", "found", defaults(10, 0), {**past(earlier("2026-03-01", other(10))), "drop_control": ["setting.ignition_trials.default", "setting.heating_setpoint.default"]}),
    ("defaults-after-earlier-settings", "clear", defaults(10, 0), {**past(earlier("2026-03-01", other(5))), "drop_control": ["setting.ignition_trials.default"]}),
    ("defaults-after-earlier-settings", "clear", {}, past(earlier("2026-03-01", other(15)))),
    ("defaults-after-earlier-settings", "does not apply", {}, past()),
    ("defaults-after-earlier-settings", "not checked", {}, {}),
    ("faults-grew-without-cause", "found", {**FAULTS, **point(on=DAY)}, {}),
    ("faults-grew-without-cause", "clear", {"counters.faults_now": 1, **point(on=DAY)}, {}),
    ("faults-grew-without-cause", "clear", {"counters.faults_now": 0, **point(on=DAY)}, {}),
    ("faults-grew-without-cause", "clear", {**FAULTS, **point(on=DAY), "visit.fault_cause": "blocked filter"}, {}),
    ("faults-grew-without-cause", "found", FAULTS, past(earlier("2026-03-01", {"heating_setpoint": 163}))),
    ("faults-grew-without-cause", "clear", FAULTS, past(earlier("2026-03-01", {"heating_setpoint": 164}))),
    # the newest state that has the setting counts
    ("faults-grew-without-cause", "clear", FAULTS, past(earlier("2025-03-01", {"heating_setpoint": 163}), earlier("2026-03-01", {"heating_setpoint": 164}), earlier("2026-04-01"))),
    ("faults-grew-without-cause", "clear", {**FAULTS, "settings": {"heating_setpoint": {"value": 164, "on": "2026-10-05"}}}, {}),
    ("faults-grew-without-cause", "not checked", FAULTS, {}),
    ("faults-grew-without-cause", "not checked", {}, {"drop": ["counters.faults_now"]}),
    ("faults-grew-without-cause", "not checked", {}, {"drop": ["counters.faults_before"]}),
    ("visit-copied", "found", {}, past(earlier("2026-03-01", facts={"visit.on": "2026-03-01", **COUNTERS}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts={"visit.on": "2026-03-01", **COUNTERS, "counters.starts": 3099}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts={"visit.on": "2026-03-01", **COUNTERS, "counters.burner_hours": 1499}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts={"visit.on": DAY, **COUNTERS}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts=COUNTERS))),
    ("visit-copied", "found", {}, past(earlier("2025-03-01", facts={"visit.on": "2025-03-01", **COUNTERS}), earlier("2026-03-01"))),
    ("visit-copied", "not checked", {}, {}),
    ("visit-copied", "not checked", {}, {"drop": ["counters.starts"], **past()}),
    ("visit-copied", "not checked", {}, {"drop": ["counters.burner_hours"], **past()}),
    ("visit-copied", "not checked", {}, {**NO_VISIT, **past()}),
    # 400 days before the check
    ("record-old", "clear", {"visit.on": "2025-10-21"}, {}),
    ("record-old", "found", {"visit.on": "2025-10-20"}, {}),
    ("record-old", "found", {"visit.on": "2026-10-05"}, {"context": Context(AS_OF, {"record_days": 50.0})}),
    ("record-old", "clear", {"visit.on": "2026-10-06"}, {"context": Context(AS_OF, {"record_days": 50.0})}),
    ("record-old", "not checked", {}, NO_VISIT),
    ("service-code-as-delivered", "found", {"visit.service_code_default": True}, {}),
    ("service-code-as-delivered", "clear", {}, {}),
    ("service-code-as-delivered", "not checked", {}, {"drop": ["visit.service_code_default"]}),
    ("serial-unlike-plate", "found", {"boiler.serial_on_plate": "K-2"}, {}),
    ("serial-unlike-plate", "clear", {"boiler.serial_on_plate": " k-1"}, {}),
    ("serial-unlike-plate", "clear", {"plant.serial": "k-1 "}, {}),
    ("serial-unlike-plate", "not checked", {}, {"drop": ["boiler.serial_on_plate"]}),
    ("serial-unlike-plate", "not checked", {}, {"drop": ["plant.serial"]}),
    ("control-revision-unknown", "found", {"plant.revision": "6"}, {}),
    ("control-revision-unknown", "clear", {"plant.revision": "4"}, {}),
    ("control-revision-unknown", "not checked", {}, {"drop": ["plant.revision"]}),
    ("control-revision-unknown", "not checked", {}, {"drop_control": ["control.revisions"]}),
    ("remote-writer-without-owner", "found", {"accessories.remote_writer": True}, {}),
    ("remote-writer-without-owner", "clear", {"accessories.remote_writer": True, "accessories.remote_writer_owner": "estates desk"}, {}),
    ("remote-writer-without-owner", "clear", {}, {}),
    ("remote-writer-without-owner", "not checked", {}, {"drop": ["accessories.remote_writer"]}),
    ("guessed-facts", "found", {"building.design_load": {"value": 88000, "from": "guessed"}}, {}),
    ("guessed-facts", "clear", {"building.design_load": {"value": 88000, "from": "owner said"}}, {}),
    ("guessed-facts", "clear", {}, {}),
    ("guessed-facts", "found", {"emitter.0.load": {"value": 88000, "from": "guessed"}}, {}),
    ("guessed-facts", "found", {"building.design_load": {"value": 26, "from": "guessed"}}, METRIC),
    # five years are 1,826.25 days
    ("facts-old", "clear", {"building.design_load": {"value": 88000, "on": "2021-11-25"}}, {}),
    ("facts-old", "found", {"building.design_load": {"value": 88000, "on": "2021-11-24"}}, {}),
    ("facts-old", "found", {"emitter.0.load": {"value": 88000, "on": "2021-11-24"}}, {}),
    ("facts-old", "clear", {}, {}),
    ("facts-old", "clear", {"building.design_load": {"value": 26, "on": "2021-11-24"}}, {"metric": True, "context": Context(AS_OF, {"fact_days": 2000.0})}),
    ("date-in-the-future", "clear", {"visit.on": "2026-11-25"}, {}),
    ("date-in-the-future", "found", {"visit.on": "2026-11-26"}, {}),
    ("date-in-the-future", "clear", point(on="2026-11-25"), {}),
    ("date-in-the-future", "found", point(on="2026-11-26"), {}),
    ("date-in-the-future", "not checked", {}, NO_VISIT),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


@pytest.mark.parametrize(
    "text",
    [
        "key safe code 4711 at the side door", "alarm code is 123", "Access code: 90210", "code is 1234",
        "the code = 456", "password winter2026", "PIN 1234", "passcode: 9999", "lockbox 815 by the gate",
        "call 0171 555 0199", "+44 171 555 0199", "(555) 010-0199", "555-010-0199", "mail a.lund@example.org",
    ],
)  # fmt: skip
def test_what_looks_like_a_secret(text: str) -> None:
    one = finding("secret-in-record", {"visit.why": text})
    assert one.at == "visit.why"
    assert text not in one.message
    assert one.certainty is Certainty.LIKELY


@pytest.mark.parametrize(
    "text",
    [
        "key with the caretaker", "fault code 140", "error code 1403 again", "size code 120", "fuel gas code 2018",
        "as agreed on 2026-10-06", "work order W-2026-000118", "high limit alarm at 190 F", "raised from 120 to 130",
        "building code 2021, section 403", "pin 12 of the plug", "serial 0012345678"[:-3], "see note 555-0199",
        "counter 31000 and 15000", "code of the size: middle", "2,000 ft", "code 4711",
    ],
)  # fmt: skip
def test_what_does_not_look_like_a_secret(text: str) -> None:
    assert ask("secret-in-record", {"visit.why": text}) == "clear"


SECRET: Final = "PIN 1234"


@pytest.mark.parametrize(
    ("changes", "at"),
    [
        ({"visit.by": SECRET}, "visit.by"),
        ({"visit.fault_cause": SECRET}, "visit.fault_cause"),
        (point(why=SECRET), "heating_setpoint"),
        (point(by=SECRET), "heating_setpoint"),
        (point(watched_by=SECRET), "heating_setpoint"),
        ({"accepted": [{"rule": "record-old", "because": SECRET}]}, "accepted[0]"),
        ({"accepted": [{"rule": "record-old"}, {"rule": "record-old", "by": SECRET}]}, "accepted[1]"),
    ],
)
def test_where_secrets_are_looked_for(changes: dict[str, Any], at: str) -> None:
    assert finding("secret-in-record", changes).at == at


def test_nine_digits_make_a_telephone_number() -> None:
    assert ask("secret-in-record", {"visit.why": "call 01 23 45 67"}) == "clear"
    assert ask("secret-in-record", {"visit.why": "call 01 23 45 678"}) == "found"


# what is said ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "value", "severity", "caution"),
    [
        ("maximum_fan_speed", 6000, Severity.DANGER, "firing"),
        ("operating_limit", 191, Severity.DANGER, "limit"),
        ("tank_setpoint", 146, Severity.DANGER, "scald"),
        ("hot_water_boiler_setpoint", 171, Severity.DANGER, "hygiene"),
        ("freeze_pump_on", 46, Severity.DAMAGE, "freeze"),
        ("pump_overrun", 5, Severity.WASTE, "pump"),
    ],
)
def test_a_wrong_record_is_as_bad_as_its_setting(name: str, value: float, severity: Severity, caution: str) -> None:
    kit = make_plant().profile.settings[name].typed
    assert kit is not None
    over = finding("temporary-change-overdue", setting(name, value, until="2026-11-01"))
    differs = finding("typed-differs-from-read-back", setting(name, value, read_back=value - 1))
    left, seen = earlier("2026-03-01", {name: value}), earlier(DAY, {name: value + 1}, kind="as found")
    changed = finding("as-found-differs", None, **past(left, seen))
    for one in (over, differs, changed):
        assert one.severity is severity
        assert caution in one.cautions
        assert one.at == name


@pytest.mark.parametrize(
    ("changes", "proposed"),
    [
        (setting("heating_setpoint", 170, until="2026-11-01", then=164), {"heating_setpoint": celsius(164)}),
        (setting("tank_setpoint", 150, until="2026-11-01", then=145), {"tank_setpoint": celsius(145)}),
    ],
)
def test_remedies(changes: dict[str, Any], proposed: dict[str, Value]) -> None:
    remedy = finding("temporary-change-overdue", changes).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert remedy.set == pytest.approx(proposed)


@pytest.mark.parametrize("name", ["maximum_fan_speed", "operating_limit"])
def test_a_temporary_value_of_firing_or_a_limit_is_put_back_by_hand(name: str) -> None:
    remedy = finding("temporary-change-overdue", setting(name, 201, until="2026-11-01", then=200)).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert remedy.text == (RESTORE_LIMIT if name == "operating_limit" else RESTORE_FIRING)


def test_what_a_temporary_value_says() -> None:
    one = finding(
        "temporary-change-overdue", setting("heating_setpoint", 170, until="2026-11-05", watched_by="R. Holm")
    )
    assert one.message == (
        "170 F was to end on 2026-11-05, 20 days ago, and return to a value that nobody wrote down; watched by R. Holm"
    )
    assert one.remedy is not None
    assert one.remedy.set == {}
    plain = finding("temporary-change-overdue", setting("heating_setpoint", 170, until="2026-11-24", then=164))
    assert plain.message.endswith("return to 164 F")
    assert plain.numbers["days over"].value == 1.0
    soon = finding("temporary-change-ends-soon", point(on="2026-11-05", until="2026-11-29"))
    assert soon.numbers["days left"].value == 4.0
    lacks = finding("temporary-change-without-return", point(until="2026-12-20"))
    assert lacks.message == "temporary until 2026-12-20, without a value to return to and somebody who watches"


def test_what_was_not_read_back_is_named_up_to_four() -> None:
    one = finding("not-read-back", {"visit.read_back": False})
    count = int(one.numbers["settings"].value)
    assert one.message.endswith(f" and {count - 4} more")
    assert one.message.count(",") == 3
    four = {
        name: {"value": 8, "on": "2026-10-07"}
        for name in ("pre_purge", "post_purge", "ignition_trials", "resets_per_hour")
    }
    exact = finding("not-read-back", {"settings": four})
    assert (
        exact.message == "typed and not read back: pre-purge, post-purge, trials for ignition, lockout resets an hour"
    )


def test_what_explains_a_difference_is_said() -> None:
    bound = {"setting.heating_setpoint.range": {"low": 80, "high": 160, "outside": "moved to the end"}}
    explained = finding("typed-differs-from-read-back", point(read_back=160), control=bound)
    assert "The range is 80 to 160 F" in explained.message
    other_ = finding("typed-differs-from-read-back", point(read_back=159), control=bound)
    assert other_.message == "asked for 164 F, read back 159 F; the control file does not explain it"
    fan = {"setting.maximum_fan_speed.range": {"low": 1000, "high": 5800, "outside": "moved to the end"},
           "setting.maximum_fan_speed.default": 5800}  # fmt: skip
    firing = finding("typed-differs-from-read-back", setting("maximum_fan_speed", 6000, read_back=5800), control=fan)
    assert firing.message == "asked for 6,000 rpm, read back 5,800 rpm; the control file explains it (range)"
    assert "1,000" not in firing.message


def test_what_is_provisional_is_said_without_the_makers_figure() -> None:
    off: dict[str, Any] = {"plant.first_fired": False}
    firing = finding("provisional-before-first-firing", off, **AT_MOST)
    assert "4,000" not in firing.message
    assert "firing" in firing.cautions
    control = {"setting.heating_setpoint.treatments": [{"does": "at most until first firing", "amount": 140}]}
    heating = finding("provisional-before-first-firing", off, control=control)
    assert "140 F" in heating.message


def test_how_many_stand_at_their_defaults() -> None:
    one = finding("all-at-defaults", defaults(10, 1))
    assert (one.numbers["at default"].value, one.numbers["recorded"].value) == (10.0, 11.0)
    assert one.message.startswith("10 of 11 settings stand at their defaults")
    assert one.at == "ignition_fan_speed"
    fell = finding("defaults-after-earlier-settings", defaults(10, 0), **past(earlier("2026-03-01", other(7))))
    assert fell.numbers["fell to default"].value == 7.0
    assert fell.at == "ignition_fan_speed"
    assert fell.severity is Severity.DANGER


def test_as_found_is_told_with_both_values_and_dates() -> None:
    states = past(
        earlier("2026-03-01", {"heating_setpoint": 160}), earlier(DAY, {"heating_setpoint": 180}, kind="as found")
    )
    assert finding("as-found-differs", None, **states).message == (
        "left at 160 F on 2026-03-01, found at 180 F on 2026-10-06, and nobody says why"
    )


def test_facts_are_named_up_to_five() -> None:
    names = ["design_load", "balance_point", "indoor_design", "cooldown_time_constant", "setback_warm_up", "mass"]
    values = make_plant().profile.facts
    guessed = {f"building.{name}": {"value": "light" if name == "mass" else 50, "from": "guessed"} for name in names}
    assert all(name in values for name in guessed)
    assert finding("guessed-facts", guessed).message.endswith(" and 1 more")
    del guessed["building.mass"]
    five = finding("guessed-facts", guessed)
    assert "more" not in five.message
    assert five.numbers["guessed"].value == 5.0
    old = {name: {"value": 50, "on": "2020-01-01"} for name in guessed}
    assert finding("facts-old", old).numbers["old"].value == 5.0


def test_a_visit_is_asked_for_where_values_are_marked_as_read_back() -> None:
    one = finding("reading-marked-left-without-visit", point(read_back=164, on="2026-10-07"))
    assert "the last visit recorded is of 2026-10-06" in one.message
    none = finding("reading-marked-left-without-visit", point(read_back=164), drop=["visit.on"])
    assert "no visit is recorded" in none.message
    assert none.at == "heating_setpoint"
    assert none.numbers["settings"].value == 2.0


def test_more_than_one_setting_is_told() -> None:
    changes = {
        "visit.role": "caretaker",
        **setting("maximum_fan_speed", 6000, on=DAY),
        **setting("high_limit", 207, on=DAY),
    }
    result = audit(make_plant(changes), [rule_named("role-not-entitled")])
    assert [one.at for one in result.findings] == ["maximum_fan_speed", "high_limit"]
    assert [lack.needs for lack in result.not_checked] == [("history",)]
    seen = {
        "settings.pre_purge": {"left": "default", "value": 16},
        "settings.post_purge": {"left": "default", "value": 20},
    }
    plant = make_plant(seen, drop_control=["setting.post_purge.default"])
    both = audit(plant, [rule_named("default-seen-differs")])
    assert [one.at for one in both.findings] == ["pre_purge"]
    assert [lack.needs for lack in both.not_checked] == [("post_purge",)]


def test_faults_are_counted() -> None:
    one = finding("faults-grew-without-cause", {"counters.faults_now": 4, **point(on=DAY)})
    assert one.numbers["more faults"].value == 3.0
    assert one.message.startswith("3 more faults than before, heating set point changed")


def test_where_nothing_of_firing_is_recorded_the_first_setting_of_it_is_asked_for() -> None:
    plant = make_plant({"visit.role": "caretaker", "settings": {"heating_setpoint": 164}}, past=past()["past"])
    assert audit(plant, [rule_named("role-not-entitled")]).not_checked[0].needs == ("fuel_setting",)


@pytest.mark.parametrize(
    ("typed", "read_back", "said"),
    [
        (160.5, 160, "asked for 160.5 F, read back 160 F"),
        (160.25, 160.5, "asked for 160.25 F, read back 160.5 F"),
        (164, 163, "asked for 164 F, read back 163 F"),
    ],
)
def test_rounding_does_not_hide_what_differs(typed: float, read_back: float, said: str) -> None:
    assert (
        said in finding("typed-differs-from-read-back", setting("heating_setpoint", typed, read_back=read_back)).message
    )
