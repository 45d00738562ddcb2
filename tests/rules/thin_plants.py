"""Plants with a thin record, and what somebody of the trade says of them: worked out by hand, before they were run.

Each has what one sees in front of the boiler and 13 to 15 settings. The expectations are common practice, no source,
except where a line names one. A statement is about a setting; where two settings, severities or certainties are as
good, both stand. `must` is said; `may` is allowed; nothing else may be said at outage or worse.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

PROVEN: Final = "proven"
LIKELY: Final = "likely"
ASK: Final = "ask"


@dataclass(frozen=True, slots=True)
class Said:
    """One statement about a setting: how bad, how certain, and why a practitioner says so."""

    setting: str
    severity: str
    certainty: str
    why: str

    def fits(self, setting: str, severity: str, certainty: str) -> bool:
        """Tell whether what was said is this."""
        return (
            setting in self.setting.split()
            and severity in self.severity.split()
            and certainty in self.certainty.split()
        )


@dataclass(frozen=True, slots=True)
class Thin:
    """A plant with a thin record, and what is expected of it."""

    text: str
    must: tuple[Said, ...]
    may: tuple[Said, ...] = ()


_WARM_END: Final = Said("warm_weather_shutdown", "outage", ASK, "a house that needs heat in warmer weather stays cold")
_FAR_PIPES: Final = Said(
    "freeze_protection piping.boiler_drives_zones", "damage outage", ASK, "no setting guards pipes the pump can't reach"
)
_LINE: Final = Said(
    "heating_setpoint maximum_supply reset_endpoint reset_hot_supply reset_slope reset_shift", "outage", ASK,
    "enough for usual emitters, not for small ones",
)  # fmt: skip
_VALVE: Final = Said("hot_water.mixing_valve", "danger", ASK, "one that vulnerable people depend on is tested")
_ALARM: Final = Said("site.alarm_path site.occupants", "damage", ASK, "empty: who comes when the boiler locks out?")
_TAP: Final = Said(
    "hot_water.outlet_measured hot_water.mixing_valve_setpoint hot_water.return_measured", "danger", ASK,
    "what comes to the taps is measured",
)  # fmt: skip
_WHO: Final = Said("outlet_setpoint", "danger", ASK, "above 111 F: who bathes there?")

LOCK_COTTAGE: Final = Thin(
    """\
format = 1
units = "us"
[plant]
name = "Boiler"
site = "Lock Cottage"
control = "example-a"
[gas]
fuel = "natural gas"
[hot_water]
kind = "tank"
[accessories]
outdoor_sensor = false
tank_sensor = true
[[emitter]]
kind = "cast-iron radiator"
[settings]
operating_mode = "normal"
heating_setpoint = 180
heating_differential = 4
reset = true
reset_endpoint = 79
warm_weather_shutdown = 50
hot_water_method = "tank sensor"
hot_water_boiler_setpoint = 118
tank_setpoint = 115
tank_differential = 6
hot_water_priority = true
pump_overrun = 1
freeze_protection = true
minimum_off_time = 0
[visit]
on = 2026-11-10
by = "P. Larsen"
role = "heating technician"
why = "first look"
kind = "survey"
""",
    must=(
        Said("reset", "outage waste", PROVEN, "on, but no outdoor sensor: it runs at 180 F all year"),
        Said("tank_setpoint", "danger", "proven likely ask", "115 F breeds bacteria unless a water-safety plan helps"),
        Said("hot_water_boiler_setpoint", "outage waste", PROVEN, "3 F above the tank: it never gets there"),
        Said("heating_setpoint", "outage", "proven likely", "180 F and 8 F over: 6 F under the burner stop of 194 F"),
    ),
    may=(
        Said("tank_setpoint", "danger", ASK, "above 111 F: who bathes there?"),
        Said("hot_water_priority", "outage waste", "likely ask", "a tank that never gets there holds the heating off"),
        Said("pump_overrun", "damage outage", ASK, "one minute is short for a light exchanger"),
        Said("heating_differential", "outage damage", ASK, "4 F is narrow, though 8 F come on top"),
        _FAR_PIPES,
        _VALVE,
        _TAP,
        _ALARM,
    ),
)
"""A tank turned down to save gas, the boiler with it; the outdoor sensor was never wired.

The warm-weather shutdown of 50 F would leave the house cold in the fall, but without a sensor the control ignores it: a
statement at outage about it is wrong. After the run: that the tank breeds bacteria is proven, since it falls to 109 F
before it is heated again (WHO 2007: legionella grows up to about 113 F); and a rest time of 0 is no fault by itself:
with 12 F between start and stop and 20 gal fires are most of an hour apart (4 x C x band / Qmin).
"""

MILL_LANE: Final = Thin(
    """\
format = 1
units = "metric"
[plant]
name = "Boiler"
site = "Mill Lane 7"
control = "example-c"
size = "house"
[gas]
fuel = "natural gas"
[hot_water]
kind = "plate"
[accessories]
outdoor_sensor = true
[[emitter]]
kind = "panel radiator"
[settings]
operating_mode = "normal"
heating_setpoint = 55
heating_differential = 7
maximum_supply = 70
reset = true
reset_slope = 0.4
reset_shift = 0
warm_weather_shutdown = 15
hot_water_method = "plate"
hot_water_boiler_setpoint = 65
outlet_setpoint = 55
hot_water_priority = true
keep_warm = 2
pump_overrun = 5
freeze_protection = true
""",
    must=(
        Said(
            "reset_slope reset_shift", "outage", LIKELY, "about 32 C in the frost; panel radiators want 45 C at least"
        ),
        Said("warm_weather_shutdown", "outage", "likely ask", "15 C is below where most houses still need heat"),
        Said(
            "outlet_setpoint", "danger", ASK, "55 C at the tap scalds in under half a minute; is there a mixing valve?"
        ),
    ),
    may=(
        Said("heating_setpoint", "outage", "likely ask", "the same cold rooms, said of the set point"),
        Said("hot_water_boiler_setpoint", "outage", ASK, "68 C for 55 C at the tap depends on the plate"),
        _FAR_PIPES,
        _VALVE,
        _TAP,
        _ALARM,
    ),
)
"""A floor's slope on radiators, and a combi with hot taps.

After the run: shift or slope, either lifts the line; said of the shift is as good.
"""

CHAPEL: Final = Thin(
    """\
format = 1
units = "us"
[plant]
name = "Boiler"
site = "Old Chapel"
control = "example-b"
[site]
occupants = "general"
[gas]
fuel = "natural gas"
[hot_water]
kind = "none"
[accessories]
outdoor_sensor = true
[[emitter]]
kind = "cast-iron radiator"
[settings]
operating_mode = "normal"
heating_setpoint = 152
heating_differential = 16
heating_overshoot = 6
reset = true
reset_hot_supply = 150
reset_cold_outdoor = 5
reset_cool_supply = 96
reset_warm_outdoor = 62
warm_weather_shutdown = 66
hot_water_method = "none"
ignition_trials = 8
freeze_protection = true
cascade_role = "alone"
[visit]
on = 2026-11-12
by = "P. Larsen"
role = "heating technician"
why = "first look"
kind = "survey"
""",
    must=(Said("ignition_trials", "danger", "proven likely", "8 tries where the maker has 3: unburned gas gathers"),),
    may=(
        Said("ignition_trials", "danger", ASK, "was a reading taken after the tries were changed?"),
        Said("reset_hot_supply", "outage", ASK, "150 F is enough for big radiators and not for small ones"),
        Said("heating_setpoint", "outage", ASK, "the same question"),
        _FAR_PIPES,
    ),
)
"""A good line, and more tries to light than the maker gives. All else is a question at most.

After the run: on this control only the factory sets the tries, so 8 may not be what it runs at: likely, not proven.
"""

THIN: Final = {"lock-cottage": LOCK_COTTAGE, "mill-lane": MILL_LANE, "chapel": CHAPEL}
"""In tests only."""

PORTFOLIO: Final = {
    "chandlers-row/flat-2": Thin(
        "",
        must=(
            Said("heating_setpoint", "outage", LIKELY, "150 F on baseboard, which is made for 160 to 190 F"),
        ),
        may=(
            _WHO, _VALVE, _TAP, _ALARM, _FAR_PIPES,
            Said("operating_limit", "outage", ASK, "9 F over the hottest baseboard; nobody would ask it here"),
        ),
    ),
    "gate-cottage/boiler-1": Thin(
        "",
        must=(Said("outlet_setpoint", "danger", ASK, "52 C at the tap: is there a mixing valve, who draws?"),),
        may=(_WARM_END, _LINE, _VALVE, _TAP, _ALARM, _FAR_PIPES),
    ),
    "hill-lane-school/boiler-1": Thin(
        "",
        must=(
            Said("heating_setpoint maximum_supply operating_limit", "outage", "proven likely",
                 "184 F and 8 F over: 2 F under the burner stop of 194 F, whether the line is used or not"),
        ),
        may=(_WARM_END, _LINE, _ALARM, _FAR_PIPES),
    ),
    "kiln-studio/boiler-1": Thin(
        "",
        must=(
            Said("heating_setpoint maximum_supply reset_slope", "damage", "likely ask",
                 "62 C into a floor ruins it unless it has its own mixing: is it mixed?"),
        ),
        may=(
            _WARM_END, _LINE, _ALARM, _FAR_PIPES,
            Said("call_source", "outage", ASK, "always: what do the zones call?"),
        ),
    ),
    "ropewalk-house/boiler-1": Thin(
        "",
        must=(Said("tank_setpoint", "danger", ASK, "152 F scalds in about 2 s: is there a mixing valve?"),),
        may=(
            _WARM_END, _LINE, _VALVE, _TAP, _ALARM, _FAR_PIPES,
            Said("hot_water_method", "outage", ASK, "a tank sensor that is not there heats no tank"),
            Said("hot_water.circulation_loop recirculation", "danger", ASK, "a loop that is off breeds bacteria"),
            Said("tank_differential", "danger", ASK, "a wide one lets the tank fall low"),
            Said("hot_water_priority priority_time_limit", "outage damage", ASK, "the limit depends on the tank"),
        ),
    ),
    "toll-house/boiler-1": Thin("", must=(), may=(_WARM_END, _LINE, _ALARM, _FAR_PIPES)),
    "tram-depot/boiler-1": Thin(
        "",
        must=(Said("freeze_protection", "damage danger", "proven likely", "empty, and nothing fires against frost"),),
        may=(
            _WARM_END, _LINE, _ALARM, _FAR_PIPES,
        ),
    ),
}  # fmt: skip
"""Of the example portfolio."""
RIGHT: Final = "toll-house/boiler-1"
