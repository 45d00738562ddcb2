# ruff: noqa: E501
"""When the pumps run, at its boundaries. Thresholds are common practice, no source."""

from __future__ import annotations

from typing import Any, Final

from settingslint.checking.audit import audit
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from tests.rules.kit import AS_OF, METRIC, RADIATOR, ask, finding, make_plant
from tests.rules.tables import Cases, Declared, boundaries, declared, edge, lacking, remedies, unable

LOW_MASS: Final = {"boiler.heat_exchanger": "low mass"}
ZONES: Final = {"piping.topology": "direct", "piping.zone_valves": True, "piping.bypass": False}
STILL: Final = {"settings.pump_exercise": False}
ALWAYS: Final = {"settings.system_pump_mode": "continuous"}
COIL: Final = {"emitter": [{**RADIATOR, "kind": "air coil"}]}
POOL: Final = {"emitter": [RADIATOR, {"kind": "pool"}]}
NO_PURGE: Final[dict[str, Any]] = {"drop": ["settings.purge_program"], "drop_control": ["setting.purge_program"]}
NO_DRYING: Final[dict[str, Any]] = {"drop": ["settings.floor_drying"], "drop_control": ["setting.floor_drying"]}


def piped(topology: str, mode: str) -> dict[str, Any]:
    return {"piping.topology": topology, "settings.boiler_pump_mode": mode}


CASES: Final[Cases] = [
    *edge("pump-overrun-too-short", LOW_MASS, "settings.pump_overrun", 1, 0.98),
    ("pump-overrun-too-short", "found", {**LOW_MASS, "settings.pump_overrun": 0}, {}),
    ("pump-overrun-too-short", "does not apply", {"settings.pump_overrun": 0}, {}),
    ("pump-overrun-too-short", "not checked", LOW_MASS, {"drop": ["settings.pump_overrun"]}),
    ("pump-overrun-too-short", "not checked", {"settings.pump_overrun": 0}, {"drop": ["boiler.heat_exchanger"]}),
    *edge("pump-overrun-too-short", LOW_MASS, "settings.pump_overrun", 1, 0.98, **METRIC),
    *edge("pump-overrun-into-closed-valves", ZONES, "settings.pump_overrun", 0, 0.01),
    ("pump-overrun-into-closed-valves", "clear", {**ZONES, "piping.bypass": True}, {}),
    ("pump-overrun-into-closed-valves", "does not apply", {**ZONES, "piping.zone_valves": False}, {}),
    ("pump-overrun-into-closed-valves", "does not apply", {**ZONES, "piping.topology": "primary-secondary"}, {}),
    ("pump-overrun-into-closed-valves", "not checked", ZONES, {"drop": ["settings.pump_overrun"]}),
    ("pump-overrun-into-closed-valves", "not checked", {"piping.topology": "direct", "piping.zone_valves": True}, {"drop": ["piping.bypass"]}),
    ("pump-overrun-into-closed-valves", "not checked", {"piping.topology": "direct", "piping.bypass": False}, {"drop": ["piping.zone_valves"]}),
    ("pump-overrun-into-closed-valves", "not checked", {"piping.zone_valves": True, "piping.bypass": False}, {"drop": ["piping.topology"]}),
    *[("pump-mode-unlike-piping", "clear", piped(topology, mode), {})
      for topology in ("primary-secondary", "separator", "buffer") for mode in ("with burner", "with call", "continuous")],
    *[("pump-mode-unlike-piping", "clear", piped(topology, mode), {})
      for topology in ("direct", "series") for mode in ("with call", "continuous")],
    *[("pump-mode-unlike-piping", "found", piped(topology, "with burner"), {}) for topology in ("direct", "series")],
    *[("pump-mode-unlike-piping", "found", piped(topology, "off"), {})
      for topology in ("direct", "series", "primary-secondary", "separator", "buffer")],
    ("pump-mode-unlike-piping", "not checked", {"settings.boiler_pump_mode": "off"}, {"drop": ["piping.topology"]}),
    ("pump-mode-unlike-piping", "not checked", {}, {"drop": ["settings.boiler_pump_mode"]}),
    *edge("pump-exercise-off", STILL, "counters.idle_months", 3, 4),
    ("pump-exercise-off", "clear", {"counters.idle_months": 9}, {}),
    ("pump-exercise-off", "clear", {}, {"drop": ["counters.idle_months"]}),
    ("pump-exercise-off", "not checked", STILL, {"drop": ["counters.idle_months"]}),
    ("pump-exercise-off", "not checked", {}, {"drop": ["settings.pump_exercise"]}),
    ("program-left-running", "found", {"settings.purge_program": True}, {}),
    ("program-left-running", "found", {"settings.floor_drying": True}, {}),
    ("program-left-running", "clear", {}, {}),
    *lacking("program-left-running", {}, "settings.purge_program", "settings.floor_drying"),
    ("program-left-running", "found", {"settings.floor_drying": True}, {"drop": ["settings.purge_program"]}),
    ("program-left-running", "found", {"settings.floor_drying": True}, NO_PURGE),
    ("program-left-running", "found", {"settings.purge_program": True}, NO_DRYING),
    ("program-left-running", "clear", {}, NO_DRYING),
    ("program-left-running", "does not apply", {}, {key: [*NO_PURGE[key], *NO_DRYING[key]] for key in NO_PURGE}),
    ("program-left-running", "not checked", {}, {**NO_DRYING, "control": {"control.complete": False}}),
    ("shutdown-stops-a-shared-pump", "found", {**ALWAYS, **POOL}, {}),
    ("shutdown-stops-a-shared-pump", "found", {**ALWAYS, **COIL}, {}),
    ("shutdown-stops-a-shared-pump", "clear", ALWAYS, {}),
    ("shutdown-stops-a-shared-pump", "does not apply", POOL, {}),
    ("shutdown-stops-a-shared-pump", "does not apply", {**POOL, "settings.system_pump_mode": "external"}, {}),
    ("shutdown-stops-a-shared-pump", "does not apply", {**ALWAYS, **POOL, "settings.warm_weather_shutdown": "off"}, {}),
    ("shutdown-stops-a-shared-pump", "not checked", ALWAYS, {"drop": ["emitter"]}),
    ("shutdown-stops-a-shared-pump", "not checked", POOL, {"drop": ["settings.system_pump_mode"]}),
    ("shutdown-stops-a-shared-pump", "not checked", {**ALWAYS, **POOL}, {"drop": ["settings.warm_weather_shutdown"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("pump-overrun-too-short", {**LOW_MASS, "settings.pump_overrun": 0}, {}, {"pump_overrun": 300.0}),
    ("pump-overrun-too-short", {**LOW_MASS, "settings.pump_overrun": 0},
     {"control": {"setting.pump_overrun.step": 1}}, {"pump_overrun": 60.0}),
    ("pump-exercise-off", {**STILL, "counters.idle_months": 5}, {}, {"pump_exercise": True}),
    ("program-left-running", {"settings.purge_program": True}, {}, {"purge_program": False}),
    ("program-left-running", {"settings.floor_drying": True}, {}, {"floor_drying": False}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("pump-overrun-too-short", {**LOW_MASS, "settings.pump_overrun": 0},
     {"setting.pump_overrun.range": {"low": 0, "high": 0.5}, "setting.pump_overrun.default": 0}, "can't"),
])  # fmt: skip
DECLARED: Final[Declared] = [
    ("pump-overrun-too-short", Severity.DAMAGE, Certainty.LIKELY, {"pump", "limit"}),
    ("pump-overrun-into-closed-valves", Severity.WASTE, Certainty.ASK, {"pump"}),
    ("pump-mode-unlike-piping", Severity.OUTAGE, Certainty.ASK, {"pump", "electric"}),
    ("pump-exercise-off", Severity.OUTAGE, Certainty.PROVEN, {"pump"}),
    ("program-left-running", Severity.OUTAGE, Certainty.PROVEN, {"heating", "pump"}),
    ("shutdown-stops-a-shared-pump", Severity.OUTAGE, Certainty.LIKELY, {"pump"}),
]  # fmt: skip
test_how_bad_and_how_sure = declared(DECLARED)


def test_both_programs_are_found_one_by_one() -> None:
    plant = make_plant({"settings.purge_program": True, "settings.floor_drying": True})
    running = [one for one in audit(plant, by_group()["pumps"]).findings if one.rule == "program-left-running"]
    assert {one.at: one.message for one in running} == {
        "purge_program": "air purge program is still on",
        "floor_drying": "floor drying program is still on",
    }


def test_a_long_overrun_is_no_finding_on_a_heavy_exchanger() -> None:
    plant = make_plant({"settings.pump_overrun": 10})
    assert audit(plant, by_group()["pumps"]).findings == ()


def test_what_is_said_carries_its_numbers() -> None:
    one = finding("pump-overrun-too-short", {**LOW_MASS, "settings.pump_overrun": 0.5})
    assert "runs on 30 s" in one.message
    assert one.numbers["overrun"].value == 30
    idle = finding("pump-exercise-off", {**STILL, "counters.idle_months": 5})
    assert "5 months" in idle.message
    pool = finding("shutdown-stops-a-shared-pump", {**ALWAYS, **POOL})
    assert "above 63 F outdoors, but the pool" in pool.message
    piping = finding("pump-mode-unlike-piping", piped("direct", "with burner"))
    assert piping.headline == "boiler pump mode with burner does not match direct piping"
    assert piping.remedy is not None
    assert piping.remedy.text == "check the piping, then set one of: with call, continuous"


def test_an_owner_can_set_the_numbers_of_habit() -> None:
    owner = Context(AS_OF, thresholds={"pump_idle_months": 6.0})
    assert ask("pump-exercise-off", {**STILL, "counters.idle_months": 6}, context=owner) == "clear"
