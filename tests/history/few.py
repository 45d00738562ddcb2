"""Changes of a few settings of many classes, as a visit makes them, to measure what a note of them takes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from settingslint.history.notes import Notes, notes
from settingslint.history.repository import Repository
from tests.history.kit import started

VALUES: Final[dict[str, Any]] = {
    "maximum_fan_speed": 6000, "minimum_fan_speed": 1700, "heating_maximum_rate": 70, "tank_setpoint": 130,
    "tank_differential": 12, "hygiene_cycle": True, "freeze_protection": False, "high_limit": 200,
    "heating_setpoint": 150, "minimum_supply": 120, "warm_weather_shutdown": 60, "priority_time_limit": 20,
    "boiler_pump_mode": "continuous", "keep_warm": 3,
}  # fmt: skip
"""A value unlike the kit's for settings of every class that can hurt somebody or something."""
VISIT: Final = {
    "visit.on": "2026-11-02", "visit.by": "R. Holm", "visit.kind": "fault", "visit.role": "heating technician",
    "visit.why": "trips at night, tenants without heat",
}  # fmt: skip
THREE: Final = (
    ("minimum_supply", "high_limit", "tank_differential"), ("tank_setpoint", "heating_setpoint", "priority_time_limit"),
    ("heating_maximum_rate", "high_limit", "freeze_protection"), ("maximum_fan_speed", "tank_setpoint", "keep_warm"),
    ("boiler_pump_mode", "tank_differential", "heating_setpoint"), ("hygiene_cycle", "high_limit", "keep_warm"),
)  # fmt: skip
FIVE: Final = (
    ("high_limit", "heating_maximum_rate", "keep_warm", "tank_setpoint", "freeze_protection"),
    ("warm_weather_shutdown", "boiler_pump_mode", "heating_setpoint", "tank_differential", "heating_maximum_rate"),
    ("freeze_protection", "hygiene_cycle", "maximum_fan_speed", "heating_setpoint", "priority_time_limit"),
    ("minimum_fan_speed", "high_limit", "maximum_fan_speed", "freeze_protection", "minimum_supply"),
)  # fmt: skip


def changed(folder: Path, names: Sequence[str]) -> Notes:
    """Return the note of a visit that changes some settings at once."""
    work = started(folder)
    work.profile(changes={**{f"settings.{name}": VALUES[name] for name in names}, **VISIT})
    work.commit("Set after the night's trips")
    with Repository(work.folder) as repository:
        return notes(repository, work.folder)
