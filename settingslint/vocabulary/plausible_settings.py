"""What settings can plausibly be where nobody recorded them: see `plausible.py`.

A setting that is not recorded may be at the control's default, which is then its usual value, and lies within the
control's range. Firing, limits and whatever decides whether water scalds or grows bacteria is never assumed.
"""

from __future__ import annotations

from typing import Final

from settingslint.vocabulary.plausible import Choice, Span
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import COMMON_PRACTICE

# fmt: off
ROWS: Final[tuple[Span | Choice, ...]] = (
    Choice("heating_enabled", True, COMMON_PRACTICE, among=(True,)),
    Choice("operating_mode", "normal", COMMON_PRACTICE, among=("normal",)),
    Span("heating_differential", 5, 15, 25, COMMON_PRACTICE),
    Span("heating_overshoot", 2, 5, 10, COMMON_PRACTICE),
    Choice("minimum_supply", OFF, COMMON_PRACTICE, among=(OFF,)),
    Choice("maximum_supply", OFF, COMMON_PRACTICE, among=(OFF,)),
    Choice("minimum_return", OFF, COMMON_PRACTICE, among=(OFF,)),
    Choice("control_sensor", "supply", COMMON_PRACTICE, among=("supply",)),
    Choice("night_setback", OFF, COMMON_PRACTICE, among=(OFF,)),
    Choice("room_influence", OFF, COMMON_PRACTICE, among=(OFF,)),
    Choice("boost_step", OFF, COMMON_PRACTICE, among=(OFF,)),
    Choice("reset", True, "an outdoor sensor is fitted", {"accessories.outdoor_sensor": (True,)}),
    Choice("reset", False, "no outdoor sensor is fitted", {"accessories.outdoor_sensor": (False,)}, (False,)),
    Choice("reset", None, COMMON_PRACTICE),
    Span("warm_weather_shutdown", 58, 64, 70, COMMON_PRACTICE),
    Choice("hot_water_priority", True, COMMON_PRACTICE),
    Span("tank_differential", 4, 8, 15, COMMON_PRACTICE),
    Choice("hygiene_cycle", False, COMMON_PRACTICE, among=(False,)),
    Choice("hot_water_schedule", False, COMMON_PRACTICE),
    Span("pump_overrun", 1, 3, 5, COMMON_PRACTICE),
    Span("minimum_off_time", 2, 4, 8, COMMON_PRACTICE),
    Choice("cascade_role", "alone", COMMON_PRACTICE, among=("alone",)),
    Choice("external_signal", OFF, COMMON_PRACTICE, among=(OFF,)),
)
# fmt: on
