"""What the tests of the record rules share."""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.rules.base import Finding, Severity

CLASSES: Final = pytest.mark.parametrize(
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
"""Settings of every class, a value, and how bad and with which caution a wrong record of it is."""


def as_bad_as_its_setting(one: Finding, name: str, severity: Severity, caution: str) -> None:
    """A wrong record of a setting is as bad as the setting."""
    assert (one.severity, one.at) == (severity, name)
    assert caution in one.cautions


NO_VISIT: Final = {"drop": ["visit.on"]}
DAY: Final = "2026-10-06"


def setting(name: str, value: Any, **more: Any) -> dict[str, Any]:
    """One setting as a table."""
    return {f"settings.{name}": {"value": value, **more}}


def point(**more: Any) -> dict[str, Any]:
    return setting("heating_setpoint", 164, **more)
