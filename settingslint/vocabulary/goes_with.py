"""With what a setting goes: where the facts are others, it is rightly recorded as not applicable."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS

Needs = Mapping[str, tuple[str | bool, ...]]
"""Facts or settings with the values that one of them must have."""

_TANK: Final[Needs] = {"hot_water.kind": ("tank",)}
_SENSED: Final[Needs] = {
    "hot_water.kind": ("tank",),
    "hot_water_method": ("tank sensor",),
}
_HEATED_UP: Final[Needs] = {"hot_water.kind": ("tank",), "hygiene_cycle": (True,)}
_PROTECTED: Final[Needs] = {"freeze_protection": (True,)}
_WRITER: Final[Needs] = {"accessories.remote_writer": (True,)}
_PLATE: Final[Needs] = {"hot_water.kind": ("plate",)}
_STORED: Final[Needs] = {"hot_water.kind": ("tank", "plate")}
_RESET: Final[Needs] = {"reset": (True,)}
_OUTDOORS: Final[Needs] = {"accessories.outdoor_sensor": (True,)}
_SEVERAL: Final[Needs] = {"cascade_role": ("leader", "follower")}
_LEADER: Final[Needs] = {"cascade_role": ("leader",)}
_SIGNAL: Final[Needs] = {"external_signal": ("temperature", "firing rate")}

GOES_WITH: Final[Mapping[str, Needs]] = {
    **dict.fromkeys(("tank_setpoint", "tank_differential"), _SENSED),
    **dict.fromkeys(("tank_high_limit", "hot_water_schedule", "hot_water_reduced", "hygiene_cycle"), _TANK),
    **dict.fromkeys(("hygiene_target", "hygiene_time_limit"), _HEATED_UP),
    **dict.fromkeys(("outlet_setpoint", "keep_warm"), _PLATE),
    **dict.fromkeys(
        ("hot_water_method", "hot_water_boiler_setpoint", "hot_water_maximum_rate", "hot_water_overrun",
         "hot_water_priority"), _STORED,
    ),
    "priority_time_limit": {**_STORED, "hot_water_priority": (True,)},
    "recirculation": {"hot_water.circulation_loop": (True,)},
    "recirculation_off_hours": {"recirculation": ("scheduled",)},
    **dict.fromkeys(
        ("reset_endpoint", "reset_hot_supply", "reset_cold_outdoor", "reset_cool_supply", "reset_warm_outdoor",
         "reset_slope", "reset_shift", "minimum_supply"), _RESET,
    ),
    **dict.fromkeys(
        ("warm_weather_shutdown", "outdoor_correction", "outdoor_averaging", "outdoor_sensor_loss",
         "freeze_outdoor_start"), _OUTDOORS,
    ),
    **dict.fromkeys(("freeze_pump_on", "freeze_burner_on"), _PROTECTED),
    "minimum_return": {"boiler.condensing": (False,)},
    "room_influence": {"accessories.room_unit": (True,)},
    "holiday_room": {"operating_mode": ("holiday",)},
    "service_mode_limit": {"service_mode": (True,)},
    **dict.fromkeys(("cascade_address", "leader_loss"), _SEVERAL),
    **dict.fromkeys(("stage_order", "stage_on_rate", "stage_off_rate", "stage_on_delay", "rotation_interval"), _LEADER),
    **dict.fromkeys(("external_low", "external_high", "external_loss"), _SIGNAL),
    **dict.fromkeys(("remote_writing", "remote_reset"), _WRITER),
}  # fmt: skip
"""By setting, the facts and settings with the values at which a boiler has a use for it; no row: always."""

assert GOES_WITH.keys() <= SETTINGS.keys()
assert all(name in SETTINGS or name in FACTS for row in GOES_WITH.values() for name in row)
