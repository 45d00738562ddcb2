# ruff: noqa: E501
"""A record beside earlier ones and beside the defaults, at its boundaries. Common practice, no source.

Dates count from the check on 2026-11-25 and from the visit on 2026-10-06. The kit's control states 22 defaults.
"""

from __future__ import annotations

from typing import Any, Final

from settingslint.rules.base import Severity
from settingslint.rules.plant import Context
from tests.rules.earlier import earlier, past
from tests.rules.kit import AS_OF, DEFAULTS, finding
from tests.rules.record.givens import CLASSES, DAY, NO_VISIT, as_bad_as_its_setting, point
from tests.rules.tables import Cases, boundaries, lacking

FAULTS: Final = {"counters.faults_now": 2}
COUNTERS: Final = {"counters.starts": 3100, "counters.burner_hours": 1500}


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


CASES: Final[Cases] = [
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
    ("as-found-differs", "found", {}, past(earlier("2026-03-01", {"heating_setpoint": 163}), earlier(DAY, {"heating_setpoint": 165}, kind="as found"))),
    ("as-found-differs", "clear", {}, past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 165}, kind="as found"))),
    ("as-found-differs", "clear", {}, past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 164}, kind="as found"))),
    ("as-found-differs", "clear", {}, past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"pump_overrun": 4}, kind="as found"))),
    ("as-found-differs", "clear", point(why="tenant was cold"), past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 165}, kind="as found"))),
    ("as-found-differs", "found", {}, {**past(earlier("2026-03-01", {"heating_setpoint": 164}), earlier(DAY, {"heating_setpoint": 165}, kind="as found")), "drop": ["settings.heating_setpoint"]}),
    # the newest of two, and what a visit left afterwards does not hide it
    ("as-found-differs", "clear", {}, past(earlier("2025-03-01", {"pump_overrun": 4}), earlier("2025-09-01", {"pump_overrun": 5}, kind="as found"), earlier("2026-03-01", {"pump_overrun": 5}), earlier(DAY, {"pump_overrun": 5}, kind="as found"))),
    ("as-found-differs", "clear", {}, past(earlier("2026-03-01", {"pump_overrun": 5}), earlier(DAY, {"pump_overrun": 6}, kind="as found"), earlier(DAY, {"pump_overrun": 5}))),
    ("as-found-differs", "found", {}, past(earlier("2026-03-01", {"pump_overrun": 5}), earlier(DAY, {"pump_overrun": 6}, kind="as found"), earlier(DAY, {"pump_overrun": 6}), earlier(DAY, {"pump_overrun": 6}, kind="as found"))),
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
    *lacking("faults-grew-without-cause", {}, "counters.faults_now", "counters.faults_before"),
    ("visit-copied", "found", {}, past(earlier("2026-03-01", facts={"visit.on": "2026-03-01", **COUNTERS}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts={"visit.on": "2026-03-01", **COUNTERS, "counters.starts": 3099}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts={"visit.on": "2026-03-01", **COUNTERS, "counters.burner_hours": 1499}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts={"visit.on": DAY, **COUNTERS}))),
    ("visit-copied", "clear", {}, past(earlier("2026-03-01", facts=COUNTERS))),
    ("visit-copied", "found", {}, past(earlier("2025-03-01", facts={"visit.on": "2025-03-01", **COUNTERS}), earlier("2026-03-01"))),
    ("visit-copied", "not checked", {}, {}),
    *lacking("visit-copied", {}, "counters.starts", "counters.burner_hours", **past()),
    ("visit-copied", "not checked", {}, {**NO_VISIT, **past()}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_how_many_stand_at_their_defaults() -> None:
    one = finding("all-at-defaults", defaults(10, 1))
    assert (one.numbers["at default"].value, one.numbers["recorded"].value) == (10.0, 11.0)
    assert one.message.startswith("10 of 11 settings are at default")
    assert one.at == "ignition_fan_speed"
    fell = finding("defaults-after-earlier-settings", defaults(10, 0), **past(earlier("2026-03-01", other(7))))
    assert fell.numbers["fell to default"].value == 7.0
    assert fell.at == "ignition_fan_speed"
    assert fell.severity is Severity.DANGER


def test_as_found_is_told_with_both_values_and_the_date() -> None:
    states = past(
        earlier("2026-03-01", {"heating_setpoint": 160}), earlier(DAY, {"heating_setpoint": 180}, kind="as found")
    )
    assert finding("as-found-differs", None, **states).message == (
        "heating set point left at 160 F, found at 180 F on 2026-10-06, no reason recorded"
    )


def test_faults_are_counted() -> None:
    one = finding("faults-grew-without-cause", {"counters.faults_now": 4, **point(on=DAY)})
    assert one.numbers["more faults"].value == 3.0
    assert one.message.startswith("3 more in the fault history, heating set point changed")


@CLASSES
def test_a_wrong_record_is_as_bad_as_its_setting(name: str, value: float, severity: Severity, caution: str) -> None:
    left, seen = earlier("2026-03-01", {name: value}), earlier(DAY, {name: value + 1}, kind="as found")
    as_bad_as_its_setting(finding("as-found-differs", None, **past(left, seen)), name, severity, caution)
