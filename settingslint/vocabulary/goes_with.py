"""With what a setting goes: where the facts are others, it is rightly recorded as not applicable."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS

With = Mapping[str, tuple[str | bool, ...]]

_TANK: Final[With] = {"hot_water.kind": ("tank",)}
_SENSED: Final[With] = {"hot_water.kind": ("tank",), "hot_water_method": ("tank sensor",)}
_HEATED_UP: Final[With] = {"hot_water.kind": ("tank",), "hygiene_cycle": (True,)}
_PROTECTED: Final[With] = {"freeze_protection": (True,)}
_WRITER: Final[With] = {"accessories.remote_writer": (True,)}
_PLATE: Final[With] = {"hot_water.kind": ("plate",)}
_STORED: Final[With] = {"hot_water.kind": ("tank", "plate")}
_RESET: Final[With] = {"reset": (True,)}
_OUTDOORS: Final[With] = {"accessories.outdoor_sensor": (True,)}
_SEVERAL: Final[With] = {"cascade_role": ("leader", "follower")}
_LEADER: Final[With] = {"cascade_role": ("leader",)}
_SIGNAL: Final[With] = {"external_signal": ("temperature", "firing rate")}

GOES_WITH: Final[Mapping[str, With]] = {
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
