"""Rules of the hot-water group about how much is made, when, at what cost: keep-warm, use, clock, scale, overrun."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics import keep_warm as standing
from settingslint.physics.hot_water import plate_flow
from settingslint.rules.base import (
    ASK,
    LIKELY,
    OUTAGE,
    WASTE,
    Drafts,
    Quantity,
    Remedy,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
    minutes_of,
)
from settingslint.rules.derived.output import hot_water_output
from settingslint.rules.hot_water.tank import COMES_FROM
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Kelvin, Kind, celsius, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

KEEP_WARM_WORTH: Final = Threshold(
    "keep_warm_worth", 4 * 3600.0, Kind.HOURS, COMMON_PRACTICE, "keep-warm that is long where little hot water is used",
    3600.0, 20 * 3600.0, "common practice, no source: 20 h is nearly all day", looser="up",
)  # fmt: skip
SCALING: Final = Threshold(
    "scaling_temperature", celsius(140), Kind.POINT, COMMON_PRACTICE, "hot water above which hard water scales fast",
    celsius(122), celsius(160), "common practice, no source: scale forms from about 122 F up", looser="up",
)  # fmt: skip
LONGEST_OVERRUN: Final = Threshold(
    "hot_water_overrun_maximum", 600.0, Kind.MINUTES, COMMON_PRACTICE, "hot-water pump overrun that cools the tank",
    120.0, 1800.0, "common practice, no source: half an hour empties the heat of any boiler", looser="up",
)  # fmt: skip
WIDE: Final = Threshold(
    "tank_differential_maximum", kelvin(15), Kind.DIFFERENCE, COMMON_PRACTICE, "widest usual tank differential",
    kelvin(5), kelvin(30),
    "common practice, no source: 30 F brings a tank of 140 F into the range where bacteria live", looser="up",
)  # fmt: skip


@rule(
    "keep-warm-with-tank",
    severity=WASTE,
    needs=("keep_warm", "hot_water.kind"),
    cautions=("hot-water",),
    source=COMMON_PRACTICE,
    trips="settings.keep_warm = 3",
    passes='settings.keep_warm = "off"',
)
def keep_warm_with_tank(plant: Plant) -> Drafts:
    """Plate keep-warm is on, but the hot water is not made by a plate.

    The burner fires for minutes in every hour, all summer, and nobody uses the heat. Keep-warm belongs to a plate
    without a tank.
    """
    kind = plant.word("hot_water.kind")
    if kind != "plate" and not plant.is_off("keep_warm"):
        yield found(
            "keep_warm",
            f"keep-warm is {plant.show('keep_warm')}, but {COMES_FROM[kind]}",
            {"keep-warm": Quantity(plant.number("keep_warm"), Kind.HOURS)},
            Remedy("switch keep-warm off", {"keep_warm": OFF}),
        )


@rule(
    "keep-warm-at-low-use",
    severity=WASTE,
    certainty=LIKELY,
    needs=("keep_warm", "hot_water.low_use"),
    only_if={"hot_water.kind": ("plate",)},
    cautions=("hot-water",),
    source="UK SAP table 3a: 600 to 900 kWh a year (second-hand)",
    assumes=f"a standing loss of about {standing.STANDING_LOSS_W:.0f} W",
    thresholds=(KEEP_WARM_WORTH,),
    trips='hot_water.kind = "plate", hot_water.low_use = true, settings.keep_warm = 5',
    passes="settings.keep_warm = 4",
)
def keep_warm_at_low_use(plant: Plant) -> Drafts:
    """The plate is kept warm for hours where little hot water is used.

    Loss = standing loss x hours held; held all year at most.
    """
    if not plant.flag("hot_water.low_use") or plant.is_off("keep_warm"):
        return
    if plant.number("keep_warm") > plant.threshold(KEEP_WARM_WORTH) + TOLERANCE:
        kwh = standing.loss(standing.STANDING_LOSS_W, 8760.0)
        yield found(
            "keep_warm",
            f"keep-warm is {plant.show('keep_warm')} where little hot water is used: up to about {kwh:.0f} kWh a year",
            {"keep-warm": Quantity(plant.number("keep_warm"), Kind.HOURS)},
            "shorten it or switch it off; tell users that they wait longer for hot water",
        )


@rule(
    "plate-set-point-out-of-reach",
    severity=WASTE,
    certainty=LIKELY,
    needs=("outlet_setpoint", "hot_water.peak_flow", "hot_water.cold_inlet", "boiler.efficiency"),
    only_if={"hot_water.kind": ("plate",)},
    cautions=("hot-water", "scald", "hygiene"),
    source=ARITHMETIC,
    assumes="the boiler gives its whole output to the plate",
    trips='hot_water.kind = "plate", hot_water.peak_flow = 3.1, settings.outlet_setpoint = 118',
    passes="hot_water.peak_flow = 3.0",
)
def plate_set_point_out_of_reach(plant: Plant) -> Drafts:
    """At peak use the plate can't reach its set point from the coldest mains.

    Flow = output / (rho cp x rise from the coldest mains).
    """
    rise = Kelvin(plant.point("outlet_setpoint") - plant.point("hot_water.cold_inlet"))
    if rise <= 0:
        return
    able, peak = plate_flow(hot_water_output(plant), rise), plant.number("hot_water.peak_flow")
    if able < peak - TOLERANCE:
        yield found(
            "outlet_setpoint",
            f"plate reaches {plant.show('outlet_setpoint')} up to {plant.show(Kind.FLOW, able)}; peak use is"
            f" {plant.show(Kind.FLOW, peak)}",
            {"flow at the set point": Quantity(able, Kind.FLOW), "peak use": Quantity(peak, Kind.FLOW)},
            "fit a flow restrictor, or tell users that the water is cooler at peak use",
        )


@rule(
    "clock-not-checked-with-schedule",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("hot_water_schedule", "visit.clock_checked"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    assumes="a clock that nobody checked is wrong",
    trips="settings.hot_water_schedule = true, visit.clock_checked = false",
    passes="visit.clock_checked = true",
)
def clock_not_checked_with_schedule(plant: Plant) -> Drafts:
    """Hot water follows a schedule, but the clock was not checked.

    The tank is cold at four in the afternoon and fine the next morning: the clock is set to another time zone.
    """
    if plant.flag("hot_water_schedule") and not plant.flag("visit.clock_checked"):
        yield found(
            "hot_water_schedule",
            "hot water follows a schedule, but the clock was not checked",
            {},
            "check clock, time zone and summer time, and record the check",
        )


@rule(
    "hot-tank-with-hard-water",
    severity=WASTE,
    certainty=LIKELY,
    needs=("hot_water.hardness",),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    assumes="the water is not softened",
    thresholds=(SCALING,),
    trips='hot_water.hardness = "hard", settings.tank_setpoint = 141',
    passes="settings.tank_setpoint = 140",
)
def hot_tank_with_hard_water(plant: Plant) -> Drafts:
    """Hard water this hot scales the tank's coil or the plate fast.

    Scaling rises steeply above about 140 F. Hygiene comes first: only the person responsible for water safety lowers a
    tank, also against scale.
    """
    if plant.word("hot_water.hardness") != "hard":
        return
    tank = plant.word("hot_water.kind") == "tank"
    at, what = ("tank_setpoint", "tank") if tank else ("outlet_setpoint", "plate")
    hot = plant.point(at)
    if hot > plant.threshold(SCALING) + TOLERANCE:
        yield found(
            at,
            f"hard water and a {what} at {plant.show(Kind.POINT, hot)}: scale builds up fast",
            {"hot water": celsius_of(hot)},
            "soften the water; only the person responsible for water safety lowers a tank",
        )


@rule(
    "hot-water-overrun-too-long",
    severity=WASTE,
    certainty=LIKELY,
    needs=("hot_water_overrun",),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("hot-water",),
    source=COMMON_PRACTICE,
    assumes="the boiler cools faster than the tank",
    thresholds=(LONGEST_OVERRUN,),
    trips="settings.hot_water_overrun = 11",
    passes="settings.hot_water_overrun = 10",
)
def hot_water_overrun_too_long(plant: Plant) -> Drafts:
    """The hot-water pump runs on so long that it carries heat from the tank back into the boiler."""
    overrun, most = plant.number("hot_water_overrun"), plant.threshold(LONGEST_OVERRUN)
    if overrun > most + TOLERANCE:
        value = attainable(plant, "hot_water_overrun", at_most=most)
        remedy = Remedy(
            f"shorten it to {plant.show('hot_water_overrun', value)}" if value is not None else "shorten it",
            {} if value is None else {"hot_water_overrun": value},
        )
        yield found(
            "hot_water_overrun",
            f"hot-water pump runs on {plant.show('hot_water_overrun')} after the call and cools the tank",
            {"overrun": minutes_of(overrun)},
            remedy,
        )


@rule(
    "tank-differential-wide",
    severity=WASTE,
    certainty=ASK,
    needs=("tank_differential",),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    thresholds=(WIDE,),
    trips="settings.tank_differential = 16",
    passes="settings.tank_differential = 15",
)
def tank_differential_wide(plant: Plant) -> Drafts:
    """The tank differential is wide: the tank cools far before it is heated again.

    Usual differentials of a tank are 5 to 15 F.
    """
    gap = plant.difference("tank_differential")
    if gap > plant.threshold(WIDE) + TOLERANCE:
        yield found(
            "tank_differential",
            f"tank cools by {plant.show('tank_differential')} before it is heated again: was that meant?",
            {"differential": kelvin_of(gap)},
            "ask why it is wide; narrow it if nobody knows",
        )


RULES: Final[tuple[Rule, ...]] = (
    keep_warm_with_tank,
    keep_warm_at_low_use,
    plate_set_point_out_of_reach,
    clock_not_checked_with_schedule,
    hot_tank_with_hard_water,
    hot_water_overrun_too_long,
    tank_differential_wide,
)
