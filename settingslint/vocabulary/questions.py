"""How one asks for a missing setting or fact, and what it costs to know."""

from __future__ import annotations

from enum import StrEnum
from typing import Final, NamedTuple

from settingslint.vocabulary.facts import of_any


class Learned(StrEnum):
    """How something that nobody recorded gets known, the least work first."""

    SEEN = "seen at the boiler"
    READ = "read at the control"
    PLATE = "on a plate or in the papers"
    ASKED = "asked"
    MEASURED = "measured"
    CALCULATED = "calculated"


class Question(NamedTuple):
    """The question about one setting or fact, in the words of a technician, with its question mark."""

    name: str
    text: str
    learned: Learned


SEEN, READ, PLATE, ASKED, MEASURED, CALCULATED = Learned

# fmt: off
_ROWS: Final = (
    # the record
    Question("plant.size", "What size does the rating plate give?", PLATE),
    Question("plant.first_fired", "When was the boiler first fired?", PLATE),
    Question("plant.revision", "Which revision does the control show?", READ),
    # the building and the place
    Question("building.design_load", "What is the heat load on the design day?", CALCULATED),
    Question("building.balance_point", "Above which outdoor temperature is no heat needed?", ASKED),
    Question("building.indoor_design", "Which room temperature is wanted?", ASKED),
    Question("building.cooldown_time_constant", "How many hours is the building's cool-down time constant?", MEASURED),
    Question("building.mass", "Is the building light, medium or heavy?", SEEN),
    Question("building.new_system", "Is the heating system new or fully replaced?", ASKED),
    Question("building.setback_warm_up", "How long may the rooms take to warm up in the morning?", ASKED),
    Question("building.reference_room_disturbed", "Does sun, a stove or a valve disturb the room unit's room?", SEEN),
    Question("site.design_outdoor", "What is the design outdoor temperature here?", PLATE),
    Question("site.coldest", "How cold does it get here at worst?", PLATE),
    Question("site.hottest", "How hot does it get outdoors at worst?", PLATE),
    Question("site.elevation", "How high is the site above the sea?", PLATE),
    Question("site.occupants", "Who uses the building: anybody vulnerable, or is it empty at times?", ASKED),
    Question("site.alarm_path", "Does somebody get an alarm, and can they come in time?", ASKED),
    Question("site.insurer_minimum", "Which room temperature does the insurer ask to keep?", ASKED),
    Question("site.jurisdiction", "Whose rules bind here?", ASKED),
    Question("site.manual_reset_required", "Do local rules ask for a high limit with manual reset?", ASKED),
    Question("site.new_system_supply_ceiling", "Which supply do local rules allow new systems at most?", ASKED),
    Question("site.heating_months_first", "In which month does the heating season begin?", ASKED),
    Question("site.heating_months_last", "In which month does the heating season end?", ASKED),
    # the boiler
    Question("boiler.input_maximum", "What maximum input does the rating plate give?", PLATE),
    Question("boiler.input_minimum", "What minimum input does the rating plate give?", PLATE),
    Question("boiler.output_maximum", "What output does the rating plate give?", PLATE),
    Question("boiler.efficiency", "What efficiency do the maker's papers give?", PLATE),
    Question("boiler.condensing", "Is it a condensing boiler, with a condensate drain?", SEEN),
    Question("boiler.heat_exchanger", "Is the heat exchanger low mass or high mass?", PLATE),
    Question("boiler.minimum_flow", "What minimum water flow does the maker ask for?", PLATE),
    Question("boiler.maximum_difference", "What supply-return difference does the maker allow at most?", PLATE),
    Question("boiler.location", "Is the boiler's room heated, unheated, a garage, roof or outdoors?", SEEN),
    Question("boiler.tankless_coil", "Does a coil inside the boiler make the hot water?", SEEN),
    Question("boiler.size_on_plate", "What size is on the rating plate?", PLATE),
    Question("boiler.serial_on_plate", "What serial number is on the rating plate?", PLATE),
    Question("boiler.lowest_rated_part", "Which part has the lowest temperature rating, and how low?", PLATE),
    Question("boiler.manufacturer_retries", "How many trials for ignition does the maker set?", PLATE),
    Question("gas.fuel", "Which gas is on site: natural gas or propane?", SEEN),
    Question("gas.clocked_input", "What input does the gas meter show at high fire?", MEASURED),
    Question("gas.heating_value_basis", "Is the heating value gross or net?", PLATE),
    Question("vent.material", "What is the vent made of?", SEEN),
    Question("vent.rating", "For which temperature is the vent listed?", PLATE),
    Question("vent.equivalent_length", "What is the equivalent length of the vent?", CALCULATED),
    Question("vent.common", "Do several boilers share one vent?", SEEN),
    Question("vent.common_damper", "Is an idle boiler on the common vent closed off and proved closed?", SEEN),
    Question("vent.outdoor_air", "Does combustion air come straight from outside?", SEEN),
    # hot water
    Question("hot_water.kind", "What makes the hot water: a tank, a plate, a separate heater?", SEEN),
    Question("hot_water.tank_volume", "How large is the hot-water tank?", PLATE),
    Question("hot_water.tank_rating", "For which temperature is the tank rated?", PLATE),
    Question("hot_water.coil_output", "What output is the tank's coil rated for?", PLATE),
    Question("hot_water.mixing_valve", "Is there a mixing valve for the hot water?", SEEN),
    Question("hot_water.mixing_valve_tested", "When was the mixing valve last tested?", ASKED),
    Question("hot_water.mixing_valve_setpoint", "What is the mixing valve set to?", SEEN),
    Question("hot_water.circulation_loop", "Is there a hot-water circulation loop?", SEEN),
    Question("hot_water.return_measured", "How hot is the return of the circulation loop?", MEASURED),
    Question("hot_water.outlet_measured", "How hot is the water at the tap after one minute?", MEASURED),
    Question("hot_water.cold_inlet", "How cold is the mains water in winter?", MEASURED),
    Question("hot_water.peak_flow", "How much hot water flows when most taps are open at once?", MEASURED),
    Question("hot_water.hardness", "Is the water soft, moderate or hard?", ASKED),
    Question("hot_water.low_use", "Is hot water used only now and then?", ASKED),
    Question("hot_water.safety_plan", "Does a water-safety plan name another control measure?", ASKED),
    Question("hot_water.piped_here", "Is this boiler piped to the tank?", SEEN),
    # water and piping
    Question("water.system_volume", "How much water is in the heating system?", CALCULATED),
    Question("water.fluid", "Is the system filled with water or with glycol, and which?", ASKED),
    Question("water.glycol_percent", "How strong is the glycol?", MEASURED),
    Question("water.glycol_by", "Is the glycol share by mass or by volume?", ASKED),
    Question("water.tested", "When was the glycol last tested?", ASKED),
    Question("water.static_height", "How high above the gauge is the top of the system?", MEASURED),
    Question("water.relief_pressure", "At which pressure does the relief valve open, by its plate?", PLATE),
    Question("piping.topology", "How is it piped: direct, primary-secondary, separator, buffer?", SEEN),
    Question("piping.smallest_zone", "What is the design load of the smallest zone?", CALCULATED),
    Question("piping.zone_valves", "Do valves open the zones?", SEEN),
    Question("piping.bypass", "Does a bypass or the pump take up the flow when zone valves close?", SEEN),
    Question("piping.outside_walls", "Do pipes run in outside walls or cold spaces?", ASKED),
    Question("piping.boiler_drives_zones", "Does freeze protection move water in every zone?", SEEN),
    Question("piping.flow_at_minimum_speed", "What flow goes through the boiler at minimum pump speed?", MEASURED),
    Question("piping.system_flow", "What flow goes round the system loop?", MEASURED),
    Question("piping.return_protection", "Does a valve or bypass keep the boiler's return warm?", SEEN),
    Question("piping.system_pump_interlocked", "Can the burner fire only while the system pump runs?", SEEN),
    Question("piping.calls_have_end_switches", "Do the zone valves call the boiler by end switches?", SEEN),
    # what is wired
    Question("accessories.outdoor_sensor", "Is an outdoor sensor fitted?", SEEN),
    Question("accessories.system_sensor", "Is a sensor fitted in the common supply?", SEEN),
    Question("accessories.tank_sensor", "Is a tank sensor fitted and wired to the boiler?", SEEN),
    Question("accessories.room_unit", "Is a room unit wired to the bus?", SEEN),
    Question("accessories.bus_module", "Is a bus or signal module fitted?", SEEN),
    Question("accessories.remote_writer", "Can somebody change settings from outside the building?", ASKED),
    Question("accessories.remote_writer_owner", "Who answers for remote write access?", ASKED),
    Question("accessories.signal_low", "Which supply does the automation mean by its lowest signal?", ASKED),
    Question("accessories.signal_high", "Which supply does the automation mean by its highest signal?", ASKED),
    # counters
    Question("counters.starts", "How many burner starts does the counter show?", READ),
    Question("counters.burner_hours", "How many burner hours does the counter show?", READ),
    Question("counters.idle_months", "For how many months have the heating pumps been idle?", ASKED),
    Question("counters.faults_before", "How many faults were in the history at the visit before?", ASKED),
    Question("counters.faults_now", "How many faults are in the history now?", READ),
    # emitters
    Question("emitter", "What gives the heat: radiators, baseboard, heated floor?", SEEN),
    Question("emitter.name", "What is the emitter called here?", ASKED),
    Question("emitter.kind", "What kind of emitter is it: radiator, baseboard, heated floor?", SEEN),
    Question("emitter.design_supply", "Which supply do the emitters need on the design day?", CALCULATED),
    Question("emitter.design_return", "Which return do the emitters give on the design day?", CALCULATED),
    Question("emitter.load", "What load does the emitter carry on the design day?", CALCULATED),
    Question("emitter.exponent", "What exponent do the emitter's papers give?", PLATE),
    Question("emitter.oversize", "By how much is the emitter larger than its load needs?", CALCULATED),
    Question("emitter.maximum_supply", "What is the hottest supply the emitter or its floor may take?", PLATE),
    Question("emitter.maximum_reason", "Why may the supply not be hotter?", ASKED),
    Question("emitter.mixed", "Does the emitter have its own mixing valve?", SEEN),
    # combustion
    Question("combustion.high.on", "When was combustion last read at high fire?", PLATE),
    Question("combustion.high.o2", "What oxygen did the last analysis show at high fire?", PLATE),
    Question("combustion.high.co2", "What CO2 did the last analysis show at high fire?", PLATE),
    Question("combustion.high.co", "What CO did the last analysis show at high fire?", PLATE),
    Question("combustion.high.ratio", "What CO/CO2 ratio did the analyser print at high fire?", PLATE),
    Question("combustion.high.flue_temperature", "How hot was the flue gas at high fire in the last analysis?", PLATE),
    Question("combustion.high.fan_speed", "What fan speed was shown at high fire in the last analysis?", PLATE),
    Question("combustion.high.fuel", "Which fuel was selected in the analyser at high fire?", PLATE),
    Question("combustion.high.analyser_calibrated", "When was the analyser for high fire last calibrated?", PLATE),
    Question("combustion.low.on", "When was combustion last read at low fire?", PLATE),
    Question("combustion.low.o2", "What oxygen did the last analysis show at low fire?", PLATE),
    Question("combustion.low.co2", "What CO2 did the last analysis show at low fire?", PLATE),
    Question("combustion.low.co", "What CO did the last analysis show at low fire?", PLATE),
    Question("combustion.low.ratio", "What CO/CO2 ratio did the analyser print at low fire?", PLATE),
    Question("combustion.low.flue_temperature", "How hot was the flue gas at low fire in the last analysis?", PLATE),
    Question("combustion.low.fan_speed", "What fan speed was shown at low fire in the last analysis?", PLATE),
    Question("combustion.low.fuel", "Which fuel was selected in the analyser at low fire?", PLATE),
    Question("combustion.low.analyser_calibrated", "When was the analyser for low fire last calibrated?", PLATE),
    # the visit
    Question("visit.on", "When was the last visit?", ASKED),
    Question("visit.by", "Who made the last visit?", ASKED),
    Question("visit.role", "In which role did they come: heating, licensed gas, water safety?", ASKED),
    Question("visit.why", "What was the reason for the last visit?", ASKED),
    Question("visit.kind", "What was the last visit for: service, fault, commissioning?", ASKED),
    Question("visit.occasion", "What brought the last visit about: routine, complaint, test, repair?", ASKED),
    Question("visit.read_back", "Was every setting read back after saving?", ASKED),
    Question("visit.work_order", "Which work order was it?", ASKED),
    Question("visit.clock_checked", "Were clock, time zone and summer time checked?", READ),
    Question("visit.service_code_default", "Is the service code still the one it came with?", READ),
    Question("visit.fault_cause", "What was the cause of the fault?", ASKED),
    # settings, in the order of the screens: heating
    Question("heating_enabled", "Is heating switched on?", READ),
    Question("operating_mode", "Which operating mode is the control in?", READ),
    Question("call_source", "What does the control take for a heating call?", READ),
    Question("heating_setpoint", "What is the heating set point?", READ),
    Question("heating_differential", "What is the heating differential?", READ),
    Question("heating_overshoot", "How far above the set point does the burner stop?", READ),
    Question("minimum_supply", "What is the minimum supply temperature set to?", READ),
    Question("maximum_supply", "What is the maximum supply temperature set to?", READ),
    Question("minimum_return", "What is the minimum return temperature set to?", READ),
    Question("control_sensor", "Which sensor does the burner follow: supply, return, system?", READ),
    Question("heating_target_difference", "Which supply-return difference does the control aim at?", READ),
    Question("night_setback", "How far is the supply lowered at night?", READ),
    Question("night_setback_hours", "For how many hours does the night setback last?", READ),
    Question("room_influence", "How strong is the room influence set?", READ),
    Question("boost_step", "By how much does boost raise the supply each time?", READ),
    Question("boost_interval", "After how many minutes does boost raise the supply?", READ),
    Question("floor_drying", "Is the floor drying program running?", READ),
    # reset
    Question("reset", "Is outdoor reset on?", READ),
    Question("reset_endpoint", "What is the reset end point?", READ),
    Question("reset_hot_supply", "What supply does the reset line have at its cold end?", READ),
    Question("reset_cold_outdoor", "At which outdoor temperature is the reset line hottest?", READ),
    Question("reset_cool_supply", "What supply does the reset line have at its mild end?", READ),
    Question("reset_warm_outdoor", "At which outdoor temperature is the reset line coolest?", READ),
    Question("reset_slope", "What is the reset slope?", READ),
    Question("reset_shift", "What is the reset shift?", READ),
    Question("warm_weather_shutdown", "Above which outdoor temperature does heating shut down?", READ),
    Question("outdoor_correction", "By how much is the outdoor sensor corrected?", READ),
    Question("outdoor_averaging", "Over how many hours is the outdoor temperature averaged?", READ),
    Question("outdoor_sensor_loss", "What does the control do when the outdoor sensor fails?", READ),
    # firing
    Question("fuel_setting", "Which fuel is the control set to?", READ),
    Question("size_setting", "Which size is the control set to?", READ),
    Question("elevation_setting", "Which elevation is the control set to?", READ),
    Question("vent_length_setting", "Which vent length is the control set to?", READ),
    Question("ignition_fan_speed", "What is the ignition fan speed set to?", READ),
    Question("maximum_fan_speed", "What is the maximum fan speed set to?", READ),
    Question("minimum_fan_speed", "What is the minimum fan speed set to?", READ),
    Question("heating_maximum_rate", "To which rate is heating limited?", READ),
    Question("hot_water_maximum_rate", "To which rate is hot water limited?", READ),
    Question("ignition_trials", "How many trials for ignition are set?", READ),
    Question("pre_purge", "How long is the pre-purge?", READ),
    Question("post_purge", "How long is the post-purge?", READ),
    Question("low_fire_hold", "How long does it hold at low fire after lighting?", READ),
    Question("control_gain", "What is the modulation gain set to?", READ),
    Question("service_mode", "Is the manual fire mode on?", READ),
    Question("service_mode_limit", "After how many minutes does the manual fire mode end by itself?", READ),
    # hot water
    Question("hot_water_method", "Which hot-water method is the control set to?", READ),
    Question("hot_water_boiler_setpoint", "What is the boiler target during hot water?", READ),
    Question("tank_setpoint", "What is the tank set point?", READ),
    Question("tank_differential", "What is the tank differential?", READ),
    Question("outlet_setpoint", "What is the outlet set point of the hot water?", READ),
    Question("hot_water_priority", "Does hot water have priority over heating?", READ),
    Question("priority_time_limit", "After how many minutes does hot-water priority end?", READ),
    Question("keep_warm", "For how long is the plate kept warm after use?", READ),
    Question("hot_water_reduced", "What is the tank temperature in away or economy times?", READ),
    Question("hot_water_schedule", "Does hot water follow a schedule?", READ),
    Question("hot_water_overrun", "How long does the hot-water pump run on after a call?", READ),
    Question("hygiene_cycle", "Is the hygiene heat-up on?", READ),
    Question("hygiene_target", "To which temperature does the hygiene heat-up go?", READ),
    Question("hygiene_time_limit", "After how many minutes does the hygiene heat-up end?", READ),
    Question("recirculation", "Is the hot-water loop pumped all day, by schedule or not at all?", READ),
    Question("recirculation_off_hours", "For how many hours a day is the hot-water loop not pumped?", READ),
    Question("tank_high_limit", "What is the tank high limit set to?", READ),
    # pumps
    Question("boiler_pump_mode", "When does the boiler pump run?", READ),
    Question("system_pump_mode", "When does the system pump run?", READ),
    Question("pump_overrun", "How long does the pump run on after the burner stops?", READ),
    Question("pump_minimum_speed", "What is the minimum pump speed set to?", READ),
    Question("pump_control", "What does the pump speed follow?", READ),
    Question("pump_exercise", "Is pump exercise on?", READ),
    Question("purge_program", "Is the air purge program running?", READ),
    # limits
    Question("operating_limit", "What is the operating limit set to?", READ),
    Question("high_limit", "What is the high limit set to?", READ),
    Question("high_limit_reset", "Does the high limit reset by hand or by itself?", READ),
    Question("flue_limit", "What is the flue temperature limit set to?", READ),
    Question("difference_limit", "What is the supply-return difference limit set to?", READ),
    Question("low_pressure_cutout", "At which pressure does the low-pressure cut-out stop the burner?", READ),
    Question("high_pressure_alarm", "At which pressure does the high-pressure alarm come?", READ),
    Question("resets_per_hour", "How many lockout resets an hour are allowed?", READ),
    Question("remote_reset", "Can a lockout be reset remotely?", READ),
    # freeze
    Question("freeze_protection", "Is freeze protection on?", READ),
    Question("freeze_pump_on", "At which water temperature does freeze protection start the pump?", READ),
    Question("freeze_burner_on", "At which water temperature does freeze protection fire?", READ),
    Question("freeze_outdoor_start", "Below which outdoor temperature does freeze protection start?", READ),
    Question("holiday_room", "Which room temperature is kept while people are away?", READ),
    # timing and cascade
    Question("minimum_off_time", "How long must the burner rest between two firings?", READ),
    Question("cascade_role", "Is the boiler alone, the leader or a follower?", READ),
    Question("cascade_address", "Which number does the boiler have in its group?", READ),
    Question("stage_order", "Does the group run few boilers at high fire or many at low fire?", READ),
    Question("stage_on_rate", "Above which firing rate does the next boiler start?", READ),
    Question("stage_off_rate", "Below which firing rate does the last boiler stop?", READ),
    Question("stage_on_delay", "How many minutes pass before the next boiler starts?", READ),
    Question("rotation_interval", "How often does the first boiler change?", READ),
    Question("leader_loss", "What does the boiler do when the leader is gone?", READ),
    Question("external_signal", "Does a building automation set the supply or the firing rate?", READ),
    Question("external_low", "Which supply does the lowest external signal mean?", READ),
    Question("external_high", "Which supply does the highest external signal mean?", READ),
    Question("external_loss", "What does the boiler do when the external signal is lost?", READ),
    Question("remote_writing", "Is remote write access on?", READ),
)
# fmt: on
QUESTIONS: Final[dict[str, Question]] = {row.name: row for row in _ROWS}
"""All questions by the name that they ask for; `emitter` where no emitter is recorded."""


def row_name(name: str) -> str:
    """Return under which name something is asked: of one emitter as of any, its kind as emitters."""
    plain = of_any(name)
    return "emitter" if plain == "emitter.kind" else plain


def cost_of(name: str) -> int:
    """Return what it costs to know something, 0 for what is seen at the boiler."""
    row = QUESTIONS.get(row_name(name))
    return list(Learned).index(row.learned) if row is not None else len(Learned)
