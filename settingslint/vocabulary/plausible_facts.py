"""What facts can plausibly be where nobody recorded them: see `plausible.py`.

Ranges hold what a practitioner meets in nine of ten plants; the usual value is the one to bet on and, where a bet can
raise a false alarm, the mild one. Dates, readings, ratings, serial numbers and what the law or a policy asks for have
no rows: they are looked up or measured, not guessed.
"""

from __future__ import annotations

from typing import Final

from settingslint.vocabulary.plausible import Choice, Span
from settingslint.vocabulary.sources import COMMON_PRACTICE

PEOPLE: Final = "asked: a wrong guess endangers people"
PLACE: Final = "asked: a wrong guess lets something freeze or break"
NO_HOT_WATER: Final = "this boiler makes no hot water"
SEEN: Final = "asked: there is no usual one"
DESIGN_DAY: Final = "ASHRAE Handbook Fundamentals, climatic design information (from memory)"
ROOM: Final = "EN 12831: 20 C; US houses 70 F and more: common practice, no source"
DEGREE_DAYS: Final = "65 F, the base of US degree days; modern houses need no heat from about 55 F"
EN_442_MEAN: Final = "EN 442-2 rates at 75/65/20 C; sized for 45 to 75 C: common practice, no source"
BASEBOARD: Final = (
    "finned tube is rated at some 180 F; with what it is oversized 150 to 185 F do: common practice, no source"
)
EN_1264: Final = "EN 1264-4: at most 55 C around the pipe in screed (from memory)"
EFFICIENCY: Final = "10 CFR 430.32(e) asks for 0.82 to 0.84 (from memory); condensing by the return: common practice"
VOLUMES: Final = "litres for each kW of load by kind of emitter, Recknagel (from memory)"
TURNDOWN: Final = "IECC C403.3.4 asks for 3:1 and more of large plants; 5:1 to 10:1 is offered: common practice"
OVERSIZED: Final = "boilers are sized for 1.2 to 3 times the load: common practice, no source"
SHOWER: Final = "a shower draws 1.5 to 2.5 gpm, US Energy Policy Act of 1992 (from memory)"

CONDENSING: Final = {"boiler.condensing": (True,)}
NOT_CONDENSING: Final = {"boiler.condensing": (False,)}
TANK: Final = {"hot_water.kind": ("tank",)}
RADIATORS: Final = ("panel radiator", "cast-iron radiator", "finned tube", "convector", "fan coil", "air coil")
GROUP: Final = {"cascade_role": ("leader", "follower")}


def _kind(*kinds: str) -> dict[str, tuple[str, ...]]:
    """Return the condition that an emitter is of one of some kinds, for what is of that emitter."""
    return {"emitter.kind": kinds}


def _first(*kinds: str) -> dict[str, tuple[str, ...]]:
    """Return the condition that the first emitter is of one of some kinds, for what is of the whole plant."""
    return {"emitter[0].kind": kinds}


# fmt: off
ROWS: Final[tuple[Span | Choice, ...]] = (
    # the building and the place
    Span("building.design_load", 0.30, 0.55, 0.80, OVERSIZED, of="boiler.output_maximum"),
    Span("building.balance_point", 55, 62, 65, DEGREE_DAYS),
    Span("building.indoor_design", 66, 68, 72, ROOM),
    Span("building.cooldown_time_constant", 15, 25, 40, COMMON_PRACTICE, {"building.mass": ("light",)}),
    Span("building.cooldown_time_constant", 60, 100, 200, COMMON_PRACTICE, {"building.mass": ("heavy",)}),
    Span("building.cooldown_time_constant", 20, 45, 100, COMMON_PRACTICE),
    Choice("building.mass", "medium", COMMON_PRACTICE),
    Choice("building.new_system", False, COMMON_PRACTICE),
    Span("building.setback_warm_up", 1, 3, 5, COMMON_PRACTICE),
    Choice("building.reference_room_disturbed", None, SEEN),
    Span("site.design_outdoor", -15, 0, 15, COMMON_PRACTICE, of="reset_cold_outdoor"),
    Span("site.design_outdoor", -5, 10, 27, DESIGN_DAY),
    Span("site.coldest", -30, -15, -5, DESIGN_DAY, of="site.design_outdoor"),
    Span("site.elevation", 1.0, 1.0, 1.0, "as the control is set", of="elevation_setting"),
    Span("site.hottest", 85, 93, 105, DESIGN_DAY),
    Choice("site.occupants", None, PEOPLE),
    Choice("site.alarm_path", None, PLACE),
    Choice("site.manual_reset_required", None, PEOPLE),
    Span("site.heating_months_first", 9, 10, 11, COMMON_PRACTICE),
    Span("site.heating_months_last", 3, 4, 5, COMMON_PRACTICE),
    # the boiler
    Span("boiler.input_maximum", 1.0, 1.0, 1.0, "the control file, for this size", of="size.input_maximum"),
    Span("boiler.input_minimum", 1.0, 1.0, 1.5, COMMON_PRACTICE, of="size.input_minimum"),
    Span("boiler.input_minimum", 0.10, 0.20, 0.33, TURNDOWN, of="boiler.input_maximum"),
    Span("boiler.output_maximum", 0.86, 0.92, 0.96, EFFICIENCY, CONDENSING, of="boiler.input_maximum"),
    Span("boiler.output_maximum", 0.78, 0.82, 0.86, EFFICIENCY, NOT_CONDENSING, of="boiler.input_maximum"),
    Span("boiler.output_maximum", 0.80, 0.90, 0.96, EFFICIENCY, of="boiler.input_maximum"),
    Span("boiler.efficiency", 0.86, 0.92, 0.96, EFFICIENCY, CONDENSING),
    Span("boiler.efficiency", 0.78, 0.82, 0.86, EFFICIENCY, NOT_CONDENSING),
    Span("boiler.efficiency", 0.80, 0.90, 0.96, EFFICIENCY),
    Choice("boiler.condensing", True, "modulating boilers mostly are: common practice, no source"),
    Choice("boiler.heat_exchanger", "low mass", "modulating boilers mostly have one: common practice, no source"),
    Choice("boiler.location", "heated", COMMON_PRACTICE),
    Choice("boiler.tankless_coil", False, COMMON_PRACTICE, CONDENSING, (False,)),
    Choice("boiler.tankless_coil", False, COMMON_PRACTICE, {"hot_water.kind": ("tank", "plate", "separate")}, (False,)),
    Choice("boiler.tankless_coil", False, COMMON_PRACTICE),
    Choice("gas.fuel", None, PEOPLE),
    Choice("gas.heating_value_basis", None, SEEN),
    Choice("vent.common", None, PEOPLE, GROUP),
    Choice("vent.common_damper", None, PEOPLE, GROUP),
    # hot water
    Choice("hot_water.kind", "tank", COMMON_PRACTICE, {"hot_water_method": ("tank sensor", "tank thermostat")},
           ("tank",)),
    Choice("hot_water.kind", "plate", COMMON_PRACTICE, {"hot_water_method": ("plate",)}, ("plate",)),
    Choice("hot_water.kind", "none", COMMON_PRACTICE, {"hot_water_method": ("none",)}, ("none", "separate")),
    Choice("hot_water.kind", "separate", COMMON_PRACTICE, {"hot_water_method": ("separate",)}, ("separate", "none")),
    Choice("hot_water.kind", None, SEEN),
    Span("hot_water.tank_volume", 30, 50, 120, COMMON_PRACTICE),
    Choice("hot_water.mixing_valve", False, NO_HOT_WATER, {"hot_water.kind": ("none",)}, (False,)),
    Choice("hot_water.mixing_valve", None, PEOPLE),
    Span("hot_water.mixing_valve_setpoint", 105, None, 130, PEOPLE),
    Span("hot_water.outlet_measured", -6, -2, 0, "a tap is no hotter than its mixing valve",
         {"hot_water.mixing_valve": (True,)}, "hot_water.mixing_valve_setpoint"),
    Span("hot_water.outlet_measured", 105, None, 130, PEOPLE),
    Span("hot_water.return_measured", 110, None, 140, PEOPLE),
    Choice("hot_water.circulation_loop", False, NO_HOT_WATER, {"hot_water.kind": ("none",)}, (False,)),
    Choice("hot_water.circulation_loop", True, COMMON_PRACTICE, {"recirculation": ("continuous", "scheduled")}),
    Choice("hot_water.circulation_loop", None, PEOPLE),
    Span("hot_water.cold_inlet", 40, 50, 60, "mains water of 40 to 60 F in winter: common practice, no source"),
    Span("hot_water.peak_flow", 1.5, 2.0, 4.0, SHOWER),
    Choice("hot_water.hardness", "moderate", COMMON_PRACTICE),
    Choice("hot_water.low_use", None, PEOPLE),
    Choice("hot_water.safety_plan", None, PEOPLE),
    Choice("hot_water.piped_here", None, SEEN, GROUP),
    Choice("hot_water.piped_here", True, "there is one boiler: common practice, no source", among=(True,)),
    # water and piping
    Span("water.system_volume", 0.004, 0.008, 0.016, VOLUMES,
         _first("finned tube", "convector", "fan coil", "air coil"), of="building.design_load"),
    Span("water.system_volume", 0.007, 0.011, 0.016, VOLUMES, _first("panel radiator"), of="building.design_load"),
    Span("water.system_volume", 0.010, 0.015, 0.024, VOLUMES, _first("cast-iron radiator", "heated floor"),
         of="building.design_load"),
    Span("water.system_volume", 0.006, 0.012, 0.020, VOLUMES, of="building.design_load"),
    Choice("water.fluid", None, PLACE, _first("snow melting")),
    Choice("water.fluid", "water", COMMON_PRACTICE),
    Choice("water.glycol_by", None, SEEN),
    Choice("piping.topology", "primary-secondary", COMMON_PRACTICE),
    Span("piping.smallest_zone", 0.15, 0.30, 0.60, COMMON_PRACTICE, of="building.design_load"),
    Choice("piping.zone_valves", False, COMMON_PRACTICE),
    Choice("piping.bypass", True, COMMON_PRACTICE),
    Choice("piping.outside_walls", None, PLACE, {"boiler.location": ("unheated", "outdoor", "garage", "roof")}),
    Choice("piping.outside_walls", None, PLACE, {"site.occupants": ("vacant", "seasonal", "none")}),
    Choice("piping.boiler_drives_zones", False, "it runs the boiler's own pump: common practice, no source"),
    Choice("piping.return_protection", None, PLACE),
    Choice("piping.system_pump_interlocked", None, PLACE),
    # who was there
    Choice("visit.role", None, PEOPLE, among=("heating technician", "gas-licensed technician")),
    # what is wired
    Choice("accessories.outdoor_sensor", True, COMMON_PRACTICE, {"reset": (True,)}),
    Choice("accessories.outdoor_sensor", None, SEEN),
    Choice("accessories.system_sensor", None, SEEN),
    Choice("accessories.tank_sensor", True, "a control shows a fault where it misses one: common practice, no source",
           {"hot_water_method": ("tank sensor",)}, (True,)),
    Choice("accessories.room_unit", None, SEEN),
    Choice("accessories.bus_module", None, SEEN),
    # emitters
    Choice("emitter.kind", None, SEEN),
    Span("emitter.design_supply", 150, 165, 185, BASEBOARD, _kind("finned tube")),
    Span("emitter.design_supply", 113, 145, 167, EN_442_MEAN, _kind("panel radiator")),
    Span("emitter.design_supply", 130, 150, 180, COMMON_PRACTICE, _kind("cast-iron radiator", "convector")),
    Span("emitter.design_supply", 120, 145, 180, COMMON_PRACTICE, _kind("fan coil")),
    Span("emitter.design_supply", 140, 155, 180, COMMON_PRACTICE, _kind("air coil")),
    Span("emitter.design_supply", 90, 100, 120, EN_1264, _kind("heated floor")),
    Span("emitter.design_supply", 110, 140, 180, COMMON_PRACTICE, _kind("pool")),
    Span("emitter.design_supply", 90, 110, 140, COMMON_PRACTICE, _kind("snow melting")),
    Span("emitter.design_return", -12, -12, -12, COMMON_PRACTICE, _kind("heated floor"), "emitter.design_supply"),
    Span("emitter.design_return", -18, -18, -18, EN_442_MEAN, of="emitter.design_supply"),
    Span("emitter.exponent", 1.0, 1.0, 1.1, COMMON_PRACTICE, _kind("pool", "snow melting")),
    Span("emitter.maximum_supply", 110, 122, 131, EN_1264, _kind("heated floor")),
    Choice("emitter.mixed", False, COMMON_PRACTICE, _kind(*RADIATORS)),
    Choice("emitter.mixed", None, PLACE),
)
# fmt: on
