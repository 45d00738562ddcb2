"""What facts can plausibly be where nobody recorded them: see `plausible.py`.

From low to high a number is what is met in nine of ten plants; the usual value is a mild one, so that what it makes a
finding would be one at most plants. What is asked and never assumed has `None` as its usual value.
"""

from __future__ import annotations

from typing import Final

from settingslint.vocabulary.plausible import Choice, Span
from settingslint.vocabulary.sources import COMMON_PRACTICE

KIND: Final = "emitter.kind"
TANK: Final = ("tank sensor", "tank thermostat")
DEGREE_DAYS: Final = (
    "degree days count from 65 F in the United States, 15.5 C in the United Kingdom; well insulated less"
)
FIN: Final = "finned tube is rated at 65 F entering air and listed from 150 to 200 F of mean water (from memory)"
EN_442: Final = "EN 442 rates radiators at 75/65/20 C, new ones are laid out cooler (from memory)"
FLOORS: Final = "EN 1264 limits the surface of occupied floors to 29 C, which few floors need more than 45 C for"
ASKED: Final = "asked, since people are hurt where it is guessed wrong"
NO_HOT_WATER: Final = "this boiler makes no hot water"
NOBODY: Final = "nobody can say without looking"

# fmt: off
ROWS: Final[tuple[Span | Choice, ...]] = (
    # the building and the place
    Span("building.balance_point", 55, 62, 66, DEGREE_DAYS),
    Span("building.indoor_design", 66, 70, 73, COMMON_PRACTICE),
    Span("building.design_load", 0.3, 0.55, 0.9, COMMON_PRACTICE, of="boiler.output_maximum"),
    Span("building.design_load", 0.27, 0.5, 0.8, COMMON_PRACTICE, of="boiler.input_maximum"),
    Span("building.cooldown_time_constant", 20, 45, 100, COMMON_PRACTICE),
    Choice("building.mass", "medium", COMMON_PRACTICE),
    Choice("building.new_system", False, COMMON_PRACTICE, among=(False,)),
    Span("building.setback_warm_up", 1, 2, 4, COMMON_PRACTICE),
    Choice("building.reference_room_disturbed", None, NOBODY),
    Span("site.design_outdoor", -5, 5, 25, COMMON_PRACTICE),
    Span("site.coldest", -25, -12, -5, COMMON_PRACTICE, of="site.design_outdoor"),
    Span("site.hottest", 85, 95, 105, COMMON_PRACTICE),
    Span("site.elevation", 1.0, 1.0, 1.0, "as the control is set", of="elevation_setting"),
    Span("site.elevation", 0, 500, 1600, COMMON_PRACTICE),
    Choice("site.occupants", None, ASKED),
    Choice("site.alarm_path", None, ASKED),
    Choice("site.manual_reset_required", None, NOBODY),
    # the boiler
    Span("boiler.input_maximum", 1.0, 1.0, 1.0, "as the control file states for the size", of="size.input_maximum"),
    Span("boiler.output_maximum", 0.8, 0.87, 0.95, COMMON_PRACTICE, of="boiler.input_maximum"),
    Span("boiler.input_minimum", 0.1, 0.2, 0.33, COMMON_PRACTICE, of="boiler.input_maximum"),
    Span("boiler.efficiency", 0.84, 0.89, 0.95, COMMON_PRACTICE, {"boiler.condensing": (True,)}),
    Span("boiler.efficiency", 0.78, 0.82, 0.85, COMMON_PRACTICE, {"boiler.condensing": (False,)}),
    Span("boiler.efficiency", 0.78, 0.86, 0.95, COMMON_PRACTICE),
    Choice("boiler.condensing", True, COMMON_PRACTICE),
    Choice("boiler.heat_exchanger", "low mass", COMMON_PRACTICE),
    Choice("boiler.location", None, NOBODY),
    Choice("boiler.tankless_coil", False, COMMON_PRACTICE, among=(False,)),
    Choice("gas.fuel", None, ASKED),
    Choice("vent.common", False, COMMON_PRACTICE, {"cascade_role": ("alone",)}, (False,)),
    Choice("vent.common", None, ASKED),
    Choice("vent.outdoor_air", None, NOBODY),
    # hot water
    Choice("hot_water.kind", "tank", "what the control is set for", {"hot_water_method": TANK}, ("tank",)),
    Choice("hot_water.kind", "plate", "what the control is set for", {"hot_water_method": ("plate",)}, ("plate",)),
    Choice("hot_water.kind", "none", "what the control is set for", {"hot_water_method": ("none",)},
           ("none", "separate")),
    Choice("hot_water.kind", "separate", "what the control is set for", {"hot_water_method": ("separate",)},
           ("separate", "none")),
    Choice("hot_water.kind", None, NOBODY),
    Span("hot_water.tank_volume", 30, 60, 119, COMMON_PRACTICE),
    Span("hot_water.tank_rating", 190, 200, 210, COMMON_PRACTICE),
    Span("hot_water.coil_output", 0.5, 0.8, 1.0, COMMON_PRACTICE, of="boiler.output_maximum"),
    Choice("hot_water.mixing_valve", False, NO_HOT_WATER, {"hot_water.kind": ("none",)}, (False,)),
    Choice("hot_water.mixing_valve", None, ASKED),
    Choice("hot_water.circulation_loop", False, NO_HOT_WATER, {"hot_water.kind": ("none",)}, (False,)),
    Choice("hot_water.circulation_loop", None, NOBODY),
    Span("hot_water.mixing_valve_setpoint", 105, None, 130, ASKED),
    Span("hot_water.outlet_measured", 105, None, 130, ASKED),
    Span("hot_water.return_measured", 110, None, 130, ASKED),
    Span("hot_water.cold_inlet", 40, 50, 60, COMMON_PRACTICE),
    Span("hot_water.peak_flow", 1.5, 2.5, 4.0, COMMON_PRACTICE),
    Choice("hot_water.hardness", "moderate", COMMON_PRACTICE),
    Choice("hot_water.low_use", None, NOBODY),
    Choice("hot_water.safety_plan", None, ASKED),
    Choice("hot_water.piped_here", True, COMMON_PRACTICE, among=(True,)),
    # water and piping: litres of water for each watt
    Span("water.system_volume", 0.004, 0.01, 0.025, COMMON_PRACTICE, of="boiler.output_maximum"),
    Span("water.system_volume", 0.0035, 0.009, 0.022, COMMON_PRACTICE, of="boiler.input_maximum"),
    Choice("water.fluid", None, NOBODY, {KIND: ("snow melting",)}),
    Choice("water.fluid", "water", COMMON_PRACTICE, among=("water",)),
    Span("water.static_height", 8, 15, 22, COMMON_PRACTICE),
    Span("water.relief_pressure", 30, 30, 50, COMMON_PRACTICE),
    Choice("visit.role", None, ASKED),
    Choice("piping.topology", None, NOBODY),
    Choice("piping.zone_valves", None, NOBODY),
    Choice("piping.bypass", None, NOBODY),
    Choice("piping.outside_walls", None, NOBODY),
    Choice("piping.boiler_drives_zones", False, COMMON_PRACTICE, among=(False,)),
    Choice("piping.return_protection", None, NOBODY),
    Choice("piping.calls_have_end_switches", None, NOBODY),
    # what is wired
    Choice("accessories.outdoor_sensor", True, "reset is switched on", {"reset": (True,)}),
    Choice("accessories.outdoor_sensor", None, NOBODY),
    Choice("accessories.tank_sensor", True, "the control is set for one", {"hot_water_method": ("tank sensor",)},
           (True,)),
    Choice("accessories.system_sensor", None, NOBODY),
    Choice("accessories.room_unit", True, "the control is set for one", {"call_source": ("bus room unit",)}, (True,)),
    Choice("accessories.room_unit", False, COMMON_PRACTICE),
    Choice("accessories.bus_module", True, "the control is set for one",
           {"call_source": ("bus room unit", "external signal")}, (True,)),
    Choice("accessories.bus_module", False, COMMON_PRACTICE),
    Choice("accessories.remote_writer", False, COMMON_PRACTICE, among=(False,)),
    # emitters
    Choice("emitter.kind", None, NOBODY, among=(
        "panel radiator", "cast-iron radiator", "finned tube", "convector", "fan coil", "heated floor", "air coil",
    )),
    Span("emitter.design_supply", 155, 165, 190, FIN, {KIND: ("finned tube",)}),
    Span("emitter.design_supply", 135, 150, 180, EN_442, {KIND: ("cast-iron radiator",)}),
    Span("emitter.design_supply", 130, 150, 170, EN_442, {KIND: ("panel radiator",)}),
    Span("emitter.design_supply", 140, 155, 180, COMMON_PRACTICE, {KIND: ("convector",)}),
    Span("emitter.design_supply", 120, 140, 160, COMMON_PRACTICE, {KIND: ("fan coil",)}),
    Span("emitter.design_supply", 120, 140, 180, COMMON_PRACTICE, {KIND: ("air coil",)}),
    Span("emitter.design_supply", 90, 100, 115, FLOORS, {KIND: ("heated floor",)}),
    Span("emitter.design_supply", 90, 110, 130, COMMON_PRACTICE, {KIND: ("snow melting",)}),
    Span("emitter.design_supply", 100, 130, 170, COMMON_PRACTICE, {KIND: ("pool",)}),
    Span("emitter.design_return", -20, -14, -8, FLOORS, {KIND: ("heated floor",)}, of="emitter.design_supply"),
    Span("emitter.design_return", -35, -20, -15, COMMON_PRACTICE, of="emitter.design_supply"),
    Span("emitter.load", 0.5, 1.0, 1.0, COMMON_PRACTICE, of="building.design_load"),
    Span("emitter.exponent", 1.0, 1.1, 1.1, EN_442, {KIND: ("heated floor", "fan coil", "air coil")}),
    Span("emitter.exponent", 1.25, 1.3, 1.35, EN_442, {KIND: ("panel radiator", "cast-iron radiator")}),
    Span("emitter.exponent", 1.3, 1.4, 1.5, EN_442, {KIND: ("finned tube", "convector")}),
    Span("emitter.oversize", 1.0, 1.0, 1.3, COMMON_PRACTICE),
    Span("emitter.maximum_supply", 104, 115, 131, FLOORS, {KIND: ("heated floor",)}),
    Span("emitter.maximum_supply", 180, 195, 210, COMMON_PRACTICE,
         {KIND: ("finned tube", "cast-iron radiator", "panel radiator", "convector", "fan coil", "air coil")}),
    Choice("emitter.mixed", None, NOBODY, {KIND: ("heated floor", "snow melting", "pool")}),
    Choice("emitter.mixed", False, COMMON_PRACTICE, {KIND: (
        "finned tube", "cast-iron radiator", "panel radiator", "convector", "fan coil", "air coil",
    )}),
)
# fmt: on
