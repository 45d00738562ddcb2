"""What settings can plausibly be where nobody recorded them: see `plausible.py`.

A setting that is not recorded may be at the control's default, which is then its usual value, and lies within the
control's range. Nothing of firing and limits has a row, nothing that decides about scalding or hygiene has a usual
value, and neither has freeze protection.
"""

from __future__ import annotations

from typing import Final

from settingslint.vocabulary.plausible import Choice, Span
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import COMMON_PRACTICE

ASKED: Final = "asked: there is no usual one"
PLACE: Final = "asked: a wrong guess lets something freeze or break"
PEOPLE: Final = "asked: a wrong guess endangers people"
MILDEST: Final = "off where nobody set it: common practice, no source"
SCREED: Final = "a heated floor takes 85 to 120 F: common practice, no source"

FLOOR: Final = {"emitter[0].kind": ("heated floor",)}
TANK: Final = {"hot_water.kind": ("tank",)}
PLATE: Final = {"hot_water.kind": ("plate",)}

# fmt: off
ROWS: Final[tuple[Span | Choice, ...]] = (
    # heating
    Choice("heating_enabled", True, COMMON_PRACTICE, among=(True,)),
    Choice("operating_mode", "normal", COMMON_PRACTICE, among=("normal",)),
    Span("heating_setpoint", 95, 110, 125, SCREED, FLOOR),
    Span("heating_setpoint", 140, 165, 180, COMMON_PRACTICE),
    Span("heating_differential", 5, 15, 30, COMMON_PRACTICE),
    Span("heating_overshoot", 0, 5, 10, COMMON_PRACTICE),
    Choice("minimum_supply", OFF, MILDEST, among=(OFF,)),
    Choice("maximum_supply", OFF, MILDEST, among=(OFF,)),
    Choice("control_sensor", "supply", COMMON_PRACTICE),
    Choice("night_setback", OFF, MILDEST, among=(OFF,)),
    Span("night_setback_hours", 6, 8, 10, COMMON_PRACTICE),
    Choice("room_influence", OFF, MILDEST, among=(OFF,)),
    Choice("boost_step", OFF, MILDEST, among=(OFF,)),
    Span("boost_interval", 20, 30, 60, COMMON_PRACTICE),
    # reset
    Choice("reset", True, COMMON_PRACTICE, {"accessories.outdoor_sensor": (True,)}),
    Choice("reset", False, COMMON_PRACTICE, {"accessories.outdoor_sensor": (False,)}),
    Choice("reset", None, ASKED),
    Span("reset_endpoint", 70, 75, 85, COMMON_PRACTICE),
    Span("reset_hot_supply", -20, 0, 0, COMMON_PRACTICE, of="heating_setpoint"),
    Span("reset_cold_outdoor", -10, 0, 10, COMMON_PRACTICE, of="site.design_outdoor"),
    Span("reset_cool_supply", 70, 80, 95, SCREED, FLOOR),
    Span("reset_cool_supply", 85, 100, 120, COMMON_PRACTICE),
    Span("reset_warm_outdoor", 60, 65, 70, COMMON_PRACTICE),
    Span("reset_slope", 0.3, 0.5, 0.8, COMMON_PRACTICE, FLOOR),
    Span("reset_slope", 0.9, 1.3, 1.8, COMMON_PRACTICE),
    Span("reset_shift", -5, 0, 10, COMMON_PRACTICE),
    Span("warm_weather_shutdown", 60, 65, 70, COMMON_PRACTICE),
    Span("outdoor_correction", -2, 0, 2, COMMON_PRACTICE),
    Span("outdoor_averaging", 0, 3, 12, COMMON_PRACTICE),
    Choice("outdoor_sensor_loss", None, PLACE),
    # hot water
    Choice("hot_water_method", "tank sensor", COMMON_PRACTICE, TANK, ("tank sensor", "tank thermostat")),
    Choice("hot_water_method", "plate", COMMON_PRACTICE, PLATE, ("plate",)),
    Choice("hot_water_method", "none", COMMON_PRACTICE, {"hot_water.kind": ("none", "separate")}, ("none", "separate")),
    Choice("hot_water_method", None, ASKED),
    Span("hot_water_boiler_setpoint", 20, 35, 50, COMMON_PRACTICE, TANK, "tank_setpoint"),
    Span("hot_water_boiler_setpoint", 140, 155, 180, COMMON_PRACTICE, PLATE),
    Span("tank_differential", 3, 5, 10, COMMON_PRACTICE),
    Choice("hot_water_priority", True, COMMON_PRACTICE),
    Span("priority_time_limit", 30, 60, 120, COMMON_PRACTICE),
    Span("keep_warm", 1, 3, 8, COMMON_PRACTICE, PLATE),
    Choice("hot_water_schedule", None, PEOPLE),
    Span("hot_water_overrun", 0, 2, 5, COMMON_PRACTICE),
    Choice("hygiene_cycle", False, COMMON_PRACTICE),
    # pumps
    Choice("boiler_pump_mode", "with call", COMMON_PRACTICE, among=("with call", "with burner", "continuous")),
    Choice("system_pump_mode", "with call", COMMON_PRACTICE, among=("with call", "continuous", "external")),
    Span("pump_overrun", 1, 3, 10, COMMON_PRACTICE),
    Choice("pump_control", "constant speed", COMMON_PRACTICE),
    Choice("pump_exercise", True, COMMON_PRACTICE),
    # freeze
    Choice("freeze_protection", None, PLACE),
    Span("freeze_pump_on", 38, 45, 50, COMMON_PRACTICE),
    Span("freeze_burner_on", 36, 41, 45, COMMON_PRACTICE),
    Choice("freeze_outdoor_start", OFF, MILDEST, among=(OFF,)),
    # timing
    Span("minimum_off_time", 1, 3, 10, COMMON_PRACTICE),
    # cascade
    Choice("cascade_role", "alone", COMMON_PRACTICE),
    Choice("leader_loss", None, PLACE),
    Choice("external_signal", OFF, COMMON_PRACTICE),
    Choice("external_loss", None, PLACE),
)
# fmt: on
