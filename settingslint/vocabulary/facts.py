"""The facts about an installation that make checks possible: one row each, in the tables of a profile.

A fact is a plain value or a table with its source (`from`) and date (`on`). A guessed fact lowers the certainty of
every finding that rests on it.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from settingslint.units import Kind
from settingslint.vocabulary.bounds import (
    CARBON_DIOXIDE,
    DONE,
    EFFICIENCY,
    MONTH,
    OUTDOORS,
    OXYGEN,
    PART,
    ULTIMATE_CO2,
    WATER,
    Bounds,
    Dated,
    Direction,
)

POINT, DIFFERENCE, POWER, FLAG, WORD, TEXT = (
    Kind.POINT, Kind.DIFFERENCE, Kind.POWER, Kind.FLAG, Kind.WORD, Kind.TEXT,
)  # fmt: skip


class FactRow(NamedTuple):
    """One fact: `table` and `name` place it in the profile; `words` are the only values of a WORD.

    `plausible` is the range in which a number is plausible, `physical` the one in which it can be, where that is
    narrower than what its kind can be; `dated` says where a DATE may lie.
    """

    table: str
    name: str
    title: str
    kind: Kind
    words: tuple[str, ...] = ()
    plausible: Bounds | None = None
    physical: Bounds | None = None
    dated: Dated | None = None


SOURCES: Final = ("plate", "measured", "calculated", "drawing", "maker's papers", "owner said", "guessed")
"""Where a fact comes from."""

WEAK_SOURCES: Final = frozenset({"guessed", "owner said"})

EMITTER_KINDS: Final = (
    "panel radiator", "cast-iron radiator", "finned tube", "convector", "fan coil", "heated floor", "air coil",
    "pool", "snow melting",
)  # fmt: skip

SETTLED: Final = "from the lowest shore to the highest town, 5,100 m (from memory)"

# fmt: off
_ROWS: Final = (
    # the building and the place
    FactRow("building", "design_load", "heat load on the design day", POWER, plausible=Bounds(3e3, 2e7)),
    FactRow("building", "balance_point", "balance point", POINT,
            plausible=Bounds(40, 85)),
    FactRow("building", "indoor_design", "room temperature wanted", POINT,
            plausible=Bounds(45, 95)),
    FactRow("building", "cooldown_time_constant", "cool-down time constant of the building", Kind.HOURS,
            plausible=Bounds(3, 500)),
    FactRow("building", "mass", "heat storage of the building", WORD, ("light", "medium", "heavy")),
    FactRow("building", "new_system", "new or fully replaced heating system", FLAG),
    FactRow("building", "setback_warm_up", "time allowed to warm up in the morning", Kind.HOURS,
            plausible=Bounds(0.2, 24)),
    FactRow("building", "reference_room_disturbed", "sun, a stove or a valve disturbs the room unit's room", FLAG),
    FactRow("site", "design_outdoor", "design outdoor temperature", POINT,
            plausible=Bounds(-65, 60), physical=OUTDOORS),
    FactRow("site", "coldest", "coldest outdoor temperature to be expected", POINT,
            plausible=Bounds(-90, 60), physical=OUTDOORS),
    FactRow("site", "hottest", "hottest outdoor temperature to be expected", POINT,
            plausible=Bounds(60, 135), physical=OUTDOORS),
    FactRow("site", "elevation", "elevation above the sea", Kind.LENGTH, plausible=Bounds(-1400, 16800, SETTLED)),
    FactRow("site", "occupants", "who uses the building", WORD,
            ("general", "vulnerable", "vacant", "seasonal", "food", "none")),
    FactRow("site", "alarm_path", "somebody gets an alarm and can come in time", FLAG),
    FactRow("site", "insurer_minimum", "room temperature that the insurer asks to keep", POINT,
            plausible=Bounds(35, 75)),
    FactRow("site", "jurisdiction", "whose rules bind", TEXT),
    FactRow("site", "manual_reset_required", "local rules ask for a high limit with manual reset", FLAG),
    FactRow("site", "new_system_supply_ceiling", "supply ceiling for new systems in the local rules", POINT,
            plausible=Bounds(85, 200), physical=WATER),
    FactRow("site", "heating_months_first", "first month of the heating season, 1 to 12", Kind.COUNT,
            plausible=MONTH, physical=MONTH),
    FactRow("site", "heating_months_last", "last month of the heating season, 1 to 12", Kind.COUNT,
            plausible=MONTH, physical=MONTH),
    # the boiler
    FactRow("boiler", "input_maximum", "rated input at high fire", POWER, plausible=Bounds(5e3, 4e7)),
    FactRow("boiler", "input_minimum", "rated input at low fire", POWER, plausible=Bounds(1e3, 2e7)),
    FactRow("boiler", "output_maximum", "rated output at high fire", POWER, plausible=Bounds(5e3, 4e7)),
    FactRow("boiler", "efficiency", "output divided by input", Kind.RATIO,
            plausible=Bounds(0.5, 1.11, EFFICIENCY.origin), physical=EFFICIENCY),
    FactRow("boiler", "condensing", "made to condense", FLAG),
    FactRow("boiler", "heat_exchanger", "heat exchanger", WORD, ("low mass", "high mass")),
    FactRow("boiler", "minimum_flow", "minimum water flow", Kind.FLOW, plausible=Bounds(0.2, 2000)),
    FactRow("boiler", "maximum_difference", "maximum supply-return difference", DIFFERENCE, plausible=Bounds(10, 120)),
    FactRow("boiler", "location", "place of the boiler", WORD, ("heated", "unheated", "outdoor", "garage", "roof")),
    FactRow("boiler", "tankless_coil", "makes hot water in a coil in the boiler", FLAG),
    FactRow("boiler", "size_on_plate", "size as the rating plate states it", TEXT),
    FactRow("boiler", "serial_on_plate", "serial number as read off the plate", TEXT),
    FactRow("boiler", "lowest_rated_part", "rating of the part with the lowest temperature rating", POINT,
            plausible=Bounds(120, 400)),
    FactRow("boiler", "manufacturer_retries", "trials for ignition as the maker sets them", Kind.COUNT,
            plausible=Bounds(0, 10)),
    FactRow("gas", "fuel", "gas that is on site", WORD, ("natural gas", "propane")),
    FactRow("gas", "clocked_input", "input measured at the gas meter at high fire", POWER, plausible=Bounds(1e3, 4e7)),
    FactRow("gas", "heating_value_basis", "basis of the heating value", WORD, ("gross", "net")),
    FactRow("vent", "material", "vent material", WORD, ("pvc", "cpvc", "polypropylene", "stainless steel", "other")),
    FactRow("vent", "rating", "temperature rating of the vent as listed", POINT, plausible=Bounds(120, 1000)),
    FactRow("vent", "equivalent_length", "equivalent length of the vent", Kind.LENGTH, plausible=Bounds(1, 1000)),
    FactRow("vent", "common", "several boilers share a vent", FLAG),
    FactRow("vent", "common_damper", "an idle boiler on the common vent is closed off and proved", FLAG),
    FactRow("vent", "outdoor_air", "combustion air comes straight from outside", FLAG),
    # hot water
    FactRow("hot_water", "kind", "what makes the hot water", WORD, ("none", "tank", "plate", "separate")),
    FactRow("hot_water", "tank_volume", "volume of the tank", Kind.VOLUME, plausible=Bounds(2, 10000)),
    FactRow("hot_water", "tank_rating", "temperature rating of the tank", POINT, plausible=Bounds(120, 260)),
    FactRow("hot_water", "coil_output", "rated output of the tank's coil", POWER, plausible=Bounds(3e3, 4e7)),
    FactRow("hot_water", "mixing_valve", "mixing valve for the hot water", FLAG),
    FactRow("hot_water", "mixing_valve_tested", "last test of the mixing valve", Kind.DATE, dated=DONE),
    FactRow("hot_water", "mixing_valve_setpoint", "mixing valve set point", POINT,
            plausible=Bounds(85, 185), physical=WATER),
    FactRow("hot_water", "circulation_loop", "hot-water circulation loop", FLAG),
    FactRow("hot_water", "return_measured", "loop return, measured", POINT,
            plausible=Bounds(60, 190), physical=WATER),
    FactRow("hot_water", "outlet_measured", "tap temperature after one minute, measured", POINT,
            plausible=Bounds(80, 212), physical=WATER),
    FactRow("hot_water", "cold_inlet", "coldest mains water", POINT, plausible=Bounds(32, 90), physical=WATER),
    FactRow("hot_water", "peak_flow", "largest hot-water flow", Kind.FLOW, plausible=Bounds(0.1, 500)),
    FactRow("hot_water", "hardness", "hardness of the water", WORD, ("soft", "moderate", "hard")),
    FactRow("hot_water", "low_use", "hot water is seldom used", FLAG),
    FactRow("hot_water", "safety_plan", "a water-safety plan names another control measure", FLAG),
    FactRow("hot_water", "piped_here", "this boiler is piped to the tank", FLAG),
    # water and piping
    FactRow("water", "system_volume", "water in the heating system with the boiler", Kind.VOLUME,
            plausible=Bounds(1, 50000)),
    FactRow("water", "fluid", "what the system is filled with", WORD,
            ("water", "propylene glycol", "ethylene glycol")),
    FactRow("water", "glycol_percent", "glycol share", Kind.PERCENT, plausible=Bounds(0, 75), physical=PART),
    FactRow("water", "glycol_by", "share by mass or by volume", WORD, ("mass", "volume")),
    FactRow("water", "tested", "last test of the glycol", Kind.DATE, dated=DONE),
    FactRow("water", "static_height", "height from the gauge to the highest point of the system", Kind.LENGTH,
            plausible=Bounds(0, 700)),
    FactRow("water", "relief_pressure", "relief valve's set pressure", Kind.PRESSURE, plausible=Bounds(12, 160)),
    FactRow("piping", "topology", "how the boiler is piped", WORD,
            ("direct", "primary-secondary", "separator", "buffer", "series")),
    FactRow("piping", "smallest_zone", "design load of the smallest zone", POWER, plausible=Bounds(200, 2e7)),
    FactRow("piping", "zone_valves", "zones are opened by valves", FLAG),
    FactRow("piping", "bypass", "a bypass or a pressure-controlled pump takes the flow of closed valves", FLAG),
    FactRow("piping", "outside_walls", "pipes run in outside walls or cold spaces", FLAG),
    FactRow("piping", "boiler_drives_zones", "the boiler's freeze protection moves water in every zone", FLAG),
    FactRow("piping", "flow_at_minimum_speed", "flow through the boiler at the lowest pump speed", Kind.FLOW,
            plausible=Bounds(0.05, 5000)),
    FactRow("piping", "system_flow", "flow in the system loop", Kind.FLOW, plausible=Bounds(0.1, 10000)),
    FactRow("piping", "return_protection", "return kept warm by a mixing valve or bypass", FLAG),
    FactRow("piping", "system_pump_interlocked", "the burner can't fire without the system pump", FLAG),
    FactRow("piping", "calls_have_end_switches", "zone valves call the boiler by their end switches", FLAG),
    # what is wired
    FactRow("accessories", "outdoor_sensor", "outdoor sensor", FLAG),
    FactRow("accessories", "system_sensor", "system sensor", FLAG),
    FactRow("accessories", "tank_sensor", "tank sensor", FLAG),
    FactRow("accessories", "room_unit", "room unit on the bus", FLAG),
    FactRow("accessories", "bus_module", "bus or signal module", FLAG),
    FactRow("accessories", "remote_writer", "remote write access", FLAG),
    FactRow("accessories", "remote_writer_owner", "who is responsible for remote write access", TEXT),
    FactRow("accessories", "signal_low", "supply that the automation means by the low end of its signal", POINT,
            plausible=Bounds(32, 210)),
    FactRow("accessories", "signal_high", "supply that the automation means by the high end of its signal", POINT,
            plausible=Bounds(60, 230)),
    # what was counted since the last visit
    FactRow("counters", "starts", "burner starts", Kind.COUNT, plausible=Bounds(0, 5e6)),
    FactRow("counters", "burner_hours", "burner hours", Kind.HOURS, plausible=Bounds(0, 2e5)),
    FactRow("counters", "idle_months", "months since the heating pumps last ran", Kind.COUNT, plausible=Bounds(0, 120)),
    FactRow("counters", "faults_before", "faults in the history at the visit before", Kind.COUNT,
            plausible=Bounds(0, 10000)),
    FactRow("counters", "faults_now", "faults in the history at this visit", Kind.COUNT, plausible=Bounds(0, 10000)),
)
# fmt: on

FACTS: Final[dict[str, FactRow]] = {f"{row.table}.{row.name}": row for row in _ROWS}
"""All facts by their dotted name."""

# fmt: off
_EMITTER: Final = (
    FactRow("emitter", "name", "name", TEXT),
    FactRow("emitter", "kind", "kind of emitter", WORD, EMITTER_KINDS),
    FactRow("emitter", "design_supply", "design supply", POINT, plausible=Bounds(75, 220)),
    FactRow("emitter", "design_return", "design return", POINT, plausible=Bounds(70, 210)),
    FactRow("emitter", "load", "load on the design day", POWER, plausible=Bounds(200, 2e7)),
    FactRow("emitter", "exponent", "exponent of its output", Kind.RATIO,
            plausible=Bounds(0.9, 1.6), physical=Bounds(0.5, 3)),
    FactRow("emitter", "oversize", "rated output divided by its share of the load", Kind.RATIO,
            plausible=Bounds(0.3, 10), physical=Bounds(0.01, 100)),
    FactRow("emitter", "maximum_supply", "maximum supply", POINT, plausible=Bounds(80, 400)),
    FactRow("emitter", "maximum_reason", "why", TEXT),
    FactRow("emitter", "mixed", "own mixing device", FLAG),
)
_COMBUSTION: Final = (
    FactRow("combustion", "on", "date of the reading", Kind.DATE, dated=DONE),
    FactRow("combustion", "o2", "oxygen, dry", Kind.PERCENT,
            plausible=Bounds(0.5, 20.9, OXYGEN.origin), physical=OXYGEN),
    FactRow("combustion", "co2", "carbon dioxide, dry", Kind.PERCENT, plausible=ULTIMATE_CO2, physical=CARBON_DIOXIDE),
    FactRow("combustion", "co", "carbon monoxide", Kind.CO, plausible=Bounds(0, 20000)),
    FactRow("combustion", "ratio", "CO divided by CO2, as the analyser printed it", Kind.RATIO,
            plausible=Bounds(0, 0.2), physical=Bounds(0, 100)),
    FactRow("combustion", "flue_temperature", "flue gas temperature", POINT, plausible=Bounds(50, 800)),
    FactRow("combustion", "fan_speed", "fan speed shown", Kind.FAN_SPEED, plausible=Bounds(1, 20000)),
    FactRow("combustion", "fuel", "fuel selected in the analyser", WORD, ("natural gas", "propane")),
    FactRow("combustion", "analyser_calibrated", "calibration date of the analyser", Kind.DATE, dated=DONE),
)
_VISIT: Final = (
    FactRow("visit", "on", "date of the visit", Kind.DATE, dated=DONE),
    FactRow("visit", "by", "who", TEXT),
    FactRow("visit", "role", "in which role", WORD,
            ("occupant", "caretaker", "heating technician", "gas-licensed technician", "water-safety holder",
             "maker")),
    FactRow("visit", "why", "why", TEXT),
    FactRow("visit", "kind", "what for", WORD, ("commissioning", "service", "fault", "survey", "changeover")),
    FactRow("visit", "occasion", "what brought it about", WORD,
            ("routine", "complaint", "scald complaint", "positive water sample", "limit test", "repair", "other")),
    FactRow("visit", "read_back", "every setting was read back after saving", FLAG),
    FactRow("visit", "work_order", "work order", TEXT),
    FactRow("visit", "clock_checked", "clock, time zone and summer time were checked", FLAG),
    FactRow("visit", "service_code_default", "the service code is still the one it came with", FLAG),
    FactRow("visit", "fault_cause", "cause of the fault that was found", TEXT),
)
# fmt: on
EMITTER: Final = {row.name: row for row in _EMITTER}
COMBUSTION: Final = {row.name: row for row in _COMBUSTION}
VISIT: Final = {row.name: row for row in _VISIT}
FACTS.update({f"emitter.{row.name}": row for row in _EMITTER})
FACTS.update({f"visit.{row.name}": row for row in _VISIT})
FACTS.update({f"combustion.{end}.{row.name}": row for end in ("high", "low") for row in _COMBUSTION})

DATES: Final[dict[str, Dated]] = {
    "first_fired": DONE,
    "on": DONE,
    "until": Dated(Direction.EITHER, 730, "what lasts longer is not temporary: common practice, no source"),
}
"""The dates beside settings and facts: of the first firing, of a value, and the end of a temporary one."""

TABLES: Final = tuple(dict.fromkeys(row.table for row in _ROWS))
"""The fact tables of a profile, in order."""


def fact_row(name: str) -> FactRow:
    """Return the row of a dotted fact, also of one emitter's: `emitter[1].maximum_supply`.

    Raises:
        KeyError: where there is no such fact.
    """
    return FACTS[of_any(name)]


def of_any(name: str) -> str:
    """Return a name without the place of its emitter: `emitter.kind` for `emitter[1].kind`."""
    head, bracket, rest = name.partition("[")
    return head + rest.partition("]")[2] if bracket else name
