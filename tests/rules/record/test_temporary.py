# ruff: noqa: E501
"""Temporary values at their boundaries. Common practice, no source.

Dates count from the check on 2026-11-25 and from the visit on 2026-10-06.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.rules.base import RESTORE_FIRING, RESTORE_LIMIT, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.kit import AS_OF, METRIC, finding
from tests.rules.record.givens import CLASSES, NO_VISIT, as_bad_as_its_setting, point, setting
from tests.rules.tables import Cases, boundaries, remedies, remedy_of

AT_MOST: Final[dict[str, Any]] = {
    "control": {"setting.maximum_fan_speed.treatments": [{"does": "at most until first firing", "amount": 4000}]}
}

CASES: Final[Cases] = [
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
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("temporary-change-overdue", setting("heating_setpoint", 170, until="2026-11-01", then=164), {},
     {"heating_setpoint": celsius(164)}),
    ("temporary-change-overdue", setting("tank_setpoint", 150, until="2026-11-01", then=145), {},
     {"tank_setpoint": celsius(145)}),
])  # fmt: skip


@pytest.mark.parametrize("name", ["maximum_fan_speed", "operating_limit"])
def test_a_temporary_value_of_firing_or_a_limit_is_put_back_by_hand(name: str) -> None:
    remedy = remedy_of("temporary-change-overdue", setting(name, 201, until="2026-11-01", then=200))
    assert remedy.set == {}
    assert remedy.text == (RESTORE_LIMIT if name == "operating_limit" else RESTORE_FIRING)


def test_what_a_temporary_value_says() -> None:
    one = finding(
        "temporary-change-overdue", setting("heating_setpoint", 170, until="2026-11-05", watched_by="R. Holm")
    )
    assert one.message == "heating set point 170 F was to end on 2026-11-05, 20 days ago (watched by R. Holm)"
    assert one.remedy is not None
    assert one.remedy.set == {}
    plain = finding("temporary-change-overdue", setting("heating_setpoint", 170, until="2026-11-24", then=164))
    assert plain.message.endswith("2026-11-24, 1 day ago")
    assert plain.remedy is not None and plain.remedy.text.startswith("set it back to 164 F")
    assert plain.numbers["days over"].value == 1.0
    soon = finding("temporary-change-ends-soon", point(on="2026-11-05", until="2026-11-29"))
    assert soon.numbers["days left"].value == 4.0
    lacks = finding("temporary-change-without-return", point(until="2026-12-20"))
    assert lacks.message == "heating set point temporary until 2026-12-20: no value to return to, nobody watches it"


def test_what_is_provisional_is_said_without_the_makers_figure() -> None:
    off: dict[str, Any] = {"plant.first_fired": False}
    firing = finding("provisional-before-first-firing", off, **AT_MOST)
    assert "4,000" not in firing.message
    assert "firing" in firing.cautions
    control = {"setting.heating_setpoint.treatments": [{"does": "at most until first firing", "amount": 140}]}
    heating = finding("provisional-before-first-firing", off, control=control)
    assert "140 F" in heating.message


@CLASSES
def test_a_wrong_record_is_as_bad_as_its_setting(name: str, value: float, severity: Severity, caution: str) -> None:
    one = finding("temporary-change-overdue", setting(name, value, until="2026-11-01"))
    as_bad_as_its_setting(one, name, severity, caution)
