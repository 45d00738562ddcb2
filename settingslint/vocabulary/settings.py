"""The settings of a boiler control, in plain trade English: one row each.

The table drives the profile's schema, the conversion of units, the caution beside a finding and the documentation.
`low` and `high` are the range in which a value is plausible at all, in US units, and `origin` says where it comes from.
They serve to notice a value typed in the other unit; they are no advice, and a control file narrows them.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from settingslint.units import Kind
from settingslint.vocabulary.bounds import Bounds
from settingslint.vocabulary.sources import COMMON_PRACTICE

POINT, DIFFERENCE, PERCENT = Kind.POINT, Kind.DIFFERENCE, Kind.PERCENT
FLAG, WORD, COUNT, TEXT = Kind.FLAG, Kind.WORD, Kind.COUNT, Kind.TEXT
SECONDS, MINUTES, HOURS, FAN = Kind.SECONDS, Kind.MINUTES, Kind.HOURS, Kind.FAN_SPEED


class Setting(NamedTuple):
    """One setting: `group` orders screens, `caution` names the class in `cautions.py`, `can_be_off` admits "off"."""

    name: str
    title: str
    kind: Kind
    group: str
    caution: str
    does: str
    low: float | None = None
    high: float | None = None
    words: tuple[str, ...] = ()
    can_be_off: bool = False
    physical: Bounds | None = None
    """What it can be at all, where that is narrower than what its kind can be."""
    origin: str = COMMON_PRACTICE

    @property
    def plausible(self) -> Bounds | None:
        """The range in which a value is plausible, None where it is no number."""
        return None if self.low is None or self.high is None else Bounds(self.low, self.high, self.origin)


OFF: Final = "off"

# fmt: off
_ROWS: Final = (
    # heating
    Setting("heating_enabled", "heating on", FLAG, "heating", "heating", "lets the boiler answer heating calls"),
    Setting("operating_mode", "operating mode", WORD, "heating", "freeze", "decides which calls are answered at all",
            words=("normal", "summer", "standby", "holiday")),
    Setting("call_source", "source of the heating call", WORD, "heating", "electric",
            "what the control takes for a heating call",
            words=("room thermostat", "bus room unit", "external signal", "always")),
    Setting("heating_setpoint", "heating set point", POINT, "heating", "heating",
            "boiler water temperature during a heating call, and with reset the top of the line", 75, 210),
    Setting("heating_differential", "heating differential", DIFFERENCE, "heating", "heating",
            "how far the water falls below the set point before the burner starts again", 1, 60),
    Setting("heating_overshoot", "heating overshoot", DIFFERENCE, "heating", "limit",
            "how far the water rises above the set point before the burner stops", 0, 30),
    Setting("minimum_supply", "minimum supply temperature", POINT, "heating", "heating", "floor of the reset line", 50,
            190, can_be_off=True),
    Setting("maximum_supply", "maximum supply temperature", POINT, "heating", "heating",
            "ceiling of the heating supply whatever the line asks for", 70, 210, can_be_off=True),
    Setting("minimum_return", "minimum return temperature", POINT, "heating", "heating",
            "keeps the return warm enough for a boiler that must not condense", 70, 170, can_be_off=True),
    Setting("control_sensor", "control sensor", WORD, "heating", "heating",
            "the water temperature that the set point is compared with", words=("supply", "return", "system")),
    Setting("heating_target_difference", "target supply-return difference", DIFFERENCE, "heating", "pump",
            "the drop that the pump or the burner is modulated to", 2, 70),
    Setting("night_setback", "night setback of the supply", DIFFERENCE, "heating", "heating",
            "lowers the line at night", 0, 80, can_be_off=True),
    Setting("night_setback_hours", "length of the night setback", HOURS, "heating", "heating", "hours", 1, 16),
    Setting("room_influence", "room influence", PERCENT, "heating", "heating",
            "how strongly the room unit shifts the line", 0, 100, can_be_off=True),
    Setting("boost_step", "boost step", DIFFERENCE, "heating", "heating",
            "raises the target each time a call has lasted one boost interval", 1, 50, can_be_off=True),
    Setting("boost_interval", "boost interval", MINUTES, "heating", "heating", "length of call per boost step", 1, 240),
    Setting("floor_drying", "floor drying program", FLAG, "heating", "heating",
            "runs the supply by a drying program and not by demand"),
    # reset
    Setting("reset", "outdoor reset", FLAG, "reset", "heating", "lowers the supply as it gets warmer outside"),
    Setting("reset_endpoint", "reset end point", POINT, "reset", "heating",
            "the outdoor temperature at which outdoor and boiler water are equal (controls with one reset number)", 40,
            210),
    Setting("reset_hot_supply", "supply at the cold end", POINT, "reset", "heating", "supply on the design day", 70,
            210),
    Setting("reset_cold_outdoor", "outdoor temperature of the cold end", POINT, "reset", "heating",
            "at and below this outdoor temperature the line is at its hot end", -50, 50),
    Setting("reset_cool_supply", "supply at the mild end", POINT, "reset", "heating", "supply in mild weather", 60,
            180),
    Setting("reset_warm_outdoor", "outdoor temperature of the mild end", POINT, "reset", "heating",
            "at and above this outdoor temperature the line is at its cool end", 40, 90),
    Setting("reset_slope", "reset slope", Kind.RATIO, "reset", "heating",
            "kelvin of supply per kelvin of outdoor temperature", 0.1, 4),
    Setting("reset_shift", "reset shift", DIFFERENCE, "reset", "heating", "moves the whole line up or down", -40, 40),
    Setting("warm_weather_shutdown", "warm-weather shutdown", POINT, "reset", "heating",
            "outdoor temperature above which heating calls are not answered", 35, 90, can_be_off=True),
    Setting("outdoor_correction", "outdoor sensor correction", DIFFERENCE, "reset", "heating",
            "added to what the outdoor sensor reads", -20, 20),
    Setting("outdoor_averaging", "outdoor averaging", HOURS, "reset", "heating", "time over which it is averaged", 0,
            72),
    Setting("outdoor_sensor_loss", "on loss of the outdoor sensor", WORD, "reset", "freeze",
            "what the control does when the outdoor sensor fails",
            words=("fixed outdoor temperature", "set point", "minimum", "stop")),
    # firing
    Setting("fuel_setting", "fuel", WORD, "firing", "firing", "picks the fan speeds and the ignition for the gas",
            words=("natural gas", "propane")),
    Setting("size_setting", "size code", TEXT, "firing", "firing", "tells the board which boiler it sits in"),
    Setting("elevation_setting", "elevation setting", Kind.LENGTH, "firing", "firing",
            "adapts the firing to the thin air of high places", 0, 12000),
    Setting("vent_length_setting", "vent length setting", Kind.LENGTH, "firing", "firing",
            "adapts the fan to the resistance of the vent", 0, 400),
    Setting("ignition_fan_speed", "ignition fan speed", FAN, "firing", "firing", "fan speed while lighting", 1, 20000),
    Setting("maximum_fan_speed", "maximum fan speed", FAN, "firing", "firing", "sets high fire", 1, 20000),
    Setting("minimum_fan_speed", "minimum fan speed", FAN, "firing", "firing", "sets low fire", 1, 20000),
    Setting("heating_maximum_rate", "heating maximum rate", PERCENT, "firing", "firing",
            "limits high fire while heating only", 1, 100),
    Setting("hot_water_maximum_rate", "hot-water maximum rate", PERCENT, "firing", "firing",
            "limits high fire while making hot water", 1, 100),
    Setting("ignition_trials", "trials for ignition", COUNT, "firing", "firing", "tries before lockout", 1, 10),
    Setting("pre_purge", "pre-purge", SECONDS, "firing", "firing", "airs the chamber before lighting", 0, 300),
    Setting("post_purge", "post-purge", SECONDS, "firing", "firing", "airs the chamber after firing", 0, 600),
    Setting("low_fire_hold", "low-fire hold", MINUTES, "firing", "heating",
            "stays at low fire this long after lighting", 0, 30, can_be_off=True),
    Setting("control_gain", "modulation gain", Kind.RATIO, "firing", "heating", "how fast the firing follows", 0, 1000),
    Setting("service_mode", "manual fire mode", FLAG, "firing", "limit", "fires by hand and not by demand"),
    Setting("service_mode_limit", "time limit of the manual fire mode", MINUTES, "firing", "limit",
            "ends the manual fire mode by itself", 1, 240, can_be_off=True),
    # hot water
    Setting("hot_water_method", "hot-water method", WORD, "hot water", "scald",
            "what the control believes makes the hot water",
            words=("none", "tank sensor", "tank thermostat", "plate", "separate")),
    Setting("hot_water_boiler_setpoint", "boiler target during hot water", POINT, "hot water", "scald",
            "boiler water temperature during a hot-water call; it is not tap water and reset does not touch it", 80,
            210),
    Setting("tank_setpoint", "tank set point", POINT, "hot water", "hygiene", "tank temperature", 80, 190),
    Setting("tank_differential", "tank differential", DIFFERENCE, "hot water", "hygiene",
            "how far the tank falls before it is heated again", 1, 40),
    Setting("outlet_setpoint", "tap set point", POINT, "hot water", "scald", "tap water from a plate", 80, 160),
    Setting("hot_water_priority", "hot-water priority", FLAG, "hot water", "freeze",
            "heating waits while hot water is made"),
    Setting("priority_time_limit", "priority time limit", MINUTES, "hot water", "freeze",
            "hot water gives way to heating after a call of this length", 5, 600, can_be_off=True),
    Setting("keep_warm", "plate keep-warm", HOURS, "hot water", "hot-water",
            "keeps the plate exchanger hot this long after use", 1, 24, can_be_off=True),
    Setting("hot_water_reduced", "reduced tank temperature", POINT, "hot water", "hygiene",
            "tank temperature in away or economy times", 40, 160, can_be_off=True),
    Setting("hot_water_schedule", "hot-water schedule", FLAG, "hot water", "hygiene", "heats the tank by the clock"),
    Setting("hot_water_overrun", "hot-water pump overrun", MINUTES, "hot water", "hot-water", "pump after the call", 0,
            30),
    Setting("hygiene_cycle", "hygiene heat-up", FLAG, "hot water", "hygiene", "heats the tank above its set point"),
    Setting("hygiene_target", "hygiene target", POINT, "hot water", "hygiene", "tank temperature it goes to", 110,
            190),
    Setting("hygiene_time_limit", "hygiene time limit", MINUTES, "hot water", "hygiene", "ends the heat-up by time", 5,
            600),
    Setting("recirculation", "recirculation", WORD, "hot water", "hygiene", "when the hot-water loop is pumped",
            words=("off", "continuous", "scheduled")),
    Setting("recirculation_off_hours", "hours a day without recirculation", HOURS, "hot water", "hygiene",
            "standstill of the loop by schedule", 0, 24),
    # pumps
    Setting("boiler_pump_mode", "boiler pump mode", WORD, "pumps", "pump", "when the boiler pump runs",
            words=("with burner", "with call", "continuous", "off")),
    Setting("system_pump_mode", "system pump mode", WORD, "pumps", "pump", "when the system pump runs",
            words=("with call", "continuous", "external", "off")),
    Setting("pump_overrun", "pump overrun", MINUTES, "pumps", "pump", "pump after the burner stops", 0, 60),
    Setting("pump_minimum_speed", "minimum pump speed", PERCENT, "pumps", "pump", "floor of the pump speed", 1, 100),
    Setting("pump_control", "pump speed control", WORD, "pumps", "pump", "what the pump speed follows",
            words=("constant speed", "constant pressure", "proportional pressure", "temperature difference",
                   "self-adapting")),
    Setting("pump_exercise", "pump exercise", FLAG, "pumps", "pump", "turns idle pumps so that they do not seize"),
    Setting("purge_program", "air purge program", FLAG, "pumps", "pump", "runs pumps to drive out air"),
    # limits
    Setting("operating_limit", "operating limit", POINT, "limits", "limit", "stops the burner, resets by itself", 120,
            230),
    Setting("high_limit", "high limit", POINT, "limits", "limit", "stops the burner and locks out", 140, 260),
    Setting("tank_high_limit", "tank high limit", POINT, "limits", "limit", "stops heating the tank", 120, 212),
    Setting("high_limit_reset", "high limit reset", WORD, "limits", "limit", "how the high limit is reset",
            words=("manual", "automatic")),
    Setting("flue_limit", "flue temperature limit", POINT, "limits", "firing", "stops the burner", 120, 500),
    Setting("difference_limit", "supply-return difference limit", DIFFERENCE, "limits", "limit",
            "folds the firing back or stops it", 10, 100, can_be_off=True),
    Setting("low_pressure_cutout", "low-pressure cut-out", Kind.PRESSURE, "limits", "limit",
            "stops the burner when the water pressure falls", 1, 60, can_be_off=True),
    Setting("high_pressure_alarm", "high-pressure alarm", Kind.PRESSURE, "limits", "limit", "warns of pressure", 10,
            160),
    Setting("resets_per_hour", "lockout resets an hour", COUNT, "limits", "firing", "resets that are allowed", 0, 20),
    Setting("remote_reset", "remote reset of lockouts", FLAG, "limits", "firing", "lets a lockout be reset remotely"),
    # freeze
    Setting("freeze_protection", "freeze protection", FLAG, "freeze", "freeze",
            "fires burner and pump when water gets cold"),
    Setting("freeze_pump_on", "freeze protection: pump on", POINT, "freeze", "freeze", "water temperature", 32, 60),
    Setting("freeze_burner_on", "freeze protection: burner on", POINT, "freeze", "freeze", "water temperature", 32, 60),
    Setting("freeze_outdoor_start", "freeze protection by outdoor temperature", POINT, "freeze", "freeze",
            "runs the pump below this outdoor temperature", 10, 50, can_be_off=True),
    Setting("holiday_room", "room temperature while away", POINT, "freeze", "freeze", "what is kept while away", 35,
            75),
    # timing
    Setting("minimum_off_time", "minimum off time", MINUTES, "timing", "heating", "rest between two firings", 0, 30,
            can_be_off=True),
    # cascade
    Setting("cascade_role", "cascade role", WORD, "cascade", "cascade", "who leads the group",
            words=("alone", "leader", "follower")),
    Setting("cascade_address", "cascade address", COUNT, "cascade", "cascade", "number in the group", 0, 64),
    Setting("stage_order", "staging order", WORD, "cascade", "cascade", "few boilers at high fire or many at low fire",
            words=("fewest", "most")),
    Setting("stage_on_rate", "next boiler on above", PERCENT, "cascade", "cascade", "firing rate", 1, 100),
    Setting("stage_off_rate", "last boiler off below", PERCENT, "cascade", "cascade", "firing rate", 1, 100),
    Setting("stage_on_delay", "delay before the next boiler", MINUTES, "cascade", "cascade", "minutes", 0, 60),
    Setting("rotation_interval", "rotation interval", HOURS, "cascade", "cascade", "how often the first boiler changes",
            1, 1000, can_be_off=True),
    Setting("leader_loss", "on loss of the leader", WORD, "cascade", "freeze",
            "what a follower does when the leader is gone", words=("local set point", "stop")),
    Setting("external_signal", "external signal", WORD, "cascade", "cascade", "what a building automation signal means",
            words=("off", "temperature", "firing rate")),
    Setting("external_low", "supply at the low end of the signal", POINT, "cascade", "cascade", "point", 40, 210),
    Setting("external_high", "supply at the high end of the signal", POINT, "cascade", "cascade", "point", 60, 210),
    Setting("external_loss", "on loss of the external signal", WORD, "cascade", "freeze",
            "what happens without a signal", words=("local set point", "stop")),
    Setting("remote_writing", "remote write access", FLAG, "cascade", "remote",
            "lets somebody change settings remotely"),
)
# fmt: on

SETTINGS: Final[dict[str, Setting]] = {row.name: row for row in _ROWS}
"""All settings by name, in the order of the screens."""

FIRING: Final = frozenset(row.name for row in _ROWS if row.caution == "firing")
"""Settings of the firing class: nothing in this project ever proposes a number for one of them."""

LIMITS: Final = frozenset(row.name for row in _ROWS if row.group == "limits")
"""Limits: they get no number either."""

LICENSED: Final = FIRING | LIMITS
"""Settings that only licensed or qualified persons change; what is said about them never carries a figure to set."""

SAFETY_CAUTIONS: Final = frozenset({"firing", "limit", "scald", "hygiene", "freeze"})
"""Caution classes that want a reason and a read-back."""
